// Hands on the tiles: pick them, turn them, flip them, lay others, swap two, give them back to their
// rule. What is done goes into the recipe, and the picture that follows shows it.

import { drawHands } from "./ghost.js";
import { button, byId, make, note, trying } from "./make.js";
import { send, read } from "./server.js";
import { tilesOf } from "./tiles.js";
import { Tray } from "./tray.js";
import { count, matched, percent } from "./words.js";

const REACHES = [
  ["one", "single tiles"],
  ["stroke", "a stroke"],
  ["box", "a box"],
  ["course", "a course"],
  ["column", "a column"],
  ["kind", "all of a kind"],
];
const BRUSHES = [
  ["one", "only here"],
  ["left-right", "mirrored left and right"],
  ["top-bottom", "mirrored top and bottom"],
  ["both", "mirrored both ways"],
  ["half-turn", "after a half turn"],
  ["quarter-turn", "after quarter turns"],
  ["third-turn", "after thirds of a turn"],
  ["sixth-turn", "after sixths of a turn"],
  ["diagonal", "mirrored in the diagonal"],
  ["every", "in every repeat"],
];
/** How long a finger rests on a tile to pick it, in milliseconds. */
const LONG_PRESS = 500;
/** How far a pointer may move and still rest, in pixels of the page. */
const STILL = 6;

/** What edits do, in words. */
function done(edits) {
  const all = edits.map((edit) => {
    const tiles = edit.cells ? count(edit.cells.length) : "";
    const words = {
      lay: () => `lay ${tiles} ${edit.kind}`,
      rotate: () => `rotate ${tiles}`,
      flip: () => `flip ${tiles}`,
      swap: () => "swap two",
      "give-back": () => `give back ${tiles}`,
      repeat: () => `repeat ${edit.size.join(" \u00d7 ")}`,
    };
    return words[edit.act]();
  });
  return all.length > 2 ? `${all[0]} and ${count(all.length - 1)} more` : all.join(", ");
}

export class Hands {
  constructor(bench) {
    this.bench = bench;
    this.view = bench.now;
    this.on = false;
    this.reach = "one";
    this.brush = "one";
    this.every = [2, 2];
    /** Picked cells, as "column,course". */
    this.picked = new Set();
    this.ghosts = [];
    this.lit = [];
    this.box = null;
    this.waiting = [];
    this.sent = null;
    this.canvas = make("canvas", { class: "marks hands", "aria-hidden": "true" });
    this.view.stage.append(this.canvas);
    this.tray = new Tray(() => this.told());
    this.controls();
    bench.tool = this;
  }

  controls() {
    const home = byId("hands");
    const choice = (id, words, all, chosen) => {
      const select = make("select", { id }, ...all.map(([value, name]) => make("option", { value }, name)));
      select.addEventListener("change", () => chosen(select.value));
      return make("label", { class: "pair", for: id }, words, select);
    };
    const act = (id, words, title, work) => {
      const made = button(words, () => work(), { id, title, disabled: true });
      const look = () => this.preview(work);
      made.addEventListener("pointerenter", look);
      made.addEventListener("focus", look);
      made.addEventListener("pointerleave", () => this.unghost());
      made.addEventListener("blur", () => this.unghost());
      return made;
    };
    this.acts = [
      act("hand-rotate", "Rotate", "Rotate clockwise (R)", (dry) => this.rotate(1, dry)),
      act("hand-back", "Rotate back", "Rotate the other way (Shift+R)", (dry) => this.rotate(-1, dry)),
      act("hand-flip", "Flip", "Turn over (F)", (dry) => this.flip(dry)),
      act("hand-lay", "Lay", "Lay the tile in hand (L)", (dry) => this.layPicked(dry)),
      act("hand-give", "Give back", "Let the rule decide again (Delete)", (dry) => this.giveBack(dry)),
    ];
    this.columns = make("input", { type: "number", min: 1, max: 99, value: 2, id: "every-columns", "aria-label": "Columns of the repeat" });
    this.courses = make("input", { type: "number", min: 1, max: 99, value: 2, id: "every-courses", "aria-label": "Courses of the repeat" });
    this.repeat = make("span", { class: "pair", hidden: true }, this.columns, "\u00d7", this.courses);
    for (const field of [this.columns, this.courses]) {
      field.addEventListener("change", () => {
        this.every = [Number(this.columns.value) || 1, Number(this.courses.value) || 1];
      });
    }
    this.words = make("p", { id: "hands-told", "aria-live": "polite", class: "quiet" });
    this.tools = make(
      "div",
      { class: "hand-tools", hidden: true },
      this.tray.element,
      make(
        "div",
        { class: "bar" },
        choice("hand-reach", "Pick", REACHES, (value) => {
          this.reach = value;
        }),
        make("div", { class: "group", role: "group", "aria-label": "With the picked tiles" }, ...this.acts),
        choice("hand-brush", "Also", BRUSHES, (value) => {
          this.brush = value;
          this.repeat.hidden = value !== "every";
        }),
        this.repeat,
        (this.further = button("Go on from here", () => this.goOn(), { id: "hand-on", title: "Repeats and symmetries that fit the tiles laid so far" })),
        button("More like this", () => this.more?.(), { id: "hand-more", title: "Variations that keep the tiles laid so far" }),
      ),
      this.words,
      (this.offers = make("div", { class: "offers", role: "group", "aria-label": "Ways to go on", hidden: true })),
    );
    this.switch = button("Hands on the tiles", () => this.set(!this.on), { id: "hand-switch", "aria-pressed": "false" });
    byId("tools").append(this.switch);
    home.append(this.tools);
  }

