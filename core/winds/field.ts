// The wind as the physics samples it: u (east) and v (north), m/s, of the air's motion, over height m MSL, place and
// time. Linear in height between levels and in time between valid times, bilinear between grid points, u and v always,
// direction and speed never (MODEL.md §3). Outside its levels, times and grid the nearest value holds; `reach` tells
// how far that was.
import { nth } from '../base/nth.ts';
import { assert } from '../base/problem.ts';
import { RAD_PER_DEG, windVector, type LonLat } from '../base/units.ts';
import { broughtDown, type SiteGround } from './nearGround.ts';
import type { WindGrid } from '../air/grid.ts';
import type { WindLevel } from '../air/levels.ts';

/** One column of wind with its valid time, seconds since 1970. */
export interface WindColumn {
  readonly source: string;
  readonly time_s: number;
  readonly levels: readonly WindLevel[];
  /** What it is (left out: a forecast), when its model started, and where it holds (left out: at the site). */
  readonly kind?: 'forecast' | 'observed' | 'climate' | undefined;
  readonly run_s?: number | undefined;
  readonly position?: LonLat | undefined;
}

/**
 * A wind that is added to the field, the same everywhere and at all times: an analysis increment, a drawn error.
 * Heights rise.
 */
export interface WindOffset {
  readonly heights_m: Float64Array;
  readonly u_mps: Float64Array;
  readonly v_mps: Float64Array;
}

/** What the wind of one valid time is: its error grows with that (`errors.ts`). */
export interface TimeFacts {
  readonly kind: NonNullable<WindColumn['kind']>;
  readonly run_s: number | null;
  readonly position: LonLat | null;
  /** Speed at the lowest level. */
  readonly bottomSpeed_mps: number;
}

/** A field as plain data: what crosses to a worker. */
export interface WindFieldData {
  /**
   * All heights at which any column has a level, rising; u and v at index `((time * lats + lat) * lons + lon) * heights
   * + height`.
   */
  readonly heights_m: Float64Array;
  /** Seconds since 1970, rising. */
  readonly times_s: Float64Array;
  readonly lats_rad: Float64Array;
  readonly lons_rad: Float64Array;
  readonly u_mps: Float64Array;
  readonly v_mps: Float64Array;
  /** By valid time: the heights between which every column of that time has levels of its own. */
  readonly bottoms_m: Float64Array;
  readonly tops_m: Float64Array;
  /** By valid time. */
  readonly facts: readonly TimeFacts[];
  /** Each column's levels, for showing; a worker needs none. */
  readonly columns: readonly WindColumn[];
}

export class WindField implements WindFieldData {
  readonly heights_m: Float64Array;
  readonly times_s: Float64Array;
  readonly lats_rad: Float64Array;
  readonly lons_rad: Float64Array;
  readonly u_mps: Float64Array;
  readonly v_mps: Float64Array;
  readonly bottoms_m: Float64Array;
  readonly tops_m: Float64Array;
  readonly facts: readonly TimeFacts[];
  readonly columns: readonly WindColumn[];

  constructor(data: WindFieldData) {
    this.heights_m = data.heights_m;
    this.times_s = data.times_s;
    this.lats_rad = data.lats_rad;
    this.lons_rad = data.lons_rad;
    this.u_mps = data.u_mps;
    this.v_mps = data.v_mps;
    this.bottoms_m = data.bottoms_m;
    this.tops_m = data.tops_m;
    this.facts = data.facts;
    this.columns = data.columns;
  }

  /**
   * A field from a grid of columns; `columns` in the grid's order. At least one column, each with at least one level.
   *
   * site  below the lowest level the wind is brought down to this ground; left out: the lowest level's wind is held
   */
  static ofGrid(grid: WindGrid, site?: SiteGround): WindField {
    const { source, times_s, lats_deg, lons_deg, columns, runs_s } = grid;
    const perTime = lats_deg.length * lons_deg.length;
    const shown = columns.map((levels, c): WindColumn => {
      const time = Math.floor(c / perTime);
      return { source, time_s: times_s[time] ?? 0, levels, run_s: runs_s?.[time] ?? undefined };
    });
    return fieldOf({ times_s, lats_deg, lons_deg }, shown, site);
  }

