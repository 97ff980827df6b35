// Other recipes: what the maker has, and patterns that come along. Any is opened, or goes on under another name.

import { button, byId, keepingFocus, make, note, told, trying } from "./make.js";
import { shelf as kept } from "./door.js";
import { read, send } from "./server.js";
import { pictureUrl } from "./card.js";

export class Shelf {
  constructor() {
    this.home = byId("room-recipes");
    this.own = make("ul", { class: "shortlist", "aria-label": kept.title });
    this.patterns = make("ul", { class: "shortlist", "aria-label": "Patterns to begin from" });
    this.home.append(make("h2", {}, kept.title), this.own, make("h2", {}, "Patterns to begin from"), this.patterns);
    this.watch = new IntersectionObserver((seen) => {
      for (const { isIntersecting, target } of seen) {
        if (!isIntersecting) continue;
        this.watch.unobserve(target);
        this.waiting.push(target);
      }
      this.work();
    }, { rootMargin: "200px" });
    this.waiting = [];
  }

  async show(open) {
    this.open = open;
    if (!open) return;
    const shelf = await trying(() => read("/api/shelf"));
    if (!shelf) return;
    const one = (pattern) => (name) => this.card(name, pattern, !pattern && name === shelf.here);
    this.watch.disconnect();
    this.waiting = [];
    this.own.replaceChildren(...shelf.recipes.map(one(false)));
    this.patterns.replaceChildren(...shelf.patterns.map(one(true)));
    for (const element of this.home.querySelectorAll(".card")) this.watch.observe(element);
  }

  card(name, pattern, here) {
    const title = pattern ? name : name.replace(/\.rhai$/, "");
    const box = make("input", { type: "text", autocomplete: "off", "aria-label": `Name of a new recipe from ${title}`, placeholder: "name of the new one" });
    const remix = () => this.remix({ name, pattern }, box.value.trim() || `my-${title}`);
    box.addEventListener("keydown", (event) => {
      if (event.key === "Enter") remix();
    });
    const open = pattern && !kept.opensPatterns ? null : button(here ? "Open now" : "Open", () => this.opens({ name, pattern }), { "aria-label": `${here ? "Open now" : "Open"} ${title}`, disabled: here });
    const element = make("li", { class: "card", "data-recipe": name, "data-pattern": String(pattern) },
      make("img", { alt: title, class: "card-picture" }),
      make("h3", {}, title),
      make("div", { class: "said" }),
      open,
      kept.removes && !pattern && !here ? button("Remove", () => this.remove(element), { "aria-label": `Remove ${title}` }) : null,
      make("div", { class: "pair" }, box, button("Remix", remix, { "aria-label": `Remix ${title}` })));
    element.wanted = { name, pattern };
    return element;
  }

  /** Asks for cards one after the other, as they come into sight. */
  async work() {
    if (this.working) return;
    this.working = true;
    while (this.open && this.waiting.length) {
      const element = this.waiting.shift();
      try {
        this.tell(element, await send("/api/shelf/card", element.wanted));
      } catch (error) {
        element.querySelector(".said").replaceChildren(make("p", { class: "quiet" }, error.message));
      }
    }
    this.working = false;
  }

  tell(element, { about, card, fault }) {
    const said = element.querySelector(".said");
    if (fault) {
      said.replaceChildren(make("p", { class: "quiet" }, fault.message));
      return;
    }
    element.querySelector("img").src = pictureUrl(card.picture);
    if (about.title) element.querySelector("h3").textContent = about.title;
    const next = about.try_next ?? [];
    said.replaceChildren(
      ...(about.purpose ? [make("p", { class: "quiet" }, about.purpose)] : []),
      ...(next.length ? [make("p", { class: "quiet" }, "To try next:"), make("ul", { class: "quiet" }, ...next.map((line) => make("li", {}, line.includes("`") ? told(line) : make("code", {}, line))))] : []),
    );
  }

  async opens(wanted) {
    const answer = await trying(() => send("/api/shelf/open", wanted));
    if (answer) this.went(answer);
  }

  async remix(from, name) {
    const answer = await trying(() => send("/api/shelf/remix", { from, name }));
    if (answer) this.went(answer);
  }

  async remove(card) {
    if (await trying(() => send("/api/shelf/remove", card.wanted))) keepingFocus(this.home, () => card.remove());
  }

  went({ file }) {
    note(`${file} is open.`);
    this.opened?.();
  }
}
