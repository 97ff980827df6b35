// The wall: variations of the seed, of one parameter or of two, more as one scrolls.

import { Card, Large } from "./card.js";
import { lanes } from "./door.js";
import { button, byId, make, options } from "./make.js";
import { remember, remembered } from "./memory.js";
import { send } from "./server.js";
import { seeds, someOf, valuesOf } from "./values.js";

const BATCH = 12;
const MOST = 600;
/** How many values of each of two stand side by side. */
const SIDE = 6;
const share = (told) => (told.joints ? told.matched / told.joints : 0);
const ORDERS = [
  ["made", "as they come"],
  ["more", "most lines that run on", (a, b) => share(b) - share(a)],
  ["less", "fewest lines that run on", (a, b) => share(a) - share(b)],
  ["few", "fewest tiles", (a, b) => a.tiles - b.tiles],
  ["many", "most tiles", (a, b) => b.tiles - a.tiles],
  ["small", "smallest", (a, b) => a.width * a.height - b.width * b.height],
];
/** As in the style sheet: everything stands in one column. */
const NARROW = window.matchMedia("(max-width: 52rem)");

export class Wall {
  constructor(bench, knobs, look, shortlist) {
    this.bench = bench;
    this.knobs = knobs;
    this.look = look;
    this.shortlist = shortlist;
    this.open = false;
    this.queue = [];
    this.cards = [];
    this.working = 0;
    const home = byId("room-variations");
    this.large = new Large();
    this.kept = { ...remembered("wall") };
    const choice = (id, all = []) => make("select", { id }, options(all));
    this.axis = choice("wall-axis");
    this.across = choice("wall-across");
    for (const one of [this.axis, this.across]) {
      one.addEventListener("change", () => {
        this.keepSettings();
        this.begin();
      });
    }
    this.order = choice("wall-order", ORDERS);
    this.order.addEventListener("change", () => this.arrange());
    this.least = make("input", { type: "number", id: "wall-least", min: 0, max: 100, step: 5, value: 0 });
    this.least.addEventListener("input", () => this.arrange());
    this.once = make("input", { type: "checkbox", id: "wall-once" });
    this.once.addEventListener("change", () => this.arrange());
    this.size = make("input", { type: "range", id: "wall-size", min: 7, max: 26, step: 1, value: this.kept.size ?? 11 });
    this.size.addEventListener("input", () => this.resize());
    const labelled = (words, field) => make("span", { class: "pair" }, make("label", { for: field.id }, words), field);
    this.grid = make("ul", { class: "wall", "aria-label": "Variations" });
    this.alike = make("p", { id: "wall-alike", hidden: true });
    this.end = make("div", { class: "wall-end" });
    this.more = button("More", () => this.goOn(), { id: "wall-more" });
    this.end.append(this.more);
    home.append(
      make("h2", {}, "Variations"),
      make("p", { class: "quiet" }, "Each card shows the panel as it is now, with one setting changed. A star puts a card on the shortlist, which is kept when plyloom ends. Move from card to card with the arrow keys."),
      make("div", { class: "bar" }, labelled("Vary", this.axis), labelled("and", this.across), labelled("Card size", this.size)),
      make("div", { class: "bar" }, labelled("In order of", this.order), labelled("Lines run on through at least", this.least), "% of joints",
        make("span", { class: "check" }, this.once, make("label", { for: "wall-once" }, "each look once"))),
      this.alike,
      this.grid,
      this.end,
    );
    this.grid.addEventListener("focusin", (event) => {
      this.visited = true;
      this.reach(this.cards.find((c) => c.element.contains(event.target)));
    });
    this.grid.addEventListener("keydown", (event) => this.key(event));
    this.grid.style.setProperty("--card", `${this.size.value}rem`);
    new IntersectionObserver((seen) => {
      if (seen.some((s) => s.isIntersecting)) this.grow();
    }, { rootMargin: "400px" }).observe(this.end);
  }

  /** Takes the picture that the wall varies. */
  take(picture) {
    this.picture = picture;
    const axes = picture.parameters.filter((p) => valuesOf(p, picture.colours)).map((p) => [`set:${p.name}`, p.name]);
    // What makes a difference comes first.
    if (picture.chance) axes.unshift(["seed", "the seed"]);
    else axes.push(["seed", "the seed (nothing is by chance)"]);
    const form = JSON.stringify(axes);
    if (form !== this.form) {
      this.form = form;
      const fill = (select, all, before) => {
        select.replaceChildren(...options(all));
        if (all.some(([value]) => value === before)) select.value = before;
      };
      fill(this.axis, axes, this.axis.value || this.kept.axis);
      fill(this.across, [["", "nothing else"], ...axes], this.across.value || this.kept.across);
    }
    if (this.open) this.refresh();
    else if (this.varied && this.varied !== this.keyNow()) this.clear();
  }