  /** A field that is the same everywhere: columns of rising time. */
  static ofColumns(columns: readonly WindColumn[], site?: SiteGround): WindField {
    const sorted = [...columns].sort((a, b) => a.time_s - b.time_s);
    const axes = { times_s: sorted.map((column) => column.time_s), lats_deg: [0], lons_deg: [0] };
    return fieldOf(axes, sorted, site);
  }

  /** No wind at any height. What stands in where a mission gives none; callers say so. */
  static calm(): WindField {
    return WindField.ofColumns([{ source: NO_WIND, time_s: 0, levels: [{ height_m: 0, from_deg: 0, speed_mps: 0 }] }]);
  }

  /** Heights between which the columns have levels of their own that count at some time from `from_s` to `to_s`. */
  levelled(from_s: number, to_s: number): { readonly bottom_m: number; readonly top_m: number } {
    const { times_s } = this;
    let bottom_m = -Infinity;
    let top_m = Infinity;
    for (let i = 0; i < times_s.length; i++) {
      const before = times_s[i - 1] ?? -Infinity;
      const after = times_s[i + 1] ?? Infinity;
      // A column counts strictly between its neighbours' times; at the ends for ever.
      if (!(to_s > before && from_s < after)) continue;
      bottom_m = Math.max(bottom_m, nth(this.bottoms_m, i));
      top_m = Math.min(top_m, nth(this.tops_m, i));
    }
    return { bottom_m, top_m };
  }

  /** Whether this stands in for a wind that nobody gave. */
  get isAssumedCalm(): boolean {
    return this.columns.length > 0 && this.columns.every((column) => column.source === NO_WIND);
  }
}

const factsOf = (column: WindColumn | undefined): TimeFacts => ({
  kind: column?.kind ?? 'forecast',
  run_s: column?.run_s ?? null,
  position: column?.position ?? null,
  bottomSpeed_mps: column?.levels[0]?.speed_mps ?? 0,
});

/** Puts columns, in the order of their grid, on common heights. */
function fieldOf(
  { times_s, lats_deg, lons_deg }: Pick<WindGrid, 'times_s' | 'lats_deg' | 'lons_deg'>,
  columns: readonly WindColumn[],
  site: SiteGround | undefined,
): WindField {
  const perTime = lats_deg.length * lons_deg.length;
  assert(columns.length === times_s.length * perTime && columns.length > 0, 'a grid holds a column for each node');
  const all = new Set<number>();
  const bottoms_m = new Float64Array(times_s.length).fill(-Infinity);
  const tops_m = new Float64Array(times_s.length).fill(Infinity);
  const filled = columns.map(({ levels }, c) => {
    const time = Math.floor(c / perTime);
    const first = levels[0];
    const last = levels[levels.length - 1];
    assert(first !== undefined && last !== undefined, 'a column holds at least one level');
    bottoms_m[time] = Math.max(nth(bottoms_m, time), first.height_m);
    tops_m[time] = Math.min(nth(tops_m, time), last.height_m);
    const whole = site === undefined ? levels : broughtDown(levels, site);
    for (const level of whole) all.add(level.height_m);
    return whole;
  });
  const heights_m = commonHeights(Float64Array.from(all).sort());
  const n = heights_m.length;
  const u_mps = new Float64Array(columns.length * n);
  const v_mps = new Float64Array(columns.length * n);
  filled.forEach((levels, c) => fillColumn(levels, heights_m, u_mps, v_mps, c * n));
  return new WindField({
    heights_m,
    times_s: Float64Array.from(times_s),
    lats_rad: Float64Array.from(lats_deg, (x) => x * RAD_PER_DEG),
    lons_rad: Float64Array.from(lons_deg, (x) => x * RAD_PER_DEG),
    u_mps,
    v_mps,
    bottoms_m,
    tops_m,
    // All columns of one time are of one run, and a grid reaches the site: its first stands for them.
    facts: times_s.map((_, time) => factsOf(columns[time * perTime])),
    columns,
  });
}

const NO_WIND = 'no wind given';

/**
 * More heights than this are brought to this many, evenly by rank, so that they stand as dense as the levels do. A
 * handful of columns keeps every level of its own; a fine grid's pressure levels stand within some hundred metres of
 * each other from column to column, and each such bundle keeps a dozen heights: a level's kink moves by metres
 * (`tests/winds/field.test.ts` measures the wind's change).
 */
export const COMMON_HEIGHTS_MAX = 512;

