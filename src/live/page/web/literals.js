// Numbers, woods and dyes that stand in the recipe's text, as knobs: a turn writes the text, and each can be
// made a parameter.

import { button, byId, keepingFocus, make } from "./make.js";
import { read, send } from "./server.js";
import { Swatches } from "./swatches.js";

export class Literals {
  constructor(bench) {
    this.bench = bench;
    this.home = byId("values");
    this.list = make("div", { class: "knob-list" });
    this.details = make("details", { class: "in-text" }, make("summary", {}, "Numbers and colours in the text"), this.list);
    this.list.hidden = true;
    this.details.addEventListener("toggle", () => {
      this.list.hidden = !this.details.open;
      this.load();
    });
    this.home.append(this.details);
    this.waiting = null;
    this.drags = 0;
  }

  /** Takes the picture that is shown. A recipe without parameters offers these at once. */
  take(picture) {
    this.picture = picture;
    if (picture.parameters.length === 0 && !this.known) this.details.open = true;
    this.known = true;
    return this.load();
  }

  async load() {
    if (!this.details.open || !this.picture || this.shown === this.picture.id) return;
    const { id } = this.picture;
    this.shown = id;
    try {
      const { values, mark } = await read(`/api/values/${id}`);
      if (this.picture.id !== id) return;
      this.mark = mark;
      keepingFocus(this.home, () => this.show(values));
      this.flush();
    } catch {
      // The next picture brings its own.
      this.shown = null;
    }
  }

  /** What stays where it was keeps its field, so that a drag goes on. */
  show(values) {
    const form = JSON.stringify(values.map((v) => [v.kind, v.line, v.name, v.of]));
    this.values = values;
    if (form !== this.form) {
      this.form = form;
      this.fields = values.map((value, i) => this.one(value, i));
      const empty = make("p", { class: "quiet" }, "No number, wood or dye stands alone in the text.");
      this.list.replaceChildren(...(values.length ? this.fields.map((f) => f.element) : [empty]));
    }
    values.forEach((value, i) => this.fields[i].set(value));
  }

  one(value, i) {
    const id = `value-${i}`;
    const words = value.of ? `${value.name} of ${value.of}` : value.name;
    const label = make("label", { for: id }, words, make("span", { class: "quiet" }, ` line ${value.line}`));
    const box = make("input", { type: "text", id, autocomplete: "off", spellcheck: "false" });
    box.addEventListener("change", () => this.put(i, box.value.trim() || this.text(i), words));
    const parameter = button("Make it a parameter", () => this.parameter(i), { class: "plain", "aria-label": `Make it a parameter: ${words}` });
    const more = value.kind === "number" ? this.slider(value, i, words, box) : value.kind === "colour" ? this.swatches(i, words) : null;
    const element = make("div", { class: "knob value", "data-value": words }, label, box, more?.element, parameter);
    const set = (now) => {
      if (document.activeElement !== box || !this.isBusy) box.value = now.text ?? String(now.number);
      more?.set?.(now);
    };
    return { element, set };
  }

  text(i) {
    const { text, number } = this.values[i];
    return text ?? String(number);
  }

  slider(value, i, words, box) {
    const element = make("input", { type: "range", "aria-label": `${words}, slider` });
    let held = false;
    const range = ({ number, whole }) => {
      const most = Math.max(Math.abs(number) * 2, whole ? 8 : 1);
      const step = whole ? 1 : 10 ** Math.floor(Math.log10(most / 100));
      Object.assign(element, { min: number < 0 ? -most : 0, max: most, step });
      element.value = String(number);
    };
    element.addEventListener("input", () => {
      if (!held) this.drags += 1;
      held = true;
      box.value = element.value;
      this.put(i, element.value, words, this.drags);
    });
    element.addEventListener("change", () => {
      held = false;
    });
    return { element, set: (now) => !held && range(now) };
  }

  swatches(i, words) {
    const take = (name) => this.put(i, name, words);
    return new Swatches(words, this.picture.colours, { tryOut: () => undefined, take });
  }

  /** Writes a value; while one is on its way, later ones wait for the picture that follows. */
  put(i, typed, words, drag = null) {
    this.waiting = { i, typed, words, drag };
    return this.flush();
  }

  async flush() {
    if (this.isBusy || !this.waiting || this.shown !== this.picture.id) return;
    const { i, typed, words, drag } = this.waiting;
    this.waiting = null;
    const value = this.values[i];
    if (typed === this.text(i)) return;
    this.isBusy = true;
    const put = { over: this.mark, at: value.at, was: value.written, new: typed };
    const answer = await this.bench.writes(this.mark, `${words} ${typed}`, drag && `value ${drag}`, () => send("/api/values", put));
    this.isBusy = false;
    if (!answer?.changed) this.fields[i].set(value);
  }

  parameter(i) {
    const { at, name } = this.values[i];
    const plain = name.toLowerCase().replace(/[^a-z0-9_]/g, "_");
    const named = (wish) => send("/api/values/parameter", { over: this.mark, at, name: wish });
    return this.bench.writes(this.mark, `parameter ${plain}`, null, async () => {
      // A name that is taken gets a number.
      for (let n = 1; ; n += 1) {
        try {
          return await named(n === 1 ? plain : `${plain}_${n}`);
        } catch (error) {
          if (n > 8 || !error.message.includes("already")) throw error;
        }
      }
    });
  }
}
