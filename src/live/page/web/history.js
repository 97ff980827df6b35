// The states that a maker went through: what was set, the recipe's text, how it was looked at, and a small
// picture. One goes a step back and forth, or to any of them, and from each on another way; any of them
// can be looked at beside what is shown. They are kept beside the recipe, so they outlive page and program.

import { button, byId, keepingFocus, make, note, noteCopy, shape, trying } from "./make.js";
import { PLAIN } from "./looking.js";
import { facesOf, paint } from "./paint.js";
import { read, send } from "./server.js";
import { tilesOf } from "./tiles.js";

/** How many states are kept; the oldest go first. */
const MOST = 60;
/** How many go to the program at once. */
const AT_ONCE = 4;
/** Size of a small picture in pixels. */
const [WIDTH, HEIGHT] = [96, 72];

export class History {
  constructor(bench, knobs, looking) {
    this.bench = bench;
    this.knobs = knobs;
    this.looking = looking;
    /** Each: number, the number of the state that it came from, what is set, words, picture. */
    this.states = [];
    this.at = null;
    /** Numbers of the states that were left by going back. */
    this.ahead = [];
    /** States that the program has not been told of. */
    this.untold = new Set();
    /** The tiles and faces of the newest state, for its small picture. */
    this.parts = null;
    /** The state beside the one that is shown, and what was drawn of it; the step before, where none was chosen. */
    this.chosen = null;
    this.seen = null;
    /** Steps that are wanted after the one that is under way: `back` or `forth`. */
    this.wishes = [];
    this.undo = button("Undo", () => this.back(), { id: "undo", title: "Undo the last change (Ctrl+Z)", disabled: true });
    this.redo = button("Redo", () => this.forth(), { id: "redo", title: "Redo the change (Ctrl+Shift+Z)", disabled: true });
    byId("tools").append(make("div", { class: "group", role: "group", "aria-label": "Steps" }, this.undo, this.redo));
    this.strip = make("ol", { id: "states", "aria-label": "Earlier states" });
    this.where = make("span", {});
    this.home = make("div", { id: "states-home", hidden: true }, this.strip,
      make("p", { class: "quiet", id: "states-told" }, this.where, button("Forget them", () => this.forget(), { id: "forget", class: "plain" })));
    byId("tile").after(this.home);
    this.strip.addEventListener("keydown", (event) => this.walk(event));
    document.addEventListener("keydown", (event) => this.key(event));
    bench.wantsBefore = () => this.besides();
    bench.laid = () => this.render();
    this.load();
  }

  /** What was kept before: of this sitting or of former ones. */
  async load() {
    try {
      const kept = await read("/api/states");
      Object.assign(this, { file: kept.file, states: kept.states, at: kept.at, ahead: kept.ahead, isKept: kept.states.length > 0 });
    } catch (error) {
      // A file that is none of ours is left alone: the states last as long as the page.
      this.unkept = true;
      if (error.status === 409) note(error.message, "wrong");
    }
    this.loaded = true;
    if (this.news) this.take(this.news, this.picture);
  }

  /** Begins anew, for another recipe. */
  anew() {
    Object.assign(this, { states: [], at: null, ahead: [], going: null, wishes: [], loaded: false, begun: false, isKept: false, unkept: false, chosen: null, seen: null });
    this.untold.clear();
    this.bench.setBeside(false);
    this.render();
    this.load();
  }

  /** Takes what the last run made, as soon as no run is at work. */
  take(news, picture) {
    this.news = news;
    this.picture = picture;
    if (!this.loaded || this.isUnderWay()) return;
    if (this.going) {
      // The run for the state that one goes to is still to come.
      if (!this.going.turn || news.answered < this.going.turn) return;
      this.leave();
      this.at = this.going.number;
      this.going = null;
      this.begun = true;
      this.changed();
      this[this.wishes.shift()]?.();
      return;
    }
    if (news.fault) this.offer();
    else if (this.begun) this.note(`knob ${this.knobs.sent.gesture}`);
    else this.begin();
  }

  /** Goes on from the kept state that is shown, where one is. */
  begin() {
    this.begun = true;
    const now = this.now();
    const same = (state) => state && difference(state.set, now).length === 0;
    const here = [this.find(this.at), ...[...this.states].reverse()].find(same);
    if (!here) return this.note("begun");
    if (here.number !== this.at) Object.assign(this, { at: here.number, ahead: [] });
    return this.changed();
  }

