// What hands work with: the tray, what is picked at once, what is done to it, and where the same is done besides.

import { button, byId, make, options } from "./make.js";

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

export class Tools {
  /** `hands` do what is asked for, or show it where it is `dry`. */
  constructor(hands) {
    this.hands = hands;
    this.reach = "one";
    this.brush = "one";
    this.every = [2, 2];
    this.acts = [
      this.act("hand-rotate", "Rotate", "Rotate clockwise (R)", (dry) => hands.rotate(1, dry)),
      this.act("hand-back", "Rotate back", "Rotate the other way (Shift+R)", (dry) => hands.rotate(-1, dry)),
      this.act("hand-flip", "Flip", "Turn over (F)", (dry) => hands.flip(dry)),
      this.act("hand-lay", "Lay", "Lay the tile in hand (L)", (dry) => hands.layPicked(dry)),
      this.act("hand-give", "Give back", "Let the rule decide again (Delete)", (dry) => hands.giveBack(dry)),
    ];
    const side = (name) => make("input", { type: "number", min: 1, max: 99, value: 2, id: `every-${name.toLowerCase()}`, "aria-label": `${name} of the repeat` });
    const sides = [side("Columns"), side("Courses")];
    this.repeat = make("span", { class: "pair", hidden: true }, sides[0], "\u00d7", sides[1]);
    this.repeat.addEventListener("change", () => {
      this.every = sides.map((field) => Number(field.value) || 1);
    });
    this.words = make("p", { id: "hands-told", "aria-live": "polite", class: "quiet" });
    this.element = make(
      "div",
      { class: "hand-tools", hidden: true },
      hands.tray.element,
      make(
        "div",
        { class: "bar" },
        this.choice("hand-reach", "Pick", REACHES, (value) => {
          this.reach = value;
        }),
        make("div", { class: "group", role: "group", "aria-label": "With the picked tiles" }, ...this.acts),
        this.choice("hand-brush", "Also", BRUSHES, (value) => this.setBrush(value)),
        this.repeat,
        hands.offers.button,
        button("More like this", () => hands.more?.(), { id: "hand-more", title: "Variations that keep the tiles laid so far" }),
      ),
      this.words,
      hands.offers.element,
    );
    byId("hands").append(this.element);
  }

  choice(id, words, all, chosen) {
    const select = make("select", { id }, options(all));
    select.addEventListener("change", () => chosen(select.value));
    return make("label", { class: "pair", for: id }, words, select);
  }

  /** A button that shows what it would do while it is pointed at or has the focus. */
  act(id, words, title, work) {
    const { hands } = this;
    const look = () => hands.on && hands.picked.size > 0 && work(true);
    const away = () => hands.unghost();
    return button(words, () => work(), { id, title, disabled: true, onpointerenter: look, onfocus: look, onpointerleave: away, onblur: away });
  }

  setBrush(brush) {
    this.brush = brush;
    this.repeat.hidden = brush !== "every";
  }

  /** Offers the symmetries that this panel has. */
  offerBrushes(some) {
    const select = byId("hand-brush");
    for (const option of select.options) option.hidden = option.disabled = !["one", "every", ...some].includes(option.value);
    if (!select.selectedOptions[0].disabled) return;
    select.value = "one";
    this.setBrush("one");
  }

  /** An act as it is sent: with where else it is done. */
  edit(act) {
    return this.brush === "every" ? { ...act, brush: "one", every: this.every } : { ...act, brush: this.brush };
  }

  /** Offers the acts that `can` be done; none of them where it is not told. */
  offer(can) {
    for (const act of this.acts) act.disabled = !can || can[act.id] === false;
  }

  /** On a small screen the panel and all that is done to it share the window. */
  bringIntoSight() {
    const low = this.element.getBoundingClientRect().bottom > window.innerHeight;
    if (low && window.matchMedia("(max-width: 52rem)").matches) byId("tools").scrollIntoView({ block: "start" });
  }
}
