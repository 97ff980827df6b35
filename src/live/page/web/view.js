// One view of a panel: its picture under its marks, through the camera that all views share.
//
// Small panels are one drawing. Of large ones the whole is a picture of pixels, and the part that is
// looked at a sharper one over it.

import { make } from "./make.js";
import { drawMarks } from "./marks.js";
import { picture } from "./server.js";
import { tilesOf } from "./tiles.js";

/** The most tiles of one drawing; the server draws no more. */
const MOST_DRAWN = 4000;
/** Width in pixels of the picture of a whole large panel. */
const WHOLE = 2000;
/** A drawing wider than this on the screen is replaced by one of the part that is looked at. */
const WIDEST = 5000;

export class View {
  constructor(camera, hooks) {
    this.camera = camera;
    this.hooks = hooks;
    this.whole = make("img", { class: "whole", alt: "", draggable: "false" });
    this.part = make("img", { class: "part", alt: "", draggable: "false", hidden: true });
    this.marks = make("canvas", { class: "marks", "aria-hidden": "true" });
    this.stage = make(
      "div",
      { class: "stage", tabindex: "0", role: "application", "aria-roledescription": "panel" },
      this.whole,
      this.part,
      this.marks,
    );
    this.caption = make("figcaption", {});
    this.element = make("figure", { class: "view" }, this.caption, this.stage);
    this.hovered = -1;
    this.chosen = -1;
    this.wanted = {};
    this.shown = null;
    this.asked = null;
    this.partRect = null;
    this.timer = 0;
    new ResizeObserver(() => this.hooks.resized(this)).observe(this.stage);
  }

  /** Shows a panel: `{ id, panel, width, height, tiles, name }`, seen with a look. */
  async show(what, look) {
    this.wish = what;
    const path = this.path(what, look);
    if (this.asked === path) return;
    this.asked = path;
    this.stop?.abort();
    this.stop = new AbortController();
    const same = this.shown && this.shown.id === what.id && this.shown.panel === what.panel;
    if (!same) this.tiles(what);
    this.element.dataset.busy = "";
    try {
      const url = await picture(path, this.stop.signal);
      await swap(this.whole, url);
    } catch (error) {
      if (error.name === "AbortError" || this.asked !== path) return;
      // A newer picture is on its way, or the connection is gone: what is shown stays.
      this.asked = null;
      delete this.element.dataset.busy;
      return;
    }
    if (this.asked !== path) return;
    delete this.element.dataset.busy;
    this.shown = what;
    this.look = look;
    this.element.dataset.picture = what.id;
    this.element.dataset.path = path;
    this.dropPart();
    this.hooks.arrived(this);
    this.draw();
  }

  path(what, look) {
    const query = look.query();
    if (look.from) return `/api/pixels/${what.id}/${what.panel}?width=1600&from=${look.from}${query}`;
    if (what.tiles <= MOST_DRAWN) return `/api/drawing/${what.id}/${what.panel}?${query.slice(1)}`;
    return `/api/pixels/${what.id}/${what.panel}?width=${WHOLE}&plain=true${query}`;
  }

  async tiles(what) {
    this.found = null;
    this.hovered = -1;
    this.chosen = -1;
    try {
      const found = await tilesOf(what.id, what.panel);
      if (this.wish !== what) return;
      this.found = found;
      this.draw();
    } catch {
      // The next picture brings its own.
    }
  }

  /** Puts everything where the camera has it. */
  draw() {
    if (!this.shown) return;
    const { scale, x, y } = this.camera;
    const [w, h] = [this.stage.clientWidth, this.stage.clientHeight];
    const place = (image, rect) => {
      const style = image.style;
      style.width = `${rect.w * scale}px`;
      style.height = `${rect.h * scale}px`;
      style.transform = `translate(${w / 2 + (rect.x - x) * scale}px, ${h / 2 + (rect.y - y) * scale}px)`;
    };
    place(this.whole, { x: 0, y: 0, w: this.shown.width, h: this.shown.height });
    if (this.partRect) place(this.part, this.partRect);
    const rect = this.seen();
    const covered = this.partRect && within(rect, this.partRect);
    this.whole.style.visibility = covered && this.partSharp ? "hidden" : "visible";
    const many = drawMarks(this.marks, this.found, this.camera, this.wanted, this.chosen, this.hovered);
    this.hooks.marked(this, many);
    this.sharpen(rect);
  }

