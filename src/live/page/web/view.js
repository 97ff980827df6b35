// One view of a panel: its picture under its marks, through the camera that all views share.
//
// While the camera moves, what is painted already is only moved and scaled by the browser, nothing is
// painted anew. As soon as it rests, the part that is looked at is laid over the whole, sharp at that scale.
// The drawing itself is used where it has few paths; else pictures of pixels, until few paths are in sight.

import { make } from "./make.js";
import { drawMarks } from "./marks.js";
import { picture } from "./server.js";
import { tilesOf } from "./tiles.js";

/** The most tiles of one drawing; the server draws no more. */
const MOST_DRAWN = 4000;
/** The most paths of one drawing: what is painted within a few frames. */
const MOST_PATHS = 4000;
/** Width in pixels of the picture of a whole large panel. */
const WHOLE = 2000;
/** The longer side of the whole as it is painted, in pixels of the page: moving scales that. */
const PAINTED = 1600;
/** A drawing wider than this on the screen is replaced by one of the part that is looked at: what is moved into sight
 * of a wider one would be painted while it moves. */
const WIDEST = 2500;
/** The camera rests when it has not moved for so many milliseconds. */
const REST = 60;

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
    /** The whole as it is seen at the bench, and of what. */
    this.near = null;
    this.partRect = null;
    this.timer = 0;
    this.rest = 0;
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
    const own = `${what.id}/${what.panel}${look.query()}`;
    const same = this.shown && this.shown.id === what.id && this.shown.panel === what.panel;
    if (!same) this.tiles(what);
    this.element.dataset.busy = "";
    try {
      const url = await picture(path, this.stop.signal);
      await swap(this.whole, url, this.near?.of === own ? this.near : null);
      if (this.near && this.near.of !== own) {
        URL.revokeObjectURL(this.near.src);
        this.near = null;
      }
      if (!look.from) this.near = { src: url, of: own };
    } catch (error) {
      if (error.name === "AbortError" || this.asked !== path) return;
      // A newer picture is on its way, or the connection is gone: what is shown stays.
      this.asked = null;
      delete this.element.dataset.busy;
      return;
    }
    if (this.asked !== path) return;
    delete this.element.dataset.busy;
    this.whole.style.filter = "";
    this.dropPart();
    this.shown = what;
    this.look = look;
    this.wholeScale = PAINTED / Math.max(what.width, what.height);
    this.whole.style.width = `${what.width * this.wholeScale}px`;
    this.whole.style.height = `${what.height * this.wholeScale}px`;
    this.element.dataset.picture = what.id;
    this.element.dataset.path = path;
    this.hooks.arrived(this);
    this.draw();
  }

  /** Looks from farther off at once, as well as the browser can: the exact picture comes when the hand rests. */
  far(look, blur) {
    const own = this.shown && `${this.shown.id}/${this.shown.panel}${look.query()}`;
    if (!this.near || this.near.of !== own) return;
    this.dropPart();
    this.asked = null;
    this.stop?.abort();
    if (this.whole.src !== this.near.src) {
      URL.revokeObjectURL(this.whole.src);
      this.whole.src = this.near.src;
    }
    this.whole.style.filter = look.from ? `blur(${blur * look.from * this.wholeScale}px)` : "";
    this.whole.style.visibility = "visible";
    this.element.dataset.far = look.from;
  }

  path(what, look) {
    const query = look.query();
    if (look.from) return `/api/pixels/${what.id}/${what.panel}?width=1600&from=${look.from}${query}`;
    if (isDrawn(what)) return `/api/drawing/${what.id}/${what.panel}?${query.slice(1)}`;
    return `/api/pixels/${what.id}/${what.panel}?width=${WHOLE}${plain(what.tiles)}${query}`;
  }

  async tiles(what) {
    this.found = null;
    this.hovered = -1;
    this.chosen = -1;
    try {
      const found = await tilesOf(what.id, what.panel);
      // It may have been asked for once more meanwhile, in another look.
      if (this.wish.id !== what.id || this.wish.panel !== what.panel) return;
      this.found = found;
      this.draw();
      this.hooks.found?.(this);
    } catch {
      // The next picture brings its own.
    }
  }

  /** Follows the camera with what is painted. */
  move() {
    if (!this.shown) return;
    this.element.dataset.at = "move";
    this.cover();
    this.put(this.whole, 0, 0, this.wholeScale);
    if (this.partRect) this.put(this.part, this.partRect.x, this.partRect.y, this.partLaid);
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
    this.layPart();
    this.cover();
    this.drawMarks();
    this.element.dataset.at = this.sharpen(this.seen()) ? "sharp" : "rest";
  }

  /** What lies under the part that is looked at is not painted: each layer costs pictures a second. */
  cover() {
    const covered = this.partRect && within(this.seen(), this.partRect);
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

  /** Lays the whole, where that is sharp, or the part that was sent last, at the scale of the camera. */
  layPart() {
    const { scale } = this.camera;
    if (this.isWholeSharp()) {
      if (this.part.src !== this.whole.src) {
        this.letGo();
        this.part.src = this.whole.src;
        this.part.hidden = false;
      }
      this.partRect = { x: 0, y: 0, w: this.shown.width, h: this.shown.height };
      this.partScale = this.sharpTo();
    }
    if (!this.partRect) return;
    this.partLaid = scale;
    this.part.style.width = `${this.partRect.w * scale}px`;
    this.part.style.height = `${this.partRect.h * scale}px`;
    const ratio = window.devicePixelRatio || 1;
    this.put(this.part, this.partRect.x, this.partRect.y, scale, (n) => Math.round(n * ratio) / ratio);
  }

  /** Whether the picture of the whole is as sharp as it can be at this scale. */
  isWholeSharp() {
    return this.camera.scale * (window.devicePixelRatio || 1) <= this.sharpTo();
  }

  /** Up to how many pixels of the screen a mm the picture of the whole is used. */
  sharpTo() {
    const { shown } = this;
    if (this.look.from) return Infinity;
    if (isDrawn(shown)) return (WIDEST * (window.devicePixelRatio || 1)) / Math.max(shown.width, shown.height);
    return (WHOLE * 1.1) / shown.width;
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

  /** Whether what is looked at is as sharp as it can be; asks for a picture of that part where it is not. */
  sharpen(rect) {
    clearTimeout(this.timer);
    if (this.isWholeSharp() || rect.w <= 0 || rect.h <= 0) return true;
    const scale = this.camera.scale * (window.devicePixelRatio || 1);
    if (this.partRect && within(rect, this.partRect) && this.partScale >= scale * 0.99) return true;
    if (this.found) this.timer = setTimeout(() => this.askPart(rect, scale), 0);
    return false;
  }

  async askPart(rect, scale) {
    // Another picture may have come since.
    const { found } = this;
    if (!found) return;
    const grow = { x: rect.w * 0.25, y: rect.h * 0.25 };
    const x = Math.max(0, rect.x - grow.x);
    const y = Math.max(0, rect.y - grow.y);
    const w = Math.min(this.shown.width, rect.x + rect.w + grow.x) - x;
    const h = Math.min(this.shown.height, rect.y + rect.h + grow.y) - y;
    const tiles = found.inside(x, y, x + w, y + h, MOST_DRAWN * 0.9)?.length ?? Infinity;
    const few = (tiles / this.shown.tiles) * this.shown.paths <= MOST_PATHS;
    const where = `x=${x}&y=${y}&w=${w}&h=${h}${this.look.query()}`;
    const at = `${this.shown.id}/${this.shown.panel}`;
    const path = few
      ? `/api/drawing/${at}?${where}`
      : `/api/pixels/${at}?width=${Math.max(16, Math.round(Math.min(w * scale, 4000)))}${plain(tiles)}&${where}`;
    const whole = this.asked;
    this.partStop?.abort();
    this.partStop = new AbortController();
    try {
      const url = await picture(path, this.partStop.signal);
      if (this.asked !== whole) return;
      await swap(this.part, url, this.whole);
    } catch {
      return;
    }
    if (this.asked !== whole) return;
    this.partRect = { x, y, w, h };
    this.partScale = few ? Infinity : scale;
    this.part.hidden = false;
    this.element.dataset.part = few ? "drawing" : "pixels";
    if (this.element.dataset.at !== "move") return this.draw();
    // It comes while the camera moves: it is painted at the scale for which it was asked.
    this.partLaid = scale / (window.devicePixelRatio || 1);
    this.part.style.width = `${w * this.partLaid}px`;
    this.part.style.height = `${h * this.partLaid}px`;
    this.move();
  }

  /** Takes the part away. */
  dropPart() {
    clearTimeout(this.timer);
    this.letGo();
    this.partRect = null;
    this.part.removeAttribute("src");
    this.part.hidden = true;
  }

  /** What is on its way, or shown, as a part of its own is not needed any more. */
  letGo() {
    this.partStop?.abort();
    if (this.part.src.startsWith("blob:") && this.part.src !== this.whole.src) URL.revokeObjectURL(this.part.src);
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

/** Of many tiles the server draws each in one colour. */
function plain(tiles) {
  return tiles > MOST_DRAWN ? "&plain=true" : "";
}

/** Whether the whole of a panel is a drawing; else it is pixels. */
function isDrawn(what) {
  return what.tiles <= MOST_DRAWN && what.paths <= MOST_PATHS;
}

/** Shows another picture once it is ready, so that nothing blinks; the old one is let go of, unless `other` shows it too. */
async function swap(image, url, other) {
  const next = new Image();
  next.src = url;
  try {
    await next.decode();
  } catch {
    // Some drawings cannot be decoded ahead: they come when they are shown.
  }
  const old = image.src;
  image.src = url;
  if (old.startsWith("blob:") && old !== other?.src) URL.revokeObjectURL(old);
}