function commonHeights(all: Float64Array): Float64Array {
  const n = all.length;
  if (n <= COMMON_HEIGHTS_MAX) return all;
  return Float64Array.from({ length: COMMON_HEIGHTS_MAX }, (_, i) =>
    nth(all, Math.round((i * (n - 1)) / (COMMON_HEIGHTS_MAX - 1))),
  );
}

/**
 * One column brought to common heights: linear in u and v between its levels, the end value outside. Exact: the common
 * heights hold its own.
 */
function fillColumn(
  levels: readonly WindLevel[],
  heights: Float64Array,
  u: Float64Array,
  v: Float64Array,
  at: number,
): void {
  let below = 0;
  for (let k = 0; k < heights.length; k++) {
    const z = nth(heights, k);
    while (below + 1 < levels.length && (levels[below + 1] as WindLevel).height_m <= z) below += 1;
    const a = levels[below] as WindLevel;
    const b = levels[below + 1] ?? a;
    const f = b.height_m > a.height_m ? Math.min(Math.max((z - a.height_m) / (b.height_m - a.height_m), 0), 1) : 0;
    const [ua, va] = windVector(a.from_deg, a.speed_mps);
    const [ub, vb] = windVector(b.from_deg, b.speed_mps);
    u[at + k] = ua + f * (ub - ua);
    v[at + k] = va + f * (vb - va);
  }
}

/** Where on a rising axis: writes the lower index and the fraction, both clamped to the axis. */
function locate(axis: Float64Array, x: number, hint: number): number {
  const last = axis.length - 2;
  let k = hint;
  while (k > 0 && x < nth(axis, k)) k -= 1;
  while (k < last && x >= nth(axis, k + 1)) k += 1;
  return k;
}

/** The distance from x down to the axis's next lower node, at least 1 µm below x; Infinity without one. */
function gapBelow(axis: Float64Array, x: number, hint: number): number {
  let k = Math.min(hint + 1, axis.length - 1);
  while (k + 1 < axis.length && nth(axis, k + 1) < x) k += 1;
  while (k >= 0 && nth(axis, k) >= x - 1e-6) k -= 1;
  return k < 0 ? Infinity : x - nth(axis, k);
}

function fraction(axis: Float64Array, k: number, x: number): number {
  if (axis.length < 2) return 0;
  const a = nth(axis, k);
  const b = nth(axis, k + 1);
  return x <= a ? 0 : x >= b ? 1 : (x - a) / (b - a);
}

/**
 * Samples a field for one body at a time: remembers where it was, so that a descent walks its levels instead of
 * searching. Not shared between bodies that are in the air together.
 */
export class WindSampler {
  readonly field: WindField;
  /** The last sample: [u, v] m/s. */
  readonly out = new Float64Array(2);
  #offset: WindOffset | null = null;
  /** Epoch seconds of the caller's t = 0. */
  #start_s = 0;
  #k = 0;
  #o = 0;
  #t = 0;

  constructor(field: WindField) {
    this.field = field;
  }

  /** Starts a new flight: its t = 0 in seconds since 1970, and what is added to the field. */
  start(start_s: number, offset: WindOffset | null): void {
    this.#start_s = start_s;
    this.#offset = offset;
    this.#k = Math.max(0, this.field.heights_m.length - 2);
    this.#o = offset === null ? 0 : Math.max(0, offset.heights_m.length - 2);
    this.#t = 0;
  }

