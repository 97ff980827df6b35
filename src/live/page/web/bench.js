// The panel room: one camera for all views, its pointer, wheel and keys, and the tools above.

import { byId, button, make, noteCopy, options, trying } from "./make.js";
import { lookOf } from "./looking.js";
import { remember, remembered } from "./memory.js";
import { View } from "./view.js";
import { count, matched, pose, size } from "./words.js";

const CLOSEST = 200;
const MARKS = [
  ["joints", "Joints"],
  ["numbers", "Numbers"],
  ["trim", "Trim line"],
  ["layers", "Layer lines"],
];
const HELP =
  "Arrow keys move, plus and minus zoom, 0 fits. Enter reads the tile in the middle, Shift with an arrow key goes from tile to tile.";

export class Bench {
  constructor(look) {
    this.look = look;
    this.camera = { scale: 1, x: 0, y: 0 };
    this.fitted = true;
    this.panel = remembered("panel") ?? 0;
    this.wanted = { joints: false, numbers: false, trim: false, layers: false, ...remembered("marks") };
    this.left = remembered("camera");
    this.beside = false;
    /** What was done to the recipe's text of late: over which text, in words, and of which drag. */
    this.deeds = [];
    const hooks = {
      resized: (view) => this.resized(view),
      arrived: () => this.arrived(),
      painted: (view) => view === this.now && this.pictured?.(),
      marked: (view, many) => this.marked(view, many),
      found: () => this.drawOver(),
    };
    /** What is drawn over the panel beside the marks. */
    this.over = [];
    this.now = new View(this.camera, hooks);
    this.before = new View(this.camera, hooks);
    this.now.element.id = "view-now";
    this.before.element.id = "view-before";
    this.before.element.hidden = true;
    byId("views").append(this.before.element, this.now.element);
    for (const view of [this.now, this.before]) {
      view.wanted = this.wanted;
      this.listen(view);
    }
    this.tools();
  }

  tools() {
    const home = byId("tools");
    this.panels = make("select", { "aria-label": "Which panel", hidden: true });
    this.panels.addEventListener("change", () => {
      this.showPanel(Number(this.panels.value));
    });
    const group = (name, ...children) => make("div", { class: "group", role: "group", "aria-label": name }, ...children);
    home.append(
      this.panels,
      group(
        "Zoom",
        button("+", () => this.zoom(1.4), { "aria-label": "Closer", title: "Closer (+)" }),
        button("\u2212", () => this.zoom(1 / 1.4), { "aria-label": "Farther", title: "Farther (\u2212)" }),
        button("Fit", () => this.fit(), { title: "Show all of it (0)", id: "fit" }),
      ),
      group(
        "Marks",
        ...MARKS.map(([name, words]) =>
          button(words, (event) => this.toggle(name, event.currentTarget), {
            "aria-pressed": String(this.wanted[name]),
            "data-mark": name,
          }),
        ),
      ),
      (this.compare = button("Before and now", () => this.setBeside(!this.beside), {
        "aria-pressed": "false",
        id: "beside",
        disabled: true,
      })),
    );
  }

  /** Notes what is about to be done to a text, by its mark; gives what takes that back. */
  does(over, words, drag = null) {
    const deed = { over, words, drag };
    this.deeds.push(deed);
    if (this.deeds.length > 20) this.deeds.shift();
    return () => {
      this.deeds = this.deeds.filter((other) => other !== deed);
    };
  }

  /** Does what writes into a text, and notes it as one step. Gives the answer; none where it was refused. */
  async writes(over, words, drag, work) {
    const undone = this.does(over, words, drag);
    const answer = await trying(work);
    noteCopy(answer);
    if (!answer?.changed) undone();
    return answer;
  }

  /** Another recipe is opened: its first panel, all of it. */
  anew() {
    this.panel = 0;
    this.fitted = true;
    this.left = null;
    remember("panel", 0);
  }

