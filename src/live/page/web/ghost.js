// What hands are about to do, drawn over the panel: tiles that are picked, tiles as they would lie,
// joints through which lines would run on, the box that is being drawn.

/** Draws it. Places in mm; `picked` are numbers of tiles. */
export function drawHands(canvas, tiles, camera, { picked, ghosts, lit, box, laid }) {
  const ratio = window.devicePixelRatio || 1;
  const [w, h] = [canvas.clientWidth, canvas.clientHeight];
  if (canvas.width !== Math.round(w * ratio) || canvas.height !== Math.round(h * ratio)) {
    canvas.width = Math.round(w * ratio);
    canvas.height = Math.round(h * ratio);
  }
  const pen = canvas.getContext("2d");
  pen.setTransform(1, 0, 0, 1, 0, 0);
  pen.clearRect(0, 0, canvas.width, canvas.height);
  if (!tiles || w === 0) return;
  const { scale } = camera;
  const [left, top] = [camera.x - w / 2 / scale, camera.y - h / 2 / scale];
  const place = (x, y) =>
    pen.setTransform(ratio * scale, 0, 0, ratio * scale, (x - left) * scale * ratio, (y - top) * scale * ratio);
  const ink = getComputedStyle(canvas);
  const dark = ink.getPropertyValue("--mark").trim() || "#111";
  const light = ink.getPropertyValue("--halo").trim() || "#fff";
  const wood = ink.getPropertyValue("--wood").trim() || "#80461b";
  pen.save();
  place(0, 0);
  pen.beginPath();
  if (tiles.trim) for (const rim of tiles.trim) ring(pen, rim, 0, 0);
  else pen.rect(0, 0, tiles.width, tiles.height);
  pen.clip("evenodd");
  for (const ghost of ghosts) {
    place(tiles.x[ghost.tile], tiles.y[ghost.tile]);
    for (const [colour, path] of ghost.paths) {
      pen.fillStyle = colour;
      pen.fill(new Path2D(path));
    }
  }
  place(0, 0);
  // A dot in the middle of what was laid by hand.
  for (const tile of laid) {
    pen.beginPath();
    pen.arc(tiles.x[tile], tiles.y[tile], Math.min(3 / scale, tiles.reach / 5), 0, 2 * Math.PI);
    pen.fillStyle = dark;
    pen.strokeStyle = light;
    pen.lineWidth = 1.5 / scale;
    pen.stroke();
    pen.fill();
  }
  const line = (width, colour) => {
    pen.lineWidth = width / scale;
    pen.strokeStyle = colour;
    pen.stroke();
  };
  pen.beginPath();
  for (const [ax, ay, bx, by] of lit) {
    pen.moveTo(ax, ay);
    pen.lineTo(bx, by);
  }
  line(7, light);
  line(4, "#2f8f3a");
  pen.restore();
  place(0, 0);
  pen.beginPath();
  for (const tile of picked) ring(pen, tiles.faces[tiles.face[tile]].outline, tiles.x[tile], tiles.y[tile]);
  line(6, light);
  line(3, wood);
  if (box) {
    pen.beginPath();
    pen.rect(box.x, box.y, box.w, box.h);
    pen.setLineDash([6 / scale, 4 / scale]);
    line(4, light);
    line(2, dark);
    pen.setLineDash([]);
  }
}

function ring(pen, corners, x, y) {
  pen.moveTo(corners[0] + x, corners[1] + y);
  for (let i = 2; i < corners.length; i += 2) pen.lineTo(corners[i] + x, corners[i + 1] + y);
  pen.closePath();
}
