// One view of a panel: its picture under its marks, through the camera that all views share.
//
// While the camera moves, what is painted already is only moved and scaled by the browser, nothing is
// painted anew. As soon as it rests, the part that is looked at is painted over the whole, sharp at that scale.

import { make } from "./make.js";
import { drawMarks } from "./marks.js";
import { facesOf, paint } from "./paint.js";
import { decoded } from "./server.js";
import { tilesOf } from "./tiles.js";

/** The longer side of the whole as it is painted, in pixels of the page: moving scales that. */
const PAINTED = 1600;
/** The most pixels of it along a side. */
const MOST_WIDE = 2048;
/** The most pixels of the part that is looked at with some of what lies around it. */
const MOST_AROUND = 6_000_000;
/** The camera rests when it has not moved for so many milliseconds. */
const REST = 60;
/** The whole is painted so many milliseconds after the part that is looked at. */
const LATER = 150;

export class View {
  constructor(camera, hooks) {
    this.camera = camera;
    this.hooks = hooks;
    this.whole = make("canvas", { class: "whole", "aria-hidden": "true" });
    this.part = make("canvas", { class: "part", "aria-hidden": "true", hidden: true });
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
    /** Which picture the whole was painted of. */
    this.wholeOf = null;
    this.partRect = null;
    this.rest = 0;
    new ResizeObserver(() => this.hooks.resized(this)).observe(this.stage);
  }

  /** Shows a panel: `{ id, panel, width, height, tiles, name }`, seen with a look. */
  async show(what, look) {
    const path = pathOf(what, look);
    if (this.asked === path) return;
    this.asked = path;
    this.stop?.abort();
    this.stop = new AbortController();
    this.element.dataset.busy = "";
    let found, faces, image;
    try {
      [found, faces, image] = await Promise.all([
        tilesOf(what.id, what.panel),
        facesOf(what.id, what.panel, look.query()),
        look.from ? decoded(path, this.stop.signal) : null,
      ]);
    } catch (error) {
      if (error.name === "AbortError" || this.asked !== path) return;
      // A newer picture is on its way, or the connection is gone: what is shown stays.
      this.asked = null;
      delete this.element.dataset.busy;
      return;
    }
    if (this.asked !== path) return;
    delete this.element.dataset.busy;
    const other = this.found !== found;
    if (other) this.hovered = this.chosen = -1;
    Object.assign(this, { found, faces, image, look, shown: what });
    this.whole.style.filter = "";
    this.blurred = false;
    this.dropPart();
    this.wholeScale = PAINTED / Math.max(what.width, what.height);
    this.whole.style.width = `${what.width * this.wholeScale}px`;
    this.whole.style.height = `${what.height * this.wholeScale}px`;
    if (image) this.paintWhole(image);
    this.element.dataset.picture = what.id;
    this.element.dataset.path = path;
    this.hooks.arrived(this);
    this.draw();
    if (other) this.hooks.found?.(this);
    this.followLater();
  }

  followLater() {
    clearTimeout(this.later);
    this.later = setTimeout(() => this.follow(), LATER);
  }

  /** Paints the whole for whoever moves on, once nobody does. */
  follow() {
    clearTimeout(this.later);
    this.later = null;
    if (!this.shown || this.element.dataset.at === "move" || this.blurred) return;
    this.paintWhole(this.image);
    this.cover();
    this.hooks.painted(this);
  }

  /** Paints the whole from a picture, or as it looks at the bench, unless that is there. */
  paintWhole(image) {
    const { shown } = this;
    const of = image ?? this.faces;
    if (this.wholeOf === of) return;
    this.wholeOf = of;
    if (image) paintImage(this.whole, image);
    else {
      const scale = this.wholeScale * Math.min(window.devicePixelRatio || 1, MOST_WIDE / PAINTED);
      paint(this.whole, this.found, this.faces, { x: 0, y: 0, w: shown.width, h: shown.height }, scale);
    }
  }

  /** Whether the whole is painted as it is looked at. */
  get isPainted() {
    return this.wholeOf !== null && this.wholeOf === (this.image ?? this.faces);
  }

  /** Looks from farther off at once, as well as the browser can: the exact picture comes when the hand rests. */
  far(look, blur) {
    if (!this.shown || this.look.query() !== look.query()) return;
    this.dropPart();
    this.asked = null;
    this.stop?.abort();
    this.blurred = true;
    this.paintWhole(null);
    this.whole.style.filter = look.from ? `blur(${blur * look.from * this.wholeScale}px)` : "";
    this.whole.style.visibility = "visible";
    this.element.dataset.far = look.from;
  }

  /** Follows the camera with what is painted. */
  move() {
    if (!this.shown) return;
    this.element.dataset.at = "move";
    this.cover();
    this.put(this.whole, 0, 0, this.wholeScale);
    if (this.partRect) this.put(this.part, this.partRect.x, this.partRect.y, this.partScale);
    const { from } = this;
    this.put(this.marks, from.x, from.y, from.scale);
    clearTimeout(this.rest);
    this.rest = setTimeout(() => this.draw(), REST);
  }