  /** Shows another panel of the recipe, all of it. */
  showPanel(panel) {
    if (panel === this.panel || panel >= this.picture.panels.length) return;
    this.panel = panel;
    this.panels.value = String(panel);
    this.fitted = true;
    remember("panel", panel);
    this.render();
    this.switched?.(panel);
  }

  toggle(name, where) {
    this.wanted[name] = !this.wanted[name];
    where.setAttribute("aria-pressed", String(this.wanted[name]));
    remember("marks", this.wanted);
    this.draw();
  }

  /** Shows another state beside what is shown, or no longer. */
  setBeside(wanted) {
    if (wanted) return this.wantsBefore();
    if (!this.beside) return undefined;
    this.beside = false;
    return this.layViews();
  }

  /** Shows this picture of a state beside what is shown, at the same scale. */
  showBeside(picture, state) {
    this.former = picture;
    this.besideOf = state.number;
    this.besideWords = state.words;
    this.besideSeen = state.set;
    this.beside = true;
    this.layViews();
  }

  layViews() {
    this.compare.setAttribute("aria-pressed", String(this.beside));
    this.before.element.hidden = !this.beside;
    byId("views").classList.toggle("two", this.beside);
    this.render();
    this.resized(this.now);
    this.laid?.();
  }

  /** Takes the picture that is shown now. */
  take(now) {
    this.picture = now;
    if (this.panel >= now.panels.length) this.panel = 0;
    const names = now.panels.map((p) => p.name);
    this.panels.hidden = names.length < 2;
    this.panels.replaceChildren(...options(names.map((name, i) => [i, name])));
    this.panels.value = String(this.panel);
    this.render();
  }

  render() {
    if (!this.picture) return;
    const panel = this.picture.panels[this.panel];
    const look = this.look();
    this.now.show({ id: this.picture.id, panel: this.panel, ...panel }, look);
    this.label(this.now, panel, this.beside ? "Now" : "");
    if (!this.beside) return;
    const { panel: at, look: seen } = this.besideSeen;
    const named = this.former.panels.findIndex((p) => p.name === panel.name);
    const index = Math.max(0, named, this.former.panels[at]?.name === panel.name ? at : 0);
    const old = this.former.panels[index];
    this.before.show({ id: this.former.id, panel: index, ...old }, lookOf(seen));
    this.label(this.before, old, `Before, ${this.besideWords}`);
  }

  /** Follows the distance while it is drawn along. */
  far() {
    if (this.now.shown && this.picture) this.now.far(this.look(), this.picture.blur);
  }

  label(view, panel, when) {
    const words = `${panel.name}, ${size(panel)}, ${count(panel.tiles)} tiles`;
    view.caption.textContent = when ? `${when}: ${words}` : words;
    view.stage.setAttribute("aria-label", `${when ? `${when}: ` : ""}${words}. ${HELP}`);
  }

  arrived() {
    this.goOn();
    if (this.fitted) this.fit();
    else this.draw();
  }

  /** Goes on where the camera was before a reload, once, where that is on the panel. */
  goOn() {
    const { left } = this;
    this.left = null;
    const { width, height } = this.now.shown;
    if (!left || left.x > width || left.y > height) return;
    Object.assign(this.camera, left);
    this.fitted = false;
  }

  resized() {
    this.place();
    if (this.fitted) this.fit();
    else this.draw();
  }

  /** Paints everything where the camera is. */
  draw() {
    this.each((view) => view.draw());
  }

  /** Follows the camera while it moves. */
  moved() {
    this.fitted = false;
    this.each((view) => view.move());
  }

  each(work) {
    // Fitted, it is fitted anew to whatever the window is then.
    clearTimeout(this.keeping);
    this.keeping = setTimeout(() => remember("camera", this.fitted ? null : this.camera), 200);
    for (const view of [this.now, this.before]) if (!view.element.hidden) work(view);
    this.drawOver();
    this.now.element.dataset.camera = [this.camera.scale, this.camera.x, this.camera.y].map((n) => n.toFixed(3)).join(" ");
  }

