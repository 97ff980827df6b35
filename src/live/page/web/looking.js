// How the panel is looked at: where the light comes from, finish, eyes, and from how far.

import { button, byId, make, options, shape } from "./make.js";
import { metres } from "./words.js";

const FINISHES = [["raw", "raw"], ["oil", "oil"], ["clear", "clear"]];
const EYES = [
  ["usual", "full colour"],
  ["protanopia", "red-blind"],
  ["deuteranopia", "green-blind"],
  ["tritanopia", "blue-blind"],
  ["grey", "no colour"],
];
/** What is left out of a look that is kept. */
export const PLAIN = { light: null, finish: "raw", view: "usual", from_mm: 0 };

/** A look that is kept, for a view to hold on to: how far, and the end of a question to the server. */
export function lookOf(look) {
  const { light, finish, view, from_mm: from } = { ...PLAIN, ...look };
  let query = "";
  if (light !== null) query += `&light=${light}`;
  if (finish !== "raw") query += `&finish=${finish}`;
  if (view !== "usual") query += `&view=${view}`;
  return { from, query: () => query };
}

/** The slider's steps from 30 cm to 30 m, each some percent farther. */
const STEPS = 60;
const NEAREST = 300;

export class Looking {
  constructor(changed) {
    this.changed = changed;
    this.light = null;
    this.from = 0;
    this.finish = "raw";
    this.eyes = "usual";
    /** Grows from one act of the hand to the next. */
    this.gesture = 0;
    const home = byId("looking");
    for (const end of ["change", "pointerup", "click"]) {
      home.addEventListener(end, () => {
        this.gesture += 1;
      });
    }
    home.append(this.distance(), this.dial(), this.choice("Finish", FINISHES, "finish"), this.choice("Eyes", EYES, "eyes"));
  }

  /** The look as a choice keeps it. */
  kept() {
    return { light: this.light, finish: this.finish, view: this.eyes };
  }

  /** The same with the distance, as a state keeps it. */
  all() {
    return { ...this.kept(), from_mm: this.from };
  }

  /** A copy for a view to hold on to. */
  now() {
    return lookOf(this.all());
  }

  /** The look to begin with, as it is kept; what is left out is plain. */
  begin(look) {
    const { light, finish, view, from_mm: from } = { ...PLAIN, ...look };
    this.setFrom(from);
    this.finish = byId("look-finish").value = finish;
    this.eyes = byId("look-eyes").value = view;
    this.turnLight(light === null ? null : ((light % 360) + 360) % 360);
  }

  tell() {
    this.toldOf = this.gesture;
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.changed(), 150);
  }

  distance() {
    const words = make("output", { for: "distance" }, "at the bench");
    const slider = make("input", { type: "range", id: "distance", min: 0, max: STEPS, value: 0, "aria-valuetext": "at the bench" });
    const tell = () => {
      words.textContent = this.from ? metres(this.from) : "at the bench";
      slider.setAttribute("aria-valuetext", words.textContent);
    };
    this.setFrom = (from) => {
      this.from = from;
      slider.value = String(from ? 1 + Math.round((STEPS - 1) * Math.log(from / NEAREST) / Math.log(100)) : 0);
      tell();
    };
    slider.addEventListener("input", () => {
      const step = Number(slider.value);
      this.from = step === 0 ? 0 : Math.round(NEAREST * 100 ** ((step - 1) / (STEPS - 1)));
      tell();
      this.moved?.();
      this.tell();
    });
    return make("div", { class: "knob" }, make("label", { for: "distance" }, "Seen from"), words, slider);
  }

  dial() {
    const hand = shape("line", { x1: 0, y1: 0, x2: 0, y2: -34, class: "hand" });
    const sun = shape("circle", { cx: 0, cy: -34, r: 7, class: "sun" });
    const turning = shape("g", {}, hand, sun);
    const face = shape("svg", { viewBox: "-50 -50 100 100", class: "dial", "aria-hidden": "true" },
      shape("circle", { cx: 0, cy: 0, r: 42, class: "rim" }),
      shape("rect", { x: -14, y: -10, width: 28, height: 20, class: "board" }),
      turning);
    const words = make("output", { for: "light" }, "even light");
    const slider = make("input", { type: "range", id: "light", min: 0, max: 345, step: 15, value: 225, "aria-valuetext": "even light" });
    const off = button("Even light", () => set(null), { "aria-pressed": "true" });
    this.turnLight = (light) => {
      this.light = light;
      // 0 is light from the right, turning clockwise; the hand stands upright at 270.
      turning.setAttribute("transform", `rotate(${(light ?? 225) + 90})`);
      face.classList.toggle("on", light !== null);
      words.textContent = light === null ? "even light" : `from ${light}\u00b0, ${whence(light)}`;
      slider.setAttribute("aria-valuetext", words.textContent);
      off.setAttribute("aria-pressed", String(light === null));
      if (light !== null) slider.value = String(light);
    };
    const set = (light) => {
      this.turnLight(light);
      this.tell();
    };
    slider.addEventListener("input", () => set(Number(slider.value)));
    const drag = (event) => {
      if (event.type === "pointermove" && event.buttons === 0) return;
      const box = face.getBoundingClientRect();
      const angle = (Math.atan2(event.clientY - box.top - box.height / 2, event.clientX - box.left - box.width / 2) * 180) / Math.PI;
      set((Math.round((angle + 360) / 15) * 15) % 360);
    };
    face.addEventListener("pointerdown", (event) => {
      face.setPointerCapture(event.pointerId);
      drag(event);
    });
    face.addEventListener("pointermove", drag);
    this.turnLight(null);
    return make("div", { class: "knob with-dial" }, make("label", { for: "light" }, "Light"), words,
      make("div", { class: "dial-row" }, face, make("div", { class: "dial-side" }, slider, off)));
  }

  choice(words, all, name) {
    const id = `look-${name}`;
    const select = make("select", { id }, options(all));
    select.addEventListener("change", () => {
      this[name] = select.value;
      this.tell();
    });
    return make("div", { class: "knob inline" }, make("label", { for: id }, words), select);
  }
}

function whence(light) {
  const names = ["the right", "below right", "below", "below left", "the left", "above left", "above", "above right"];
  return names[Math.round(light / 45) % 8];
}
