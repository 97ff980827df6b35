// What is wrong with the recipe, above the last good picture.

import { byId, make } from "./make.js";

export function showFault(fault, hasPicture) {
  const home = byId("trouble");
  const text = JSON.stringify([fault, hasPicture]);
  if (home.dataset.text === text) return;
  home.dataset.text = text;
  home.hidden = !fault;
  if (!fault) {
    home.replaceChildren();
    return;
  }
  const place = fault.place ? make("p", { class: "place" }, `${fault.place.name}, line ${fault.place.line}, column ${fault.place.column}`) : null;
  const stays = hasPicture ? make("p", { class: "quiet" }, "The picture below is the last good one.") : null;
  home.replaceChildren(
    make("h2", {}, fault.message),
    ...[place, fault.lines.length ? source(fault) : null, calls(fault), fault.help ? make("p", { class: "help" }, `Try: ${fault.help}`) : null, stays].filter(Boolean),
  );
  // On a narrow screen the place may stand beyond the edge.
  const mark = home.querySelector("mark");
  if (mark) {
    const lines = mark.closest("pre");
    lines.scrollLeft = mark.offsetLeft + mark.offsetWidth - lines.offsetLeft - lines.clientWidth * 0.7;
  }
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
  if (!fault.calls.length) return null;
  return make(
    "ul",
    { class: "calls" },
    fault.calls.map((call) => make("li", {}, `called from ${call.place.name}, line ${call.place.line} (${call.called})`)),
  );
}
