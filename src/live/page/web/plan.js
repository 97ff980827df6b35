// The plan of the panel that is shown, in short as `plyloom plan` words it, and its papers.

import { paper } from "./door.js";
import { byId, make } from "./make.js";
import { read } from "./server.js";
import { Steps } from "./steps.js";

const PAPERS = { plan: "The whole plan, to read and print", template: "Template at true scale, to print" };

export class Plan {
  constructor(bench) {
    this.bench = bench;
    this.home = byId("room-plan");
    this.links = make("p", { class: "papers" });
    this.text = make("pre", { class: "plan", tabindex: "0", role: "region", "aria-label": "The plan in short" });
    const steps = make("section", { id: "steps", "aria-label": "Steps of the plan" });
    this.home.append(make("h2", {}, "Plan"), this.links, this.text, steps);
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

  async load() {
    if (!this.picture) return;
    const at = `${this.picture.id}/${this.bench.panel}`;
    if (this.at === at) return;
    this.at = at;
    this.stop?.abort();
    this.stop = new AbortController();
    try {
      const plan = await read(`/api/plan/${at}`, this.stop.signal);
      this.text.replaceChildren(...plan.text.split("\n").map(line));
      this.steps.take(plan);
      this.links.replaceChildren(
        ...plan.sheets.map((s) => make("a", paper(s.at), PAPERS[s.sheet] ?? s.sheet)),
      );
    } catch (error) {
      if (error.name === "AbortError") return;
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
