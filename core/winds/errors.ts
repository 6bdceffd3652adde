// How far the wind of a forecast, an old ascent or a climate may be off before any report: its size by height and time,
// and how it hangs together over height, time and distance. m/s per component (east and north alike), heights m MSL,
// times s since 1970, distances m. Model: MODEL.md §8.
import { atKnots, type Knots } from '../base/knots.ts';
import { sourceStd_mps } from '../log/sources.ts';
import { DEFAULT_CORRELATION_DISTANCE_M, DEFAULT_CORRELATION_TIME_S } from '../plan/correlation.ts';
import type { Uncertainty } from '../plan/schema.ts';
import {
  AGE_POWER,
  BROUGHT_DOWN_ALOFT_MPS,
  BROUGHT_DOWN_STD_MPS,
  CHANGE_12H_MPS,
  CHANGE_557KM_MPS,
  CHANGE_LENGTH_M,
  CLIMATE_STD_MPS,
  DISTANCE_POWER,
  FORECAST_STD_48H_MPS,
  FORECAST_STD_MPS,
  LOCAL_DISTANCE_M,
  LOCAL_SHARE,
  MODEL_POWER,
} from './errorFigures.ts';
import { LOG_LAYER_M } from './nearGround.ts';

/** Lengths over which a forecast's error hangs together; thicker layers aloft. Common practice: not found by level. */
export const DEFAULT_CORRELATION_LENGTH_M: Knots = [
  [0, 500],
  [10_000, 1500],
  [40_000, 4000],
];
/**
 * The part of the variance that the whole column shares where the mission says nothing. Old and neighbouring ascents
 * find 0.1 to 0.4 likeliest, hardly apart (tests/bench/realWinds.ts, each station judged by the choice of the others).
 */
export const DEFAULT_BULK = 0.2;
/**
 * Stands in for the forecast's error where a mission has no forecast and the background is a calm: then the error is
 * the wind itself. Common practice: typical wind speeds of the mid-latitudes, near the ground, at the jet's height and
 * above.
 */
const STD_WITHOUT_FORECAST_MPS: Knots = [
  [0, 5],
  [3000, 9],
  [10_000, 20],
  [20_000, 12],
  [40_000, 20],
];

/** The error of the winds before any report, ready to be asked. */
export interface BackgroundErrors {
  /** Standard error of one component at a height and time, m/s. */
  std_mps(height_m: number, time_s: number): number;
  /** The part of that variance which came with age: errors of two ages share it only as far as both have it. 0 to 1. */
  agedShare(height_m: number, time_s: number): number;
  /** The part of that variance which only holds for some kilometres about a place, 0 to 1: the ground's own. */
  localShare(height_m: number): number;
  /** Height counted in correlation lengths from sea level: ζ(z) = ∫₀ᶻ dz/L(z), MODEL.md §8. */
  zeta(height_m: number): number;
  /** The part of the rest that is common to the whole column, 0 to 1. */
  readonly bulk: number;
  readonly time_s: number;
  readonly distance_m: number;
  readonly localDistance_m: number;
  /** What they were made of, as plain data: what crosses to a worker. */
  readonly made: ErrorInput;
}

/** What one column of winds is, as far as its error depends on it. */
export interface ColumnFacts {
  readonly kind: 'forecast' | 'observed' | 'climate';
  /** When it is valid, and when the model that made it started (null: not said, no lead is counted). */
  readonly time_s: number;
  readonly run_s: number | null;
  /** From the site, m. */
  readonly distance_m: number;
  /** Its lowest level: below it the wind is brought down, which has an error of its own. */
  readonly bottom_m: number;
  readonly bottomSpeed_mps: number;
}

/** A correlation length below this is a slip of the pen: the analysis would need a node every metre. */
const SHORTEST_LENGTH_M = 10;

/**
 * ∫ dz/L over a stretch dz on which L runs linearly from a to b: (dz/a) ln(1 + r)/r with r = (b − a)/a, exact also as r
 * goes to 0.
 */
function stretch(dz: number, a: number, b: number): number {
  const r = (b - a) / a;
  return (dz / a) * (r === 0 ? 1 : Math.log1p(r) / r);
}

