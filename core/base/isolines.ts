// Lines of equal height through a regular grid: marching squares with linear interpolation along the cells' edges. Grid
// coordinates: x in columns, y in rows, nodes at whole numbers. Source of the method: common practice since the 1980s.
// Turf's isolines are not used: they take an unknown height for 0 and draw lines around it
// (`tests/renderer/mapIsolines.test.ts`).

/** A line through the grid as x, y, x, y, …. Where `closed`, the last point joins the first and is not repeated. */
export interface Isoline {
  readonly points: Float64Array;
  readonly closed: boolean;
}

/** A rectangular piece of a grid: nodes [column0, column1] × [row0, row1], both ends held. */
export interface GridPart {
  readonly column0: number;
  readonly column1: number;
  readonly row0: number;
  readonly row1: number;
}

// Edges of a cell: 0 top, 1 right, 2 bottom, 3 left. Corners by bit: 8 top left, 4 top right, 2 bottom right, 1 bottom
// left; a set bit means at or above the level. Each entry: pairs of edges that a segment joins. 5 and 10 are saddles,
// settled by the middle.
const SEGMENTS: readonly (readonly number[])[] = [
  [],
  [3, 2],
  [2, 1],
  [3, 1],
  [0, 1],
  [],
  [0, 2],
  [0, 3],
  [0, 3],
  [0, 2],
  [],
  [0, 1],
  [3, 1],
  [2, 1],
  [3, 2],
  [],
];
const SADDLE_JOINED_5 = [0, 3, 2, 1] as const;
const SADDLE_SPLIT_5 = [0, 1, 3, 2] as const;

/**
 * All lines of one level through a part of a grid.
 *
 * values   row by row, `columns` a row; NaN where unknown: a cell with an unknown corner carries no line
 * level    a node that equals it counts as above, so that a flat at the level gives one outline and not two
 * Error    vertices are exact for a plane; along an edge the level is missed by at most h²/8 · max |f″|
 *          (`tests/renderer/mapIsolines.test.ts` checks both)
 */
export function isolines(values: ArrayLike<number>, columns: number, part: GridPart, level: number): Isoline[] {
  const chains = new Chains(columns);
  for (let row = part.row0; row < part.row1; row++) {
    for (let column = part.column0; column < part.column1; column++) {
      const at = row * columns + column;
      const a = values[at] ?? NaN;
      const b = values[at + 1] ?? NaN;
      const c = values[at + columns + 1] ?? NaN;
      const d = values[at + columns] ?? NaN;
      const middle = (a + b + c + d) / 4;
      if (!Number.isFinite(middle)) continue;
      const kind = (a >= level ? 8 : 0) | (b >= level ? 4 : 0) | (c >= level ? 2 : 0) | (d >= level ? 1 : 0);
      if (kind === 0 || kind === 15) continue;
      chains.addCell(column, row, segmentsOf(kind, middle >= level));
    }
  }
  return chains.lines(values, level);
}

function segmentsOf(kind: number, middleAbove: boolean): readonly number[] {
  if (kind === 5) return middleAbove ? SADDLE_JOINED_5 : SADDLE_SPLIT_5;
  if (kind === 10) return middleAbove ? SADDLE_SPLIT_5 : SADDLE_JOINED_5;
  return SEGMENTS[kind] ?? [];
}

/** Joins segments by the grid edges they end on: an edge is crossed at most once, so it names its vertex. */
class Chains {
  readonly #columns: number;
  /** For each crossed edge its one or two neighbours; −1 for none. */
  readonly #links = new Map<number, [number, number]>();

  constructor(columns: number) {
    this.#columns = columns;
  }

  /** Edge number: even for the edge that runs east from a node, odd for the one that runs south. */
  #edge(column: number, row: number, side: number): number {
    const node = (row + (side === 2 ? 1 : 0)) * this.#columns + column + (side === 1 ? 1 : 0);
    return 2 * node + (side === 1 || side === 3 ? 1 : 0);
  }

  addCell(column: number, row: number, sides: readonly number[]): void {
    for (let i = 0; i + 1 < sides.length; i += 2) {
      const from = this.#edge(column, row, sides[i] ?? 0);
      const to = this.#edge(column, row, sides[i + 1] ?? 0);
      this.#link(from, to);
      this.#link(to, from);
    }
  }

  #link(from: number, to: number): void {
    const links = this.#links.get(from);
    if (links === undefined) this.#links.set(from, [to, -1]);
    else links[1] = to;
  }

  lines(values: ArrayLike<number>, level: number): Isoline[] {
    const out: Isoline[] = [];
    const done = new Set<number>();
    // Open lines first, from their ends; what is left over are rings.
    for (const [edge, links] of this.#links)
      if (links[1] === -1 && !done.has(edge)) out.push(this.#walk(edge, done, values, level));
    for (const edge of this.#links.keys()) if (!done.has(edge)) out.push(this.#walk(edge, done, values, level));
    return out;
  }

  #walk(start: number, done: Set<number>, values: ArrayLike<number>, level: number): Isoline {
    const points: number[] = [];
    for (let edge: number | undefined = start; edge !== undefined;) {
      done.add(edge);
      this.#vertex(edge, values, level, points);
      edge = this.#links.get(edge)?.find((next) => next !== -1 && !done.has(next));
    }
    const [, second] = this.#links.get(start) ?? [-1, -1];
    return { points: Float64Array.from(points), closed: second !== -1 };
  }

  #vertex(edge: number, values: ArrayLike<number>, level: number, out: number[]): void {
    const node = edge >> 1;
    const south = (edge & 1) === 1;
    const a = values[node] ?? NaN;
    const b = values[south ? node + this.#columns : node + 1] ?? NaN;
    const f = b === a ? 0 : (level - a) / (b - a);
    const column = node % this.#columns;
    const row = (node - column) / this.#columns;
    out.push(south ? column : column + f, south ? row + f : row);
  }
}