  /** Takes the tiles in hand, or lets go of them. */
  set(on) {
    this.on = on;
    this.switch.setAttribute("aria-pressed", String(on));
    this.tools.hidden = !on;
    this.view.stage.classList.toggle("in-hand", on);
    document.body.toggleAttribute("data-hands", on);
    if (!on) this.unpick();
    this.take().then(() => on && this.bringIntoSight());
    this.draw();
  }

  /** On a small screen the panel and all that is done to it share the window. */
  bringIntoSight() {
    const low = this.tools.getBoundingClientRect().bottom > window.innerHeight;
    if (low && window.matchMedia("(max-width: 52rem)").matches) byId("tools").scrollIntoView({ block: "start" });
  }

  /** A new picture is shown: its tiles have other numbers, the cells are the same. */
  async take() {
    if (this.sent !== null && this.bench.picture?.id !== this.sent) this.sent = null;
    this.unghost();
    this.closeOffers();
    delete byId("hands").dataset.ready;
    if (!this.on || !this.bench.picture) return;
    const { id } = this.bench.picture;
    const { panel } = this.bench;
    // A tap is for a tile as soon as it is known where the tiles lie.
    const [data, tiles] = (await trying(() => Promise.all([read(`/api/tray/${id}/${panel}`), tilesOf(id, panel)]))) ?? [];
    if (!data || this.bench.picture.id !== id) return;
    this.known = { id, panel, tiles };
    this.laid = data.laid;
    this.lines = new Map(data.lines);
    this.begun = data.begun;
    this.read?.();
    this.tray.take(data);
    this.offerBrushes(data.brushes);
    this.told();
    this.draw();
    byId("hands").dataset.ready = "";
    this.flush();
  }

  /** Offers the symmetries that this panel has. */
  offerBrushes(some) {
    const select = byId("hand-brush");
    for (const option of select.options) option.hidden = option.disabled = !["one", "every", ...some].includes(option.value);
    if (!select.selectedOptions[0].disabled) return;
    select.value = "one";
    this.brush = "one";
    this.repeat.hidden = true;
  }

  /** Says what is in hand; `quiet` where the text already shows the lines. */
  told(quiet = false) {
    if (!quiet) this.marked?.(this.pickedLines());
    const closed = this.tray.data?.closed;
    const some = this.picked.size > 0;
    const can = this.can();
    for (const made of this.acts) made.disabled = Boolean(closed) || !some || can[made.id] === false;
    this.tray.offer(can.kinds);
    const panel = this.bench.picture?.panels[this.bench.panel];
    const lines = panel ? `; ${matched(panel.joints, panel.matched)}` : "";
    if (closed) this.words.textContent = closed;
    else if (some) this.words.textContent = `${count(this.picked.size)} picked${lines}`;
    else if (this.tray.kind) this.words.textContent = `${this.tray.kind} in hand: tap or draw where it goes${lines}`;
    else this.words.textContent = `Tap a tile to pick it, or take a tile from the tray and lay it${lines}`;
  }

  /** What the wood and the cells that are picked allow. */
  can() {
    const data = this.tray.data;
    const classes = new Set(this.picked.size && data ? this.numbers().map((tile) => data.class[tile]) : []);
    const some = (what) => [...classes].some(what);
    const kinds = new Set(data?.kinds.filter((k) => classes.size === 0 || some((c) => k.ways[c]?.length > 0)).map((k) => k.kind));
    const turns = some((c) => data.turns[c]?.[0] > 1);
    return {
      "hand-rotate": turns,
      "hand-back": turns,
      "hand-flip": some((c) => data.turns[c]?.[1]),
      "hand-lay": kinds.has(this.tray.kind),
      "hand-give": this.numbers().some((tile) => this.laid?.includes(tile)),
      kinds,
    };
  }

