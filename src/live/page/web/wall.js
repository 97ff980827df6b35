// The wall: variations of the seed or of one parameter, more as one scrolls.

import { lanes } from "./door.js";
import { button, byId, make, note, trying } from "./make.js";
import { send } from "./server.js";
import { inShort } from "./words.js";

const BATCH = 12;
const MOST = 600;
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
    this.axis = make("select", { id: "wall-axis" });
    this.axis.addEventListener("change", () => this.begin());
    this.grid = make("ul", { class: "wall", "aria-label": "Variations" });
    this.alike = make("p", { id: "wall-alike", hidden: true });
    this.end = make("div", { class: "wall-end" });
    this.more = button("More", () => this.goOn(), { id: "wall-more" });
    this.end.append(this.more);
    home.append(
      make("h2", {}, "Variations"),
      make("p", { class: "quiet" }, "Each card shows the panel as it is now, with one setting changed. A star puts a card on the shortlist, which is kept when plyloom ends. Move from card to card with the arrow keys."),
      make("div", { class: "bar" }, make("label", { for: "wall-axis" }, "Vary"), this.axis),
      this.alike,
      this.grid,
      this.end,
    );
    this.grid.addEventListener("focusin", (event) => {
      this.visited = true;
      this.reach(this.cards.find((c) => c.element.contains(event.target)));
    });
    this.grid.addEventListener("keydown", (event) => this.key(event));
    new IntersectionObserver((seen) => {
      if (seen.some((s) => s.isIntersecting)) this.grow();
    }, { rootMargin: "400px" }).observe(this.end);
  }

  /** Takes the picture that the wall varies. */
  take(picture) {
    this.picture = picture;
    const axes = [["seed", "the seed"]];
    for (const p of picture.parameters) if (valuesOf(p, picture.colours)) axes.push([`set:${p.name}`, p.name]);
    const form = JSON.stringify(axes);
    if (form !== this.form) {
      this.form = form;
      const before = this.axis.value;
      this.axis.replaceChildren(...axes.map(([value, words]) => make("option", { value }, words)));
      if (axes.some(([value]) => value === before)) this.axis.value = before;
    }
    if (this.open) this.refresh();
    else if (this.varied && this.varied !== this.keyNow()) this.clear();
  }

  /** Begins anew where the cards are no longer what the knobs and the recipe say. */
  refresh() {
    if (this.picture && this.varied !== this.keyNow()) this.begin();
    else this.looked();
  }

  /** Asks for the pictures anew where they are not as things are looked at now. */
  looked() {
    const look = JSON.stringify(this.look());
    if (!this.open || !this.varied || this.seen === look) return;
    this.seen = look;
    this.stop.abort();
    this.stop = new AbortController();
    this.queue = this.cards.filter((card) => !card.failed);
    this.hire();
  }

  /** All that the cards have in common: the recipe, and the knobs but for the one that is varied. */
  keyNow() {
    const axis = this.axis.value;
    const others = this.picture.parameters.filter((p) => `set:${p.name}` !== axis);
    const seed = axis === "seed" ? null : this.picture.seed;
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
    const name = this.axis.value;
    const parameter = this.picture?.parameters.find((p) => `set:${p.name}` === name);
    this.source = parameter ? valuesOf(parameter, this.picture.colours) : seeds(this.picture.seed);
    this.parameter = parameter;
    this.end.hidden = false;
    this.add();
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
    const ready = this.cards.filter((c) => c.told);
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
      const wish = this.parameter ? { set: { [this.parameter.name]: value.typed }, seed: this.picture.seed } : { set: {}, seed: value };
      const words = this.parameter ? `${this.parameter.name} ${value.shown}` : `seed ${value}`;
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
    // A scroll may stand at the end already.
    const box = this.end.getBoundingClientRect();
    if (!this.end.hidden && box.top < window.innerHeight + 400 && box.height) this.grow();
  }
}