/** ζ as a function: exact for a piecewise linear L, with ζ(0) = 0 and L held beyond its knots. */
function zetaOf(lengths: Knots): (height_m: number) => number {
  const knots = lengths.map(([z, length]) => [z, Math.max(length, SHORTEST_LENGTH_M)] as const);
  const first = knots[0] ?? ([0, 1000] as const);
  const sums = [0];
  for (let i = 1; i < knots.length; i++) {
    const a = knots[i - 1] ?? first;
    const b = knots[i] ?? first;
    sums.push((sums[i - 1] ?? 0) + stretch(b[0] - a[0], a[1], b[1]));
  }
  const fromFirst = (z: number): number => {
    let i = 0;
    while (i + 1 < knots.length && z >= (knots[i + 1] ?? first)[0]) i += 1;
    const a = knots[i] ?? first;
    const dz = z - a[0];
    const outside = dz <= 0 || i === knots.length - 1;
    return (sums[i] ?? 0) + (outside ? dz / a[1] : stretch(dz, a[1], atKnots(knots, z)));
  };
  const origin = fromFirst(0);
  return (z) => fromFirst(z) - origin;
}

const HOUR_S = 3600;
const square = (x: number): number => x * x;

/** Variance of the change of a wind over a time, and over a distance, before the climate bounds it. */
const changeWithTime = (height_m: number, s: number, power: number): number =>
  square(atKnots(CHANGE_12H_MPS, height_m)) * (Math.abs(s) / (12 * HOUR_S)) ** power;
const changeWithDistance = (height_m: number, m: number): number =>
  square(atKnots(CHANGE_557KM_MPS, height_m)) * (m / 557_000) ** DISTANCE_POWER;

/** What a forecast's variance has grown by after so many seconds since its run. */
const growthWithLead = (height_m: number, lead_s: number): number =>
  (Math.max(0, square(atKnots(FORECAST_STD_48H_MPS, height_m)) - square(atKnots(FORECAST_STD_MPS, height_m))) *
    Math.max(0, lead_s)) /
  (48 * HOUR_S);

/** Standard error at 10 m of a wind brought down from a lowest level so high above ground, of such a speed there. */
export const broughtDownStd_mps = (lowest_agl_m: number, speed_mps: number): number =>
  atKnots(BROUGHT_DOWN_STD_MPS, lowest_agl_m) * Math.max(1, speed_mps / BROUGHT_DOWN_ALOFT_MPS);

/** What is added below the lowest level, where the wind is brought down from it. */
function broughtDownVariance({ bottom_m, bottomSpeed_mps }: ColumnFacts, height_m: number, ground_m: number): number {
  const lowest_agl_m = bottom_m - ground_m;
  if (!(lowest_agl_m > LOG_LAYER_M) || !(height_m < bottom_m)) return 0;
  const part = Math.min((bottom_m - height_m) / (lowest_agl_m - LOG_LAYER_M), 1);
  return square(part * broughtDownStd_mps(lowest_agl_m, bottomSpeed_mps));
}

/** What the field of a mission is made of, and where it is. */
export interface ErrorInput {
  readonly wind?: Uncertainty['wind'];
  /** By rising time, one of each time; none: only the mission's own numbers are known. */
  readonly columns?: readonly ColumnFacts[];
  readonly ground_m?: number;
  /** Whether no wind at all is given: the background is then a calm. */
  readonly calm?: boolean;
}

/**
 * The error of the winds as a mission states it, grown with lead, age and distance; what it leaves out has the default.
 * A size of 0 switches the error off, its growth too.
 */