  /** Moves what was painted at some scale so that its corner lies at a point of the panel. */
  put(painted, left, top, paintedScale, snap = (n) => n) {
    const { scale, x, y } = this.camera;
    const across = snap(this.stage.clientWidth / 2 + (left - x) * scale);
    const down = snap(this.stage.clientHeight / 2 + (top - y) * scale);
    painted.style.transform = `translate(${across}px, ${down}px) scale(${scale / paintedScale})`;
  }

  /** Paints all of it sharp, where the camera rests. */
  draw() {
    clearTimeout(this.rest);
    if (!this.shown) return;
    this.put(this.whole, 0, 0, this.wholeScale);
    const sharp = this.sharpen(this.seen());
    this.layPart();
    this.cover();
    this.drawMarks();
    this.element.dataset.at = sharp ? "sharp" : "rest";
    if (this.later === null) this.followLater();
  }

  /** What lies under the part that is looked at is not shown: each layer costs pictures a second. */
  cover() {
    const covered = this.partRect && (this.wholeOf !== this.faces || within(this.seen(), this.partRect));
    this.whole.style.visibility = covered ? "hidden" : "visible";
  }

  drawMarks() {
    const { scale, x, y } = this.camera;
    this.from = { scale, x: x - this.stage.clientWidth / 2 / scale, y: y - this.stage.clientHeight / 2 / scale };
    this.marks.style.transform = "none";
    const many = drawMarks(this.marks, this.found, this.camera, this.wanted, this.chosen, this.hovered);
    const some = Object.values(this.wanted).some(Boolean) || this.chosen >= 0 || this.hovered >= 0;
    this.marks.style.visibility = some ? "visible" : "hidden";
    this.hooks.marked(this, many);
  }

  /** Lays the part so that its pixels are those of the screen. */
  layPart() {
    if (!this.partRect) return;
    const ratio = window.devicePixelRatio || 1;
    this.put(this.part, this.partRect.x, this.partRect.y, this.partScale, (n) => Math.round(n * ratio) / ratio);
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

  /** Paints what is looked at as sharp as it can be, unless it is; false where that has to be asked for. */
  sharpen(rect) {
    if (this.image || this.blurred || rect.w <= 0 || rect.h <= 0) return true;
    const { scale } = this.camera;
    const ratio = window.devicePixelRatio || 1;
    const pixels = scale * ratio;
    if (this.partRect && this.partPixels === pixels && within(rect, this.partRect)) return true;
    const around = this.around(rect, pixels);
    const layered = paint(this.part, this.found, this.faces, around, pixels);
    if (layered === null) {
      this.askPart(around, pixels);
      return false;
    }
    this.take(around, pixels, layered ? "layers" : "plain");
    return true;
  }

  /** A part with a quarter of it on each side, where the panel goes on and that is not too much to paint. */
  around(rect, pixels) {
    const by = rect.w * rect.h * 2.25 * pixels ** 2 > MOST_AROUND ? 0 : 0.25;
    const x = Math.max(0, rect.x - rect.w * by);
    const y = Math.max(0, rect.y - rect.h * by);
    const right = Math.min(this.shown.width, rect.x + rect.w * (1 + by));
    const bottom = Math.min(this.shown.height, rect.y + rect.h * (1 + by));
    return { x, y, w: right - x, h: bottom - y };
  }

  /** Takes the part as it was painted. */
  take(rect, pixels, kind) {
    const ratio = window.devicePixelRatio || 1;
    this.partStop?.abort();
    this.partRect = rect;
    this.partPixels = pixels;
    this.partScale = pixels / ratio;
    this.part.style.width = `${this.part.width / ratio}px`;
    this.part.style.height = `${this.part.height / ratio}px`;
    this.part.hidden = false;
    this.element.dataset.part = kind;
  }

  /** Asks for a drawing of a part: the layers of so many faces are not known here. */
  async askPart({ x, y, w, h }, pixels) {
    this.partStop?.abort();
    this.partStop = new AbortController();
    const { id, panel } = this.shown;
    const path = `/api/drawing/${id}/${panel}?x=${x}&y=${y}&w=${w}&h=${h}${this.look.query()}`;
    try {
      const image = await decoded(path, this.partStop.signal);
      paintImage(this.part, image, Math.ceil(w * pixels), Math.ceil(h * pixels));
    } catch {
      return;
    }
    this.take({ x, y, w, h }, pixels, "drawing");
    if (this.element.dataset.at === "move") this.move();
    else this.draw();
  }

  /** Takes the part away. */
  dropPart() {
    this.partStop?.abort();
    this.partRect = null;
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

function paintImage(canvas, image, width = image.naturalWidth, height = image.naturalHeight) {
  canvas.width = width;
  canvas.height = height;
  canvas.getContext("2d").drawImage(image, 0, 0, width, height);
}

/** What a picture of a panel is asked for by. */
function pathOf({ id, panel }, look) {
  const query = look.query();
  if (look.from) return `/api/pixels/${id}/${panel}?width=1600&from=${look.from}${query}`;
  return `/api/faces/${id}/${panel}?${query.slice(1)}`;
}
