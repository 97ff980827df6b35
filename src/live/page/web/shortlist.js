// The shortlist: what has a star, side by side where two or more are marked.

import { button, byId, keepingFocus, keepingPlace, make, note, told as inCode, trying } from "./make.js";
import { read, send } from "./server.js";
import { onward } from "./door.js";
import { inShort } from "./words.js";
import { pictureUrl } from "./card.js";

export class Shortlist {
  constructor(bench, knobs, look, changed) {
    this.bench = bench;
    this.knobs = knobs;
    this.look = look;
    this.changed = changed;
    this.stars = [];
    this.cards = new Map();
    this.marked = new Set();
    /** The last picture of each star: it stays where the recipe can no longer make it. */
    this.pictures = new Map();
    this.stop = new AbortController();
    this.list = make("ul", { class: "shortlist", "aria-label": "Shortlist" });
    this.about = make("p", { class: "quiet" });
    this.together = make("div", { class: "together", hidden: true });
    this.home = make("section", { class: "stars", "aria-labelledby": "stars-title", hidden: true },
      make("h2", { id: "stars-title" }, "Shortlist"), this.about, this.list, this.together);
    byId("room-variations").prepend(this.home);
  }

  async take(version, picture) {
    const key = `${version}/${picture?.id}/${this.bench.panel}`;
    if (this.version === key) return;
    const drawn = picture?.id;
    this.version = key;
    try {
      this.stars = (await read("/api/shortlist")).stars;
      this.about.textContent = "Mark two or more to see them side by side.";
      this.about.classList.remove("wrong");
    } catch (error) {
      if (error.status !== 409) {
        this.version = null;
        return;
      }
      this.stars = [];
      this.about.textContent = error.message;
      this.about.classList.add("wrong");
      this.home.hidden = false;
    }
    if (this.drawn !== `${drawn}/${this.bench.panel}`) {
      this.cards.clear();
      this.stop.abort();
      this.stop = new AbortController();
    }
    this.drawn = `${drawn}/${this.bench.panel}`;
    keepingPlace(() => keepingFocus(this.home, () => this.render(), byId("wall-axis")));
    this.changed();
    if (this.open) this.load();
  }

  show(open) {
    this.open = open;
    if (open) this.load();
  }

  /** Asks for the pictures anew that are not as things are looked at now. */
  looked() {
    if (this.open) this.load();
  }

  /** The star that a card's variation has. */
  find(told) {
    const same = (a, b) => JSON.stringify(Object.entries(a).sort()) === JSON.stringify(Object.entries(b).sort());
    return this.stars.find((star) => star.seed === told.seed && same(star.set, told.set));
  }

  render() {
    const bad = this.about.classList.contains("wrong");
    this.home.hidden = this.stars.length === 0 && !bad;
    const numbers = new Set(this.stars.map((s) => s.number));
    for (const number of [...this.marked]) if (!numbers.has(number)) this.marked.delete(number);
    for (const number of [...this.cards.keys()]) if (!numbers.has(number)) this.cards.delete(number);
    for (const star of this.stars) if (!this.cards.has(star.number)) this.cards.set(star.number, this.one(star));
    this.list.replaceChildren(...this.stars.map((star) => this.cards.get(star.number).element));
    this.compare();
  }

  one(star) {
    const words = `star ${star.number}`;
    const values = [`seed ${star.seed}`, ...star.values.map((v) => `${v.name} ${v.shown}`)].join(", ");
    const image = make("img", { alt: `${words}: ${values}`, class: "card-picture" });
    const facts = make("p", { class: "quiet" }, star.changed ? `${values}; the recipe has changed since` : values);
    const mark = make("input", { type: "checkbox", id: `mark-${star.number}` });
    mark.checked = this.marked.has(star.number);
    mark.addEventListener("change", () => {
      if (mark.checked) this.marked.add(star.number);
      else this.marked.delete(star.number);
      this.compare();
    });
    const act = (verb, work) => button(verb, () => trying(work), { "aria-label": `${verb} ${words}` });
    const element = make("li", { class: "card", "data-star": star.number },
      image,
      make("h3", {}, `Star ${star.number}`),
      facts,
      make("div", { class: "check" }, mark, make("label", { for: `mark-${star.number}` }, "Side by side")),
      make("div", { class: "pair" },
        act("Save as a choice", async () => {
          // As it was seen when it was picked.
          const look = this.cards.get(star.number)?.look ?? this.look();
          const kept = await send("/api/keep", { as: "star", number: star.number, name: null, look });
          note(`Saved as ${kept.file}. ${onward("plan", kept.file)}`);
        }),
        act("Use", async () => {
          const turned = await this.knobs.turn({ set: star.set, seed: star.seed });
          if (turned) note(`The panel is drawn with star ${star.number}.`);
        }),
        act("Drop", () => send("/api/unstar", { number: star.number }))));
    const lost = (why) => {
      facts.replaceChildren(...inCode(`${values}: ${why}`));
      element.querySelector(`[aria-label="Use ${words}"]`).disabled = true;
      if (this.pictures.has(star.number)) image.src = this.pictures.get(star.number);
    };
    return { element, image, facts, values, lost };
  }

  /** Asks for the pictures that are missing or seen otherwise, one after the other. */
  async load() {
    if (this.loading) return;
    this.loading = true;
    for (;;) {
      const look = this.look();
      const asked = JSON.stringify(look);
      const star = this.stars.find((s) => this.cards.get(s.number)?.asked !== asked);
      if (!star || !this.open) break;
      const card = this.cards.get(star.number);
      card.asked = asked;
      try {
        const told = await send("/api/card", { star: star.number, panel: this.bench.panel, look }, this.stop.signal);
        if (told.fault) {
          card.facts.replaceChildren(...inCode(`${card.values}: ${told.fault.message}`));
        } else {
          card.image.src = pictureUrl(told.picture);
          this.pictures.set(star.number, card.image.src);
          card.told = told;
          card.look = look;
        }
      } catch (error) {
        // Where it is only busy or gone, the next change of the list asks again.
        if (error.status === 409) card.lost(error.message);
      }
      this.compare();
    }
    this.loading = false;
  }

  compare() {
    const chosen = this.stars.filter((s) => this.marked.has(s.number));
    this.together.hidden = chosen.length < 2;
    if (chosen.length < 2) {
      this.together.replaceChildren();
      return;
    }
    // All of them at one scale: the largest fills its room.
    const told = chosen.map((star) => this.cards.get(star.number).told).filter(Boolean);
    const width = Math.max(1, ...told.map((t) => t.width));
    const height = Math.max(1, ...told.map((t) => t.height));
    this.together.replaceChildren(
      ...chosen.map((star) => {
        const { image, told, values } = this.cards.get(star.number);
        const facts = told ? `; ${inShort(told)}` : "";
        const picture = make("img", { src: image.src, alt: `star ${star.number}` });
        if (told) {
          picture.style.width = `${(100 * told.width) / width}%`;
          picture.style.height = `${(100 * told.height) / height}%`;
        }
        const room = make("div", { class: "room" }, picture);
        room.style.setProperty("--shape", String(width / height));
        return make("figure", {},
          room,
          make("figcaption", {}, `Star ${star.number}: ${values}${facts}`));
      }),
    );
  }
}
