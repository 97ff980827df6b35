// What is wrong with the recipe, over the last good picture.

import { raising } from "./door.js";
import { byId, keepingPlaceBelow, make, told } from "./make.js";
import { Reminder } from "./reminder.js";

export class Fault {
  constructor() {
    this.home = byId("trouble");
    // It stays, so that the focus can be on it while one message follows another.
    this.heading = make("h2", { tabindex: "-1" });
    this.rest = make("div");
    this.home.append(this.heading, this.rest);
    this.reminder = new Reminder(this.heading);
    this.text = "";
  }

  /** Takes what is wrong, null where nothing is. */
  take(fault, hasPicture) {
    const text = JSON.stringify([fault, hasPicture]);
    if (this.text === text) return;
    this.text = text;
    const had = document.activeElement;
    const inside = this.home.contains(had);
    keepingPlaceBelow(() => this.show(fault, hasPicture));
    if (inside && !fault) this.reminder.goBack();
    else if (inside && !had.isConnected) (this.rest.querySelector("pre") ?? this.heading).focus({ preventScroll: true });
  }

  show(fault, hasPicture) {
    this.home.hidden = !fault;
    this.heading.replaceChildren(...told(fault?.message ?? ""));
    this.rest.replaceChildren(...(fault ? parts(fault, hasPicture) : []));
    this.reminder.take(fault?.message);
    // On a narrow screen the place may stand beyond the edge.
    const mark = this.rest.querySelector("mark");
    if (mark) {
      const lines = mark.closest("pre");
      lines.scrollLeft = mark.offsetLeft + mark.offsetWidth - lines.offsetLeft - lines.clientWidth * 0.7;
    }
  }
}

function parts(fault, hasPicture) {
  const { place, help } = fault;
  return [
    place ? make("p", { class: "place" }, `${place.name}, line ${place.line}, column ${place.column}`) : null,
    fault.lines.length ? source(fault) : null,
    calls(fault),
    help ? make("p", { class: "help" }, told(`Try: ${help}${raising(fault.bound)}`)) : null,
    hasPicture ? make("p", { class: "quiet" }, "The picture is the last good one.") : null,
  ].filter(Boolean);
}

function source(fault) {
  const rows = fault.lines.map((line) => {
    const blamed = line.number === fault.place?.line;
    return make(
      "span",
      { class: blamed ? "source blamed" : "source" },
      make("span", { class: "number" }, `${line.number}`),
      make("span", { class: "text" }, line.before, blamed && line.at ? make("mark", {}, line.at) : line.at, line.after),
      blamed && fault.label ? make("span", { class: "label" }, fault.label) : null,
    );
  });
  return make("pre", { class: "lines", tabindex: "0", role: "group", "aria-label": "Lines of the recipe" }, ...rows);
}

function calls(fault) {
  if (!fault.calls.length && !fault.inside.length) return null;
  return make(
    "ul",
    { class: "calls" },
    fault.inside.map((place) => make("li", {}, `inside it at ${place.name}, line ${place.line}`)),
    fault.calls.map((call) => make("li", {}, `called from ${call.place.name}, line ${call.place.line} (${call.called})`)),
  );
}
