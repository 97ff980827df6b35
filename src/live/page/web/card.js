// A card of the wall: a variation with its picture and what can be done with it.

import { button, make, note, told as inCode, trying } from "./make.js";
import { send } from "./server.js";
import { inShort } from "./words.js";

/** A variation with its picture and what can be done with it. */
export class Card {
  constructor(wish, words, home) {
    this.wish = wish;
    this.words = words;
    this.home = home;
    // A click on the picture takes the card; the button below does the same for keys.
    this.picture = make("img", { alt: words, class: "card-picture", onclick: () => this.told && this.useIt(), onpointerenter: (event) => this.enlarge(event), onpointerleave: () => home.large.hide() });
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
    this.far();
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

  /** Shows it as it is seen from the distance that is set, as well as the browser can. */
  far() {
    const { from, blur } = this.home.distance();
    const { clientWidth: w, clientHeight: h } = this.picture;
    const scale = this.told?.width ? Math.min(w / this.told.width, h / this.told.height) : 0;
    this.picture.style.filter = from && scale ? `blur(${(blur * from * scale).toFixed(2)}px)` : "";
  }

  enlarge(event) {
    if (this.told && event.pointerType === "mouse") this.home.large.show(this.picture, this.words);
  }

  /** Whether Tab stops at this card. */
  reach(wanted) {
    for (const one of [this.star, this.use]) one.tabIndex = wanted ? 0 : -1;
  }

  fail(words) {
    this.failed = true;
    delete this.element.dataset.busy;
    this.element.classList.add("failed");
    this.facts.replaceChildren(...inCode(words));
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

/** A large picture beside the card that is pointed at. */
export class Large {
  constructor() {
    this.image = make("img", { alt: "" });
    this.words = make("figcaption", {});
    this.element = make("figure", { class: "large", "aria-hidden": "true", hidden: true }, this.image, this.words);
    document.body.append(this.element);
    document.addEventListener("keydown", (event) => {
      if (event.key === "Escape") this.hide();
    });
  }

  show(picture, words) {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => {
      this.image.src = picture.src;
      this.words.textContent = words;
      // On the side where the card is not.
      const { left, width } = picture.getBoundingClientRect();
      this.element.classList.toggle("left", left + width / 2 > window.innerWidth / 2);
      this.element.hidden = false;
    }, 350);
  }

  hide() {
    clearTimeout(this.timer);
    this.element.hidden = true;
  }
}
