// Handles on the panel's outline: drag one, or move it by arrow keys, and the lengths that it stands for are written
// into the recipe. While one is dragged, the outline is shown as it would be.

import { button, byId, keepingFocus, make, shape, told, trying } from "./make.js";
import { read, send } from "./server.js";
import { count, size } from "./words.js";

/** From so many pixels in a mm on, lengths go by tenths. */
const CLOSE = 5;
/** How far keys go, in mm. */
const [KEY, FAR] = [1, 10];
/** How long a pointer rests before it is asked what a drag would come to, in milliseconds. */
const REST = 60;

const WAYS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

export class Rim {
  constructor(bench) {
    this.bench = bench;
    this.view = bench.now;
    this.on = false;
    this.handles = [];
    this.buttons = [];
    this.waiting = null;
    this.sent = null;
    /** Which gesture it is: what keys do to one handle, one after the other, is one step. */
    this.gesture = 0;
    this.home = make("div", { class: "rim", hidden: true }, shape("svg", { "aria-hidden": "true" }, shape("path", { class: "halo" }), shape("path")));
    this.view.stage.append(this.home);
    this.words = make("p", { id: "rim-told", class: "quiet", "aria-live": "polite", hidden: true });
    byId("tile").before(this.words);
    this.switch = button("Outline", () => this.set(!this.on), { id: "rim-switch", "aria-pressed": "false", title: "Drag the outline of the panel" });
    byId("tools").append(this.switch);
    bench.over.push(this);
  }

  set(on) {
    this.on = on;
    this.switch.setAttribute("aria-pressed", String(on));
    this.home.hidden = this.words.hidden = !on;
    this.take();
  }

  /** A new picture is shown. */
  async take() {
    const { picture, panel } = this.bench;
    if (this.sent !== null && picture?.id !== this.sent) this.sent = null;
    this.let();
    delete this.home.dataset.ready;
    if (!this.on || !picture) return;
    const told = await trying(() => read(`/api/outline/${picture.id}/${panel}`));
    if (!told || this.bench.picture.id !== picture.id || this.bench.panel !== panel) return;
    this.why = told.why;
    this.handles = told.handles.map((handle) => ({ ...handle, x: handle.x / 1000, y: handle.y / 1000 }));
    keepingFocus(this.home, () => this.show(), this.view.stage);
    this.told();
    this.draw();
    this.home.dataset.ready = picture.id;
    this.flush();
  }

  /** What stays where it was keeps its button, and with it the focus. */
  show() {
    const form = JSON.stringify(this.handles.map((h) => h.name));
    if (form === this.form) return;
    this.form = form;
    for (const old of this.buttons) old.remove();
    this.buttons = this.handles.map((handle, i) => {
      const ways = handle.across && handle.down ? "both" : handle.across ? "across" : "down";
      const one = button("", () => undefined, { class: `handle ${ways}`, "aria-label": handle.name, title: handle.name });
      one.addEventListener("pointerdown", (event) => this.down(i, event));
      one.addEventListener("pointermove", (event) => this.moved(event));
      for (const end of ["pointerup", "pointercancel"]) one.addEventListener(end, (event) => this.up(event));
      one.addEventListener("keydown", (event) => this.key(i, event));
      one.addEventListener("focus", () => this.reached(i));
      one.addEventListener("blur", () => this.told());
      return one;
    });
    this.home.append(...this.buttons);
  }

  told() {
    this.say(
      this.why
        ? `The outline cannot be dragged: ${this.why}`
        : "Drag a handle of the outline, or reach it with Tab and move it with arrow keys (Shift: ten times as far)",
    );
  }

  say(words) {
    this.words.replaceChildren(...told(words));
  }

  /** A handle has the focus: it comes into sight. */
  reached(i) {
    this.gesture += 1;
    const { x, y, name } = this.handles[i];
    this.view.stage.scrollTo(0, 0);
    if (this.buttons[i].classList.contains("off")) {
      Object.assign(this.bench.camera, { x, y });
      this.bench.moved();
    }
    this.say(`${name}: arrow keys move it`);
  }

  // Dragging

  down(i, event) {
    event.stopPropagation();
    if (!event.isPrimary || event.button !== 0 || this.sent !== null) return;
    event.currentTarget.setPointerCapture(event.pointerId);
    this.gesture += 1;
    this.drag = { i, x: event.clientX, y: event.clientY, right: 0, down: 0 };
  }

