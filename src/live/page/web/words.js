// Numbers and poses as a maker reads them.

const plain = new Intl.NumberFormat("en-GB", { maximumFractionDigits: 1 });

export function count(number) {
  return String(number).replace(/\B(?=(\d{3})+(?!\d))/g, "\u00a0");
}

export function mm(length) {
  return `${plain.format(length).replaceAll(",", "\u00a0")} mm`;
}

export function size(panel) {
  return `${plain.format(panel.width)} \u00d7 ${plain.format(panel.height)} mm`;
}

/** Rounded down to a tenth: 100 only where it is all. */
export function percent(part, all) {
  return all ? `${Math.floor((part * 1000) / all) / 10} %` : "none";
}

export function pose(turn, flip) {
  const angle = `${plain.format(turn)}\u00b0`;
  if (turn === 0) return flip ? "flipped" : "as sliced";
  return flip ? `flipped, turned ${angle}` : `turned ${angle}`;
}

export function metres(distance) {
  if (distance < 1000) return `${Math.round(distance / 10)} cm`;
  return `${plain.format(distance / 1000)} m`;
}

export function matched(joints, through) {
  return joints ? `lines run on through ${percent(through, joints)} of ${count(joints)} joints` : "no joints";
}
