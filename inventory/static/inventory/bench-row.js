// One row of the bench: what is typed in it, what is known of it, what it says.
"use strict";

class Row {
  static READINGS = ["tare", "gross"];
  static ALIKE = ["kind", "capacity", "medium", "closure"]; // from row to row, as a rule
  static OF_A_NEW_ONE = ["kind", "capacity", "glass_mark"];

  /** `key` names the row in the browser's store; `id` is what its next request is sent
      under. `item` is what is to be sent, frozen once it was tried; `refused`, what the
      server would not take, and its reasons. `apart`: to be sent only on demand. */
  constructor(line, key, liquids) {
    const state = { id: newId(), item: null, refused: null, apart: false };
    Object.assign(this, { line, key, liquids, ...state });
    line.querySelector("button").hidden = true;
    this.showLiquid();
  }

  static element(tag, facts) {
    return Object.assign(document.createElement(tag), facts);
  }

  static hasReading(values) {
    return Row.READINGS.some((name) => (values[name] || "").trim());
  }

  /** Return what a control is called, before what is said of it. */
  static labelOf(control) {
    const words = control?.labels[0];
    const text = words?.querySelector("span:not(.optional)") || words?.firstChild;
    return text ? `${text.textContent.trim()}: ` : "";
  }

  static markWrong(controls, wrong) {
    for (const control of controls) {
      const isWrong = wrong.includes(control.dataset.field || control.name);
      if (isWrong) control.setAttribute("aria-invalid", "true");
      else control.removeAttribute("aria-invalid");
    }
  }

  field(name) {
    return this.line.querySelector(`[data-field="${name}"]`);
  }

  get fields() {
    return [...this.line.querySelectorAll("[data-field]")];
  }

  /** The boxes for readings that are not recorded yet. */
  get boxes() {
    return Row.READINGS.map((name) => this.field(name)).filter(Boolean);
  }

  get typed() {
    return Object.fromEntries(this.fields.map((each) => [each.dataset.field, each.value]));
  }

  get hasReading() {
    return Row.hasReading(this.typed);
  }

  get vessel() {
    return this.line.dataset.vessel || "";
  }

  get name() {
    return this.line.querySelector(".code")?.textContent || "the new vessel";
  }

  get hasFocus() {
    return this.line.contains(document.activeElement);
  }

  /** Return what is posted: the head as it was then, and the row's own fields. */
  postable(user) {
    const { vessel, item } = this;
    const prefix = vessel ? `v${vessel}` : "n0";
    const data = new URLSearchParams({ ...item.head, user, save: prefix });
    const age = Math.max(0, Math.round((Date.now() - item.at) / 1000));
    const own = { ...item.values, request_id: item.id, age };
    for (const [name, value] of Object.entries(own)) data.set(`${prefix}-${name}`, value);
    return data;
  }

  /** Write the unit behind a bare number, so that nobody wonders later which it was. */
  writeUnits() {
    for (const box of this.boxes) {
      if (/^\+?[\d\s.]*\d$/.test(box.value.trim())) box.value = `${box.value.trim()} g`;
    }
  }

  /** Say how the row stands: a tag, then sentences. */
  show(tag, tone = "", ...said) {
    const lines = said.filter(Boolean).map((words) => Row.element("p", { textContent: words }));
    if (tag) lines.unshift(Row.element("span", { className: `tag tag-${tone}`, textContent: tag }));
    this.line.querySelector("[data-state]").replaceChildren(...lines);
  }

  showWaiting(why) {
    this.show("kept here, not sent yet", "warn", why);
  }

  /** What the row says, in one line, for who hears the page. */
  get said() {
    const parts = [...this.line.querySelector("[data-state]").children];
    return [this.name, ...parts.map((part) => part.textContent)].join(" ");
  }

  /** Show the refusal; `above` are sentences about what all rows have in common. */
  showRefused(above) {
    const { problem, row: own } = this.refused.answer;
    Row.markWrong(this.fields, Object.keys(own));
    this.show("refused:", "stop", ...Object.values(own), ...above, problem);
  }

  showLiquid() {
    const liquid = this.field("liquid");
    if (!liquid) return;
    liquid.hidden = !liquid.value && !this.liquids.includes(this.field("medium").value);
  }

  /** Let nobody change what may have been recorded already. */
  lock() {
    const { tries, values } = this.item || {};
    for (const each of this.fields) {
      const { field } = each.dataset;
      const isReading = Row.READINGS.includes(field);
      const isSent = isReading ? values?.[field] : values?.gross || Row.OF_A_NEW_ONE.includes(field);
      each[each.options ? "disabled" : "readOnly"] = Boolean(tries && isSent);
    }
  }

  /** Put words in the place of a control whose value is recorded. */
  settle(name, words) {
    const cell = this.line.querySelector(`[data-cell="${name}"]`);
    if (words && cell.querySelector("[data-field]")) cell.replaceChildren(words);
  }

  settleName(code, at) {
    const facts = { className: "code", textContent: code };
    this.settle("vessel", Row.element(at ? "a" : "span", at ? { ...facts, href: at } : facts));
    for (const each of this.fields) {
      const label = each.getAttribute("aria-label");
      each.setAttribute("aria-label", label.replace(/ of the new vessel$/, ` of ${code}`));
    }
  }

  settleFilling(gross) {
    this.settle("gross", gross);
    this.settle("liquid", this.field("liquid")?.value || "—");
    for (const name of ["medium", "closure"]) {
      this.settle(name, this.field(name)?.selectedOptions[0].text);
    }
  }

  /** Empty the row, which another window of this bench saw to. */
  yield() {
    Object.assign(this, { id: newId(), item: null, refused: null });
    this.lock();
    this.reset();
    this.show("", "", "Another window of this bench sent this row, or took it back.");
  }

  /** Stand beside what another window made of the same row; wait until it is insisted on. */
  part() {
    const key = this.vessel ? this.key : `n-${newId()}`;
    Object.assign(this, { key, id: newId(), item: null, refused: null, apart: true });
    const why = "Another window of this bench sent or changed this row too.";
    this.show("", "", why, "Look there first. Enter sends this one as well; Escape takes it back.");
  }

  /** Copy what is alike from row to row from the one above, if there is one. */
  copy(above) {
    for (const name of Row.ALIKE) {
      this.field(name).value = above?.field(name)?.value ?? this.field(name).value;
    }
    this.showLiquid();
  }

  /** Put back what stood in the row at first, but for what is on its way. */
  reset() {
    for (const each of this.fields.filter((control) => !control.readOnly && !control.disabled)) {
      const first = [...(each.options || [])].find((option) => option.defaultSelected);
      each.value = first?.value ?? each.defaultValue ?? each.options[0].value;
    }
    Row.markWrong(this.fields, []);
    this.showLiquid();
  }
}
