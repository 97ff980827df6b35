// Drawing over the panel: a canvas as large as the stage, on which one mm is one unit.

/** A pen for a canvas, which is cleared; null where there is nothing to draw over. */
export function penOver(canvas, tiles, camera) {
  const ratio = window.devicePixelRatio || 1;
  const [w, h] = [canvas.clientWidth, canvas.clientHeight];
  const [wide, high] = [Math.round(w * ratio), Math.round(h * ratio)];
  if (canvas.width !== wide || canvas.height !== high) Object.assign(canvas, { width: wide, height: high });
  const pen = canvas.getContext("2d");
  pen.setTransform(1, 0, 0, 1, 0, 0);
  pen.clearRect(0, 0, wide, high);
  if (!tiles || w === 0) return null;
  const { scale } = camera;
  const [left, top] = [camera.x - w / 2 / scale, camera.y - h / 2 / scale];
  const ink = getComputedStyle(canvas);
  const inked = (name, otherwise) => ink.getPropertyValue(name).trim() || otherwise;
  const over = {
    pen,
    scale,
    dark: inked("--mark", "#111"),
    light: inked("--halo", "#fff"),
    wood: inked("--wood", "#80461b"),
    /** What is in sight, in mm. */
    seen: { left, top, right: left + w / scale, bottom: top + h / scale },
    /** Counts mm from a point on. */
    place(x = 0, y = 0) {
      pen.setTransform(ratio * scale, 0, 0, ratio * scale, (x - left) * scale * ratio, (y - top) * scale * ratio);
    },
    /** Draws what the pen has gone along, so many pixels wide. */
    line(width, colour) {
      pen.lineWidth = width / scale;
      pen.strokeStyle = colour;
      pen.stroke();
    },
    /** Keeps to the finished panel until it is restored. */
    clip() {
      pen.save();
      pen.beginPath();
      if (tiles.trim) rings(pen, tiles.trim);
      else pen.rect(0, 0, tiles.width, tiles.height);
      pen.clip("evenodd");
    },
  };
  over.place();
  return over;
}

/** Goes round corners, moved by so much. */
export function ring(path, corners, x = 0, y = 0) {
  path.moveTo(corners[0] + x, corners[1] + y);
  for (let i = 2; i < corners.length; i += 2) path.lineTo(corners[i] + x, corners[i + 1] + y);
  path.closePath();
}

/** Goes round each of some rims. */
export function rings(path, rims) {
  for (const rim of rims) ring(path, rim);
}

/** Goes round a tile where it lies. */
export function round(pen, tiles, tile) {
  ring(pen, tiles.faces[tiles.face[tile]].outline, tiles.x[tile], tiles.y[tile]);
}