  /** Begins anew where the cards are no longer what the knobs and the recipe say. */
  refresh() {
    if (this.picture && this.varied !== this.keyNow()) this.begin();
    else this.looked();
  }

  /** Varies one thing alone. */
  vary(axis) {
    this.axis.value = axis;
    this.across.value = "";
    this.keepSettings();
    this.refresh();
    this.axis.focus();
  }

  /** Asks for the pictures anew where they are not as things are looked at now. */
  looked() {
    const look = JSON.stringify(this.look());
    this.far();
    if (!this.open || !this.varied || this.seen === look) return;
    this.seen = look;
    this.stop.abort();
    this.stop = new AbortController();
    this.queue = this.cards.filter((card) => !card.failed);
    this.hire();
  }

  /** All that the cards have in common: the recipe, and the knobs but for the one that is varied. */
  keyNow() {
    const axis = [this.axis.value, this.across.value];
    const others = this.picture.parameters.filter((p) => !axis.includes(`set:${p.name}`));
    const seed = axis.includes("seed") ? null : this.picture.seed;
    return JSON.stringify([axis, this.picture.text, this.bench.panel, seed, others.map((p) => [p.name, p.domain, p.value])]);
  }

  show(open) {
    this.open = open;
    if (open) this.refresh();
  }

  /** Looks anew which cards have a star. */
  cardsChanged() {
    for (const card of this.cards) card.stars();
  }

  /** Takes all cards away, and asks for none any more. */
  clear() {
    this.cards = [];
    this.reached = this.awaited = this.varied = this.source = null;
    this.visited = false;
    this.stop?.abort();
    this.stop = new AbortController();
    this.queue = [];
    this.made = 0;
    this.alike.hidden = true;
    this.grid.replaceChildren();
  }

  begin() {
    this.clear();
    this.varied = this.keyNow();
    this.seen = JSON.stringify(this.look());
    const [axis, across] = [this.axis.value, this.across.value];
    const two = across !== "" && across !== axis;
    this.grid.classList.toggle("two", two);
    this.parameter = axis !== "seed" || two;
    this.source = two ? this.pairs(axis, across) : this.wishes(axis);
    this.end.hidden = false;
    this.add();
  }

  parameterOf(axis) {
    return this.picture.parameters.find((p) => `set:${p.name}` === axis);
  }

  /** A value of an axis as what a card is asked for. */
  wish(axis, value) {
    const parameter = this.parameterOf(axis);
    if (!parameter) return { set: {}, seed: value, words: `seed ${value}` };
    return { set: { [parameter.name]: value.typed }, words: `${parameter.name} ${value.shown}` };
  }

  *wishes(axis) {
    const parameter = this.parameterOf(axis);
    const all = parameter ? valuesOf(parameter, this.picture.colours) : seeds(this.picture.seed);
    for (const value of all) yield { seed: this.picture.seed, ...this.wish(axis, value) };
  }

  /** Two axes: one down, the other across. */
  *pairs(down, across) {
    const some = (axis) => {
      const parameter = this.parameterOf(axis);
      const all = parameter ? someOf(parameter, this.picture.colours, SIDE) : Array.from({ length: SIDE }, (_, i) => String(BigInt(this.picture.seed) + BigInt(i)));
      return all.map((value) => this.wish(axis, value));
    };
    const columns = some(across);
    this.grid.style.setProperty("--columns", columns.length);
    for (const a of some(down)) {
      for (const b of columns) {
        const seed = a.seed ?? b.seed ?? this.picture.seed;
        yield { set: { ...a.set, ...b.set }, seed, words: `${a.words}, ${b.words}` };
      }
    }
  }

  // Arranging

  keepSettings() {
    remember("wall", { axis: this.axis.value, across: this.across.value, size: Number(this.size.value) });
  }

  resize() {
    this.grid.style.setProperty("--card", `${this.size.value}rem`);
    this.keepSettings();
    this.far();
  }