  /** Whether the newest picture is still to come of what was turned last. */
  isUnderWay() {
    const { sending, sent } = this.knobs;
    sending?.then(() => this.take(this.news, this.picture));
    return Boolean(sending) || this.news.busy || this.news.answered < sent.number;
  }

  /** Notes what is set now, where that is another state. What one gesture changes, one drag say, is one step. */
  note(gesture) {
    if (!this.begun || !this.picture || this.going || this.news.fault || this.knobs.trying || this.isUnderWay()) return;
    const now = this.now();
    const from = this.find(this.at);
    const deed = from && from.set.own !== now.own ? this.bench.deeds.findLast((d) => d.over === from.set.own) : null;
    const words = from ? difference(from.set, now, deed?.words) : [];
    if (from && !words.length) return;
    const things = words.map((w) => w[0]).join();
    // A text is saved on purpose, each time.
    const same = from && this.drawn === things && this.gesture === gesture && this.at === this.states.at(-1).number && from.set.own === now.own;
    const dragged = from && deed?.drag && deed.drag === this.dragged && this.at === this.states.at(-1).number;
    Object.assign(this, { drawn: things, gesture, dragged: deed?.drag });
    const told = words.map(([thing, value]) => `${thing} ${value}`.trim()).join(", ");
    if (same || dragged) Object.assign(from, { set: now, words: told, image: null });
    else {
      this.leave();
      const number = Math.max(0, ...this.states.map((s) => s.number)) + 1;
      this.states.push({ number, from: this.at, set: now, words: told || "start", image: null });
      this.at = number;
      if (this.states.length > MOST) this.states.shift();
    }
    const { id } = this.picture;
    const { panel } = this.bench;
    this.parts = Promise.all([tilesOf(id, panel), facesOf(id, panel, this.looking.now().query())]);
    this.parts.catch(() => {});
    this.ahead = [];
    this.untold.add(this.at);
    this.changed();
  }

  /** Makes the small picture of a state that is left before its panel was painted. */
  async leave() {
    const state = this.find(this.at);
    const { parts } = this;
    this.parts = null;
    if (!state || state.image || !parts) return;
    const { set } = state;
    try {
      const [tiles, faces] = await parts;
      const { width, height } = tiles;
      const panel = make("canvas", {});
      const scale = 4 * Math.min(WIDTH / width, HEIGHT / height);
      const isPainted = paint(panel, tiles, faces, { x: 0, y: 0, w: width, h: height }, scale) !== null;
      const isSame = this.find(state.number) === state && state.set === set && !state.image;
      if (isPainted && isSame) this.give(state, panel, width, height);
    } catch {
      // The program no longer has that panel: the state stays without a picture.
    }
  }

  /** Another state is shown, or it is another. */
  changed() {
    this.paint();
    this.render();
    this.keep();
    if (this.bench.beside) this.besides();
  }

  now() {
    const { knobs, own } = this.news;
    const parameters = Object.fromEntries(this.picture.parameters.map((p) => [p.name, p.shown]));
    return {
      knobs: knobs.set,
      seed: knobs.seed,
      shown: { ...parameters, seed: this.picture.seed },
      look: this.looking.all(),
      panel: this.bench.panel,
      own,
      text: this.picture.text,
    };
  }

  find(number) {
    return this.states.find((state) => state.number === number);
  }

  /** The state before this one; this one itself, where what was done since did not come to a picture. */
  former() {
    const here = this.find(this.at);
    const { fault, knobs, own } = this.news ?? {};
    const turned = here && JSON.stringify(knobs?.set) !== JSON.stringify(here.set.knobs);
    if (fault && here && (turned || own !== here.set.own)) return here;
    return this.find(here?.from);
  }

  back() {
    // Whoever presses twice goes two steps.
    if (this.going) return void this.wishes.push("back");
    const to = this.former();
    if (to) this.go(to, to.number === this.at ? this.ahead : [...this.ahead, this.at]);
  }

  forth() {
    if (this.going) return void this.wishes.push("forth");
    const to = this.find(this.ahead.at(-1));
    if (to) this.go(to, this.ahead.slice(0, -1));
  }