  drawOver() {
    for (const one of this.over) one.draw();
  }

  marked(view, many) {
    view.element.classList.toggle("too-many", many);
    view.element.dataset.note = many ? "Zoom in to see all marks" : "";
  }

  // The camera

  fit() {
    this.place();
    const shown = this.now.shown;
    const [w, h] = [this.now.stage.clientWidth, this.now.stage.clientHeight];
    if (!shown || !w || !h) return;
    this.fitted = true;
    // Both views have one scale: the larger panel fills its room.
    const other = this.beside ? this.before.shown : null;
    const [width, height] = [Math.max(shown.width, other?.width ?? 0), Math.max(shown.height, other?.height ?? 0)];
    this.camera.scale = 0.96 * Math.min(w / width, h / height);
    this.camera.x = width / 2;
    this.camera.y = height / 2;
    this.draw();
  }

  /** Where a message lies over the picture, and the shape of the panel. */
  place() {
    const { shown } = this.now;
    const [views, tools] = [byId("views"), byId("tools")];
    const { style } = document.documentElement;
    if (shown) views.style.setProperty("--shape", String(Math.min(3, Math.max(0.5, shown.width / shown.height))));
    style.setProperty("--stage-top", `${tools.offsetTop + tools.offsetHeight}px`);
    style.setProperty("--stage-height", `${views.offsetHeight}px`);
  }

  /** Zooms so that a point stays where it is; the middle of the stage, where none is given. */
  zoom(by, at = { x: this.camera.x, y: this.camera.y }) {
    const shown = this.now.shown;
    if (!shown) return;
    const least = 0.2 * Math.min(
      this.now.stage.clientWidth / shown.width,
      this.now.stage.clientHeight / shown.height,
    );
    const scale = Math.min(CLOSEST, Math.max(least, this.camera.scale * by));
    const ratio = this.camera.scale / scale;
    this.camera.x = at.x + (this.camera.x - at.x) * ratio;
    this.camera.y = at.y + (this.camera.y - at.y) * ratio;
    this.camera.scale = scale;
    this.moved();
  }

  /** Moves by some pixels; some of the panel stays in sight. */
  move(dx, dy) {
    const shown = this.now.shown;
    if (!shown) return;
    const hold = (n, most) => Math.min(most, Math.max(0, n));
    this.camera.x = hold(this.camera.x + dx / this.camera.scale, shown.width);
    this.camera.y = hold(this.camera.y + dy / this.camera.scale, shown.height);
    this.moved();
  }

  // Pointer and keys

  listen(view) {
    const { stage } = view;
    const down = new Map();
    let moved = 0;
    let spread = 0;
    let fingers = 0;
    stage.addEventListener(
      "wheel",
      (event) => {
        event.preventDefault();
        const lines = event.deltaMode === 1 ? 16 : 1;
        this.zoom(Math.exp(-event.deltaY * lines * (event.ctrlKey ? 0.01 : 0.0015)), view.point(event));
      },
      { passive: false },
    );
    // A browser that takes a swift stroke for a throw stops that at the next tap, and drops the tap.
    stage.addEventListener("touchmove", (event) => event.preventDefault(), { passive: false });
    stage.addEventListener("pointerdown", (event) => {
      stage.setPointerCapture(event.pointerId);
      if (this.hands?.down(view, event)) return;
      down.set(event.pointerId, event);
      fingers = Math.max(down.size, down.size === 1 ? 1 : fingers);
      moved = 0;
      spread = distance(down);
    });
    stage.addEventListener("pointermove", (event) => {
      if (this.hands?.moved(view, event)) return;
      const last = down.get(event.pointerId);
      if (!last) {
        this.hover(view, view.found?.at(...Object.values(view.point(event))) ?? -1);
        return;
      }
      down.set(event.pointerId, event);
      moved += Math.abs(event.clientX - last.clientX) + Math.abs(event.clientY - last.clientY);
      if (moved < 4) return;
      this.move((last.clientX - event.clientX) / down.size, (last.clientY - event.clientY) / down.size);
      if (down.size === 2) {
        const now = distance(down);
        if (spread > 0 && now > 0) this.zoom(now / spread, view.point(middle(down)));
        spread = now;
      }
    });
    const up = (event) => {
      if (this.hands?.up(view, event)) return;
      const tapped = down.delete(event.pointerId) && event.type === "pointerup" && moved < 4 && fingers === 1;
      spread = 0;
      if (tapped) this.choose(view, view.found?.at(...Object.values(view.point(event))) ?? -1);
    };
    stage.addEventListener("pointerup", up);
    stage.addEventListener("pointercancel", up);
    stage.addEventListener("pointerleave", () => this.hover(view, -1));
    stage.addEventListener("keydown", (event) => this.key(view, event));
  }

