// Hands on the panel: pointer and keys pick tiles, lay them and swap them.

/** How long a finger rests on a tile to pick it, in milliseconds. */
const LONG_PRESS = 500;
/** How far a pointer may move and still rest, in pixels of the page. */
const STILL = 6;

/** Of each event it says whether hands took it: true where they did. */
export class Strokes {
  constructor(hands) {
    this.hands = hands;
    this.view = hands.view;
    this.stroke = null;
    /** The box that is being drawn, in mm. */
    this.box = null;
    this.hovered = -1;
  }

  at(event) {
    const { x, y } = this.view.point(event);
    return this.hands.found?.at(x, y) ?? -1;
  }

  down(view, event) {
    if (view !== this.view) return false;
    const { hands } = this;
    // A finger that a second one joins does not rest.
    clearTimeout(this.press);
    if (event.isPrimary && event.pointerType === "touch" && !hands.on) {
      const tile = this.at(event);
      this.rests = { x: event.clientX, y: event.clientY };
      this.press = setTimeout(() => {
        hands.set(true);
        if (tile >= 0) hands.pick([tile], false);
        this.pressed = true;
      }, LONG_PRESS);
    }
    // A second finger moves and zooms; so does another button than the first.
    if (!hands.on || !event.isPrimary || event.button !== 0) {
      this.stroke = null;
      return false;
    }
    const tile = this.at(event);
    if (tile < 0) return false;
    const { x, y } = this.view.point(event);
    const drags = hands.tools.reach === "one" && !hands.tray.kind && hands.picked.has(tile);
    const more = event.shiftKey || event.ctrlKey || event.metaKey;
    this.stroke = { from: tile, tiles: [tile], x, y, clientX: event.clientX, clientY: event.clientY, more, drags };
    return true;
  }

  moved(view, event) {
    if (view !== this.view) return false;
    const { stroke, rests, hands } = this;
    if (rests && Math.hypot(event.clientX - rests.x, event.clientY - rests.y) > STILL) clearTimeout(this.press);
    if (!stroke) {
      if (event.buttons === 0 && hands.on && hands.tray.kind && hands.picked.size === 0) this.hover(this.at(event));
      return false;
    }
    if (!event.isPrimary) return false;
    const far = Math.hypot(event.clientX - stroke.clientX, event.clientY - stroke.clientY);
    if (far > STILL) stroke.moved = true;
    if (!stroke.moved) return true;
    const tile = this.at(event);
    if (hands.tools.reach === "box") {
      const { x, y } = this.view.point(event);
      this.box = { x: Math.min(x, stroke.x), y: Math.min(y, stroke.y), w: Math.abs(x - stroke.x), h: Math.abs(y - stroke.y) };
      stroke.tiles = hands.picked.inBox(this.box);
    } else if (stroke.drags) {
      stroke.to = tile;
      if (tile >= 0 && tile !== stroke.from) hands.later(() => hands.swap(stroke.from, tile, true));
    } else if (tile >= 0 && !stroke.tiles.includes(tile)) stroke.tiles.push(tile);
    // What is stroked is shown as if it were picked.
    if (stroke.drags) hands.draw();
    else hands.picked.during(stroke.tiles, () => hands.draw());
    return true;
  }

  up(view, event) {
    clearTimeout(this.press);
    if (this.pressed) {
      this.pressed = false;
      return true;
    }
    const { stroke, hands } = this;
    if (view !== this.view || !stroke || !event.isPrimary) return false;
    this.stroke = null;
    this.box = null;
    hands.unghost();
    if (event.type === "pointercancel") {
      hands.draw();
      return true;
    }
    if (stroke.drags && stroke.moved) {
      if (stroke.to >= 0 && stroke.to !== stroke.from) hands.swap(stroke.from, stroke.to);
      hands.unpick();
      return true;
    }
    const tiles = stroke.moved ? stroke.tiles : this.group(stroke.from);
    if (hands.tray.kind && !stroke.more) {
      hands.picked.clear();
      hands.layOn(tiles);
      hands.draw();
    } else hands.pick(tiles, stroke.more);
    return true;
  }

  group(tile) {
    return this.hands.picked.group(tile, this.hands.tools.reach);
  }

  hover(tile) {
    if (tile === this.hovered) return;
    this.hovered = tile;
    this.hands.unghost();
    if (tile >= 0) this.hands.later(() => this.hands.layOn([tile], true));
  }

  key(view, event) {
    const { hands } = this;
    if (!hands.on || view !== this.view) return false;
    const { tray, picked } = hands;
    const { key } = event;
    if (/^[1-9]$/.test(key)) {
      const kind = tray.nth(Number(key) - 1);
      if (!kind) return false;
      tray.choose(kind);
      if (picked.size > 0) hands.layPicked();
      return true;
    }
    if (key === "r" || key === "R") hands.rotate(event.shiftKey ? -1 : 1);
    else if (key === "f" || key === "F") hands.flip();
    else if (key === "l" || key === "L") hands.layPicked();
    else if (key === "Delete" || key === "Backspace") hands.giveBack();
    else if (key === "Escape") {
      if (picked.size > 0) hands.unpick();
      else if (tray.kind) tray.choose(null);
      else hands.set(false);
    } else if (key === "Enter" || key === " ") {
      const tile = this.view.chosen >= 0 ? this.view.chosen : hands.found?.at(hands.bench.camera.x, hands.bench.camera.y) ?? -1;
      if (tile < 0) return false;
      if (tray.kind && picked.size === 0) hands.layOn(this.group(tile));
      else hands.pick(this.group(tile), true);
    } else return false;
    return true;
  }
}
