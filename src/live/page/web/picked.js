// The tiles that are picked, by their cells: those stay what they are when a new picture numbers its tiles anew.

export class Picked {
  /** `tiles` gives the tiles of the picture that hands work on; none before they are known. */
  constructor(tiles) {
    this.tiles = tiles;
    /** Cells, as "column,course". */
    this.keys = new Set();
  }

  get size() {
    return this.keys.size;
  }

  cell(tile) {
    const { column, course } = this.tiles().json;
    return [column[tile], course[tile]];
  }

  key(tile) {
    return this.cell(tile).join(",");
  }

  has(tile) {
    return this.keys.has(this.key(tile));
  }

  cells() {
    return [...this.keys].map((key) => key.split(",").map(Number));
  }

  /** The numbers of the tiles. */
  numbers() {
    const tiles = this.tiles();
    if (!tiles || this.size === 0) return [];
    const { column, course } = tiles.json;
    return all(tiles).filter((i) => this.keys.has(`${column[i]},${course[i]}`));
  }

  clear() {
    this.keys.clear();
  }

  /** Picks these and no others. */
  set(tiles) {
    this.keys = new Set(tiles.map((tile) => this.key(tile)));
  }

  /** Picks tiles, or lets go of them where all of them are picked; with `more` the others stay. */
  pick(tiles, more) {
    const keys = tiles.map((tile) => this.key(tile));
    const all = keys.every((key) => this.keys.has(key));
    if (!more) {
      const alone = all && this.size === keys.length;
      this.clear();
      if (alone) return;
    }
    for (const key of keys) {
      if (more && all) this.keys.delete(key);
      else this.keys.add(key);
    }
  }

  /** Does work as if these were picked. */
  during(tiles, work) {
    const had = this.keys;
    this.set(tiles);
    work();
    this.keys = had;
  }

  /** The tiles that belong to one, by what is picked at once. */
  group(tile, reach) {
    const tiles = this.tiles();
    const { column, course } = tiles.json;
    const kind = (i) => tiles.faces[tiles.face[i]].kind;
    const alike = {
      course: (i) => course[i] === course[tile],
      column: (i) => column[i] === column[tile],
      kind: (i) => kind(i) === kind(tile),
    }[reach];
    if (!alike) return [tile];
    return all(tiles).filter(alike);
  }

  /** The tiles that a box holds for the most part, or reaches well into. */
  inBox(box) {
    const tiles = this.tiles();
    const grace = tiles.reach * 0.45;
    return all(tiles).filter((i) => {
      const [x, y] = [tiles.x[i] - box.x + grace, tiles.y[i] - box.y + grace];
      return x >= 0 && y >= 0 && x <= box.w + 2 * grace && y <= box.h + 2 * grace;
    });
  }
}

function all(tiles) {
  return Array.from({ length: tiles.count }, (_, i) => i);
}
