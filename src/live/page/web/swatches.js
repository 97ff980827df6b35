// Woods and dyes by colour and name: pointed at, the panel shows how it would be; a click takes one.

import { make } from "./make.js";

/** How long one is pointed at before the panel shows it, in milliseconds. */
const REST = 120;

export class Swatches {
  /** `tryOut` hears which one is pointed at, none where no longer; `take` which one is taken. */
  constructor(parameter, colours, { tryOut, take }) {
    this.tryOut = tryOut;
    this.shown = null;
    const one = ([name, colour]) => {
      const chip = make("span", { class: "chip", "aria-hidden": "true" });
      chip.style.background = colour;
      return make("button", {
        type: "button",
        "data-colour": name,
        onpointerenter: (event) => event.pointerType !== "touch" && this.later(name),
        onfocus: () => this.later(name),
        onclick: () => {
          clearTimeout(this.timer);
          this.shown = null;
          take(name);
        },
      }, chip, name);
    };
    this.list = make("div", { class: "swatches", role: "group", "aria-label": `Woods and dyes for ${parameter}`, onpointerleave: () => this.later(null), onfocusout: (event) => {
      if (!this.list.contains(event.relatedTarget)) this.later(null);
    } }, colours.map(one));
    this.list.addEventListener("keydown", (event) => this.walk(event));
    for (const [i, button] of [...this.list.children].entries()) button.tabIndex = i ? -1 : 0;
    this.element = make("details", { class: "swatch-home" }, make("summary", {}, "Woods and dyes"), this.list);
    // What is closed is out of reach.
    this.list.hidden = true;
    this.element.addEventListener("toggle", () => {
      this.list.hidden = !this.element.open;
      this.later(null);
    });
  }

  later(name) {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => {
      if (this.shown === name) return;
      this.shown = name;
      this.tryOut(name);
    }, REST);
  }

  /** Arrow keys go from one to the next; Tab stops at one of them. */
  walk(event) {
    const all = [...this.list.children];
    const at = all.indexOf(event.target);
    const to = { ArrowLeft: at - 1, ArrowUp: at - 1, ArrowRight: at + 1, ArrowDown: at + 1, Home: 0, End: all.length - 1 }[event.key];
    if (to === undefined || !all[to]) return;
    event.preventDefault();
    for (const button of all) button.tabIndex = button === all[to] ? 0 : -1;
    all[to].focus();
  }
}
