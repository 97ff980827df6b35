// A knob for each parameter of the recipe, and the seed. A turn redraws without a save.

import { button, byId, keepingFocus, make, note, options, trying } from "./make.js";
import { send } from "./server.js";
import { onward } from "./door.js";
import { Swatches } from "./swatches.js";

export class Knobs {
  constructor(look) {
    this.look = look;
    this.home = byId("knobs");
    this.list = make("div", { class: "knob-list" });
    this.seedHome = make("div", { class: "knob seed" });
    this.buttons = make("div", { class: "keep" });
    this.home.append(this.list, this.seedHome, this.buttons);
    this.waiting = null;
    this.sending = null;
    /** Grows from one act of the hand to the next: all that a slider sends while it is drawn along is one. */
    this.gesture = 0;
    /** The last turn that was sent: its number, and the gesture that it came of. */
    this.sent = { number: 0, gesture: 0 };
    this.knobs = new Map();
    /** The fields of each knob, to mark one that is wrong. */
    this.fields = new Map();
    /** Whether something is only tried: it is no step. */
    this.trying = false;
    this.makeSeed();
    this.makeKeep();
    // Nothing can be turned before there is a picture.
    for (const field of this.home.querySelectorAll("button, input")) field.disabled = true;
  }

  /** Takes the parameters of the picture that is shown, and the knobs as they stand. */
  take(state, picture) {
    keepingFocus(this.home, () => this.show(state, picture));
  }

  show(state, picture) {
    this.state = state;
    this.picture = picture;
    const form = JSON.stringify(picture.parameters.map((p) => [p.name, p.domain, p.help]));
    if (form !== this.form) {
      this.form = form;
      this.knobs.clear();
      this.fields.clear();
      this.list.replaceChildren(...picture.parameters.map((p) => this.one(p)));
      if (!picture.parameters.length) {
        this.list.append(make("p", { class: "quiet" }, "This recipe has no parameters: write param(\u2026) to get knobs."));
      }
    }
    for (const parameter of picture.parameters) this.knobs.get(parameter.name)?.(parameter);
    for (const [name, fields] of this.fields) {
      for (const field of fields) {
        if (state.fault?.parameter === name) field.setAttribute("aria-invalid", "true");
        else field.removeAttribute("aria-invalid");
      }
    }
    this.seedBox.disabled = state.knobs.locked;
    this.back.disabled = state.knobs.locked || picture.seed === "0";
    this.next.disabled = state.knobs.locked;
    this.lock.disabled = this.nameBox.disabled = false;
    this.lock.setAttribute("aria-pressed", String(state.knobs.locked));
    this.lock.textContent = state.knobs.locked ? "Unlock" : "Lock";
    this.own.hidden = state.knobs.seed === null;
    this.own.disabled = state.knobs.locked;
    if (!busy(this.seedBox)) this.seedBox.value = picture.seed;
    const turned = Object.keys(state.knobs.set).length > 0 || state.knobs.seed !== null;
    this.reset.disabled = !turned;
    this.defaults.disabled = state.choice || Boolean(state.fault);
    this.pin.disabled = Boolean(state.fault);
    this.home.dataset.turned = String(turned);
  }

  /** Sends a turn; while one is on its way, later ones become one. Gives the number of the last, 0 where it was refused. */
  turn(change) {
    this.gesture += 1;
    const sent = this.queue(change);
    this.gesture += 1;
    return sent;
  }

  queue(change) {
    const before = this.waiting ?? {};
    this.waiting = { ...before, ...change, set: { ...before.set, ...change.set } };
    this.waitingOf = this.gesture;
    this.sending ??= this.sendAll();
    return this.sending;
  }

  async sendAll() {
    let number = 0;
    while (this.waiting) {
      const [turn, gesture] = [this.waiting, this.waitingOf];
      this.waiting = null;
      number = (await trying(() => send("/api/knobs", turn)))?.turn ?? 0;
      if (number) this.sent = { number, gesture };
    }
    this.sending = null;
    return number;
  }

  set(name, value) {
    return this.turn({ set: { [name]: value } });
  }

  /** Sets one on the way, while a slider is drawn along. */
  draw(name, value) {
    return this.queue({ set: { [name]: value } });
  }

  /** Sets what was typed; a field that was emptied goes back to what the recipe says. */
  type(name, text) {
    return this.set(name, text.trim() === "" ? null : text);
  }