  // Cells

  /** The tiles of the picture that hands work on, which may not be painted yet; none before they are known. */
  get found() {
    const { picture, panel } = this.bench;
    const { shown, found } = this.view;
    const wanted = (one) => one && one.id === picture?.id && one.panel === panel;
    if (wanted(shown)) return found;
    return wanted(this.known) ? this.known.tiles : null;
  }

  cell(tile) {
    return [this.found.json.column[tile], this.found.json.course[tile]];
  }

  cells() {
    return [...this.picked].map((key) => key.split(",").map(Number));
  }

  /** The numbers of picked tiles. */
  numbers() {
    if (!this.found || this.picked.size === 0) return [];
    const { column, course } = this.found.json;
    const numbers = [];
    for (let i = 0; i < this.found.count; i += 1) if (this.picked.has(`${column[i]},${course[i]}`)) numbers.push(i);
    return numbers;
  }

  /** The tiles that belong to one, by what is picked at once. */
  group(tile) {
    const { column, course } = this.found.json;
    const alike = {
      course: (i) => course[i] === course[tile],
      column: (i) => column[i] === column[tile],
      kind: (i) => this.found.faces[this.found.face[i]].kind === this.found.faces[this.found.face[tile]].kind,
    }[this.reach];
    if (!alike) return [tile];
    return Array.from({ length: this.found.count }, (_, i) => i).filter(alike);
  }

  pick(tiles, more) {
    const keys = tiles.map((tile) => this.cell(tile).join(","));
    const all = keys.every((key) => this.picked.has(key));
    if (!more) {
      const alone = all && this.picked.size === keys.length;
      this.picked.clear();
      if (alone) keys.length = 0;
    }
    for (const key of keys) {
      if (more && all) this.picked.delete(key);
      else this.picked.add(key);
    }
    this.told();
    this.draw();
  }

  /** The lines of the recipe that laid the picked tiles; that of the panel, where a rule did. */
  pickedLines() {
    const lines = this.numbers().map((tile) => this.lines?.get(tile) ?? this.begun);
    return [...new Set(lines)].filter((line) => line > 0).sort((a, b) => a - b);
  }

  /** Picks the tiles that a line of the recipe laid. */
  pickLine(line) {
    if (!this.on || !this.found) return;
    const tiles = [...(this.lines ?? [])].filter(([, own]) => own === line).map(([tile]) => tile);
    if (tiles.length === 0) return;
    this.picked = new Set(tiles.map((tile) => this.cell(tile).join(",")));
    this.told(true);
    this.draw();
  }

  unpick() {
    this.picked.clear();
    this.unghost();
    this.told();
    this.draw();
  }

  // What hands do

  edit(act) {
    const brush = this.brush === "every" ? "one" : this.brush;
    const every = this.brush === "every" ? this.every : undefined;
    return { ...act, brush, ...(every ? { every } : {}) };
  }

  rotate(steps, dry) {
    if (this.picked.size === 0 && this.tray.kind) return this.tray.turn(steps);
    return this.done({ act: "rotate", cells: this.cells(), steps }, dry);
  }

  flip(dry) {
    if (this.picked.size === 0 && this.tray.kind) return this.tray.flip();
    return this.done({ act: "flip", cells: this.cells() }, dry);
  }

  giveBack(dry) {
    return this.done({ act: "give-back", cells: this.cells() }, dry);
  }

  layPicked(dry) {
    return this.lay(this.cells(), dry);
  }

  lay(cells, dry) {
    if (!this.tray.kind) return undefined;
    return this.done({ act: "lay", cells, kind: this.tray.kind, ...this.tray.pose() }, dry);
  }

  swap(one, other, dry) {
    return this.done({ act: "swap", one, other }, dry);
  }

  /** Does something, or says what it would come to. */
  done(act, dry) {
    if (act.cells && act.cells.length === 0) return undefined;
    const edit = this.edit(act);
    if (dry) return this.ghost([edit]);
    this.waiting.push(edit);
    return this.flush();
  }

