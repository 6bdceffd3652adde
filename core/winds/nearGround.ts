// The wind near the ground where nothing says it: brought down from the lowest level that does (MODEL.md §3), and a
// reading from below ten metres brought up to them. Heights in m, above ground (AGL) or mean sea level (MSL) as named.
import type { WindLevel } from '../air/levels.ts';

/**
 * A wind 10 m above ground is a surface wind (WMO-No. 8, part I, chapter 5). Below it the wind follows the logarithmic
 * profile, where no surface wind is given.
 */
export const LOG_LAYER_M = 10;
/** Open grass: Davenport's class "open", z₀ = 0.03 m (Wieringa 1992; confidence.md §5, F2). */
export const DEFAULT_ROUGHNESS_M = 0.03;
/** Up to here the neutral logarithmic profile holds, above it the power law (MODEL.md §3). */
const SURFACE_LAYER_TOP_M = 200;
/** The exponent by day over open ground (MODEL.md §3; 0.15 in class D, confidence.md §5, F2). */
const POWER = 1 / 7;
/** The profile is put into the levels at heights in this ratio: a straight line between two misses it by 0.3 %. */
const STEP = Math.SQRT2;

/** The ground that a wind stands over. */
export interface SiteGround {
  readonly ground_m: number;
  readonly roughness_m: number;
}

/**
 * What is left at a height of a wind at the lowest level, both AGL: ln(z/z₀)/ln(z₁/z₀) from a level within 200 m, and
 * (z/z₁)^(1/7) down to 200 m with the logarithmic profile below from a higher one. The direction holds.
 */
export function shareBelow(agl_m: number, lowest_agl_m: number, roughness_m: number): number {
  if (!(agl_m < lowest_agl_m)) return 1;
  const logs = (z: number, top: number): number => {
    const all = Math.log(top / roughness_m);
    // Over a wood (z₀ of metres) the ten metres lie within the trees: no profile is better than a wrong one.
    return all > 0.5 ? Math.max(Math.log(z / roughness_m), 0) / all : 1;
  };
  if (lowest_agl_m <= SURFACE_LAYER_TOP_M) return logs(agl_m, lowest_agl_m);
  const power = (Math.max(agl_m, SURFACE_LAYER_TOP_M) / lowest_agl_m) ** POWER;
  return power * (agl_m < SURFACE_LAYER_TOP_M ? logs(agl_m, SURFACE_LAYER_TOP_M) : 1);
}

/**
 * A level this little below the site's elevation is the station's own ground, given against another survey; from lower
 * ones comes no wind.
 */
const SAME_GROUND_M = 10;

/** Whether a height is below the ground, where there can be no wind. */
export const isBelowGround = (height_m: number, ground_m: number): boolean => height_m < ground_m - SAME_GROUND_M;

/** The levels with the profile put in below the lowest, down to 10 m above ground. Levels rise, none in the ground. */
export function broughtDown(levels: readonly WindLevel[], { ground_m, roughness_m }: SiteGround): WindLevel[] {
  const lowest = levels[0];
  if (lowest === undefined) return [];
  const lowest_agl_m = lowest.height_m - ground_m;
  const below: WindLevel[] = [];
  for (let agl_m = LOG_LAYER_M; agl_m < lowest_agl_m - 1; agl_m *= STEP) {
    const speed_mps = lowest.speed_mps * shareBelow(agl_m, lowest_agl_m, roughness_m);
    below.push({ height_m: ground_m + agl_m, from_deg: lowest.from_deg, speed_mps });
    // The law changes at 200 m: a knot stands there.
    if (agl_m < SURFACE_LAYER_TOP_M && agl_m * STEP > SURFACE_LAYER_TOP_M && lowest_agl_m > SURFACE_LAYER_TOP_M + 1) {
      const share = shareBelow(SURFACE_LAYER_TOP_M, lowest_agl_m, roughness_m);
      const height_m = ground_m + SURFACE_LAYER_TOP_M;
      below.push({ height_m, from_deg: lowest.from_deg, speed_mps: lowest.speed_mps * share });
    }
  }
  return [...below, ...levels];
}

/** No reading is multiplied by more than this: below a few roughness lengths the logarithmic profile means nothing. */
const LARGEST_FACTOR = 2.5;

/**
 * The factor that brings a wind measured at `agl_m` to 10 m above ground: ln(10/z₀)/ln(agl/z₀), the neutral logarithmic
 * profile with the site's roughness length z₀ (m). 1 at 10 m and above, 1.38 for 2 m over open grass, never above 2.5.
 * Source: the neutral profile of the surface layer, as MODEL.md §3 has it for the descent.
 */
export function toTenMetres(agl_m: number, roughness_m: number): number {
  const share = shareBelow(agl_m, LOG_LAYER_M, roughness_m);
  return share > 0 ? Math.min(1 / share, LARGEST_FACTOR) : LARGEST_FACTOR;
}
