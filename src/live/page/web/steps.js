// The steps of the plan, to tick off in the shop. What is ticked stays so in this browser for as long as the
// steps are the same, and the screen is kept awake from the first tick to the last, where the browser can.

import { button, make } from "./make.js";
import { store, stored } from "./memory.js";

const STORE = "plyloom-ticks";
/** How many plans are remembered. */
const MOST = 30;

/** A short sign of a text: FNV-1a of 32 bits. */
function sign(text) {
  let hash = 0x811c9dc5;
  for (const letter of text) hash = Math.imul(hash ^ letter.codePointAt(0), 0x01000193) >>> 0;
  return hash.toString(16);
}

const all = () => stored("localStorage", STORE);

export class Steps {
  constructor(home) {
    this.home = home;
    this.large = button("Large", () => this.setLarge(!this.isLarge), { id: "steps-large", "aria-pressed": "false", title: "To be read from where the saw stands" });
    this.again = button("Untick all", () => this.untick(), { id: "steps-again" });
    this.said = make("p", { id: "steps-told", class: "quiet", role: "status" });
    this.cautions = make("div", { class: "steps-cautions" });
    this.list = make("ol", { class: "steps" });
    home.append(
      make("h3", {}, "Steps, to tick off"),
      make("div", { class: "bar" }, this.large, this.again, this.said),
      this.cautions,
      this.list,
    );
    home.hidden = true;
    document.addEventListener("visibilitychange", () => this.stayAwake());
  }

  /** Takes the steps of a plan; none where there is nothing to do. */
  take({ steps, cautions }) {
    this.steps = steps;
    this.home.hidden = steps.length === 0;
    this.key = sign(JSON.stringify(steps));
    const ticked = new Set(all()[this.key] ?? []);
    this.cautions.replaceChildren(...cautions.map((words) => make("p", {}, words)));
    this.list.replaceChildren(...steps.map((step) => this.item(step, ticked.has(step.number))));
    this.tell();
  }

  item({ number, title, lines, cautions, drawings }, ticked) {
    const id = `step-${number}`;
    const box = make("input", { type: "checkbox", id, onchange: () => this.tick() });
    box.checked = ticked;
    return make("li", {},
      make("label", { for: id }, box, make("span", {}, title)),
      drawings.map((svg) => make("img", { src: `data:image/svg+xml,${encodeURIComponent(svg)}`, alt: `Drawing of step ${number}`, loading: "lazy" })),
      make("ul", {}, lines.map((line) => make("li", {}, line)), cautions.map((line) => make("li", { class: "caution" }, line))));
  }

  boxes() {
    return [...this.list.querySelectorAll("input")];
  }

  tick() {
    this.begun = true;
    const ticked = this.steps.filter((_, i) => this.boxes()[i].checked).map((step) => step.number);
    const others = Object.entries(all()).filter(([key]) => key !== this.key).slice(1 - MOST);
    this.kept = store("localStorage", STORE, { ...Object.fromEntries(others), [this.key]: ticked });
    this.tell();
    this.stayAwake();
  }

  untick() {
    for (const box of this.boxes()) box.checked = false;
    this.tick();
  }

  tell() {
    const done = this.boxes().filter((box) => box.checked).length;
    this.again.disabled = done === 0;
    const awake = this.lock && !this.lock.released ? "; the screen stays on" : "";
    const lost = this.kept === false ? "; this browser does not keep the ticks" : "";
    this.said.textContent = `${done} of ${this.boxes().length} done${awake}${lost}`;
  }

  setLarge(large) {
    this.isLarge = large;
    this.large.setAttribute("aria-pressed", String(large));
    this.home.classList.toggle("large", large);
  }

  /** Keeps the screen on while the work is under way and the steps are in sight: one wish after the other. */
  stayAwake() {
    this.settling = (this.settling ?? Promise.resolve()).then(() => this.settle());
  }

  async settle() {
    const boxes = this.boxes();
    const done = boxes.filter((box) => box.checked).length;
    const under = this.begun && this.open && done > 0 && done < boxes.length && document.visibilityState === "visible";
    try {
      if (under && (!this.lock || this.lock.released)) this.lock = await navigator.wakeLock?.request("screen");
      if (!under && this.lock && !this.lock.released) await this.lock.release();
    } catch {
      // The browser refuses it, to save its battery say.
    }
    this.tell();
  }

  show(open) {
    this.open = open;
    this.stayAwake();
  }
}
