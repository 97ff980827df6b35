// What hands are about to do, drawn over the panel: tiles that are picked, tiles as they would lie,
// joints through which lines would run on, the box that is being drawn.

import { penOver, round } from "./pen.js";

/** Draws it. Places in mm; `picked` are numbers of tiles. */
export function drawHands(canvas, tiles, camera, { picked, ghosts, lit, box, laid }) {
  const over = penOver(canvas, tiles, camera);
  if (!over) return;
  const { pen, scale, dark, light, wood } = over;
  over.clip();
  for (const ghost of ghosts) {
    over.place(tiles.x[ghost.tile], tiles.y[ghost.tile]);
    for (const [colour, path] of ghost.paths) {
      pen.fillStyle = colour;
      pen.fill(new Path2D(path));
    }
  }
  over.place();
  // A dot in the middle of what was laid by hand.
  for (const tile of laid) {
    pen.beginPath();
    pen.arc(tiles.x[tile], tiles.y[tile], Math.min(3 / scale, tiles.reach / 5), 0, 2 * Math.PI);
    over.line(1.5, light);
    pen.fillStyle = dark;
    pen.fill();
  }
  pen.beginPath();
  for (const [ax, ay, bx, by] of lit) {
    pen.moveTo(ax, ay);
    pen.lineTo(bx, by);
  }
  over.line(7, light);
  over.line(4, "#2f8f3a");
  pen.restore();
  over.place();
  pen.beginPath();
  for (const tile of picked) round(pen, tiles, tile);
  over.line(6, light);
  over.line(3, wood);
  if (box) {
    pen.beginPath();
    pen.rect(box.x, box.y, box.w, box.h);
    pen.setLineDash([6 / scale, 4 / scale]);
    over.line(4, light);
    over.line(2, dark);
    pen.setLineDash([]);
  }
}