  one(parameter) {
    const { kind } = parameter.domain;
    const id = `knob-${parameter.name}`;
    const help = parameter.help ? make("span", { class: "help", id: `${id}-help` }, parameter.help) : null;
    const described = help ? { "aria-describedby": `${id}-help` } : {};
    const label = make("label", { for: id }, parameter.name);
    const parts = { id, label, help, described };
    const forms = {
      "yes-no": () => this.yesNo(parameter, parts),
      whole: () => this.number(parameter, parts),
      number: () => this.number(parameter, parts),
      choice: () => this.choice(parameter, parts),
      colour: () => this.colour(parameter, parts),
      text: () => this.text(parameter, parts),
    };
    const element = make("div", { class: `knob ${kind}`, "data-knob": parameter.name }, (forms[kind] ?? forms.text)());
    this.fields.set(parameter.name, [...element.querySelectorAll("input:not([type=range]):not([type=color]), select")]);
    return element;
  }

  yesNo(parameter, { id, label, help, described }) {
    const box = make("input", { type: "checkbox", id, ...described });
    box.addEventListener("change", () => this.set(parameter.name, box.checked ? "yes" : "no"));
    this.knobs.set(parameter.name, (p) => {
      box.checked = p.value === true;
    });
    return [make("div", { class: "check" }, box, label), help];
  }

  choice(parameter, { id, label, help, described }) {
    const select = make("select", { id, ...described }, options(parameter.domain.choices.map((c) => [c, c])));
    select.addEventListener("change", () => this.set(parameter.name, select.value));
    this.knobs.set(parameter.name, (p) => {
      select.value = p.value;
    });
    return [label, select, help];
  }

  text(parameter, { id, label, help, described }) {
    const box = handled(make("input", { type: "text", id, autocomplete: "off", ...described }));
    box.addEventListener("change", () => this.type(parameter.name, box.value));
    this.knobs.set(parameter.name, (p) => {
      if (!busy(box)) box.value = this.refused(p) ?? p.value;
    });
    return [label, box, help];
  }

  colour(parameter, { id, label, help, described }) {
    const box = handled(make("input", { type: "text", id, autocomplete: "off", spellcheck: "false", ...described }));
    const swatch = handled(make("input", { type: "color", "aria-label": `${parameter.name}, mixed` }));
    box.addEventListener("change", () => this.type(parameter.name, box.value));
    swatch.addEventListener("input", () => this.draw(parameter.name, swatch.value));
    swatch.addEventListener("change", () => this.ends());
    this.knobs.set(parameter.name, (p) => {
      if (!busy(box)) box.value = this.refused(p) ?? p.value;
      if (p.swatch && !busy(swatch)) swatch.value = p.swatch;
    });
    const swatches = new Swatches(parameter.name, this.picture.colours, {
      tryOut: (name) => this.tryOut(parameter.name, name),
      take: (name) => this.taken(parameter.name, name),
    });
    return [label, make("div", { class: "pair" }, swatch, box), swatches.element, help];
  }

  /** Shows the panel with a value while it is pointed at; none where it is no longer. */
  tryOut(name, value) {
    const had = this.before;
    if (value !== null && !this.trying) this.before = { [name]: this.state.knobs.set[name] ?? null };
    this.trying = value !== null;
    if (value !== null) return this.queue({ set: { [name]: value } });
    this.before = null;
    return had ? this.queue({ set: had }) : undefined;
  }

  /** Takes a value that was tried. */
  taken(name, value) {
    this.trying = false;
    this.before = null;
    return this.set(name, value);
  }

  number(parameter, { id, label, help, described }) {
    const { least, most, unit, kind } = parameter.domain;
    const box = handled(make("input", { type: "text", inputmode: "decimal", id, autocomplete: "off", ...described }));
    const words = unit ? make("span", { class: "unit" }, unit === "deg" ? "\u00b0" : unit) : null;
    const length = unit === "mm" || unit === "in";
    // A slider counts in the value's own unit: mm for lengths, whatever they are shown in.
    const typed = (value) => (length ? `${value} mm` : String(value));
    const ranged = least !== null && most !== null && most > least;
    const step = kind === "whole" ? 1 : stepOf(least, most, unit);
    box.addEventListener("change", () => this.type(parameter.name, box.value));
    const nudge = (by) => {
      const value = tidy(this.valueOf(parameter.name) + by * step);
      const held = Math.min(most ?? Infinity, Math.max(least ?? -Infinity, value));
      this.set(parameter.name, typed(held));
    };
    box.addEventListener("keydown", (event) => {
      if (event.key !== "ArrowUp" && event.key !== "ArrowDown") return;
      event.preventDefault();
      nudge(event.key === "ArrowUp" ? 1 : -1);
      box.blur();
      box.focus();
    });
    const slider = ranged
      ? handled(make("input", { type: "range", min: least, max: most, step, "aria-label": `${parameter.name}, slider` }))
      : null;
    slider?.addEventListener("input", () => {
      box.value = shownIn(unit, Number(slider.value));
      this.draw(parameter.name, typed(Number(slider.value)));
    });
    slider?.addEventListener("change", () => this.ends());
    this.knobs.set(parameter.name, (p) => {
      if (!busy(box)) box.value = this.refused(p) ?? shownIn(unit, p.value);
      if (slider && !busy(slider)) slider.value = String(p.value);
      slider?.setAttribute("aria-valuetext", p.shown);
    });
    return [label, make("div", { class: "pair" }, box, words), slider, help];
  }

