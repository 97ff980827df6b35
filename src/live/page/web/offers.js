// Ways to go on from what is laid, in pictures: the repeats and symmetries that agree with it. A click lays one.

import { button, make, trying } from "./make.js";
import { read } from "./server.js";

export class Offers {
  /** `take` lays the edits of one; `told` says that there is none. */
  constructor(bench, { take, told }) {
    this.bench = bench;
    this.take = take;
    this.told = told;
    this.button = button("Go on from here", () => this.show(), { id: "hand-on", title: "Repeats and symmetries that fit the tiles laid so far" });
    this.element = make("div", { class: "offers", role: "group", "aria-label": "Ways to go on", hidden: true });
  }

  async show() {
    const { id } = this.bench.picture;
    const offers = await trying(() => read(`/api/hands/offers/${id}/${this.bench.panel}`));
    if (!offers || this.bench.picture.id !== id) return;
    this.close();
    if (offers.length === 0) {
      this.told("Lay a few more tiles: no repeat or symmetry fits those laid so far");
      return;
    }
    this.element.append(...offers.map((offer) => this.one(offer)));
    this.element.hidden = false;
    this.element.firstElementChild.focus();
  }

  one({ picture, words, edits }) {
    const src = URL.createObjectURL(new Blob([picture], { type: "image/svg+xml" }));
    const take = () => {
      this.close();
      this.button.focus();
      this.take(edits);
    };
    return make("button", { type: "button", onclick: take }, make("img", { src, alt: "" }), words);
  }

  close() {
    for (const image of this.element.querySelectorAll("img")) URL.revokeObjectURL(image.src);
    this.element.replaceChildren();
    this.element.hidden = true;
  }
}
