// The tray: the kinds of tiles that can be laid, each with a picture and how many lie on the panel.

import { make, shape, squareAround } from "./make.js";
import { count } from "./words.js";

export class Tray {
  /** `chosen` hears that another kind is in hand, or none. */
  constructor(chosen) {
    this.chosen = chosen;
    this.element = make("div", { class: "tray", role: "group", "aria-label": "Tiles to lay" });
    this.data = null;
    this.kind = null;
    this.way = 0;
  }

  /** Takes what the server says lies ready. */
  take(data) {
    this.data = data;
    if (!data.kinds.some((k) => k.kind === this.kind)) this.kind = null;
    const had = this.element.contains(document.activeElement) ? document.activeElement.dataset.kind : null;
    this.element.replaceChildren(...data.kinds.map((kind, i) => this.button(kind, i)));
    if (had) this.element.querySelector(`[data-kind="${CSS.escape(had)}"]`)?.focus();
  }

  button(kind, i) {
    const [, , w, h] = kind.bounds;
    const viewBox = squareAround(kind.bounds, Math.max(w, h) * 1.1);
    const left = kind.bag === null ? "" : `, ${count(Math.max(0, kind.bag - kind.used))} left`;
    const words = `${count(kind.used)} laid${left}`;
    const drawing = shape("g", {}, ...kind.paths.map(([fill, d]) => shape("path", { fill, d })));
    if (kind.kind === this.kind) drawing.setAttribute("transform", turned(this.pose()));
    return make(
      "button",
      {
        type: "button",
        "data-kind": kind.kind,
        "aria-pressed": String(kind.kind === this.kind),
        title: i < 9 ? `Lay ${kind.kind} (${i + 1})` : `Lay ${kind.kind}`,
        onclick: () => this.choose(kind.kind === this.kind ? null : kind.kind),
      },
      shape("svg", { viewBox, class: "face", "aria-hidden": "true" }, drawing),
      make("span", {}, make("span", { class: "kind" }, kind.kind), make("span", { class: "quiet" }, words)),
    );
  }

  choose(kind) {
    this.kind = kind;
    this.way = 0;
    if (this.data) this.take(this.data);
    this.chosen();
  }

  /** Offers the kinds that fit. */
  offer(kinds) {
    for (const made of this.element.querySelectorAll("button")) made.disabled = !kinds.has(made.dataset.kind);
  }

  /** The kind of this number, from 0. */
  nth(number) {
    return this.data?.kinds[number]?.kind ?? null;
  }

  ways() {
    const kind = this.data?.kinds.find((k) => k.kind === this.kind);
    return kind?.ways.find((ways) => ways.length > 0) ?? [];
  }

  /** The turn and flip in which the kind in hand is laid. */
  pose() {
    const ways = this.ways();
    return ways.length ? ways[this.way % ways.length] : { turn: 0, flip: false };
  }

  /** Turns the kind in hand to its next way that looks different, or flips it. */
  turn(steps) {
    const now = this.pose();
    const same = this.ways().filter((w) => w.flip === now.flip);
    const at = same.findIndex((w) => w.turn === now.turn);
    const next = same[(at + steps + same.length) % same.length];
    this.way = this.ways().indexOf(next);
    if (this.data) this.take(this.data);
  }

  flip() {
    const now = this.pose();
    const next = this.ways().findIndex((w) => w.flip !== now.flip);
    if (next >= 0) this.way = next;
    if (this.data) this.take(this.data);
  }
}

function turned({ turn, flip }) {
  return `rotate(${turn})${flip ? " scale(-1 1)" : ""}`;
}