  /** Sets everything as it was, the recipe's text too. */
  async go(state, ahead) {
    const { look, panel, text, own } = state.set;
    const going = { number: state.number };
    this.going = going;
    const answer = await trying(() => this.asked(state, ahead));
    if (answer?.turn) {
      this.ahead = ahead;
      this.looking.begin(look);
      this.bench.showPanel(panel);
      this.looking.changed();
      noteCopy(answer);
      if (own === this.news.own && text !== this.picture.text) note("A module of the recipe has changed since then, and stays as it is.");
      going.turn = answer.turn;
      this.take(this.news, this.picture);
      return;
    }
    this.going = null;
    this.wishes = [];
    if (answer?.changed) note("The recipe was saved meanwhile: look at what it makes now, and go back then.", "wrong");
  }

  async asked(state, ahead) {
    await this.kept();
    if (!this.unkept) return send("/api/states/go", { number: state.number, over: this.news.own, ahead });
    const { knobs, seed } = state.set;
    const turn = await this.knobs.turn({ fresh: true, own_seed: true, set: knobs, ...(seed === null ? {} : { seed }) });
    return { turn };
  }

  // Keeping

  /** Tells the program what it does not know yet; what nobody has done anything to needs no file, unless it is `wanted`. */
  keep(wanted = false) {
    if (this.unkept || (this.states.length < 2 && !this.isKept && !wanted)) return this.keeping;
    this.again = true;
    document.body.dataset.states = "untold";
    this.keeping ??= this.keepAll();
    return this.keeping;
  }

  async keepAll() {
    while (this.again) {
      this.again = false;
      const put = this.states.filter((s) => this.untold.has(s.number)).slice(0, AT_ONCE);
      for (const state of put) this.untold.delete(state.number);
      try {
        const at = { at: this.at, ahead: this.ahead };
        this.file = (await send("/api/states", { ...at, put })).file;
        this.isKept = true;
      } catch (error) {
        for (const state of put) this.untold.add(state.number);
        if (error.status) note(error.message, "wrong");
        break;
      }
      if (this.states.some((s) => this.untold.has(s.number))) this.again = true;
    }
    this.keeping = null;
    document.body.dataset.states = "told";
    this.tellWhere();
  }

  async kept() {
    await this.keep(true);
  }

  async forget() {
    await this.kept();
    const answer = this.unkept ? {} : await trying(() => send("/api/states/forget", {}));
    if (!answer) return;
    Object.assign(this, { states: [], at: null, ahead: [], isKept: false, chosen: null });
    this.bench.setBeside(false);
    this.note("begun");
    this.undo.closest("#tools").querySelector("button:enabled")?.focus();
  }

  tellWhere() {
    this.where.textContent = this.unkept || !this.file ? "These states last as long as this page. " : `Kept in ${this.file}, for next time. `;
  }

  // Beside

  /** Shows a state beside what is shown now; the step before, where none is named. */
  async besides() {
    const state = this.find(this.chosen) ?? this.former() ?? this.states.findLast((s) => s.number !== this.at);
    if (!state) return this.bench.setBeside(false);
    const key = JSON.stringify([state.number, state.set.own, state.set.knobs, state.set.seed]);
    if (this.seen?.key !== key || !this.bench.before.found) {
      await this.kept();
      const answer = await trying(() => this.carriedOut(state));
      if (answer?.fault) note(`The state ${state.number} can no longer be drawn: ${answer.fault.message}`, "wrong");
      if (!answer?.picture) return this.bench.setBeside(false);
      this.seen = { key, picture: { id: answer.shown, ...answer.picture } };
    }
    return this.bench.showBeside(this.seen.picture, state);
  }

  carriedOut(state) {
    if (this.unkept) throw new Error("What was before cannot be drawn, as no states are kept.");
    return send("/api/states/see", { number: state.number });
  }

  choose(state) {
    const off = this.bench.beside && this.bench.besideOf === state.number;
    this.chosen = off ? null : state.number;
    this.bench.setBeside(!off);
  }

  // Keys

  key(event) {
    if (event.defaultPrevented || !(event.ctrlKey || event.metaKey) || event.altKey) return;
    if (event.target.matches("input[type=text], textarea, [contenteditable], .text-home")) return;
    const key = event.key.toLowerCase();
    if (key === "z" && !event.shiftKey) this.back();
    else if (key === "y" || key === "z") this.forth();
    else return;
    event.preventDefault();
  }

