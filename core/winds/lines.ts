// The wind over a stretch of height as one straight line: the line with the same mean and the same first moment. A
// falling body answers to a wind slowly, so that over one step such a line carries it as the wind itself does, and an
// integrator that never meets the breaks between levels takes far longer steps. Only for a field of one column; heights
// m MSL, rising; times s since `start`.
import { nth } from '../base/nth.ts';
import { assert } from '../base/problem.ts';
import type { WindField, WindOffset } from './field.ts';

/** Of each node: u, its slope in the cell above, ∫u and ∫∫u up to it; then the same of v. */
const WIDTH = 8;

/** One component of a piecewise linear wind: its heights, and its numbers from `from` on. */
interface Component {
  readonly heights: Float64Array;
  readonly values: Float64Array;
  readonly from: number;
}

/** Fills one component's half of a table from `row` on; above the last node the last value holds. */
function sumUp({ heights, values, from }: Component, table: Float64Array, row: number): void {
  const n = heights.length;
  let first = 0;
  let second = 0;
  for (let k = 0; k < n; k++) {
    const value = nth(values, from + k);
    const dz = k + 1 < n ? nth(heights, k + 1) - nth(heights, k) : 0;
    const slope = dz > 0 ? (nth(values, from + k + 1) - value) / dz : 0;
    const at = row + k * WIDTH;
    table[at] = value;
    table[at + 1] = slope;
    table[at + 2] = first;
    table[at + 3] = second;
    second += dz * (first + dz * (value / 2 + (dz * slope) / 6));
    first += dz * (value + (dz * slope) / 2);
  }
}

/** Below this length the wind in the middle stands for the line: differences of sums would lose their digits. */
const SHORTEST_M = 0.5;

/**
 * ∫u, ∫∫u, ∫v, ∫∫v up to a height: of the earlier column with what is added, of the change to the later one; four in
 * hand.
 */
const SUMS = 12;

/**
 * Fits lines for one body that is in the air.
 *
 * Error  of a landing, against the wind itself: part of what `tests/descent/accuracy.test.ts` and `npm run bench`
 *        measure for an
 *        ensemble's members; exact where the wind is straight (`tests/winds/lines.test.ts`)
 */
export class WindLines {
  /** The line of the last `fit`: at `middle_m` it is u, v m/s, and per metre of height it changes by the slopes. */
  middle_m = 0;
  u_mps = 0;
  v_mps = 0;
  uSlope = 0;
  vSlope = 0;
  readonly #field: WindField;
  readonly #columns: Float64Array;
  #start_s = 0;
  #offset: WindOffset | null = null;
  #added = new Float64Array(0);
  #k = 0;
  #o = 0;
  /** The earlier of the two columns in use, and the times of both. */
  #time = 0;
  readonly #timeLast: number;
  #from_s = 0;
  #to_s = 0;
  #low = new Float64Array(SUMS);
  #lowAt_m = NaN;
  #high = new Float64Array(SUMS);
  #highAt_m = NaN;
  /**
   * What is to be fitted: kept here, since a number handed to a function that is not small is a number put on the heap.
   */
  #bottom_m = 0;
  #top_m = 0;
  #half_s = 0;
  #passing_s = 0;
  /** Where the sums are taken, and how far above the node below it. */
  #height_m = 0;
  #above_m = 0;

  /** Whether a field can be fitted: it is the same everywhere. */
  static fits(field: WindField): boolean {
    return field.lats_rad.length === 1 && field.lons_rad.length === 1;
  }

