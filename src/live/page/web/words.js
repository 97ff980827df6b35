// Numbers and poses as a maker reads them.

function tenths(number) {
  const [whole, part] = String(Math.round(number * 10) / 10).split(".");
  return part ? `${count(whole)}.${part}` : count(whole);
}

export function count(number) {
  return String(number).replace(/\B(?=(\d{3})+(?!\d))/g, "\u00a0");
}

export function size(panel) {
  return `${tenths(panel.width)} \u00d7 ${tenths(panel.height)} mm`;
}

/** Rounded down to a tenth: 100 only where it is all. */
export function percent(part, all) {
  return all ? `${Math.floor((part * 1000) / all) / 10} %` : "none";
}

export function pose(turn, flip) {
  const angle = `${tenths(turn)}\u00b0`;
  if (turn === 0) return flip ? "flipped" : "as sliced";
  return flip ? `flipped, turned ${angle}` : `turned ${angle}`;
}

export function metres(distance) {
  if (distance < 1000) return `${Math.round(distance / 10)} cm`;
  return `${tenths(distance / 1000)} m`;
}

/** Tiles and lines in short, as cards tell them. */
export function inShort(told) {
  const lines = told.joints ? `lines run on through ${percent(told.matched, told.joints)} of joints` : "no joints";
  return `${count(told.tiles)} tiles, ${lines}`;
}

export function matched(joints, through) {
  return joints ? `lines run on through ${percent(through, joints)} of ${count(joints)} joints` : "no joints";
}