  /** The part of the panel inside the stage, in mm. */
  seen() {
    const { scale, x, y } = this.camera;
    const [w, h] = [this.stage.clientWidth / scale, this.stage.clientHeight / scale];
    const left = Math.max(0, x - w / 2);
    const top = Math.max(0, y - h / 2);
    return {
      x: left,
      y: top,
      w: Math.min(this.shown.width, x + w / 2) - left,
      h: Math.min(this.shown.height, y + h / 2) - top,
    };
  }

  /** Asks for a sharper picture of the part that is looked at, where that would show. */
  sharpen(rect) {
    clearTimeout(this.timer);
    const { scale } = this.camera;
    const ratio = window.devicePixelRatio || 1;
    const large = this.shown.tiles > MOST_DRAWN;
    const coarse = large
      ? this.shown.width * scale * ratio > WHOLE * 1.1
      : Math.max(this.shown.width, this.shown.height) * scale > WIDEST;
    if (!coarse || !this.found || this.look.from || rect.w <= 0 || rect.h <= 0) {
      if (!coarse) this.dropPart();
      return;
    }
    const scaleNow = scale * ratio;
    if (this.partRect && within(rect, this.partRect) && this.partScale >= scaleNow * 0.7) return;
    this.timer = setTimeout(() => this.askPart(rect, scaleNow), 120);
  }

  async askPart(rect, scale) {
    const grow = { x: rect.w * 0.25, y: rect.h * 0.25 };
    const x = Math.max(0, rect.x - grow.x);
    const y = Math.max(0, rect.y - grow.y);
    const w = Math.min(this.shown.width, rect.x + rect.w + grow.x) - x;
    const h = Math.min(this.shown.height, rect.y + rect.h + grow.y) - y;
    const few = this.found.inside(x, y, x + w, y + h, MOST_DRAWN * 0.9);
    const where = `x=${x}&y=${y}&w=${w}&h=${h}${this.look.query()}`;
    const at = `${this.shown.id}/${this.shown.panel}`;
    const path = few
      ? `/api/drawing/${at}?${where}`
      : `/api/pixels/${at}?width=${Math.max(16, Math.round(Math.min(w * scale, 4000)))}&plain=true&${where}`;
    const whole = this.asked;
    this.partStop?.abort();
    this.partStop = new AbortController();
    try {
      const url = await picture(path, this.partStop.signal);
      if (this.asked !== whole) return;
      await swap(this.part, url);
    } catch {
      return;
    }
    if (this.asked !== whole) return;
    this.partRect = { x, y, w, h };
    this.partScale = few ? Infinity : scale;
    this.partSharp = true;
    this.part.hidden = false;
    this.element.dataset.part = few ? "drawing" : "pixels";
    this.draw();
  }

  dropPart() {
    if (!this.partRect) return;
    this.partStop?.abort();
    this.partRect = null;
    this.partSharp = false;
    this.part.hidden = true;
    delete this.element.dataset.part;
  }

  /** The point of the panel, in mm, under a point of the window. */
  point(event) {
    const box = this.stage.getBoundingClientRect();
    return {
      x: this.camera.x + (event.clientX - box.left - box.width / 2) / this.camera.scale,
      y: this.camera.y + (event.clientY - box.top - box.height / 2) / this.camera.scale,
    };
  }
}

function within(inner, outer) {
  const grace = 0.01;
  return (
    inner.x >= outer.x - grace &&
    inner.y >= outer.y - grace &&
    inner.x + inner.w <= outer.x + outer.w + grace &&
    inner.y + inner.h <= outer.y + outer.h + grace
  );
}

/** Shows another picture once it is ready, so that nothing blinks. */
async function swap(image, url) {
  const next = new Image();
  next.src = url;
  try {
    await next.decode();
  } catch {
    // Some drawings cannot be decoded ahead: they come when they are shown.
  }
  const old = image.src;
  image.src = url;
  if (old.startsWith("blob:")) URL.revokeObjectURL(old);
}
