// Panels painted by the browser itself: the faces of a panel as paths, each tile at its place. It takes a fraction of the
// time that a drawing of them all takes, and any part can be had at any scale without asking for it.

import { rings } from "./pen.js";
import { readOnce } from "./server.js";

/** The most paths that are painted: of more tiles each is one colour. */
const MOST_PATHS = 20_000;
/** Up to so many tiles, joints are underlaid by layers: beyond, by a colour alone. */
const MOST_UNDERLAID = 1000;
/** How far a tile reaches under its neighbours, in pixels: enough to hide what shines through a joint. */
const REACH = 0.7;

/** What is painted for each face of a picture's panel, as it is looked at. */
export function facesOf(id, panel, query) {
  return readOnce(`/api/faces/${id}/${panel}?${query.slice(1)}`, (json) => json.map((face) => new Face(face)));
}

class Face {
  constructor({ mean, outline, paths }) {
    this.data = { layers: paths, rim: [[mean, outline]] };
    this.made = {};
  }

  /** Its `layers`, or its `rim` in the mean of its colours: colours with paths, made when they are first wanted. */
  paths(part) {
    this.made[part] ??= this.data[part].map(([colour, data]) => [colour, new Path2D(data)]);
    return this.made[part];
  }
}

/**
 * Paints the part of a panel inside a rectangle (mm), so many pixels of the canvas a mm. Gives whether layers are shown; null
 * where they would be, but are not known of so many faces.
 */
export function paint(canvas, tiles, faces, rect, scale) {
  const visible = tiles.inside(rect.x, rect.y, rect.x + rect.w, rect.y + rect.h, Infinity);
  let paths = 0;
  for (const tile of visible) paths += faces[tiles.face[tile]].data.layers.length;
  const layered = paths <= MOST_PATHS;
  if (layered && paths === 0 && visible.length) return null;
  canvas.width = Math.ceil(rect.w * scale);
  canvas.height = Math.ceil(rect.h * scale);
  const pen = canvas.getContext("2d");
  pen.setTransform(scale, 0, 0, scale, -rect.x * scale, -rect.y * scale);
  if (tiles.trim) {
    const rims = new Path2D();
    rings(rims, tiles.trim);
    pen.clip(rims, "evenodd");
  }
  const wider = 1 + REACH / (tiles.reach * scale);
  const all = (part, grown) => {
    const size = scale * grown;
    for (const tile of visible) {
      pen.setTransform(size, 0, 0, size, (tiles.x[tile] - rect.x) * scale, (tiles.y[tile] - rect.y) * scale);
      for (const [colour, path] of faces[tiles.face[tile]].paths(part)) {
        pen.fillStyle = colour;
        pen.fill(path);
      }
    }
  };
  all(layered && visible.length <= MOST_UNDERLAID ? "layers" : "rim", wider);
  if (layered) all("layers", 1);
  if (tiles.waste.length) {
    // What falls away between pieces is shown pale, as in the drawing.
    pen.setTransform(scale, 0, 0, scale, -rect.x * scale, -rect.y * scale);
    const waste = new Path2D();
    rings(waste, tiles.waste);
    pen.fillStyle = "#ffffffb3";
    pen.fill(waste, "evenodd");
  }
  return layered;
}
