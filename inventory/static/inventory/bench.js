// The bench: a row is sent when it is left, and says what became of it. Until then it
// is kept (outbox.js). Without these files each row has a button of its own.
(() => {
  "use strict";

  const bench = document.querySelector("[data-bench]");
  const { user, batch, save } = bench.dataset;
  const form = bench.querySelector("form");
  const head = bench.querySelector("[data-head]");
  const body = bench.querySelector("[data-rows]");
  const more = bench.querySelector("[data-more]");
  const part = (name) => bench.querySelector(`[data-${name}]`);
  const liquids = bench.dataset.liquids.trim().split(" ");

  const known = new WeakMap();
  const rows = () => [...body.rows].map((line) => known.get(line));
  const rowAt = (target) => known.get(target.closest("tr"));
  const takeIn = (line, key) => known.set(line, new Row(line, key, liquids)).get(line);
  const controls = () => [...head.querySelectorAll("[name]")];
  const isSet = (control) => control.value && (control.type !== "checkbox" || control.checked);
  const common = () =>
    Object.fromEntries(controls().filter(isSet).map((control) => [control.name, control.value]));
  const itemOf = (row, values = row.typed) =>
    ({ id: row.id, at: Date.now(), tries: 0, head: common(), values });

  // Another person at this machine neither sees nor sends these rows.
  const kept = new Keep(`tarebook-bench:${user}:${batch}:`, () => {
    part("no-storage").hidden = false;
  });

  const keep = (row) => {
    const { key, id, name, typed, item, refused } = row;
    if (!item && !refused && !row.hasReading) kept.remove(key);
    else kept.set(key, { code: name, now: typed, id, item, refused });
  };

  // ---- The same row in another window of this bench.

  const answered = new Set(); // ids; what another window asks of them is no news here

  /** Do as another window did with a row; return whether it did anything.

      What was tried here is settled by its own answer. What another window sent is
      gone from the store: to send it again from here would make a second vessel. */
  const follow = (row) => {
    if (row.item?.tries || !kept.isChanged(row.key)) return false;
    const value = kept.get(row.key);
    if (answered.has(value?.item?.id)) return false;
    if (value) restore([row.key, value]);
    else row.yield();
    return true;
  };

  const followAll = () => rows().forEach(follow);

  // ---- Leaving a row, and sending it.

  const leave = (row, { insist = false } = {}) => {
    if (follow(row)) return outbox.send();
    if (row.apart && !insist) return;
    row.apart = false;
    row.writeUnits();
    const item = itemOf(row);
    const before = row.item || row.refused;
    const isSame = (name) => JSON.stringify(item[name]) === JSON.stringify(before[name]);
    const changed = !before || !isSame("head") || !isSame("values");
    if (!row.item?.tries && (insist || changed)) {
      if (before) row.show("");
      Row.markWrong(row.fields, []);
      Object.assign(row, { refused: null, item: row.hasReading ? item : null });
      if (row.item) row.showWaiting();
    }
    keep(row);
    outbox.send();
  };

  /** Send one row; return why it has to be sent again, or nothing. */
  const attempt = async (row) => {
    const data = row.postable(user);
    row.item.tries += navigator.onLine ? 1 : 0;
    keep(row);
    row.lock();
    row.showWaiting("It is being sent.");
    const [status, answer] = await post(save, data, form.elements.csrfmiddlewaretoken.value);
    part("logged-out").hidden = status !== 401;
    if (status === 200) return record(row, answer);
    if (status === 422) return refuse(row, answer);
    if (status === 401) return "You are logged out here. Log in again, and it is sent.";
    if (status === 403) return "Your role does not let you send it. A keeper can change roles.";
    if (status) return answer.problem || `The server answered ${status}.`;
    return "There is no connection.";
  };

  const outbox = new Outbox({
    attempt,
    waiting: () => {
      followAll(); // A window that was frozen was told nothing.
      return rows().filter((row) => row.item);
    },
    failed: (why) => {
      const unsent = rows().filter((row) => row.item);
      for (const row of unsent) row.showWaiting(why);
      tell(unsent[0]);
    },
  });

  const tell = (row) => {
    part("news").textContent = row.said;
  };

  const refuse = (row, answer) => {
    Object.assign(row, { id: newId(), refused: { ...row.item, answer }, item: null });
    row.lock();
    showRefused(row);
    tell(row);
    keep(row);
  };

  const showRefused = (row) => {
    const shared = row.refused.answer.head;
    Row.markWrong(controls(), Object.keys(shared));
    const named = ([name, said]) => Row.labelOf(form.elements[name]) + said;
    row.showRefused(Object.entries(shared).map(named));
  };

  const record = (row, answer) => {
    const wasHere = row.hasFocus;
    answered.add(row.item.id);
    if (!kept.isChanged(row.key)) kept.remove(row.key);
    Object.assign(row, { key: `v${answer.vessel}`, id: newId(), item: null, refused: null });
    row.line.dataset.vessel = answer.vessel;
    row.settleName(answer.code, answer.at);
    row.settle("tare", answer.tare);
    if (answer.gross) row.settleFilling(answer.gross);
    row.lock();
    row.show("recorded", "good", answer.net, answer.room, ...answer.cautions);
    tell(row);
    showSums(answer.sums);
    const { hasReading } = row;
    // Another window may have gone on with the vessel.
    if (hasReading || !follow(row)) keep(row);
    // After a reload the vessel may stand in a row of its own, beside the one that made it.
    const twin = rows().find((each) => each !== row && each.vessel === row.vessel);
    if (twin && !twin.item && !twin.hasReading && !twin.hasFocus) twin.line.remove();
    if (wasHere && !row.hasFocus) (row.boxes[0] || more).focus();
    // The gross may have been typed while the tare was on its way.
    else if (!wasHere && hasReading) leave(row);
  };

  const showSums = (sums) => {
    for (const [name, words] of Object.entries(sums)) {
      const place = bench.querySelector(`[data-sum="${name}"]`);
      place.textContent = words;
      if (place.localName === "dd") place.parentNode.hidden = !words;
    }
  };

  // ---- Rows that come, and go back to what they were.

  const addRow = (key = `n-${newId()}`) => {
    const above = rows().findLast((row) => row.field("medium"));
    const line = part("blank").content.querySelector("tr").cloneNode(true);
    for (const control of line.querySelectorAll("[id]")) control.removeAttribute("id");
    body.append(line);
    const row = takeIn(line, key);
    row.copy(above);
    return row;
  };

  /** Return the row of a kept key; one that is no longer on the page comes back. */
  const rowOf = (key, code) => {
    const vessel = key.startsWith("v") ? key.slice(1) : "";
    const there = rows().find((row) => row.key === key || (vessel && row.vessel === vessel));
    const row = there || addRow(key);
    if (vessel && !there) {
      row.line.dataset.vessel = vessel;
      row.settleName(code);
    }
    return row;
  };

  const restore = ([key, { code, now, id = newId(), item, refused }]) => {
    const row = Object.assign(rowOf(key, code), { id, item, refused, apart: false });
    for (const each of row.fields) each.value = now[each.dataset.field] ?? each.value;
    // What was typed where there is no box any more: let the server say why not.
    const homeless = Row.READINGS.some((name) => now[name] && !row.field(name));
    if (homeless && !item && !refused) row.item = itemOf(row, now);
    row.showLiquid();
    row.lock();
    if (refused) showRefused(row);
    else row.showWaiting(row.item ? "" : "Press Enter in it when it is complete.");
  };

  /** Show, once, what was kept and is no row any more: a reading may still stand in it. */
  const showUnreadable = (key) => {
    part("unreadable").hidden = false;
    part("unreadable-text").textContent += `${kept.text(key)} `;
    kept.remove(key);
  };

  const takeBack = (row) => {
    if (follow(row)) return;
    row.apart = false;
    if (!row.item?.tries) {
      if (row.item || row.refused || row.hasReading) row.show("");
      Object.assign(row, { item: null, refused: null });
    }
    row.reset();
    keep(row);
  };

  /** Go to the reading that the next row, up or down, still lacks. */
  const go = (row, step) => {
    const all = rows();
    let at = all.indexOf(row) + step;
    while (all[at] && !all[at].boxes.length) at += step;
    const { boxes } = all[at] || (step > 0 ? addRow() : row);
    (boxes.find((box) => !box.value) || boxes.at(-1)).focus();
  };

  // ---- What people do.

  body.addEventListener("keydown", (event) => {
    const { key, target } = event;
    if (!target.dataset.field || event.isComposing) return;
    const row = rowAt(target);
    const isBox = target.localName === "input"; // A list of choices needs its arrows.
    if (key === "Enter") leave(row, { insist: true });
    if (key === "Escape") takeBack(row);
    else if (key === "Enter" || (key === "ArrowDown" && isBox)) go(row, 1);
    else if (key === "ArrowUp" && isBox) go(row, -1);
    else return;
    event.preventDefault();
  });

  body.addEventListener("input", ({ target }) => {
    const row = rowAt(target);
    if (!row.item?.tries && kept.isChanged(row.key)) row.part();
    keep(row);
  });

  body.addEventListener("change", ({ target }) => {
    const { field } = target.dataset;
    const row = rowAt(target);
    // The rows below follow, as far as nothing is typed in them.
    const below = rows().slice(rows().indexOf(row) + 1);
    const follow = below.filter((each) => each.field(field) && !each.hasReading);
    if (Row.ALIKE.includes(field)) for (const each of follow) each.field(field).value = target.value;
    for (const each of [row, ...follow]) each.showLiquid();
  });

  body.addEventListener("focusout", ({ target }) => {
    const row = rowAt(target);
    // Later, when the new focus is known. Going to another window leaves no row.
    setTimeout(() => {
      if (document.hasFocus() && !row.hasFocus) leave(row);
    });
  });

  head.addEventListener("change", ({ target }) => {
    const lasting = controls().filter((control) => control.value && control.type !== "checkbox");
    const query = new URLSearchParams(lasting.map((control) => [control.name, control.value]));
    history.replaceState(null, "", `?${query}`);
    target.removeAttribute("aria-invalid");
    if (target.name === "source") part("other-source").hidden = false;
  });

  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const line = event.submitter?.closest("tr");
    if (line) leave(known.get(line), { insist: true });
  });

  more.addEventListener("click", () => go(rows().at(-1), 1));

  window.addEventListener("beforeunload", (event) => {
    const unsaved = rows().some((row) => row.item || row.hasReading);
    if (!kept.works && unsaved) event.preventDefault();
  });

  window.addEventListener("storage", ({ key }) => {
    if (key === null) return rows().forEach(keep); // The whole store was emptied.
    if (!key.startsWith(kept.prefix)) return;
    followAll();
    // What was sent elsewhere too, and is answered: ask what became of it.
    if (rows().some((row) => row.item?.tries && !kept.text(row.key))) outbox.send();
  });

  for (const line of body.rows) {
    const { vessel } = line.dataset;
    takeIn(line, vessel ? `v${vessel}` : `n-${newId()}`);
  }
  for (const shown of bench.querySelectorAll("[data-with-script], [data-more]")) shown.hidden = false;
  part("without-script").hidden = true;
  for (const [key, value] of kept.all()) {
    if (value?.now) restore([key, value]);
    else showUnreadable(key);
  }
  outbox.send();
})();
