// What is drawn over a panel: joints, numbers, layer lines, the trim, the tile under the pointer.

/** More tiles than this are not marked one by one. */
const MOST_MARKED = 6000;
const MOST_LAYERED = 2500;
/** A number needs this many pixels. */
const ROOM = 30;

/** Draws the marks of a view. Tells whether there were too many tiles for some of them. */
export function drawMarks(canvas, tiles, camera, wanted, chosen, hovered) {
  const ratio = window.devicePixelRatio || 1;
  const [w, h] = [canvas.clientWidth, canvas.clientHeight];
  if (canvas.width !== Math.round(w * ratio) || canvas.height !== Math.round(h * ratio)) {
    canvas.width = Math.round(w * ratio);
    canvas.height = Math.round(h * ratio);
  }
  const pen = canvas.getContext("2d");
  pen.setTransform(1, 0, 0, 1, 0, 0);
  pen.clearRect(0, 0, canvas.width, canvas.height);
  if (!tiles || w === 0) return false;
  const scale = camera.scale;
  const [left, top] = [camera.x - w / 2 / scale, camera.y - h / 2 / scale];
  // One mm is one unit from here on.
  const place = () => pen.setTransform(ratio * scale, 0, 0, ratio * scale, -left * scale * ratio, -top * scale * ratio);
  place();
  const ink = getComputedStyle(canvas);
  const dark = ink.getPropertyValue("--mark").trim() || "#111";
  const light = ink.getPropertyValue("--halo").trim() || "#fff";
  let tooMany = false;
  const some = wanted.joints || wanted.numbers || wanted.layers;
  const visible = some ? tiles.inside(left, top, left + w / scale, top + h / scale, MOST_MARKED) : [];
  pen.save();
  pen.beginPath();
  if (tiles.trim) for (const rim of tiles.trim) ring(pen, rim, 0, 0);
  else pen.rect(0, 0, tiles.width, tiles.height);
  pen.clip("evenodd");
  if (some && !visible) tooMany = true;
  if (visible && wanted.layers) {
    if (visible.length > MOST_LAYERED) tooMany = true;
    else {
      pen.strokeStyle = dark;
      pen.lineWidth = 0.6 / scale;
      pen.beginPath();
      for (const tile of visible) {
        for (const layer of tiles.faces[tiles.face[tile]].layers) ring(pen, layer, tiles.x[tile], tiles.y[tile]);
      }
      pen.stroke();
    }
  }
  if (visible && wanted.joints) {
    pen.beginPath();
    for (const tile of visible) ring(pen, tiles.faces[tiles.face[tile]].outline, tiles.x[tile], tiles.y[tile]);
    pen.strokeStyle = light;
    pen.lineWidth = 3 / scale;
    pen.stroke();
    pen.strokeStyle = dark;
    pen.lineWidth = 1.2 / scale;
    pen.stroke();
  }
  pen.restore();
  if (wanted.trim && tiles.trim) {
    pen.setLineDash([8 / scale, 5 / scale]);
    pen.beginPath();
    for (const rim of tiles.trim) ring(pen, rim, 0, 0);
    pen.strokeStyle = light;
    pen.lineWidth = 4 / scale;
    pen.stroke();
    pen.strokeStyle = dark;
    pen.lineWidth = 2 / scale;
    pen.stroke();
    pen.setLineDash([]);
  }
  for (const [tile, width] of [[hovered, 2], [chosen, 3]]) {
    if (tile < 0 || tile >= tiles.count) continue;
    pen.beginPath();
    ring(pen, tiles.faces[tiles.face[tile]].outline, tiles.x[tile], tiles.y[tile]);
    pen.strokeStyle = light;
    pen.lineWidth = (width + 3) / scale;
    pen.stroke();
    pen.strokeStyle = dark;
    pen.lineWidth = width / scale;
    pen.stroke();
  }
  if (visible && wanted.numbers) {
    if (tiles.reach * scale < ROOM) tooMany = tooMany || visible.length > 0;
    else numbers(pen, tiles, visible, scale, dark, light, place);
  }
  return tooMany;
}

function numbers(pen, tiles, visible, scale, dark, light, place) {
  // Letters a tenth of a mm high are lost on some machines: they are set in pixels.
  const size = Math.min(15, Math.max(10, tiles.reach * scale * 0.3));
  pen.textAlign = "center";
  pen.textBaseline = "middle";
  pen.lineJoin = "round";
  for (const tile of visible) {
    // Of a tile that is nearly trimmed away, the number would float beside the panel.
    if (!tiles.covers(tiles.x[tile], tiles.y[tile])) continue;
    place();
    pen.translate(tiles.x[tile], tiles.y[tile]);
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

function ring(pen, corners, x, y) {
  pen.moveTo(corners[0] + x, corners[1] + y);
  for (let i = 2; i < corners.length; i += 2) pen.lineTo(corners[i] + x, corners[i + 1] + y);
  pen.closePath();
}
