// What is drawn over a panel: joints, numbers, layer lines, the trim, the tile under the pointer.

import { penOver, ring, rings, round } from "./pen.js";

/** More tiles than this are not marked one by one. */
const MOST_MARKED = 6000;
const MOST_LAYERED = 2500;
/** A number needs this many pixels. */
const ROOM = 30;

/** Draws the marks of a view. Tells whether there were too many tiles for some of them. */
export function drawMarks(canvas, tiles, camera, wanted, chosen, hovered) {
  const over = penOver(canvas, tiles, camera);
  if (!over) return false;
  const { pen, scale, dark, light } = over;
  const { left, top, right, bottom } = over.seen;
  let tooMany = false;
  const some = wanted.joints || wanted.numbers || wanted.layers;
  const visible = some ? tiles.inside(left, top, right, bottom, MOST_MARKED) : [];
  over.clip();
  if (some && !visible) tooMany = true;
  if (visible && wanted.layers) {
    if (visible.length > MOST_LAYERED) tooMany = true;
    else {
      pen.beginPath();
      for (const tile of visible) {
        for (const layer of tiles.faces[tiles.face[tile]].layers) ring(pen, layer, tiles.x[tile], tiles.y[tile]);
      }
      over.line(0.6, dark);
    }
  }
  if (visible && wanted.joints) {
    pen.beginPath();
    for (const tile of visible) round(pen, tiles, tile);
    over.line(3, light);
    over.line(1.2, dark);
  }
  pen.restore();
  if (wanted.trim && tiles.trim) {
    pen.setLineDash([8 / scale, 5 / scale]);
    pen.beginPath();
    rings(pen, tiles.trim);
    over.line(4, light);
    over.line(2, dark);
    pen.setLineDash([]);
  }
  for (const [tile, width] of [[hovered, 2], [chosen, 3]]) {
    if (tile < 0 || tile >= tiles.count) continue;
    pen.beginPath();
    round(pen, tiles, tile);
    over.line(width + 3, light);
    over.line(width, dark);
  }
  if (visible && wanted.numbers) {
    if (tiles.reach * scale < ROOM) tooMany = tooMany || visible.length > 0;
    else numbers(over, tiles, visible);
  }
  return tooMany;
}

function numbers({ pen, scale, dark, light, place }, tiles, visible) {
  // Letters a tenth of a mm high are lost on some machines: they are set in pixels.
  const size = Math.min(15, Math.max(10, tiles.reach * scale * 0.3));
  pen.textAlign = "center";
  pen.textBaseline = "middle";
  pen.lineJoin = "round";
  for (const tile of visible) {
    // Of a tile that is nearly trimmed away, the number would float beside the panel.
    if (!tiles.covers(tiles.x[tile], tiles.y[tile])) continue;
    place(tiles.x[tile], tiles.y[tile]);
    pen.scale(1 / scale, 1 / scale);
    pen.font = `600 ${size}px system-ui, sans-serif`;
    const words = tiles.number(tile);
    pen.strokeStyle = light;
    pen.lineWidth = 4;
    pen.strokeText(words, 0, 0);
    pen.fillStyle = dark;
    pen.fillText(words, 0, 0);
  }
  place();
}
