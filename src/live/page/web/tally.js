// The tiles by kind and pose, each with a small picture.

import { byId, make, shape, squareAround } from "./make.js";
import { count, matched, pose, size } from "./words.js";

export function showTally(panel, former) {
  const home = byId("tally");
  const title = home.querySelector("h2");
  const facts = make(
    "p",
    { class: "quiet", id: "tally-facts" },
    `${count(panel.tiles)} tiles, ${size(panel)}; ${matched(panel.joints, panel.matched)}`,
  );
  const scale = Math.max(1, ...panel.rows.map((row) => Math.max(row.picture.bounds[2], row.picture.bounds[3])));
  const rows = panel.rows.map((row) => line(row, scale, former));
  const table = make(
    "table",
    {},
    make("caption", { class: "unseen" }, `Tiles of ${panel.name}`),
    make("thead", {}, make("tr", {}, ...["Picture", "Tile", "How many"].map((w) => make("th", { scope: "col" }, w)))),
    make("tbody", {}, rows),
  );
  const more = panel.more_rows
    ? make("p", { class: "quiet" }, `and ${count(panel.more_rows)} more kinds and poses with ${count(panel.more_tiles)} tiles`)
    : null;
  home.replaceChildren(title, facts, table, ...(more ? [more] : []));
}

function line(row, scale, former) {
  const words = `${row.kind}, ${pose(row.turn, row.flip)}`;
  const drawing = shape(
    "svg",
    { viewBox: squareAround(row.picture.bounds, scale * 1.08), class: "face", role: "img", "aria-label": words },
    ...row.picture.paths.map(([fill, d]) => shape("path", { fill, d })),
    shape("path", { d: row.picture.outline, class: "rim" }),
  );
  const all = row.whole + row.trimmed;
  const before = former?.rows.find((r) => r.kind === row.kind && r.turn === row.turn && r.flip === row.flip);
  const was = former ? all - (before ? before.whole + before.trimmed : 0) : 0;
  const change = was ? make("span", { class: "change" }, `${was > 0 ? "+" : "\u2212"}${count(Math.abs(was))}`) : null;
  return make(
    "tr",
    {},
    make("td", {}, drawing),
    make("th", { scope: "row" }, make("span", { class: "kind" }, row.kind), make("span", { class: "quiet" }, pose(row.turn, row.flip))),
    make(
      "td",
      { class: "number" },
      make("span", {}, count(all)),
      row.trimmed ? make("span", { class: "quiet" }, `${count(row.trimmed)} trimmed`) : null,
      change,
    ),
  );
}
