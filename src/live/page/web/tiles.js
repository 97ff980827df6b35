// The tiles of one panel, found by place. Lengths in mm; the server sends whole micrometres.

import { readOnce } from "./server.js";

/** The tiles of a picture's panel. */
export function tilesOf(id, panel) {
  return readOnce(`/api/tiles/${id}/${panel}`, (json) => new Tiles(json));
}

export class Tiles {
  constructor(json) {
    this.width = json.width / 1000;
    this.height = json.height / 1000;
    this.trim = json.trim?.map((rim) => rim.map((n) => n / 1000)) ?? null;
    this.waste = json.waste?.map((rim) => rim.map((n) => n / 1000)) ?? [];
    this.count = json.face.length;
    this.face = json.face;
    this.x = json.x.map((n) => n / 1000);
    this.y = json.y.map((n) => n / 1000);
    this.json = json;
    this.faces = json.faces.map((face) => ({
      kind: face.kind,
      turn: face.turn,
      flip: face.flip,
      mean: face.mean,
      outline: face.outline.map((n) => n / 1000),
      layers: face.layers.map((layer) => layer.map((n) => n / 1000)),
    }));
    this.reach = 0;
    for (const face of this.faces) {
      for (const n of face.outline) this.reach = Math.max(this.reach, Math.abs(n));
    }
    // Squares as large as a tile: one that holds a point lies in a square beside the point's.
    this.side = Math.max(this.reach, Math.sqrt((this.width * this.height) / (this.count + 1)), 0.5);
    this.columns = Math.ceil(this.width / this.side) + 4;
    this.squares = new Map();
    for (let i = 0; i < this.count; i += 1) {
      const square = this.square(this.x[i], this.y[i]);
      const list = this.squares.get(square);
      if (list) list.push(i);
      else this.squares.set(square, [i]);
    }
  }

  square(x, y) {
    return this.at2(Math.floor(x / this.side), Math.floor(y / this.side));
  }

  at2(i, j) {
    return (j + 2) * this.columns + i + 2;
  }

  /** Whether a point lies on the finished panel. */
  covers(x, y) {
    if (x < 0 || y < 0 || x > this.width || y > this.height) return false;
    return !this.trim || this.trim.filter((rim) => holds(rim, x, y)).length % 2 === 1;
  }

  /** The tile at a point; -1 where there is none. A point on a joint belongs to a tile beside it. */
  at(x, y) {
    if (!this.covers(x, y)) return -1;
    const found = this.under(x, y);
    return found < 0 ? this.under(x - 0.0011, y - 0.0007) : found;
  }

  under(x, y) {
    const around = Math.ceil(this.reach / this.side);
    const [i, j] = [Math.floor(x / this.side), Math.floor(y / this.side)];
    for (let b = j - around; b <= j + around; b += 1) {
      for (let a = i - around; a <= i + around; a += 1) {
        for (const tile of this.squares.get(this.at2(a, b)) ?? []) {
          if (holds(this.faces[this.face[tile]].outline, x - this.x[tile], y - this.y[tile])) return tile;
        }
      }
    }
    return -1;
  }

  /** The tiles that reach into a rectangle; null where they are more than `most`. */
  inside(left, top, right, bottom, most) {
    const found = [];
    const low = (n) => Math.floor((n - this.reach) / this.side);
    const high = (n) => Math.floor((n + this.reach) / this.side);
    const [fromI, toI] = [Math.max(low(left), -2), Math.min(high(right), this.columns)];
    const [fromJ, toJ] = [Math.max(low(top), -2), high(Math.min(bottom, this.height + this.side))];
    for (let j = fromJ; j <= toJ; j += 1) {
      for (let i = fromI; i <= toI; i += 1) {
        const list = this.squares.get(this.at2(i, j));
        if (!list) continue;
        for (const tile of list) found.push(tile);
        if (found.length > most) return null;
      }
    }
    return found;
  }

  /** Its number, as map and template have it: course and place in the course, from 1. */
  number(tile) {
    return this.json.numbers[tile].join("-");
  }

  /** What a tile is. */
  about(tile) {
    const face = this.faces[this.face[tile]];
    return {
      kind: face.kind,
      turn: face.turn,
      flip: face.flip,
      column: this.json.column[tile],
      course: this.json.course[tile],
      number: this.number(tile),
      whole: this.json.whole[tile] === 1,
      joints: this.json.joints[tile],
      matched: this.json.matched[tile],
    };
  }

  /** The nearest tile from one of them in a direction; the same where there is none. */
  beside(tile, dx, dy) {
    const [x, y] = [this.x[tile], this.y[tile]];
    let best = tile;
    let least = Infinity;
    const far = this.reach * 6;
    for (const other of this.inside(x - far, y - far, x + far, y + far, Infinity)) {
      const along = (this.x[other] - x) * dx + (this.y[other] - y) * dy;
      const off = Math.abs((this.x[other] - x) * dy) + Math.abs((this.y[other] - y) * dx);
      if (other === tile || along <= 0.01 || off > along * 1.8) continue;
      const cost = along + 2 * off;
      if (cost < least) [best, least] = [other, cost];
    }
    return best;
  }
}

function holds(outline, x, y) {
  let inside = false;
  const n = outline.length;
  for (let i = 0, j = n - 2; i < n; j = i, i += 2) {
    const [ax, ay, bx, by] = [outline[i], outline[i + 1], outline[j], outline[j + 1]];
    if (ay > y !== by > y && x < ((bx - ax) * (y - ay)) / (by - ay) + ax) inside = !inside;
  }
  return inside;
}