  moved(event) {
    event.stopPropagation();
    const { drag } = this;
    if (!drag || !event.isPrimary) return;
    const { scale } = this.bench.camera;
    const { across, down } = this.handles[drag.i];
    const step = this.step();
    const far = (goes, pixels) => (goes ? Math.round(pixels / scale / step) * step : 0);
    const [right, below] = [far(across, event.clientX - drag.x), far(down, event.clientY - drag.y)];
    if (right === drag.right && below === drag.down) return;
    Object.assign(drag, { right, down: below });
    this.draw();
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.tryOut(), REST);
  }

  up(event) {
    event.stopPropagation();
    const { drag } = this;
    if (!drag || !event.isPrimary) return;
    if (event.type === "pointercancel" || (drag.right === 0 && drag.down === 0)) {
      this.let();
      this.draw();
      return;
    }
    this.drag = null;
    this.put({ ...drag, step: this.step() });
  }

  /** Lets go of what is dragged. */
  let() {
    clearTimeout(this.timer);
    this.stop?.abort();
    this.drag = this.tried = null;
  }

  step() {
    return this.bench.camera.scale > CLOSE ? 0.1 : 1;
  }

  body({ i, right, down, step }) {
    return { picture: this.bench.picture.id, panel: this.bench.panel, handle: i, right, down, step };
  }

  async tryOut() {
    const { drag } = this;
    if (!drag) return;
    this.stop?.abort();
    this.stop = new AbortController();
    const { signal } = this.stop;
    const asked = { ...drag, step: this.step() };
    try {
      const tried = await send("/api/outline/try", this.body(asked), signal);
      if (signal.aborted || this.drag !== drag) return;
      // The outline begins at the panel's left and top: it is shown where the handle lies under the pointer.
      const handle = this.handles[drag.i];
      const [x, y] = [handle.x + asked.right - tried.x / 1000, handle.y + asked.down - tried.y / 1000];
      this.tried = tried.rims.map((rim) => rim.map((n, k) => n / 1000 + (k % 2 ? y : x)));
      this.say(`${handle.name}: ${size(tried)}, ${count(tried.tiles)} tiles`);
    } catch (error) {
      if (error.name === "AbortError" || signal.aborted) return;
      this.tried = null;
      this.say(error.message);
    }
    this.draw();
  }

  // Keys

  key(i, event) {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const way = WAYS[event.key];
    if (event.key === "Enter" || event.key === " ") event.stopPropagation();
    if (event.key === "Escape" && this.drag) {
      event.stopPropagation();
      this.let();
      this.told();
      this.draw();
    }
    if (!way) return;
    event.preventDefault();
    event.stopPropagation();
    const { across, down } = this.handles[i];
    const far = event.shiftKey ? FAR : KEY;
    const [right, below] = [across ? way[0] * far : 0, down ? way[1] * far : 0];
    if (right === 0 && below === 0) {
      this.say(`${this.handles[i].name}: it goes ${across ? "left and right" : "up and down"} alone`);
      return;
    }
    const before = this.waiting?.i === i ? this.waiting : { right: 0, down: 0 };
    this.put({ i, right: before.right + right, down: before.down + below, step: 0.1 });
  }

  /** Writes a drag; while one is on its way, later ones wait for the picture that follows. */
  put(drag) {
    this.waiting = drag;
    return this.flush();
  }

  async flush() {
    if (this.sent !== null || !this.waiting || !this.bench.picture) return;
    const drag = this.waiting;
    this.waiting = null;
    const { name } = this.handles[drag.i] ?? {};
    if (!name) return;
    const picture = this.bench.picture.id;
    this.sent = picture;
    const answer = await this.bench.writes(this.bench.own, name, `outline ${this.gesture}`, () => send("/api/outline", this.body(drag)));
    // Nothing changed, or it was refused: there is no new picture to wait for.
    if (answer?.changed || this.sent !== picture) return;
    this.sent = null;
    this.let();
    this.told();
    this.draw();
    this.flush();
  }

  draw() {
    if (!this.on || !this.view.shown) return;
    const { scale, x, y } = this.bench.camera;
    const [w, h] = [this.view.stage.clientWidth, this.view.stage.clientHeight];
    const across = (mm) => w / 2 + (mm - x) * scale;
    const below = (mm) => h / 2 + (mm - y) * scale;
    this.handles.forEach((handle, i) => {
      const own = this.drag?.i === i ? this.drag : { right: 0, down: 0 };
      const [left, top] = [across(handle.x + own.right), below(handle.y + own.down)];
      const [inLeft, inTop] = [Math.min(w, Math.max(0, left)), Math.min(h, Math.max(0, top))];
      this.buttons[i].style.transform = `translate(${inLeft.toFixed(1)}px, ${inTop.toFixed(1)}px)`;
      this.buttons[i].classList.toggle("off", Math.hypot(left - inLeft, top - inTop) > 1);
    });
    const rim = (corners) => corners.map((n, k) => (k % 2 ? below(n) : across(n)).toFixed(1)).join(" ");
    const path = (this.tried ?? []).map((corners) => `M${rim(corners)}Z`).join("");
    for (const line of this.home.querySelectorAll("path")) line.setAttribute("d", path);
  }
}