  /** What comes next is another act. */
  ends() {
    this.gesture += 1;
  }

  /** The text that a knob was turned to, where the recipe refused it: it can be mended then. */
  refused(parameter) {
    return this.state.fault ? this.state.knobs.set[parameter.name] : undefined;
  }

  valueOf(name) {
    return Number(this.picture.parameters.find((p) => p.name === name)?.value ?? 0);
  }

  makeSeed() {
    const step = (by) => this.turn({ seed: String(BigInt(this.picture.seed) + by) });
    this.seedBox = handled(make("input", { type: "text", inputmode: "numeric", id: "seed", autocomplete: "off" }));
    this.seedBox.addEventListener("change", () => {
      const seed = this.seedBox.value.trim();
      this.turn(seed === "" ? { own_seed: true } : { seed });
    });
    this.back = button("Back", () => step(-1n), { "aria-label": "Seed back", id: "seed-back" });
    this.next = button("Next", () => step(1n), { "aria-label": "Seed next", id: "seed-next" });
    this.lock = button("Lock", () => this.turn({ lock: !this.state.knobs.locked }), {
      "aria-pressed": "false",
      id: "seed-lock",
      title: "A locked seed stays when you turn other knobs",
    });
    this.own = button("Recipe\u2019s own", () => this.turn({ own_seed: true }), { id: "seed-own" });
    this.seedHome.append(
      make("label", { for: "seed" }, "Seed"),
      make("div", { class: "pair" }, this.back, this.seedBox, this.next),
      make("div", { class: "pair" }, this.lock, this.own),
    );
  }

  makeKeep() {
    this.reset = button("Back to the recipe", () => this.turn({ fresh: true, own_seed: true }), { id: "reset" });
    this.nameBox = make("input", { type: "text", id: "keep-name", autocomplete: "off", placeholder: "optional" });
    this.pin = button("Save as a choice", () => this.keepChoice(), { id: "keep-choice" });
    this.defaults = button("Write into the recipe", () => this.keepDefaults(), { id: "keep-defaults" });
    this.buttons.append(
      this.reset,
      make("label", { for: "keep-name" }, "Name of the choice"),
      make("div", { class: "pair" }, this.nameBox, this.pin),
      this.defaults,
    );
  }

  keepChoice() {
    return trying(async () => {
      const name = this.nameBox.value.trim() || null;
      const kept = await send("/api/keep", { as: "choice", picture: this.state.shown, name, look: this.look() });
      this.nameBox.value = "";
      note(`Saved as ${kept.file}. ${onward("preview", kept.file)}`);
    });
  }

  keepDefaults() {
    return trying(async () => {
      const kept = await send("/api/keep", { as: "defaults", picture: this.state.shown });
      note(`These values are now the defaults in ${kept.file}.`);
    });
  }
}

/** Fields in the middle of being changed by hand: what comes from the server must not meddle. */
const touched = new WeakSet();

function handled(field) {
  field.addEventListener("input", () => touched.add(field));
  field.addEventListener("change", () => touched.delete(field));
  field.addEventListener("blur", () => touched.delete(field));
  return field;
}

function busy(field) {
  return touched.has(field);
}

function shownIn(unit, value) {
  return String(unit === "in" ? tidy(value / 25.4) : tidy(value));
}

function tidy(value) {
  return Number(value.toFixed(6));
}

/** A step that cuts the range into a hundred parts or so, of a round size. */
function stepOf(least, most, unit) {
  if (unit === "in") return 25.4 / 16;
  if (least === null || most === null) return 1;
  const power = 10 ** Math.floor(Math.log10((most - least) / 100));
  return Math.max(power, Number.EPSILON);
}
