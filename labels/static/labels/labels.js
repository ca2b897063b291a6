// Comfort only: without it the pages have "Show it" and "Draw it".
(() => {
  "use strict";

  const WAIT_MS = 350;

  /** Redraw `outcome` with what `address` answers to the form, the newest alone. */
  const watch = (form, address, outcome, fields) => {
    let timer;
    let asked;

    const redraw = async () => {
      asked?.abort();
      asked = new AbortController();
      outcome.classList.add("job-waiting");
      const query = new URLSearchParams(fields());
      try {
        const answer = await fetch(`${address}?${query}`, {
          signal: asked.signal,
          headers: { "X-Requested-With": "fetch" },
        });
        if (!answer.ok || answer.redirected) throw new Error(answer.statusText);
        outcome.innerHTML = await answer.text();
        outcome.classList.remove("job-waiting");
      } catch (error) {
        if (error.name === "AbortError") return;
        // Whoever was signed out, or off the network, sends the form by hand.
        outcome.classList.remove("job-waiting");
        form.requestSubmit(form.querySelector("[name=draw]"));
      }
    };

    const soon = () => {
      // Until it is shown, what was asked for cannot be printed.
      for (const button of outcome.querySelectorAll("button")) button.disabled = true;
      clearTimeout(timer);
      timer = setTimeout(redraw, WAIT_MS);
    };

    form.addEventListener("input", soon);
    form.addEventListener("change", soon);
    return soon;
  };

  /** Offer only the sheets that the chosen format fits. */
  const offerSheets = (format, sheet) => {
    for (const option of sheet.options) {
      const fits = option.dataset.formats;
      const wrong = fits !== undefined && !fits.split(" ").includes(format.value);
      option.hidden = option.disabled = wrong;
      if (wrong && option.selected) sheet.value = "";
    }
  };

  const outcome = document.getElementById("outcome");
  const job = document.querySelector("form[data-job]");
  if (job && outcome) {
    const { format, sheet } = job.elements;
    const filled = () => [...new FormData(job)].filter(([, value]) => value !== "");
    const used = () => [...outcome.querySelectorAll("[name=used]:checked")];
    format.addEventListener("change", () => offerSheets(format, sheet));
    sheet.addEventListener("change", () => {
      for (const box of used()) box.checked = false;
    });
    offerSheets(format, sheet);
    watch(job, job.dataset.job, outcome, () => [
      ...filled(),
      ...used().map((box) => ["used", box.value]),
    ]);
  }

  const drawing = document.querySelector("form[data-drawing]");
  if (drawing && outcome) {
    watch(drawing, drawing.dataset.drawing, outcome, () =>
      [...new FormData(drawing)].filter(([name]) => name !== "csrfmiddlewaretoken"),
    );
  }
})();