  /** Sends what waits, one picture after the other. */
  async flush() {
    if (this.sent !== null || this.waiting.length === 0 || !this.bench.picture) return;
    const edits = this.waiting.splice(0, 64);
    const undone = this.bench.does(this.bench.own, done(edits));
    const picture = this.bench.picture.id;
    this.sent = picture;
    this.unghost();
    const answer = await trying(() => send("/api/hands", { picture, panel: this.bench.panel, edits }));
    if (answer?.copy) note(`The former text of the recipe is kept as ${answer.copy}`);
    // Nothing changed, or it was refused: there is no new picture to wait for.
    if (!answer?.changed && this.sent === picture) {
      this.sent = null;
      undone();
      this.flush();
    }
  }

  /** Shows the repeats and symmetries that agree with what is laid; a click lays them. */
  async goOn() {
    const { id } = this.bench.picture;
    const offers = await trying(() => read(`/api/hands/offers/${id}/${this.bench.panel}`));
    if (!offers || this.bench.picture.id !== id) return;
    this.closeOffers();
    if (offers.length === 0) {
      this.words.textContent = "Lay a few more tiles: no repeat or symmetry fits those laid so far";
      return;
    }
    this.offers.append(
      ...offers.map((offer) => {
        const url = URL.createObjectURL(new Blob([offer.picture], { type: "image/svg+xml" }));
        const take = () => {
          this.closeOffers();
          this.further.focus();
          this.waiting.push(...offer.edits);
          this.flush();
        };
        return make("button", { type: "button", onclick: take }, make("img", { src: url, alt: "" }), offer.words);
      }),
    );
    this.offers.hidden = false;
    this.offers.firstElementChild.focus();
  }

  closeOffers() {
    for (const image of this.offers.querySelectorAll("img")) URL.revokeObjectURL(image.src);
    this.offers.replaceChildren();
    this.offers.hidden = true;
  }

  preview(work) {
    if (this.on && this.picked.size > 0) work(true);
  }

  async ghost(edits) {
    if (!this.bench.picture || this.sent !== null) return;
    this.stop?.abort();
    this.stop = new AbortController();
    const { signal } = this.stop;
    const panel = this.bench.picture.panels[this.bench.panel];
    try {
      const body = { picture: this.bench.picture.id, panel: this.bench.panel, edits };
      const tried = await send("/api/hands/try", body, signal);
      if (signal.aborted) return;
      this.ghosts = tried.ghosts;
      this.lit = tried.lit;
      const more = tried.matched - panel.matched;
      const change = more === 0 ? "no change" : `${more > 0 ? "+" : "\u2212"}${count(Math.abs(more))}`;
      this.words.textContent = `Lines would run on through ${count(tried.matched)} joints (${percent(tried.matched, tried.joints)}), ${change}`;
      this.draw();
    } catch (error) {
      if (error.name !== "AbortError" && !signal.aborted) this.words.textContent = error.message;
    }
  }

  unghost() {
    this.stop?.abort();
    clearTimeout(this.timer);
    if (this.ghosts.length === 0 && this.lit.length === 0) return;
    this.ghosts = [];
    this.lit = [];
    this.told();
    this.draw();
  }

  draw() {
    if (!this.on && this.clear) return;
    this.clear = !this.on;
    const picked = this.on ? this.numbers() : [];
    const laid = this.on ? this.laid ?? [] : [];
    drawHands(this.canvas, this.found, this.bench.camera, {
      picked,
      ghosts: this.ghosts,
      lit: this.lit,
      box: this.box,
      laid: this.found ? laid.filter((tile) => tile < this.found.count) : [],
    });
    this.view.element.dataset.picked = picked.length;
  }

  // Pointer and keys: true where hands took it

  at(event) {
    const { x, y } = this.view.point(event);
    return this.found?.at(x, y) ?? -1;
  }

  down(view, event) {
    if (view !== this.view) return false;
    // A finger that a second one joins does not rest.
    clearTimeout(this.press);
    if (event.isPrimary && event.pointerType === "touch" && !this.on) {
      const tile = this.at(event);
      this.rests = { x: event.clientX, y: event.clientY };
      this.press = setTimeout(() => {
        this.set(true);
        if (tile >= 0) this.pick([tile], false);
        this.pressed = true;
      }, LONG_PRESS);
    }
    // A second finger moves and zooms; so does another button than the first.
    if (!this.on || !event.isPrimary || event.button !== 0) {
      this.stroke = null;
      return false;
    }
    const tile = this.at(event);
    if (tile < 0) return false;
    const { x, y } = this.view.point(event);
    this.stroke = { from: tile, tiles: [tile], x, y, clientX: event.clientX, clientY: event.clientY, more: event.shiftKey || event.ctrlKey || event.metaKey };
    this.stroke.drags = this.reach === "one" && !this.tray.kind && this.picked.has(this.cell(tile).join(","));
    return true;
  }

