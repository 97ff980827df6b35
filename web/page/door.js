// The door of the page in `plyloom.html`: answers come from the core in workers of this page. See
// `src/live/page/web/door.js` for what a door is.

import { Desk } from "./desk.js";

export { lanes } from "./sitting.js";
export const standing = "ready";
/** Nobody is refused here. */
export const refused = () => "";
export const shelf = { title: "Yours, in this browser", removes: true, opensPatterns: true };

const listeners = new Set();
let last = null;

const desk = new Desk((state) => {
  last = state;
  for (const news of listeners) news(state);
});

export async function ask(path, { body, signal } = {}) {
  signal?.throwIfAborted();
  const sent = body === undefined ? undefined : JSON.parse(body);
  await desk.begun;
  const answer = await answered(path, sent, signal);
  signal?.throwIfAborted();
  return answer;
}

/** Which question of the core a path stands for; knobs, texts and cards have a way of their own. */
async function answered(path, sent, signal) {
  const { sitting } = desk;
  const { pathname, searchParams } = new URL(path, "http://page/");
  const [, room, ...parts] = pathname.split("/");
  const [what, ...rest] = room === "paper" ? ["paper", ...parts] : parts;
  const [id, panel, sheet] = what === "hands" ? rest.slice(1) : rest;
  const place = { picture: Number(id), panel: Number(panel) };
  const shop = desk.shopName();
  switch (what) {
    case "tiles":
    case "tray":
      return sitting.ask({ ask: what, ...place });
    case "faces":
    case "drawing":
    case "pixels":
      return sitting.ask({ ask: what, ...place, asked: asked(searchParams) });
    case "plan":
      return sitting.ask({ ask: "plan", ...place, shop, way: searchParams.get("way") });
    case "paper":
      return sitting.ask({ ask: "paper", ...place, sheet, shop, way: searchParams.get("way") });
    case "layers":
      return sitting.ask({ ask: "layers", photo: sent });
    case "words":
    case "shortlist":
      return sitting.ask({ ask: what });
    case "text":
      if (sent === undefined) return sitting.ask({ ask: "text" });
      if (rest[0] === "parameter") return sitting.ask({ ask: "parameter", value: sent });
      return sitting.change({ ask: "write", new: sent }, { runs: true });
    case "states":
      if (sent === undefined) return sitting.ask({ ask: "states" });
      if (rest[0] === "go") return sitting.change({ ask: "go-to", go: sent }, { runs: true });
      if (rest[0] === "see") return sitting.ask({ ask: "see", ...sent });
      if (rest[0] === "forget") return sitting.change({ ask: "forget" }, { runs: false, quietly: true });
      return sitting.change({ ask: "keep-states", change: sent }, { runs: false, quietly: true });
    case "values":
      if (sent === undefined) return sitting.ask({ ask: "values", picture: Number(rest[0]) });
      if (rest[0] === "parameter") return sitting.change({ ask: "value-parameter", to: sent }, { runs: true });
      return sitting.change({ ask: "put-value", put: sent }, { runs: true });
    case "hands":
      if (rest[0] === "offers") return sitting.ask({ ask: "offers", ...place });
      if (rest[0] === "try") return sitting.ask({ ask: "try", hands: sent });
      return sitting.change({ ask: "lay", hands: sent }, { runs: true });
    case "outline":
      if (sent === undefined) return sitting.ask({ ask: "handles", ...place });
      if (rest[0] === "try") return sitting.ask({ ask: "try-drag", drag: sent });
      return sitting.change({ ask: "drag", drag: sent }, { runs: true });
    case "knobs":
      return sitting.turn(sent);
    case "shelf":
      return desk.onShelf(rest[0], sent);
    case "keep":
      return sitting.change({ ask: "keep", keep: sent }, { runs: sent.as === "defaults" });
    case "card":
      return sitting.card(sent, signal);
    case "star":
      return sitting.change({ ask: "star", card: sent }, { runs: false });
    case "unstar":
      return sitting.change({ ask: "unstar", ...sent }, { runs: false });
    default:
      return Response.json({ message: "there is nothing here" }, { status: 404 });
  }
}

/** The query of a picture, each value as what it is. */
function asked(params) {
  const words = ["finish", "view"];
  return Object.fromEntries([...params].map(([name, value]) => [name, words.includes(name) ? value : JSON.parse(value)]));
}

/** News for as long as the page is open. */
export async function hear(begun, news) {
  begun();
  listeners.add(news);
  if (last) news(last);
  return new Promise(() => {});
}

/** The bounds of this page are not raised: the program is for what needs more. */
export function raising() {
  return "";
}

export function onward() {
  return "It is among the files under Files: open it there, or save it.";
}

/** A paper is worked out when it is wanted, and saved. */
export function paper(at) {
  return { href: "#paper", "data-paper": at };
}

document.addEventListener("click", async (event) => {
  const at = event.target.closest?.("[data-paper]")?.dataset.paper;
  if (!at) return;
  event.preventDefault();
  const answer = await ask(at);
  if (!answer.ok) desk.note((await answer.json()).message);
  else desk.save(`${desk.recipeName()}-${at.split("/").pop()}.${at.endsWith("plan") ? "html" : "pdf"}`, await answer.blob());
});
