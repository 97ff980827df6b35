// Hands on the tiles: pick them, turn them, flip them, lay others, swap two, give them back to their
// rule. What is done goes into the recipe, and the picture that follows shows it.

import { drawHands } from "./ghost.js";
import { button, byId, make, trying } from "./make.js";
import { Offers } from "./offers.js";
import { Picked } from "./picked.js";
import { send, read } from "./server.js";
import { Strokes } from "./strokes.js";
import { tilesOf } from "./tiles.js";
import { Tools } from "./tools.js";
import { Tray } from "./tray.js";
import { count, matched, percent } from "./words.js";

/** How many edits go to the recipe at once. */
const AT_ONCE = 64;
/** How long a pointer rests before it is shown what would come of it, in milliseconds. */
const REST = 70;

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
    this.picked = new Picked(() => this.found);
    this.ghosts = [];
    this.lit = [];
    this.waiting = [];
    this.sent = null;
    this.canvas = make("canvas", { class: "marks hands", "aria-hidden": "true" });
    this.view.stage.append(this.canvas);
    this.tray = new Tray(() => this.told());
    this.offers = new Offers(bench, { take: (edits) => this.put(edits), told: (words) => this.say(words) });
    this.switch = button("Hands on the tiles", () => this.set(!this.on), { id: "hand-switch", "aria-pressed": "false" });
    byId("tools").append(this.switch);
    this.tools = new Tools(this);
    this.strokes = new Strokes(this);
    bench.hands = this.strokes;
    bench.over.push(this);
  }

  /** Takes the tiles in hand, or lets go of them. */
  set(on) {
    this.on = on;
    this.switch.setAttribute("aria-pressed", String(on));
    this.tools.element.hidden = !on;
    this.view.stage.classList.toggle("in-hand", on);
    document.body.toggleAttribute("data-hands", on);
    if (!on) this.unpick();
    this.take().then(() => on && this.tools.bringIntoSight());
    this.draw();
  }

  /** A new picture is shown: its tiles have other numbers, the cells are the same. */
  async take() {
    if (this.sent !== null && this.bench.picture?.id !== this.sent) this.sent = null;
    this.unghost();
    this.offers.close();
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
    this.tools.offerBrushes(data.brushes);
    this.told();
    this.draw();
    byId("hands").dataset.ready = "";
    this.flush();
  }

  say(words) {
    this.tools.words.textContent = words;
  }

  /** Says what is in hand; `quiet` where the text already shows the lines. */
  told(quiet = false) {
    if (!quiet) this.marked?.(this.pickedLines());
    const closed = this.tray.data?.closed;
    const some = this.picked.size > 0;
    const can = this.can();
    this.tools.offer(closed || !some ? null : can);
    this.tray.offer(can.kinds);
    const panel = this.bench.picture?.panels[this.bench.panel];
    const lines = panel ? `; ${matched(panel.joints, panel.matched)}` : "";
    if (closed) this.say(closed);
    else if (some) this.say(`${count(this.picked.size)} picked${lines}`);
    else if (this.tray.kind) this.say(`${this.tray.kind} in hand: tap or draw where it goes${lines}`);
    else this.say(`Tap a tile to pick it, or take a tile from the tray and lay it${lines}`);
  }

  /** What the wood and the cells that are picked allow. */
  can() {
    const { data } = this.tray;
    const numbers = this.picked.numbers();
    const classes = new Set(data ? numbers.map((tile) => data.class[tile]) : []);
    const some = (what) => [...classes].some(what);
    const kinds = new Set(data?.kinds.filter((k) => classes.size === 0 || some((c) => k.ways[c]?.length > 0)).map((k) => k.kind));
    const turns = some((c) => data.turns[c]?.[0] > 1);
    return {
      "hand-rotate": turns,
      "hand-back": turns,
      "hand-flip": some((c) => data.turns[c]?.[1]),
      "hand-lay": kinds.has(this.tray.kind),
      "hand-give": numbers.some((tile) => this.laid?.includes(tile)),
      kinds,
    };
  }

  // What is picked

  /** The tiles of the picture that hands work on, which may not be painted yet; none before they are known. */
  get found() {
    const { picture, panel } = this.bench;
    const { shown, found } = this.view;
    const wanted = (one) => one && one.id === picture?.id && one.panel === panel;
    if (wanted(shown)) return found;
    return wanted(this.known) ? this.known.tiles : null;
  }

  pick(tiles, more) {
    this.picked.pick(tiles, more);
    this.told();
    this.draw();
  }

  /** The lines of the recipe that laid the picked tiles; that of the panel, where a rule did. */
  pickedLines() {
    const lines = this.picked.numbers().map((tile) => this.lines?.get(tile) ?? this.begun);
    return [...new Set(lines)].filter((line) => line > 0).sort((a, b) => a - b);
  }

  /** Picks the tiles that a line of the recipe laid. */
  pickLine(line) {
    if (!this.on || !this.found) return;
    const tiles = [...(this.lines ?? [])].filter(([, own]) => own === line).map(([tile]) => tile);
    if (tiles.length === 0) return;
    this.picked.set(tiles);
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

  rotate(steps, dry) {
    if (this.picked.size === 0 && this.tray.kind) return this.tray.turn(steps);
    return this.done({ act: "rotate", cells: this.picked.cells(), steps }, dry);
  }

  flip(dry) {
    if (this.picked.size === 0 && this.tray.kind) return this.tray.flip();
    return this.done({ act: "flip", cells: this.picked.cells() }, dry);
  }

  giveBack(dry) {
    return this.done({ act: "give-back", cells: this.picked.cells() }, dry);
  }

  layPicked(dry) {
    return this.lay(this.picked.cells(), dry);
  }

  layOn(tiles, dry) {
    return this.lay(tiles.map((tile) => this.picked.cell(tile)), dry);
  }

  lay(cells, dry) {
    if (!this.tray.kind) return undefined;
    return this.done({ act: "lay", cells, kind: this.tray.kind, ...this.tray.pose() }, dry);
  }

  /** Two tiles change places. */
  swap(one, other, dry) {
    return this.done({ act: "swap", one: this.picked.cell(one), other: this.picked.cell(other) }, dry);
  }

  /** Does something, or says what it would come to. */
  done(act, dry) {
    if (act.cells && act.cells.length === 0) return undefined;
    const edit = this.tools.edit(act);
    return dry ? this.ghost([edit]) : this.put([edit]);
  }

  put(edits) {
    this.waiting.push(...edits);
    return this.flush();
  }

  /** Sends what waits, one picture after the other. */
  async flush() {
    if (this.sent !== null || this.waiting.length === 0 || !this.bench.picture) return;
    const edits = this.waiting.splice(0, AT_ONCE);
    const picture = this.bench.picture.id;
    this.sent = picture;
    this.unghost();
    const body = { picture, panel: this.bench.panel, edits };
    const answer = await this.bench.writes(this.bench.own, done(edits), null, () => send("/api/hands", body));
    // Nothing changed, or it was refused: there is no new picture to wait for.
    if (answer?.changed || this.sent !== picture) return;
    this.sent = null;
    this.flush();
  }

  // What would come of it

  /** Does work when the pointer has rested. */
  later(work) {
    clearTimeout(this.timer);
    this.timer = setTimeout(work, REST);
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
      this.say(`Lines would run on through ${count(tried.matched)} joints (${percent(tried.matched, tried.joints)}), ${change}`);
      this.draw();
    } catch (error) {
      if (error.name !== "AbortError" && !signal.aborted) this.say(error.message);
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
    const { found, ghosts, lit } = this;
    const picked = this.on ? this.picked.numbers() : [];
    const laid = this.on && found ? (this.laid ?? []).filter((tile) => tile < found.count) : [];
    drawHands(this.canvas, found, this.bench.camera, { picked, ghosts, lit, box: this.strokes.box, laid });
    this.view.element.dataset.picked = picked.length;
  }
}
