// The states of this sitting: what was set, how it was looked at, and a small picture of it. One goes a
// step back and forth, or to any of them; from each one can go on another way. They last as long as the tab.
//
// The text of the recipe is its file's: going back sets what the page sets, and says where the text is another.

import { button, byId, keepingFocus, make, note, shape } from "./make.js";
import { remember, remembered } from "./memory.js";

/** How many states are kept; the oldest go first. */
const MOST = 40;
/** Size of a small picture in pixels. */
const [WIDTH, HEIGHT] = [96, 72];

export class History {
  constructor(bench, knobs, looking) {
    this.bench = bench;
    this.knobs = knobs;
    this.looking = looking;
    const kept = remembered("history");
    /** Each: number, what is set, the number of the state that it came from, words, picture. */
    this.states = kept?.states ?? [];
    this.at = kept?.at ?? null;
    /** Numbers of the states that were left by going back. */
    this.ahead = kept?.ahead ?? [];
    this.next = kept?.next ?? 1;
    this.undo = button("Undo", () => this.back(), { id: "undo", title: "Undo the last change (Ctrl+Z)", disabled: true });
    this.redo = button("Redo", () => this.forth(), { id: "redo", title: "Redo the change (Ctrl+Shift+Z)", disabled: true });
    byId("tools").append(make("div", { class: "group", role: "group", "aria-label": "Steps" }, this.undo, this.redo));
    this.strip = make("ol", { id: "states", "aria-label": "Earlier states", hidden: true });
    byId("tile").after(this.strip);
    this.strip.addEventListener("keydown", (event) => this.walk(event));
    document.addEventListener("keydown", (event) => this.key(event));
    this.render();
  }

  /** Begins anew, for another recipe. */
  forget() {
    this.states = [];
    this.at = this.going = null;
    this.ahead = [];
    this.render();
  }

  /** Takes what the last run made, as soon as no run is at work. */
  take(news, picture) {
    this.news = news;
    this.picture = picture;
    if (this.isUnderWay()) return;
    if (this.going) {
      // The run for the state that one goes to is still to come.
      if (!this.going.turn || news.answered < this.going.turn) return;
      this.at = this.going.number;
      this.going = null;
      this.render();
      return;
    }
    if (news.fault) this.offer();
    else this.note(`knob ${this.knobs.sent.gesture}`);
  }

  /** Whether the newest picture is still to come of what was turned last. */
  isUnderWay() {
    const { sending, sent } = this.knobs;
    sending?.then(() => this.take(this.news, this.picture));
    return Boolean(sending) || this.news.busy || this.news.answered < sent.number;
  }

  /** Notes what is set now, where that is another state. What one gesture changes, one drag say, is one step. */
  note(gesture) {
    if (!this.picture || this.going || this.news.fault || this.isUnderWay()) return;
    const now = this.now();
    const from = this.find(this.at);
    const words = from ? difference(from.set, now) : [];
    if (from && !words.length) return;
    const things = words.map((w) => w[0]).join();
    const same = from?.things === things && from.gesture === gesture && this.at === this.states.at(-1).number;
    const told = words.map(([thing, value]) => `${thing} ${value}`.trim()).join(", ");
    if (same) Object.assign(from, { set: now, words: told, image: null });
    else {
      this.states.push({ number: this.next, from: this.at, set: now, things, gesture, words: told || "start", image: null });
      this.at = this.next;
      this.next += 1;
      if (this.states.length > MOST) this.states.shift();
    }
    this.ahead = [];
    this.paint();
    this.render();
  }

  now() {
    const { knobs } = this.news;
    const parameters = Object.fromEntries(this.picture.parameters.map((p) => [p.name, p.shown]));
    return {
      set: knobs.set,
      seed: knobs.seed,
      shown: { ...parameters, seed: this.picture.seed },
      look: { ...this.looking.kept(), from: this.looking.from },
      panel: this.bench.panel,
      text: this.picture.text,
    };
  }

  find(number) {
    return this.states.find((state) => state.number === number);
  }

  /** The state before this one; this one itself, where what was set since did not come to a picture. */
  former() {
    const here = this.find(this.at);
    const { fault, knobs } = this.news ?? {};
    if (fault && here && JSON.stringify(knobs.set) !== JSON.stringify(here.set.set)) return here;
    return this.find(here?.from);
  }

  back() {
    const to = this.former();
    if (!to || this.going) return;
    if (to.number !== this.at) this.ahead.push(this.at);
    this.go(to);
  }