  /** Arrow keys go along the strip; Tab stops at it once. */
  walk(event) {
    const step = { ArrowLeft: -1, ArrowRight: 1 }[event.key];
    const row = event.target.className;
    const all = [...this.strip.querySelectorAll("button")].filter((b) => b.className === row);
    const to = step ? all[all.indexOf(event.target) + step] : { Home: all[0], End: all.at(-1) }[event.key];
    if (!to) return;
    event.preventDefault();
    for (const one of this.strip.querySelectorAll("button")) one.tabIndex = one.parentNode === to.parentNode ? 0 : -1;
    to.focus();
  }

  // Showing

  /** Makes the small picture of the state that is shown, from what is shown of it. */
  paint() {
    const { shown, whole } = this.bench.now;
    const state = this.find(this.at);
    if (!state || state.image || this.going || shown?.id !== this.picture?.id || !this.bench.now.isPainted) return;
    this.give(state, whole, shown.width, shown.height);
  }

  /** Gives a state its small picture, of a panel (mm) as it was painted. */
  give(state, painted, width, height) {
    const canvas = make("canvas", { width: WIDTH, height: HEIGHT });
    const scale = Math.min(WIDTH / width, HEIGHT / height);
    const [w, h] = [width * scale, height * scale];
    const pen = canvas.getContext("2d");
    pen.imageSmoothingQuality = "high";
    pen.drawImage(painted, (WIDTH - w) / 2, (HEIGHT - h) / 2, w, h);
    state.image = canvas.toDataURL();
    this.untold.add(state.number);
    this.render();
    this.keep();
  }

  /** Which of the buttons lead anywhere. */
  offer() {
    this.undo.disabled = !this.former();
    this.redo.disabled = !this.find(this.ahead.at(-1));
    this.bench.compare.disabled = this.states.length < 2;
  }

  render() {
    keepingFocus(byId("tools"), () => this.offer());
    this.home.hidden = this.states.length < 2;
    this.tellWhere();
    const had = this.strip.contains(document.activeElement) ? document.activeElement : null;
    const focused = had?.parentNode.dataset.state;
    this.strip.replaceChildren(...this.states.map((state) => this.one(state)));
    if (focused) this.strip.querySelector(`[data-state="${focused}"] .${had.className}`)?.focus();
    else this.reveal(this.strip.querySelector("[aria-current]")?.parentNode);
  }

  /** Moves the strip, and the page not with it, until a state is in sight. */
  reveal(item) {
    if (!item) return;
    const [strip, own] = [this.strip, item].map((e) => e.getBoundingClientRect());
    this.strip.scrollLeft += Math.max(0, own.right - strip.right) + Math.min(0, own.left - strip.left);
  }

  one(state) {
    const here = state.number === this.at;
    const picture = state.image
      ? make("img", { src: state.image, alt: "", width: WIDTH, height: HEIGHT })
      : shape("svg", { width: WIDTH, height: HEIGHT, "aria-hidden": "true" });
    const go = () => {
      if (!this.going && state.number !== this.at) this.go(state, []);
    };
    const tabindex = here ? 0 : -1;
    const beside = this.bench.beside && this.bench.besideOf === state.number;
    return make(
      "li",
      { "data-state": state.number },
      make("button", { type: "button", class: "state", tabindex, onclick: go, "aria-current": here ? "true" : null, title: state.words }, picture, make("span", {}, state.words)),
      make("button", { type: "button", class: "beside", tabindex, onclick: () => this.choose(state), "aria-pressed": String(beside), "aria-label": `Beside: ${state.words}` }, "Beside"),
    );
  }
}

/** What differs from one state to another: each thing with its new value. `did` says what hands did to the text. */
function difference(before, now, did) {
  const found = [];
  for (const [name, value] of Object.entries(now.shown)) if (before.shown[name] !== value) found.push([name, value]);
  for (const [thing, words] of [["finish", "finish"], ["light", "light"], ["view", "eyes"], ["from_mm", "distance"]]) {
    const [was, is] = [before, now].map((set) => ({ ...PLAIN, ...set.look })[thing]);
    if (was !== is) found.push([words, is ?? "even"]);
  }
  if (before.panel !== now.panel) found.push(["panel", now.panel + 1]);
  if (before.own !== now.own) found.push([did ?? "recipe changed", ""]);
  else if (before.text !== now.text) found.push(["module changed", ""]);
  return found;
}