  key(view, event) {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    if (this.hands?.key(view, event)) {
      event.preventDefault();
      return;
    }
    const ways = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
    const way = ways[event.key];
    if (way && event.shiftKey) this.walk(view, ...way);
    else if (way) this.move(way[0] * 60, way[1] * 60);
    else if (event.key === "+" || event.key === "=") this.zoom(1.25);
    else if (event.key === "-") this.zoom(1 / 1.25);
    else if (event.key === "0" || event.key === "Home") this.fit();
    else if (event.key === "Enter" || event.key === " ") {
      this.choose(view, view.found?.at(this.camera.x, this.camera.y) ?? -1);
    } else if (event.key === "Escape") this.choose(view, -1);
    else return;
    event.preventDefault();
  }

  walk(view, dx, dy) {
    const { found } = view;
    if (!found) return;
    const from = view.chosen >= 0 ? view.chosen : found.at(this.camera.x, this.camera.y);
    if (from < 0) return;
    const to = found.beside(from, dx, dy);
    if (to === view.chosen) return;
    const seen = view.seen();
    const [x, y] = [found.x[to], found.y[to]];
    if (x < seen.x || y < seen.y || x > seen.x + seen.w || y > seen.y + seen.h) {
      this.camera.x = x;
      this.camera.y = y;
      this.fitted = false;
    }
    this.choose(view, to);
  }

  hover(view, tile) {
    if (view.hovered === tile) return;
    view.hovered = tile;
    if (view.shown && view.element.dataset.at !== "move") view.drawMarks();
    if (view.chosen < 0) this.tell(view, tile);
  }

  choose(view, tile) {
    view.chosen = tile === view.chosen ? -1 : tile;
    this.draw();
    this.tell(view, view.chosen >= 0 ? view.chosen : view.hovered);
  }

  tell(view, tile) {
    const home = byId("tile");
    if (tile < 0 || !view.found) {
      home.textContent = "Point at a tile, or tap it, to read what it is.";
      return;
    }
    const about = view.found.about(tile);
    const fact = (words) => make("span", {}, words);
    home.replaceChildren(
      make("strong", {}, about.kind),
      fact(pose(about.turn, about.flip)),
      fact(`tile ${about.number}`),
      fact(`in rules: column ${about.column}, course ${about.course}`),
      fact(about.joints ? `${about.matched} of ${about.joints} edges matched` : matched(0, 0)),
      fact(about.whole ? "whole" : "trimmed"),
    );
  }
}

function distance(down) {
  const [a, b] = [...down.values()];
  return b ? Math.hypot(a.clientX - b.clientX, a.clientY - b.clientY) : 0;
}

function middle(down) {
  const [a, b] = [...down.values()];
  return { clientX: (a.clientX + b.clientX) / 2, clientY: (a.clientY + b.clientY) / 2 };
}
