// Stretches filed in square bins on a plane, so that what lies near a place or along a way is found without looking at
// all of them.

import { nth } from '../base/nth.ts';

export class StretchBins {
  /** Four numbers per stretch: its two ends. A point is a stretch of no length. */
  readonly ends: Float64Array;
  readonly count: number;
  readonly #bin_m: number;
  readonly #bins = new Map<number, number[]>();
  readonly #seen: Int32Array;
  #stamp = 0;

  constructor(ends: Float64Array, bin_m: number) {
    this.ends = ends;
    this.count = ends.length / 4;
    this.#bin_m = bin_m;
    this.#seen = new Int32Array(this.count);
    for (let k = 0; k < this.count; k++) {
      const [ax, ay, bx, by] = [nth(ends, 4 * k), nth(ends, 4 * k + 1), nth(ends, 4 * k + 2), nth(ends, 4 * k + 3)];
      this.#eachBin(ax, ay, bx, by, (key) => {
        const list = this.#bins.get(key);
        if (list === undefined) this.#bins.set(key, [k]);
        else if (list[list.length - 1] !== k) list.push(k);
        return false;
      });
    }
  }

  /** Bins that the box of each piece of a way touches, pieces no longer than a bin; ends where `visit` answers true. */
  #eachBin(ax: number, ay: number, bx: number, by: number, visit: (key: number) => boolean): boolean {
    const bin = this.#bin_m;
    const pieces = Math.max(1, Math.ceil(Math.hypot(bx - ax, by - ay) / bin));
    for (let p = 0; p < pieces; p++) {
      const x0 = ax + ((bx - ax) * p) / pieces;
      const y0 = ay + ((by - ay) * p) / pieces;
      const x1 = ax + ((bx - ax) * (p + 1)) / pieces;
      const y1 = ay + ((by - ay) * (p + 1)) / pieces;
      if (this.#eachInBox(Math.min(x0, x1), Math.min(y0, y1), Math.max(x0, x1), Math.max(y0, y1), visit)) return true;
    }
    return false;
  }

  #eachInBox(west: number, south: number, east: number, north: number, visit: (key: number) => boolean): boolean {
    const bin = this.#bin_m;
    const [i1, j1] = [Math.floor(east / bin), Math.floor(north / bin)];
    for (let i = Math.floor(west / bin); i <= i1; i++)
      for (let j = Math.floor(south / bin); j <= j1; j++) if (visit((i + 50_000) * 100_003 + (j + 50_000))) return true;
    return false;
  }

  /** Every stretch that a straight way may meet, once each; ends where `visit` answers true. */
  along(ax: number, ay: number, bx: number, by: number, visit: (k: number) => boolean): boolean {
    if (this.count === 0) return false;
    const stamp = (this.#stamp += 1);
    return this.#eachBin(ax, ay, bx, by, (key) => this.#visit(key, stamp, visit));
  }

  /** Every stretch whose bins touch a box, once each; those near it may be among them. */
  inBox(west: number, south: number, east: number, north: number, visit: (k: number) => boolean): boolean {
    if (this.count === 0) return false;
    const stamp = (this.#stamp += 1);
    return this.#eachInBox(west, south, east, north, (key) => this.#visit(key, stamp, visit));
  }

  #visit(key: number, stamp: number, visit: (k: number) => boolean): boolean {
    for (const k of this.#bins.get(key) ?? []) {
      if (this.#seen[k] === stamp) continue;
      this.#seen[k] = stamp;
      if (visit(k)) return true;
    }
    return false;
  }
}