export function backgroundErrors(made: ErrorInput = {}): BackgroundErrors {
  const { wind, columns = [], ground_m = 0, calm = false } = made;
  const aged = columns.length > 0 && columns.every(({ kind }) => kind !== 'forecast');
  const stated = wind?.std_mps ?? (calm ? STD_WITHOUT_FORECAST_MPS : undefined);
  const zeroLead = (height_m: number, kind: ColumnFacts['kind']): number =>
    stated !== undefined
      ? Math.max(0, atKnots(stated, height_m))
      : kind === 'observed'
        ? sourceStd_mps('sounding', height_m)
        : atKnots(FORECAST_STD_MPS, height_m);
  const parts = (height_m: number, time_s: number): Parts => {
    const { before, after, share } = bracket(columns, time_s);
    if (before === undefined || after === undefined) return { steady: square(zeroLead(height_m, 'forecast')), aged: 0 };
    const of = (column: ColumnFacts): Parts => {
      const zero = square(zeroLead(height_m, column.kind));
      if (zero === 0) return { steady: 0, aged: 0 };
      const { steady, aged } = grown(column, height_m, interpolated(before, after, share, height_m, time_s));
      return { steady: zero + steady + broughtDownVariance(column, height_m, ground_m), aged };
    };
    const [first, second] = [of(before), of(after)];
    const between = (a: number, b: number): number => (1 - share) * a + share * b;
    return { steady: between(first.steady, second.steady), aged: between(first.aged, second.aged) };
  };
  return {
    std_mps: (height_m, time_s) => {
      const { steady, aged: old } = parts(height_m, time_s);
      return Math.sqrt(steady + old);
    },
    agedShare: (height_m, time_s) => {
      const { steady, aged: old } = parts(height_m, time_s);
      return old === 0 ? 0 : old / (steady + old);
    },
    localShare: (height_m) => atKnots(LOCAL_SHARE, height_m - ground_m),
    zeta: zetaOf(wind?.correlationLength_m ?? (aged ? CHANGE_LENGTH_M : DEFAULT_CORRELATION_LENGTH_M)),
    bulk: wind?.bulk ?? DEFAULT_BULK,
    time_s: wind?.correlationTime_s ?? DEFAULT_CORRELATION_TIME_S,
    distance_m: wind?.correlationDistance_m ?? DEFAULT_CORRELATION_DISTANCE_M,
    localDistance_m: LOCAL_DISTANCE_M,
    made,
  };
}

interface Bracket {
  readonly before: ColumnFacts | undefined;
  readonly after: ColumnFacts | undefined;
  /** Of the later one, as the field interpolates. */
  readonly share: number;
}

function bracket(columns: readonly ColumnFacts[], time_s: number): Bracket {
  const k = columns.findIndex((column) => column.time_s > time_s);
  if (k <= 0) {
    const only = k === 0 ? columns[0] : columns.at(-1);
    return { before: only, after: only, share: 0 };
  }
  const before = columns[k - 1];
  const after = columns[k];
  const from_s = before?.time_s ?? 0;
  return { before, after, share: (time_s - from_s) / ((after?.time_s ?? 0) - from_s) };
}

/**
 * Variance of what a straight line between two times misses, (1−f) D(τ₀) + f D(τ₁) − f(1−f) D(T) with D the variance of
 * a change: exact for stationary changes. Outside the columns it is D of the age.
 */
function interpolated(
  before: ColumnFacts,
  after: ColumnFacts,
  share: number,
  height_m: number,
  time_s: number,
): number {
  if (before === after) return changeWithTime(height_m, time_s - before.time_s, AGE_POWER);
  const power = before.kind === 'forecast' && after.kind === 'forecast' ? MODEL_POWER : AGE_POWER;
  const change = (s: number): number => changeWithTime(height_m, s, power);
  const between = share * (1 - share) * change(after.time_s - before.time_s);
  return (1 - share) * change(time_s - before.time_s) + share * change(after.time_s - time_s) - between;
}

/** A variance in two parts: what the wind brought with it, and what came with age. */
interface Parts {
  readonly steady: number;
  readonly aged: number;
}

/** The growth of one column's variance, bounded by the climate: B² (1 − exp(−growth/B²)). */
function grown(column: ColumnFacts, height_m: number, change: number): Parts {
  const bound = square(atKnots(CLIMATE_STD_MPS, height_m));
  if (column.kind === 'climate') return { steady: bound, aged: 0 };
  const { run_s } = column;
  const lead = run_s === null ? 0 : growthWithLead(height_m, column.time_s - run_s);
  const growth = lead + change + changeWithDistance(height_m, column.distance_m);
  if (growth === 0) return { steady: 0, aged: 0 };
  const bounded = bound * -Math.expm1(-growth / bound);
  return { steady: (bounded * (growth - change)) / growth, aged: (bounded * change) / growth };
}
