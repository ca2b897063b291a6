// Comfort only: every page does its whole job with this file missing.
(() => {
  "use strict";

  const submitButtons = (form) =>
    [...form.elements].filter((control) => control.type === "submit");

  /** Let a form be sent again. */
  const release = (form) => {
    delete form.dataset.sent;
    for (const button of submitButtons(form)) button.removeAttribute("aria-disabled");
  };

  // A second press of the button is dropped. The server is safe without this: a
  // repeated form carries the same request number and changes nothing.
  document.addEventListener("submit", (event) => {
    const form = event.target;
    // Not form.method: a field named "method" would answer instead.
    if (event.defaultPrevented || form.getAttribute("method") !== "post") return;
    if ("sent" in form.dataset) {
      event.preventDefault();
      return;
    }
    form.dataset.sent = "";
    for (const button of submitButtons(form)) button.setAttribute("aria-disabled", "true");
    // A download leaves the page standing, and a lost network must not lock it.
    setTimeout(release, "downloads" in form.dataset ? 2000 : 10000, form);
  });

  // The back button may bring the page back exactly as it was left.
  window.addEventListener("pageshow", () => {
    document.querySelectorAll("form[data-sent]").forEach(release);
  });

  /** Count the ticked boxes of one selectable list, and tick or clear them all. */
  const watchSelection = (list) => {
    const name = list.dataset.select || "vessel";
    const boxes = [...list.querySelectorAll(`input[type=checkbox][name="${name}"]`)];
    const all = list.querySelector("[data-select-all]");
    const count = list.querySelector("[data-select-count]");

    const show = () => {
      const ticked = boxes.filter((box) => box.checked).length;
      if (all) {
        all.checked = ticked > 0 && ticked === boxes.length;
        all.indeterminate = ticked > 0 && ticked < boxes.length;
      }
      if (count) {
        count.textContent = ticked === 0 ? "none selected" : `${ticked} selected`;
      }
    };

    if (all && boxes.length > 0) {
      all.closest("label").hidden = false;
      all.addEventListener("change", () => {
        for (const box of boxes) box.checked = all.checked;
        show();
      });
    }
    list.addEventListener("change", show);
    window.addEventListener("pageshow", show);
    show();
  };

  document.querySelectorAll("[data-select]").forEach(watchSelection);

  // A hand scanner types over what is in its field; else, after a refused form, start
  // reading at what was refused.
  const scan = document.querySelector("[data-scan]");
  if (scan) {
    scan.focus();
    scan.select();
  } else {
    document.querySelector("[data-refused]")?.focus();
  }
})();