  /** Writes the wind at a place (rad), height (m MSL) and time (s since `start`) into `out`. */
  sample(lat_rad: number, lon_rad: number, height_m: number, t_s: number): void {
    const field = this.field;
    const heights = field.heights_m;
    const n = heights.length;
    let u = 0;
    let v = 0;
    if (n === 1) {
      this.#spread(lat_rad, lon_rad, t_s, 0, 0);
      u = nth(this.out, 0);
      v = nth(this.out, 1);
    } else {
      const k = locate(heights, height_m, this.#k);
      this.#k = k;
      const f = fraction(heights, k, height_m);
      if (field.u_mps.length === n) {
        const us = field.u_mps;
        const vs = field.v_mps;
        u = nth(us, k) + f * (nth(us, k + 1) - nth(us, k));
        v = nth(vs, k) + f * (nth(vs, k + 1) - nth(vs, k));
      } else if (field.lats_rad.length === 1 && field.lons_rad.length === 1) {
        // Columns in time over one place, the commonest forecast: two of them are read.
        const time = t_s + this.#start_s;
        const it = locate(field.times_s, time, this.#t);
        this.#t = it;
        const ft = fraction(field.times_s, it, time);
        const a = it * n + k;
        const us = field.u_mps;
        const vs = field.v_mps;
        u = nth(us, a) + f * (nth(us, a + 1) - nth(us, a));
        v = nth(vs, a) + f * (nth(vs, a + 1) - nth(vs, a));
        if (ft > 0) {
          const b = a + n;
          u += ft * (nth(us, b) + f * (nth(us, b + 1) - nth(us, b)) - u);
          v += ft * (nth(vs, b) + f * (nth(vs, b + 1) - nth(vs, b)) - v);
        }
      } else {
        this.#spread(lat_rad, lon_rad, t_s, k, f);
        u = nth(this.out, 0);
        v = nth(this.out, 1);
      }
    }
    const offset = this.#offset;
    if (offset !== null) {
      const axis = offset.heights_m;
      const o = locate(axis, height_m, this.#o);
      this.#o = o;
      const f = fraction(axis, o, height_m);
      const next = axis.length > 1 ? o + 1 : o;
      u += nth(offset.u_mps, o) * (1 - f) + nth(offset.u_mps, next) * f;
      v += nth(offset.v_mps, o) * (1 - f) + nth(offset.v_mps, next) * f;
    }
    this.out[0] = u;
    this.out[1] = v;
  }

  /**
   * How far below a height the next break of the wind is: a level of the field or of the offset, m. Infinity below the
   * lowest.
   */
  breakBelow(height_m: number): number {
    const field = gapBelow(this.field.heights_m, height_m, this.#k);
    const offset = this.#offset;
    return offset === null ? field : Math.min(field, gapBelow(offset.heights_m, height_m, this.#o));
  }

  /**
   * How long after a time (s since `start`) the next valid time of the field comes, s, at least 1 ms; Infinity after
   * the last.
   */
  breakAfter(t_s: number): number {
    const times = this.field.times_s;
    if (times.length < 2) return Infinity;
    const now = t_s + this.#start_s;
    for (let i = 0; i < times.length; i++) if (nth(times, i) > now + 1e-3) return nth(times, i) - now;
    return Infinity;
  }

  /** Linear in time, bilinear in the horizontal, of the columns about a place: writes into `out`. */
  #spread(lat_rad: number, lon_rad: number, t_s: number, k: number, f: number): void {
    const { times_s, lats_rad, lons_rad, heights_m } = this.field;
    const n = heights_m.length;
    const nx = lons_rad.length;
    const ny = lats_rad.length;
    const time = t_s + this.#start_s;
    const it = locate(times_s, time, this.#t);
    this.#t = it;
    const ft = fraction(times_s, it, time);
    const iy = locate(lats_rad, lat_rad, 0);
    const fy = fraction(lats_rad, iy, lat_rad);
    // A grid over the date line runs on past 180°: bring the place to the grid's side.
    const west = nth(lons_rad, 0);
    const x = lon_rad < west ? lon_rad + 2 * Math.PI : lon_rad >= west + 2 * Math.PI ? lon_rad - 2 * Math.PI : lon_rad;
    const inside = x <= nth(lons_rad, nx - 1) ? x : lon_rad;
    const ix = locate(lons_rad, inside, 0);
    const fx = fraction(lons_rad, ix, inside);
    let u = 0;
    let v = 0;
    for (let c = 0; c < 8; c++) {
      const weight = (c & 4 ? ft : 1 - ft) * (c & 2 ? fy : 1 - fy) * (c & 1 ? fx : 1 - fx);
      if (weight === 0) continue;
      const at = (((c & 4 ? it + 1 : it) * ny + (c & 2 ? iy + 1 : iy)) * nx + (c & 1 ? ix + 1 : ix)) * n + k;
      const us = this.field.u_mps;
      const vs = this.field.v_mps;
      const next = f === 0 ? at : at + 1;
      u += weight * (nth(us, at) + f * (nth(us, next) - nth(us, at)));
      v += weight * (nth(vs, at) + f * (nth(vs, next) - nth(vs, at)));
    }
    this.out[0] = u;
    this.out[1] = v;
  }
}