  forth() {
    const to = this.find(this.ahead.at(-1));
    if (!to || this.going) return;
    this.ahead.pop();
    this.go(to);
  }

  /** Sets everything as it was. */
  async go(state) {
    const { set, seed, look, panel, text } = state.set;
    this.going = { number: state.number };
    this.looking.begin(look);
    this.bench.showPanel(panel);
    this.looking.changed();
    const turn = await this.knobs.turn({ fresh: true, own_seed: true, set, ...(seed === null ? {} : { seed }) });
    if (text !== this.picture.text) note("The recipe\u2019s text has changed since then and was left alone: only the knobs were set.");
    if (turn) {
      this.going.turn = turn;
      this.take(this.news, this.picture);
    } else this.going = null;
  }

  key(event) {
    if (!(event.ctrlKey || event.metaKey) || event.altKey || event.target.matches("input[type=text], textarea, [contenteditable]")) return;
    const key = event.key.toLowerCase();
    if (key === "z" && !event.shiftKey) this.back();
    else if (key === "y" || key === "z") this.forth();
    else return;
    event.preventDefault();
  }

  /** Arrow keys go along the strip; Tab stops at it once. */
  walk(event) {
    const step = { ArrowLeft: -1, ArrowRight: 1 }[event.key];
    const all = [...this.strip.querySelectorAll("button")];
    const to = step ? all[all.indexOf(event.target) + step] : { Home: all[0], End: all.at(-1) }[event.key];
    if (!to) return;
    event.preventDefault();
    for (const one of all) one.tabIndex = one === to ? 0 : -1;
    to.focus();
  }

  /** Makes the small picture of the state that is shown, from what is shown of it. */
  paint() {
    const { shown, whole } = this.bench.now;
    const state = this.find(this.at);
    if (!state || state.image || this.going || shown?.id !== this.picture?.id || !whole.naturalWidth) return;
    const canvas = make("canvas", { width: WIDTH, height: HEIGHT });
    const scale = Math.min(WIDTH / shown.width, HEIGHT / shown.height);
    const [w, h] = [shown.width * scale, shown.height * scale];
    canvas.getContext("2d").drawImage(whole, (WIDTH - w) / 2, (HEIGHT - h) / 2, w, h);
    state.image = canvas.toDataURL();
    this.render();
  }

  /** Which of the buttons lead anywhere. */
  offer() {
    this.undo.disabled = !this.former();
    this.redo.disabled = !this.find(this.ahead.at(-1));
  }

  render() {
    keepingFocus(byId("tools"), () => this.offer());
    this.strip.hidden = this.states.length < 2;
    const focused = this.strip.contains(document.activeElement) ? document.activeElement.dataset.state : null;
    this.strip.replaceChildren(...this.states.map((state) => this.one(state)));
    if (focused) this.strip.querySelector(`[data-state="${focused}"]`)?.focus();
    else this.scroll();
    remember("history", { states: this.states, at: this.at, ahead: this.ahead, next: this.next });
  }

  /** Brings the state that is shown into sight within the strip; the page stays where it is. */
  scroll() {
    const here = this.strip.querySelector("[aria-current]")?.getBoundingClientRect();
    if (!here) return;
    const room = this.strip.getBoundingClientRect();
    if (here.left < room.left || here.right > room.right) this.strip.scrollLeft += here.left - room.left - room.width / 2;
  }

  one(state) {
    const here = state.number === this.at;
    const picture = state.image
      ? make("img", { src: state.image, alt: "", width: WIDTH, height: HEIGHT })
      : shape("svg", { width: WIDTH, height: HEIGHT, "aria-hidden": "true" });
    const go = () => {
      if (this.going || state.number === this.at) return;
      this.ahead = [];
      this.go(state);
    };
    const attributes = { type: "button", "data-state": state.number, tabindex: here ? 0 : -1, onclick: go, "aria-current": here ? "true" : null };
    return make("li", {}, make("button", attributes, picture, make("span", {}, state.words)));
  }
}

/** What differs from one state to another: each thing with its new value. */
function difference(before, now) {
  const found = [];
  for (const [name, value] of Object.entries(now.shown)) if (before.shown[name] !== value) found.push([name, value]);
  for (const [thing, words] of [["finish", "finish"], ["light", "light"], ["view", "eyes"], ["from", "distance"]]) {
    if (before.look[thing] !== now.look[thing]) found.push([words, now.look[thing] ?? "even"]);
  }
  if (before.panel !== now.panel) found.push(["panel", now.panel + 1]);
  if (before.text !== now.text) found.push(["recipe changed", ""]);
  return found;
}
