// Rising and sinking air that a canopy meets by day (MODEL.md §8): zero in the mean over many flights, one value a
// member, shaped by the height above ground. Heights m, speeds m/s, up positive.
import { sunPosition } from '../earth/sun.ts';
import { RAD_PER_DEG, type LonLat } from '../base/units.ts';

/** Depth of the layer that the sun stirs, m above ground: common practice for the middle of a fair day. */
export const MIXED_DEPTH_M = 1500;
/**
 * From one updraught to the next, m: they are 275 m wide and cover 0.32 of the way (Ansmann et al. 2010;
 * confidence.md §6, F).
 */
const SPACING_M = 860;
/** Rougher than this is land, smoother is open water or ice (Davenport's classes: water 0.0002 m, ice to 0.005 m). */
const LAND_ROUGHNESS_M = 0.003;
/** Water warms so little by day that its thermals are left at a third (common practice). */
const WATER_SHARE = 1 / 3;
/** The largest value of x^⅓ (1 − 0.8 x), at x = 0.3125. */
const STRONGEST = 0.3125 ** (1 / 3) * 0.75;

/**
 * How strong the vertical air is at a height, as a share of its strongest: x^⅓ (1 − 0.8 x), x the share of the mixed
 * layer's depth (Lenschow, Wyngaard & Pennell 1980, J. Atmos. Sci. 37; confidence.md §6, F2); 0 at the ground and
 * above the layer.
 */
export function thermalShape(agl_m: number): number {
  const x = agl_m / MIXED_DEPTH_M;
  return x > 0 && x < 1 ? (Math.cbrt(x) * (1 - 0.8 * x)) / STRONGEST : 0;
}

/**
 * How strong thermals are at a place and time (s since 1970) over ground of a roughness, as a share of those under a
 * sun overhead on land. Their speed goes with the cube root of heat times depth (Deardorff 1970), both taken to go with
 * the sine of the sun's elevation.
 */
export function thermalShare(place: LonLat, time_s: number, roughness_m: number): number {
  const { elevation_deg } = sunPosition(place, time_s);
  const day = Math.max(Math.sin(elevation_deg * RAD_PER_DEG), 0) ** (2 / 3);
  return day * (roughness_m < LAND_ROUGHNESS_M ? WATER_SHARE : 1);
}

/**
 * What is left of the vertical air's draw in its mean along a glide: one that goes through several thermals meets each
 * of them by itself, a drifting one stays in its own.
 *
 * glide      metres across a metre down, through the air
 * opens_agl  where the canopy is open, m above ground
 */
export function leftInTheMean(glide: number, opens_agl_m: number): number {
  const through_m = glide * Math.min(Math.max(opens_agl_m, 0), MIXED_DEPTH_M);
  return 1 / Math.sqrt(Math.max(through_m / SPACING_M, 1));
}