  constructor(field: WindField) {
    assert(WindLines.fits(field), 'lines are of a field that is the same everywhere');
    this.#field = field;
    this.#timeLast = field.times_s.length - 2;
    const n = field.heights_m.length;
    this.#columns = new Float64Array(field.times_s.length * n * WIDTH);
    for (let i = 0; i < field.times_s.length; i++) {
      const { heights_m: heights, u_mps, v_mps } = field;
      sumUp({ heights, values: u_mps, from: i * n }, this.#columns, i * n * WIDTH);
      sumUp({ heights, values: v_mps, from: i * n }, this.#columns, i * n * WIDTH + WIDTH / 2);
    }
  }

  /** Starts a flight: its t = 0 in seconds since 1970, and what is added to the field. */
  start(start_s: number, offset: WindOffset | null): void {
    this.#start_s = start_s;
    this.#offset = offset;
    this.#k = this.#field.heights_m.length - 1;
    this.#low.fill(0);
    this.#high.fill(0);
    this.#lowAt_m = NaN;
    this.#highAt_m = NaN;
    this.#useColumns(0);
    if (offset === null) return;
    const n = offset.heights_m.length;
    if (this.#added.length !== n * WIDTH) this.#added = new Float64Array(n * WIDTH);
    const { heights_m: heights, u_mps, v_mps } = offset;
    sumUp({ heights, values: u_mps, from: 0 }, this.#added, 0);
    sumUp({ heights, values: v_mps, from: 0 }, this.#added, WIDTH / 2);
    this.#o = n - 1;
  }

  #useColumns(time: number): void {
    const { times_s } = this.#field;
    this.#time = time;
    this.#from_s = nth(times_s, time);
    this.#to_s = nth(times_s, Math.min(time + 1, times_s.length - 1));
    this.#lowAt_m = NaN;
    this.#highAt_m = NaN;
  }

  /** How far a time lies from the earlier to the later column, 0 to 1. */
  #share(t_s: number): number {
    const share = (t_s + this.#start_s - this.#from_s) / (this.#to_s - this.#from_s);
    return share > 0 ? Math.min(share, 1) : 0;
  }

  /**
   * Fits the wind between two heights for a body that is half-way at a time and passes from the high to the low end in
   * `passing_s`: the wind of each height when it is there. A stretch that begins where the last one ended costs half.
   */
  fit(low_m: number, high_m: number, t_s: number, passing_s: number): void {
    const short = Math.max(0, SHORTEST_M - (high_m - low_m)) / 2;
    this.#bottom_m = low_m - short;
    this.#top_m = high_m + short;
    this.#half_s = t_s;
    this.#passing_s = passing_s;
    this.#fit();
  }

  #fit(): void {
    const t_s = this.#half_s;
    while (this.#time < this.#timeLast && t_s + this.#start_s >= this.#to_s) this.#useColumns(this.#time + 1);
    this.#sumUpToEnds();
    const low = this.#low;
    const high = this.#high;
    const bottom = this.#bottom_m;
    const top = this.#top_m;
    const length = top - bottom;
    const per = 1 / length;
    // ∫(z − middle) w dz = L (∫ to the top + ∫ to the bottom)/2 − (∫∫ to the top − ∫∫ to the bottom); of a line it is
    // slope L³/12.
    const half = length / 2;
    const perCube = 12 * per * per * per;
    let u = per * (nth(high, 0) - nth(low, 0));
    let v = per * (nth(high, 2) - nth(low, 2));
    let uSlope = perCube * (half * (nth(high, 0) + nth(low, 0)) - nth(high, 1) + nth(low, 1));
    let vSlope = perCube * (half * (nth(high, 2) + nth(low, 2)) - nth(high, 3) + nth(low, 3));
    if (this.#to_s > this.#from_s) {
      const g = this.#share(t_s);
      const uChange = per * (nth(high, 4) - nth(low, 4));
      const vChange = per * (nth(high, 6) - nth(low, 6));
      const uSlopeChange = perCube * (half * (nth(high, 4) + nth(low, 4)) - nth(high, 5) + nth(low, 5));
      const vSlopeChange = perCube * (half * (nth(high, 6) + nth(low, 6)) - nth(high, 7) + nth(low, 7));
      // Where the wind changes with time as it does with height, the two meet: the share of the later column runs with
      // height too.
      const gSlope = g > 0 && g < 1 ? (-this.#passing_s * per) / (this.#to_s - this.#from_s) : 0;
      const meeting = (gSlope * length * length) / 12;
      u += g * uChange + meeting * uSlopeChange;
      v += g * vChange + meeting * vSlopeChange;
      uSlope += g * uSlopeChange + gSlope * uChange;
      vSlope += g * vSlopeChange + gSlope * vChange;
    }
    this.middle_m = (bottom + top) / 2;
    this.u_mps = u;
    this.v_mps = v;
    this.uSlope = uSlope;
    this.vSlope = vSlope;
  }

  /**
   * Brings the sums of both ends up to date; those of an end that stays, or becomes the other end, are kept.
   */
  #sumUpToEnds(): void {
    const top = this.#top_m;
    const bottom = this.#bottom_m;
    if (top !== this.#highAt_m) {
      const ended = this.#low;
      const reuse = top === this.#lowAt_m;
      this.#low = this.#high;
      this.#high = ended;
      this.#lowAt_m = NaN;
      this.#height_m = top;
      if (!reuse) this.#sum(ended);
      this.#highAt_m = top;
    }
    if (bottom !== this.#lowAt_m) {
      this.#height_m = bottom;
      this.#sum(this.#low);
      this.#lowAt_m = bottom;
    }
  }

  #sum(out: Float64Array): void {
    const height_m = this.#height_m;
    const { heights_m, times_s } = this.#field;
    const n = heights_m.length;
    const k = nodeBelow(heights_m, height_m, this.#k);
    this.#k = k;
    this.#above_m = height_m - nth(heights_m, k);
    const row = (this.#time * n + k) * WIDTH;
    this.#sumFrom(this.#columns, row, out, 0);
    if (times_s.length > 1) {
      this.#sumFrom(this.#columns, row + n * WIDTH, out, 4);
      for (let i = 0; i < 4; i++) out[i + 4] = nth(out, i + 4) - nth(out, i);
    }
    const offset = this.#offset;
    if (offset === null) return;
    const o = nodeBelow(offset.heights_m, height_m, this.#o);
    this.#o = o;
    this.#above_m = height_m - nth(offset.heights_m, o);
    this.#sumFrom(this.#added, o * WIDTH, out, 8);
    for (let i = 0; i < 4; i++) out[i] = nth(out, i) + nth(out, i + 8);
  }

  /** The four sums from a node on; below the lowest node its value holds. */
  #sumFrom(table: Float64Array, row: number, out: Float64Array, to: number): void {
    const x = this.#above_m;
    const third = (x > 0 ? x : 0) / 6;
    const u = nth(table, row);
    const uRise = third * nth(table, row + 1);
    const uFirst = nth(table, row + 2);
    const v = nth(table, row + 4);
    const vRise = third * nth(table, row + 5);
    const vFirst = nth(table, row + 6);
    out[to] = uFirst + x * (u + 3 * uRise);
    out[to + 1] = nth(table, row + 3) + x * (uFirst + x * (u / 2 + uRise));
    out[to + 2] = vFirst + x * (v + 3 * vRise);
    out[to + 3] = nth(table, row + 7) + x * (vFirst + x * (v / 2 + vRise));
  }
}

/** The highest node at or below x, or the lowest node; searched from a hint. */
function nodeBelow(axis: Float64Array, x: number, hint: number): number {
  let k = hint;
  while (k > 0 && x < nth(axis, k)) k -= 1;
  while (k + 1 < axis.length && x >= nth(axis, k + 1)) k += 1;
  return k;
}