  /** Puts the cards in order, and hides those that are not wanted. */
  arrange() {
    const by = ORDERS.find(([name]) => name === this.order.value)[2];
    const ready = this.cards.filter((card) => card.told);
    const known = new Set();
    const least = (Number(this.least.value) || 0) / 100;
    for (const card of ready) {
      const again = this.once.checked && known.has(card.picture.src);
      known.add(card.picture.src);
      card.element.hidden = again || share(card.told) < least;
    }
    if (this.arranged === this.order.value && !by) return;
    this.arranged = this.order.value;
    const order = by ? [...ready.sort((a, b) => by(a.told, b.told)), ...this.cards.filter((card) => !card.told)] : this.cards;
    const had = document.activeElement;
    this.grid.append(...order.map((card) => card.element));
    if (this.grid.contains(had)) had.focus();
  }

  /** From how far the cards are looked at. */
  distance() {
    return { from: this.look.from(), blur: this.picture?.blur ?? 0 };
  }

  far() {
    for (const card of this.cards ?? []) card.far();
  }

  /**
   * Adds cards as one scrolls: not under who stands on the button for it, which would run away, and
   * not where the knobs stand below, which would never be reached.
   */
  grow() {
    if (document.activeElement !== this.more && !NARROW.matches && this.alike.hidden) this.add();
  }

  /** Says so where no seed makes a difference; more of the same is not made unasked. */
  compare() {
    const [first, ...others] = this.cards.map((card) => card.told && card.picture.src);
    const alike = first && others.length >= BATCH - 1 && others.every((one) => one === first);
    this.alike.hidden = Boolean(this.parameter) || !alike;
    if (this.alike.hidden) return;
    const instead = this.axis.options.length > 1 ? "Vary something else." : "Words such as random(\u2026) and pick(\u2026) use chance.";
    this.alike.textContent = `All these seeds make the same panel: the recipe does not seem to use chance. ${instead}`;
  }

  /** Adds cards, and goes to the first of them. */
  goOn() {
    const before = this.cards.length;
    this.add();
    this.awaited = this.cards[before];
  }

  /** Lets Tab reach the first of the cards that came, until one has had the focus: they come in any order. */
  came(card) {
    const before = this.cards.indexOf(card) < this.cards.indexOf(this.reached);
    if (!this.reached || (before && !this.visited)) this.reach(card);
  }

  /** Makes one card the one that Tab reaches: the wall has no end, and what follows it is wanted too. */
  reach(card) {
    if (!card || card === this.reached) return;
    this.reached?.reach(false);
    this.reached = card;
    card.reach(true);
  }

  /** Goes from card to card by arrow keys, Home and End. */
  key(event) {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const shown = [...this.grid.children].filter((element) => !element.hidden);
    const ready = shown.map((element) => this.cards.find((c) => c.element === element)).filter((c) => c.told);
    const at = ready.findIndex((c) => c.element.contains(event.target));
    const columns = getComputedStyle(this.grid).gridTemplateColumns.split(" ").length;
    const steps = { ArrowLeft: -1, ArrowRight: 1, ArrowUp: -columns, ArrowDown: columns, Home: -ready.length, End: ready.length };
    const step = steps[event.key];
    if (at < 0 || step === undefined) return;
    event.preventDefault();
    const on = event.target === ready[at].use ? "use" : "star";
    ready[Math.min(ready.length - 1, Math.max(0, at + step))][on].focus();
  }

  add() {
    if (!this.open || !this.source || this.queue.length > BATCH) return;
    for (let i = 0; i < BATCH; i += 1) {
      const { value, done } = this.made < MOST ? this.source.next() : { done: true };
      if (done) {
        this.end.hidden = true;
        break;
      }
      this.made += 1;
      const { words, ...wish } = value;
      const card = new Card(wish, words, this);
      this.cards.push(card);
      this.grid.append(card.element);
      this.queue.push(card);
    }
    this.hire();
  }

  hire() {
    while (this.working < lanes && this.queue.length) this.work();
  }

  async work() {
    this.working += 1;
    while (this.queue.length) {
      const card = this.queue.shift();
      const { signal } = this.stop;
      try {
        card.take(await send("/api/card", { ...card.wish, panel: this.bench.panel, look: this.look() }, signal));
      } catch (error) {
        if (!signal.aborted) card.fail(error.message);
      }
    }
    this.working -= 1;
    this.compare();
    if (this.working === 0) this.arrange();
    // A scroll may stand at the end already.
    const box = this.end.getBoundingClientRect();
    if (!this.end.hidden && box.top < window.innerHeight + 400 && box.height) this.grow();
  }
}
