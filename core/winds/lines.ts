// The wind over a stretch of height as one straight line: the line with the same mean and the same first moment. A
// falling body answers to a wind slowly, so that over one step such a line carries it as the wind itself does, and an
// integrator that never meets the breaks between levels takes far longer steps. Only for a field of one column; heights
// m MSL, rising; times s since `start`.
import { assert } from '../base/problem.ts';
import type { WindField, WindOffset } from './field.ts';

/** Of each node: u, its slope in the cell above, ∫u and ∫∫u up to it; then the same of v. */
const WIDTH = 8;

/** Fills a table of a piecewise linear wind; above its last node the last value holds. */
function sumUp(
  heights: Float64Array,
  u: Float64Array,
  v: Float64Array,
  from: number,
  table: Float64Array,
  at: number,
): void {
  const n = heights.length;
  component(heights, u, from, table, at, n);
  component(heights, v, from, table, at + WIDTH / 2, n);
}

function component(
  heights: Float64Array,
  w: Float64Array,
  from: number,
  table: Float64Array,
  at: number,
  n: number,
): void {
  let first = 0;
  let second = 0;
  for (let k = 0; k < n; k++) {
    const value = w[from + k] as number;
    const dz = k + 1 < n ? (heights[k + 1] as number) - (heights[k] as number) : 0;
    const slope = dz > 0 ? ((w[from + k + 1] as number) - value) / dz : 0;
    const row = at + k * WIDTH;
    table[row] = value;
    table[row + 1] = slope;
    table[row + 2] = first;
    table[row + 3] = second;
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

/** An element that is there. */
const at = (x: Float64Array, i: number): number => x[i] as number;

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
      sumUp(field.heights_m, field.u_mps, field.v_mps, i * n, this.#columns, i * n * WIDTH);
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
    sumUp(offset.heights_m, offset.u_mps, offset.v_mps, 0, this.#added, 0);
    this.#o = n - 1;
  }

  #useColumns(time: number): void {
    const { times_s } = this.#field;
    this.#time = time;
    this.#from_s = times_s[time] as number;
    this.#to_s = times_s[Math.min(time + 1, times_s.length - 1)] as number;
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
    let u = per * (at(high, 0) - at(low, 0));
    let v = per * (at(high, 2) - at(low, 2));
    let uSlope = perCube * (half * (at(high, 0) + at(low, 0)) - at(high, 1) + at(low, 1));
    let vSlope = perCube * (half * (at(high, 2) + at(low, 2)) - at(high, 3) + at(low, 3));
    if (this.#to_s > this.#from_s) {
      const g = this.#share(t_s);
      const uChange = per * (at(high, 4) - at(low, 4));
      const vChange = per * (at(high, 6) - at(low, 6));
      const uSlopeChange = perCube * (half * (at(high, 4) + at(low, 4)) - at(high, 5) + at(low, 5));
      const vSlopeChange = perCube * (half * (at(high, 6) + at(low, 6)) - at(high, 7) + at(low, 7));
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
   * Brings the sums of both ends up to date; those of an end that is kept, or becomes the other end, are not made anew.
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
    this.#above_m = height_m - (heights_m[k] as number);
    const row = (this.#time * n + k) * WIDTH;
    this.#sumFrom(this.#columns, row, out, 0);
    if (times_s.length > 1) {
      this.#sumFrom(this.#columns, row + n * WIDTH, out, 4);
      for (let i = 0; i < 4; i++) out[i + 4] = at(out, i + 4) - at(out, i);
    }
    const offset = this.#offset;
    if (offset === null) return;
    const o = nodeBelow(offset.heights_m, height_m, this.#o);
    this.#o = o;
    this.#above_m = height_m - at(offset.heights_m, o);
    this.#sumFrom(this.#added, o * WIDTH, out, 8);
    for (let i = 0; i < 4; i++) out[i] = at(out, i) + at(out, i + 8);
  }

  /** The four sums from a node on; below the lowest node its value holds. */
  #sumFrom(table: Float64Array, row: number, out: Float64Array, to: number): void {
    const x = this.#above_m;
    const third = (x > 0 ? x : 0) / 6;
    const u = at(table, row);
    const uRise = third * at(table, row + 1);
    const uFirst = at(table, row + 2);
    const v = at(table, row + 4);
    const vRise = third * at(table, row + 5);
    const vFirst = at(table, row + 6);
    out[to] = uFirst + x * (u + 3 * uRise);
    out[to + 1] = at(table, row + 3) + x * (uFirst + x * (u / 2 + uRise));
    out[to + 2] = vFirst + x * (v + 3 * vRise);
    out[to + 3] = at(table, row + 7) + x * (vFirst + x * (v / 2 + vRise));
  }
}

/** The highest node at or below x, or the lowest node; searched from a hint. */
function nodeBelow(axis: Float64Array, x: number, hint: number): number {
  let k = hint;
  while (k > 0 && x < (axis[k] as number)) k -= 1;
  while (k + 1 < axis.length && x >= (axis[k + 1] as number)) k += 1;
  return k;
}
