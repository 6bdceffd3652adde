// How far a wind may be wrong: the forecast's error (its size, and how it hangs together over height, time and
// distance) and the error of each kind of report. m/s per component (east and north alike), heights m MSL, times s.
// Model: MODEL.md §8 and §9.
import { atKnots, type Knots } from '../base/knots.ts';
import { DEFAULT_CORRELATION_DISTANCE_M, DEFAULT_CORRELATION_TIME_S } from '../plan/correlation.ts';
import type { Uncertainty } from '../plan/schema.ts';

/**
 * The forecast's error where the mission says nothing (`uncertainty.wind`). The first two are the defaults of
 * FORMAT.md, the last two those of MODEL.md §8; sizes grow with height because winds do, lengths because layers
 * aloft are thicker.
 */
export const DEFAULT_STD_MPS: Knots = [
  [0, 1.5],
  [10_000, 3],
  [40_000, 6],
];
export const DEFAULT_CORRELATION_LENGTH_M: Knots = [
  [0, 500],
  [10_000, 1500],
  [40_000, 4000],
];
/**
 * Stands in for the forecast's error where a mission has no forecast and the background is a calm: then the error is
 * the wind itself. Common practice: typical wind speeds of the mid-latitudes, near the ground, at the jet's height and
 * above.
 */
export const STD_WITHOUT_FORECAST_MPS: Knots = [
  [0, 5],
  [3000, 9],
  [10_000, 20],
  [20_000, 12],
  [40_000, 20],
];

/** The error of the forecast, ready to be asked. */
export interface BackgroundErrors {
  /** Standard error of one component at a height, m/s. */
  std_mps(height_m: number): number;
  /** Height counted in correlation lengths from sea level: ζ(z) = ∫₀ᶻ dz/L(z), MODEL.md §8. */
  zeta(height_m: number): number;
  readonly time_s: number;
  readonly distance_m: number;
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

/**
 * The forecast's error as a mission states it; what it leaves out has the default. A negative size counts as 0, which
 * switches the error off.
 */
export function backgroundErrors(wind?: Uncertainty['wind']): BackgroundErrors {
  const std = wind?.std_mps ?? DEFAULT_STD_MPS;
  return {
    std_mps: (height_m) => Math.max(0, atKnots(std, height_m)),
    zeta: zetaOf(wind?.correlationLength_m ?? DEFAULT_CORRELATION_LENGTH_M),
    time_s: wind?.correlationTime_s ?? DEFAULT_CORRELATION_TIME_S,
    distance_m: wind?.correlationDistance_m ?? DEFAULT_CORRELATION_DISTANCE_M,
  };
}

/**
 * Correlation of the background's error between two points: height apart in lengths, time apart s, distance apart m.
 */
export function errorCorrelation(dZeta: number, dTime_s: number, distance_m: number, errors: BackgroundErrors): number {
  const d = distance_m / errors.distance_m;
  return Math.exp(-0.5 * dZeta * dZeta - Math.abs(dTime_s) / errors.time_s - 0.5 * d * d);
}

/**
 * Surface winds below this height above ground are brought to it, as the descent does in the other direction (MODEL.md
 * §3).
 */
export const SURFACE_LAYER_M = 10;
/** No reading is multiplied by more than this: below a few roughness lengths the logarithmic profile means nothing. */
const LARGEST_FACTOR = 2.5;

/**
 * The factor that brings a wind measured at `agl_m` to 10 m above ground: ln(10/z₀)/ln(agl/z₀), the neutral logarithmic
 * profile with the site's roughness length z₀ (m). 1 at 10 m and above, 1.38 for 2 m over open grass, never above 2.5.
 * Source: the neutral profile of the surface layer, as MODEL.md §3 has it for the descent.
 */
export function toTenMetres(agl_m: number, roughness_m: number): number {
  if (!(agl_m < SURFACE_LAYER_M)) return 1;
  const top = Math.log(SURFACE_LAYER_M / roughness_m);
  // Over a wood (z₀ of metres) ten metres lie within the trees: no conversion is better than a wrong one.
  if (!(top > 0.5)) return 1;
  const bottom = agl_m > 0 ? Math.log(agl_m / roughness_m) : 0;
  return bottom > 0 ? Math.min(top / bottom, LARGEST_FACTOR) : LARGEST_FACTOR;
}