/** A variation with its picture and what can be done with it. */
export class Card {
  constructor(wish, words, home) {
    this.wish = wish;
    this.words = words;
    this.home = home;
    this.picture = make("img", { alt: words, class: "card-picture" });
    this.facts = make("p", { class: "quiet" }, "waiting");
    this.star = button("\u2606 Star", () => this.toggleStar(), { "aria-pressed": "false", "aria-label": `Star for ${words}`, disabled: true, class: "star" });
    this.use = button("Use", () => this.useIt(), { "aria-label": `Use ${words}`, disabled: true });
    this.element = make(
      "li",
      { class: "card", "data-busy": true },
      this.picture,
      make("h3", {}, words),
      this.facts,
      make("div", { class: "pair" }, this.star, this.use),
    );
    this.reach(false);
  }

  take(told) {
    delete this.element.dataset.busy;
    if (told.fault) {
      this.fail(told.fault.message);
      return;
    }
    this.told = told;
    this.picture.src = pictureUrl(told.picture);
    this.facts.textContent = inShort(told);
    this.star.disabled = false;
    this.use.disabled = false;
    this.home.came(this);
    this.stars();
    if (this.home.awaited === this) {
      this.home.awaited = null;
      if (document.activeElement === this.home.more) this.star.focus();
    }
  }

  /** Whether Tab stops at this card. */
  reach(wanted) {
    for (const one of [this.star, this.use]) one.tabIndex = wanted ? 0 : -1;
  }

  fail(words) {
    this.failed = true;
    delete this.element.dataset.busy;
    this.element.classList.add("failed");
    this.facts.textContent = words;
  }

  stars() {
    const star = this.told && this.home.shortlist.find(this.told);
    this.number = star?.number;
    this.star.setAttribute("aria-pressed", String(Boolean(star)));
    this.star.textContent = star ? "\u2605 Star" : "\u2606 Star";
  }

  toggleStar() {
    return trying(async () => {
      if (this.number) await send("/api/unstar", { number: this.number });
      else await send("/api/star", { set: this.told.set, seed: this.told.seed });
    });
  }

  useIt() {
    return trying(async () => {
      await this.home.knobs.turn({ ...this.wish });
      note(`The panel is drawn with ${this.words}.`);
    });
  }
}

/** A picture of a card as the address of an image; it cannot reach outside. */
export function pictureUrl(picture) {
  if (!picture) return "";
  if (picture.base64) return `data:${picture.kind};base64,${picture.base64}`;
  return `data:${picture.kind},${encodeURIComponent(picture.text)}`;
}

function* seeds(from) {
  for (let seed = BigInt(from); seed < 2n ** 64n; seed += 1n) yield String(seed);
}

/** The values of a parameter one after the other; null where it has too many of no order. */
function valuesOf(parameter, colours) {
  const { kind, choices, least, most, unit } = parameter.domain;
  const plain = (list) => list.map((value) => ({ typed: value, shown: value })).values();
  if (kind === "choice") return plain(choices);
  if (kind === "yes-no") return plain(["yes", "no"]);
  if (kind === "colour") return colours?.length ? plain(colours) : null;
  if (kind === "whole") return wholes(least ?? Math.max(0, parameter.value - 12), most);
  if (kind === "number" && least !== null && most !== null && most > least) return numbers(least, most, unit);
  return null;
}

function* wholes(least, most) {
  for (let n = least; n <= (most ?? Infinity); n += 1) yield { typed: String(n), shown: String(n) };
}

/** Ends first, then halves, quarters and so on: the finer, the farther one scrolls. */
function* numbers(least, most, unit) {
  const length = unit === "mm" || unit === "in";
  const one = (part) => {
    const value = Number((least + (most - least) * part).toFixed(3));
    const shown = unit === "in" ? `${Number((value / 25.4).toFixed(3))} in` : `${value}${unit === "deg" ? "\u00b0" : unit ? ` ${unit}` : ""}`;
    return { typed: length ? `${value} mm` : String(value), shown };
  };
  yield one(0);
  yield one(1);
  for (let parts = 2; parts <= 512; parts *= 2) {
    for (let i = 1; i < parts; i += 2) yield one(i / parts);
  }
}
