// The plan of the panel that is shown, in short as `plyloom plan` words it, and its papers.

import { paper } from "./door.js";
import { byId, make, options } from "./make.js";
import { read } from "./server.js";
import { Steps } from "./steps.js";

/** What is sliced, in words. */
const WAYS = {
  tiles: "Each bar, to single tiles",
  loaf: "Loaves of a few bars, to parts of courses",
  courses: "Loaves as wide as a course, to whole courses",
  panels: "Blocks of all bars, to whole panels",
};
const PAPERS = { plan: "The whole plan, to read and print", template: "Template at true scale, to print" };

export class Plan {
  constructor(bench) {
    this.bench = bench;
    this.home = byId("room-plan");
    this.links = make("p", { class: "papers" });
    this.ways = make("select", { id: "plan-way", onchange: () => this.slice(this.ways.value) });
    this.sliced = make("label", { class: "pair", hidden: true }, "What is sliced ", this.ways);
    this.text = make("pre", { class: "plan", tabindex: "0", role: "region", "aria-label": "The plan in short" });
    const steps = make("section", { id: "steps", "aria-label": "Steps of the plan" });
    this.home.append(make("h2", {}, "Plan"), this.links, this.sliced, this.text, steps);
    this.steps = new Steps(steps);
  }

  take(picture) {
    this.picture = picture;
    if (this.open) this.load();
  }

  show(open) {
    this.open = open;
    this.steps.show(open);
    if (open) this.load();
  }

  /** Plans by another way; what was ticked for one stays with it. */
  slice(way) {
    this.way = way;
    this.load();
  }

  async load() {
    if (!this.picture) return;
    const way = this.way ? `?way=${encodeURIComponent(this.way)}` : "";
    const at = `${this.picture.id}/${this.bench.panel}${way}`;
    if (this.at === at) return;
    this.at = at;
    this.stop?.abort();
    this.stop = new AbortController();
    try {
      const plan = await read(`/api/plan/${at}`, this.stop.signal);
      this.text.replaceChildren(...plan.text.split("\n").map(line));
      this.steps.take(plan);
      this.ways.replaceChildren(...options(plan.ways.map((value) => [value, WAYS[value] ?? value])));
      this.ways.value = plan.way;
      this.sliced.hidden = plan.ways.length < 2;
      this.links.replaceChildren(
        ...plan.sheets.map((s) => make("a", paper(s.at), PAPERS[s.sheet] ?? s.sheet)),
      );
    } catch (error) {
      if (error.name === "AbortError") return;
      if (this.way) {
        // It does not fit this panel: as the shop has it, then.
        this.way = undefined;
        this.load();
        return;
      }
      this.at = null;
      this.text.textContent = error.message;
      this.links.replaceChildren();
      this.steps.take({ steps: [], cautions: [] });
    }
  }
}

/** A line of the plan; what does not fit goes on farther in than it began. */
function line(words) {
  const shown = make("span", { class: "line" }, `${words}\n`);
  const further = `${words.search(/\S|$/) + 2}ch`;
  shown.style.paddingLeft = further;
  shown.style.textIndent = `-${further}`;
  return shown;
}
