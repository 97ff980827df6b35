// The page: news from plyloom go to each part of it.

import { Bench } from "./bench.js";
import { refused, standing } from "./door.js";
import { Fault } from "./fault.js";
import { Hands } from "./hands.js";
import { History } from "./history.js";
import { Knobs } from "./knobs.js";
import { Literals } from "./literals.js";
import { Looking } from "./looking.js";
import { byId, keepingPlaceBelow, make, note, told } from "./make.js";
import { remember, remembered } from "./memory.js";
import { Photo } from "./photo.js";
import { Plan } from "./plan.js";
import { listen } from "./server.js";
import { Rim } from "./rim.js";
import { Shelf } from "./shelf.js";
import { Shortlist } from "./shortlist.js";
import { showTally } from "./tally.js";
import { RecipeText } from "./text.js";
import { Wall } from "./wall.js";
import { count, size } from "./words.js";

const LINES = {
  connected: standing,
  lost: "not connected: trying again",
};

/** Pictures by their number; the stream sends each once. */
const pictures = new Map();
let state = null;
let line = "";

const fault = new Fault();
const looking = new Looking(() => {
  remember("look", looking.all());
  history.note(`look ${looking.toldOf}`);
  bench.render();
  wall.looked();
  shortlist.looked();
});
const bench = new Bench(() => looking.now());
const hands = new Hands(bench);
const rim = new Rim(bench);
const text = new RecipeText(hands);
const knobs = new Knobs(() => looking.kept());
const literals = new Literals(bench);
const shortlist = new Shortlist(bench, knobs, () => looking.kept(), () => wall.cardsChanged());
const wall = new Wall(bench, knobs, Object.assign(() => looking.kept(), { from: () => looking.from }), shortlist);
const plan = new Plan(bench);
const shelf = new Shelf();
new Photo(byId("room-recipes"));
const history = new History(bench, knobs, looking);

looking.moved = () => {
  bench.far();
  wall.far();
};
hands.more = () => {
  if (!pictures.get(state.shown).chance) {
    note("Nothing in this recipe is by chance, so there is no other like it. Give the rest a rule such as `.fill(random(\"rest\", tile.looks()))`: what is laid stays.", "wrong");
    return;
  }
  enter("variations");
  wall.vary("seed");
};
bench.pictured = () => {
  history.paint();
  showPrint();
};
bench.switched = () => {
  history.note("panel");
  hands.take();
  rim.take();
  tally();
  plan.take(pictures.get(state.shown));
  wall.take(pictures.get(state.shown));
  shortlist.take(state.shortlist, pictures.get(state.shown));
};

function tally() {
  const now = pictures.get(state.shown);
  const panel = now.panels[bench.panel];
  const former = pictures.get(state.former)?.panels.find((p) => p.name === panel.name);
  showTally(panel, former);
}

function news(next) {
  const before = state?.shown;
  if (state && state.recipe !== next.recipe) {
    history.anew();
    bench.anew();
  }
  if (next.picture) pictures.set(next.shown, { id: next.shown, ...next.picture });
  if (next.before) pictures.set(next.former, { id: next.former, ...next.before });
  for (const id of [...pictures.keys()]) if (id !== next.shown && id !== next.former) pictures.delete(id);
  state = next;
  byId("recipe").textContent = next.recipe;
  document.title = `${next.fault ? "\u26a0 " : ""}${next.recipe} \u2013 Plyloom`;
  document.body.dataset.state = next.busy ? "busy" : "ready";
  document.body.dataset.serial = next.serial;
  fault.take(next.fault, next.shown !== null);
  text.take(next, pictures.get(next.shown)?.colours);
  // Before the first picture there is nothing to look at, to turn or to keep.
  document.body.toggleAttribute("data-empty", next.shown === null && Boolean(next.fault));
  showPrinted(next.printed);
  keepingPlaceBelow(() => showNotices(next.notices));
  bench.place();
  showLine();
  bench.own = next.own;
  const picture = pictures.get(next.shown);
  if (!picture) return;
  // What a pinned choice keeps of the look is only where the page begins; after a reload it goes on.
  const look = remembered("look") ?? next.look;
  if (look && (before ?? null) === null) looking.begin(look);
  knobs.take(next, picture);
  if (before !== next.shown) {
    bench.take(picture);
    literals.take(picture);
    hands.take();
    rim.take();
    tally();
    plan.take(picture);
    wall.take(picture);
  }
  history.take(next, picture);
  shortlist.take(next.shortlist, picture);
  if ((before ?? null) === null) {
    enter(remembered("room") ?? "panel");
    window.scrollTo(0, remembered("scroll") ?? 0);
  }
}

/** What is printed of any room: the panel, whole, with its title. */
function showPrint() {
  const { shown, whole } = bench.now;
  const canvas = make("canvas", { width: whole.width, height: whole.height });
  canvas.getContext("2d").drawImage(whole, 0, 0);
  const title = `${state.recipe}: ${shown.name}, ${size(shown)}, ${count(shown.tiles)} tiles`;
  byId("print").replaceChildren(canvas, make("figcaption", {}, title));
}

function showPrinted(lines) {
  const home = byId("printed");
  home.hidden = lines.length === 0;
  home.querySelector("pre").textContent = lines.join("\n");
}

function showNotices(notices) {
  const home = byId("notice");
  home.hidden = notices.length === 0;
  home.replaceChildren(...notices.map((notice) => make("p", {}, told(notice))));
}

function showLine() {
  const home = byId("line");
  const words = line === "connected" && state?.busy ? "drawing" : line === "refused" ? refused() : LINES[line] ?? "connecting";
  if (home.textContent !== words) home.textContent = words;
  home.dataset.line = line;
}

/** How far each room was scrolled. */
const scrolled = {};

function enter(room) {
  scrolled[document.body.dataset.room] = window.scrollY;
  for (const tab of byId("rooms").children) {
    if (tab.dataset.room === room) tab.setAttribute("aria-current", "page");
    else tab.removeAttribute("aria-current");
  }
  for (const name of ["panel", "variations", "plan", "recipes"]) byId(`room-${name}`).hidden = name !== room;
  document.body.dataset.room = room;
  remember("room", room);
  wall.show(room === "variations");
  shortlist.show(room === "variations");
  plan.show(room === "plan");
  shelf.show(room === "recipes");
  if (room === "panel") bench.resized();
  window.scrollTo(0, scrolled[room] ?? 0);
}

byId("skip").addEventListener("click", () => {
  enter("panel");
  bench.now.stage.focus();
});
byId("skip-knobs").addEventListener("click", () => knobs.home.querySelector("input:enabled, select, button:enabled")?.focus());
byId("rooms").addEventListener("click", (event) => {
  const room = event.target.closest("button")?.dataset.room;
  if (room) enter(room);
});

shelf.opened = () => enter("panel");
// Before the whole of a new picture is painted, the former one would be printed.
window.addEventListener("beforeprint", () => bench.now.follow());
window.addEventListener("pagehide", () => remember("scroll", window.scrollY));

listen(news, (how) => {
  line = how;
  showLine();
});
