// The values that a parameter takes one after the other on the wall.

export function* seeds(from) {
  for (let seed = BigInt(from); seed < 2n ** 64n; seed += 1n) yield String(seed);
}

/** The values of a parameter one after the other; null where it has too many of no order. */
export function valuesOf(parameter, colours) {
  const { kind, choices, least, most, unit } = parameter.domain;
  const plain = (list) => list.map((value) => ({ typed: value, shown: value })).values();
  if (kind === "choice") return plain(choices);
  if (kind === "yes-no") return plain(["yes", "no"]);
  if (kind === "colour") return plain(colours.map(([name]) => name));
  if (kind === "whole") return wholes(least ?? Math.max(0, parameter.value - 12), most);
  if (kind === "number" && least !== null && most !== null && most > least) return numbers(least, most, unit);
  return null;
}

function* wholes(least, most) {
  for (let n = least; n <= (most ?? Infinity); n += 1) yield { typed: String(n), shown: String(n) };
}

/** Ends first, then halves, quarters and so on: the finer, the farther one scrolls. */
function* numbers(least, most, unit) {
  const length = unit === "mm" || unit === "in";
  const one = (part) => {
    const value = Number((least + (most - least) * part).toFixed(3));
    const shown = unit === "in" ? `${Number((value / 25.4).toFixed(3))} in` : `${value}${unit === "deg" ? "\u00b0" : unit ? ` ${unit}` : ""}`;
    return { typed: length ? `${value} mm` : String(value), shown };
  };
  yield one(0);
  yield one(1);
  for (let parts = 2; parts <= 512; parts *= 2) {
    for (let i = 1; i < parts; i += 2) yield one(i / parts);
  }
}

/** Some values to stand side by side: the first of those in order, or so many spread over a range. */
export function someOf(parameter, colours, most) {
  const { kind, least, most: top } = parameter.domain;
  if (kind === "number" && least !== null && top !== null) {
    const all = [...take(valuesOf(parameter, colours), 2 ** Math.floor(Math.log2(most - 1)) + 1)];
    const order = (value) => Number.parseFloat(value.typed);
    return all.sort((a, b) => order(a) - order(b));
  }
  if (kind === "whole" && least !== null && top !== null && top - least >= most) {
    const step = (top - least) / (most - 1);
    const numbers = Array.from({ length: most }, (_, i) => String(Math.round(least + i * step)));
    return numbers.map((n) => ({ typed: n, shown: n }));
  }
  return [...take(valuesOf(parameter, colours), most)];
}

function* take(values, most) {
  for (let i = 0; i < most; i += 1) {
    const { value, done } = values.next();
    if (done) return;
    yield value;
  }
}