  moved(view, event) {
    if (view !== this.view) return false;
    const { stroke, rests } = this;
    if (rests && Math.hypot(event.clientX - rests.x, event.clientY - rests.y) > STILL) clearTimeout(this.press);
    if (!stroke) {
      if (event.buttons === 0 && this.on && this.tray.kind && this.picked.size === 0) this.hover(this.at(event));
      return false;
    }
    if (!event.isPrimary) return false;
    const far = Math.hypot(event.clientX - stroke.clientX, event.clientY - stroke.clientY);
    if (far > STILL) stroke.moved = true;
    if (!stroke.moved) return true;
    const tile = this.at(event);
    if (this.reach === "box") {
      const { x, y } = this.view.point(event);
      this.box = { x: Math.min(x, stroke.x), y: Math.min(y, stroke.y), w: Math.abs(x - stroke.x), h: Math.abs(y - stroke.y) };
      stroke.tiles = this.inBox(this.box);
    } else if (stroke.drags) {
      stroke.to = tile;
      if (tile >= 0 && tile !== stroke.from) this.later(() => this.swap(this.cell(stroke.from), this.cell(tile), true));
    } else if (tile >= 0 && !stroke.tiles.includes(tile)) stroke.tiles.push(tile);
    this.draw();
    if (!stroke.drags) this.mark(stroke.tiles);
    return true;
  }

  up(view, event) {
    clearTimeout(this.press);
    if (this.pressed) {
      this.pressed = false;
      return true;
    }
    const { stroke } = this;
    if (view !== this.view || !stroke || !event.isPrimary) return false;
    this.stroke = null;
    this.box = null;
    this.unghost();
    if (event.type === "pointercancel") {
      this.draw();
      return true;
    }
    if (stroke.drags && stroke.moved) {
      if (stroke.to >= 0 && stroke.to !== stroke.from) this.swap(this.cell(stroke.from), this.cell(stroke.to));
      this.unpick();
      return true;
    }
    const tiles = stroke.moved ? stroke.tiles : this.group(stroke.from);
    if (this.tray.kind && !stroke.more) {
      this.picked.clear();
      this.lay(tiles.map((tile) => this.cell(tile)));
      this.draw();
    } else this.pick(tiles, stroke.more);
    return true;
  }

  /** Shows a stroke while it is drawn. */
  mark(tiles) {
    const had = this.picked;
    this.picked = new Set(tiles.map((tile) => this.cell(tile).join(",")));
    this.draw();
    this.picked = had;
  }

  /** The tiles that a box holds for the most part, or reaches well into. */
  inBox(box) {
    const found = [];
    const grace = this.found.reach * 0.45;
    for (let i = 0; i < this.found.count; i += 1) {
      const [x, y] = [this.found.x[i] - box.x + grace, this.found.y[i] - box.y + grace];
      if (x >= 0 && y >= 0 && x <= box.w + 2 * grace && y <= box.h + 2 * grace) found.push(i);
    }
    return found;
  }

  hover(tile) {
    if (tile === this.hovered) return;
    this.hovered = tile;
    this.unghost();
    if (tile >= 0) this.later(() => this.lay([this.cell(tile)], true));
  }

  later(work) {
    clearTimeout(this.timer);
    this.timer = setTimeout(work, 70);
  }

  key(view, event) {
    if (!this.on || view !== this.view) return false;
    const { key } = event;
    if (/^[1-9]$/.test(key)) {
      const kind = this.tray.nth(Number(key) - 1);
      if (!kind) return false;
      this.tray.choose(kind);
      if (this.picked.size > 0) this.layPicked();
      return true;
    }
    if (key === "r" || key === "R") this.rotate(event.shiftKey ? -1 : 1);
    else if (key === "f" || key === "F") this.flip();
    else if (key === "l" || key === "L") this.layPicked();
    else if (key === "Delete" || key === "Backspace") this.giveBack();
    else if (key === "Escape") {
      if (this.picked.size > 0) this.unpick();
      else if (this.tray.kind) this.tray.choose(null);
      else this.set(false);
    } else if (key === "Enter" || key === " ") {
      const tile = this.view.chosen >= 0 ? this.view.chosen : this.found?.at(this.bench.camera.x, this.bench.camera.y) ?? -1;
      if (tile < 0) return false;
      if (this.tray.kind && this.picked.size === 0) this.lay(this.group(tile).map((t) => this.cell(t)));
      else this.pick(this.group(tile), true);
    } else return false;
    return true;
  }
}
