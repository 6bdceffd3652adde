// How a canopy that homes means to come down (MODEL.md §6): where its landing lies if it goes on from each height as
// planned, in the wind that its pilot knows. Above the approach the plan is to drift; in the approach it is to face the
// wind over the target, or to fly the legs of the pattern. Steering then moves this landing onto the target.
import { nth } from '../base/nth.ts';
import { WindSampler, type WindOffset } from '../winds/field.ts';
import { PATTERN_DEFAULT_AGL_M, STEER_PATTERN, type CompiledCanopy } from './body.ts';
import type { WorldSampler } from './worldSampler.ts';

/** Winds change little over this height; the displacement is a midpoint sum over such layers, m. */
const LAYER_M = 20;
/** Nearer than this to the foot of a layer the next one counts, m. */
const FOOT_M = 1e-3;

/** Height above ground at which a canopy that homes without a pattern turns to face the wind, m: common practice. */
export const FACING_AGL_M = PATTERN_DEFAULT_AGL_M.final;

/** Height above ground below which the plan is more than drifting: pattern or final, m. */
export const approach_agl_m = (canopy: CompiledCanopy): number =>
  canopy.policy === STEER_PATTERN ? canopy.legs_agl_m[0] : FACING_AGL_M;

/** What the pilot knows and has when the canopy is open. */
export interface PlanStart {
  readonly canopy: CompiledCanopy;
  /** √(ρ0 m/mRef): airspeed and sink at a height are those of the polar times this, over √ρ. */
  readonly speedScale: number;
  readonly height_m: number;
  /** Seconds since the exit, and the exit in seconds since 1970. */
  readonly t_s: number;
  readonly exit_s: number;
  /** What the pilot knows beyond the forecast: the analysis, not a member's own wind. */
  readonly known: WindOffset | null;
}

export class LandingPlan {
  readonly #around: WorldSampler;
  readonly #sampler: WindSampler;
  #heights = new Float64Array(0);
  #east = new Float64Array(0);
  #north = new Float64Array(0);
  #at = 0;
  /** The displacement last asked for, m. */
  east_m = 0;
  north_m = 0;

  constructor(around: WorldSampler) {
    this.#around = around;
    this.#sampler = new WindSampler(around.sampler.field);
  }

  make(start: PlanStart): void {
    const { canopy, speedScale } = start;
    const { air, ground } = this.#around;
    const { targetLat_rad, targetLon_rad } = canopy;
    const ground_m = ground.heightAt(targetLat_rad, targetLon_rad);
    const heights = layersDown(Math.max(start.height_m - ground_m, 0), canopy);
    const n = heights.length;
    this.#heights = Float64Array.from(heights, (agl) => agl + ground_m);
    this.#east = new Float64Array(n);
    this.#north = new Float64Array(n);
    this.#at = 0;
    this.#sampler.start(start.exit_s, start.known);
    let t = start.t_s;
    for (let k = 0; k + 1 < n; k++) {
      const top = heights[k] ?? 0;
      const dz = top - (heights[k + 1] ?? 0);
      const agl = top - dz / 2;
      const scale = speedScale / Math.sqrt(air.density(ground_m + agl));
      const passing = dz / (canopy.sink_mps * scale);
      this.#sampler.sample(targetLat_rad, targetLon_rad, ground_m + agl, t + passing / 2);
      const factor = this.#around.logFactor(agl);
      const u = nth(this.#sampler.out, 0) * factor;
      const v = nth(this.#sampler.out, 1) * factor;
      const [driveE, driveN] = plannedDrive(canopy, canopy.airspeed_mps * scale, agl, u, v);
      this.#east[k] = (u + driveE) * passing;
      this.#north[k] = (v + driveN) * passing;
      t += passing;
    }
    // From displacements of layers to displacements from each height to the ground.
    for (let k = n - 2; k >= 0; k--) {
      this.#east[k] = nth(this.#east, k) + nth(this.#east, k + 1);
      this.#north[k] = nth(this.#north, k) + nth(this.#north, k + 1);
    }
  }

  /** From a height to the foot of its layer, m: the displacement bends there. */
  layerBelow(height_m: number): number {
    const heights = this.#heights;
    let k = this.#at;
    while (k > 0 && height_m > nth(heights, k)) k -= 1;
    while (k < heights.length && height_m - nth(heights, k) < FOOT_M) k += 1;
    return k < heights.length ? height_m - nth(heights, k) : Infinity;
  }

  /** Sets `east_m` and `north_m` to how far the landing lies from a place at a height. */
  from(height_m: number): void {
    const heights = this.#heights;
    const last = heights.length - 2;
    let k = this.#at;
    while (k > 0 && height_m > nth(heights, k)) k -= 1;
    while (k < last && height_m < nth(heights, k + 1)) k += 1;
    this.#at = k;
    const top = nth(heights, k);
    const bottom = nth(heights, k + 1);
    const x = top > bottom ? (top - height_m) / (top - bottom) : 1;
    this.east_m = nth(this.#east, k) + x * (nth(this.#east, k + 1) - nth(this.#east, k));
    this.north_m = nth(this.#north, k) + x * (nth(this.#north, k + 1) - nth(this.#north, k));
  }
}

/** Heights above ground from the top to 0, at most a layer apart, with those at which the plan changes among them. */
function layersDown(top_m: number, canopy: CompiledCanopy): number[] {
  const changes = canopy.policy === STEER_PATTERN ? canopy.legs_agl_m : [FACING_AGL_M, 10, 2];
  const stops = [top_m, ...changes.filter((agl) => agl < top_m), 0];
  const heights = [top_m];
  for (let i = 0; i + 1 < stops.length; i++) {
    const [high, low] = [stops[i] ?? 0, stops[i + 1] ?? 0];
    const layers = Math.max(1, Math.ceil((high - low) / LAYER_M));
    for (let k = 1; k <= layers; k++) heights.push(high - ((high - low) * k) / layers);
  }
  return heights;
}

/** The drive through the air, m/s east and north, that the plan asks for in a wind. */
export function plannedDrive(
  canopy: CompiledCanopy,
  drive_mps: number,
  agl_m: number,
  windE_mps: number,
  windN_mps: number,
): readonly [number, number] {
  if (!(agl_m < approach_agl_m(canopy))) return NO_DRIVE;
  if (canopy.policy === STEER_PATTERN) {
    const heading = legHeading(canopy, agl_m);
    return [drive_mps * Math.sin(heading), drive_mps * Math.cos(heading)];
  }
  const wind = Math.hypot(windE_mps, windN_mps);
  const share = wind > drive_mps ? drive_mps / wind : 1;
  return [-share * windE_mps, -share * windN_mps];
}

const NO_DRIVE = [0, 0] as const;

export function legHeading({ legs_rad, legs_agl_m }: CompiledCanopy, agl_m: number): number {
  const [, base, final] = legs_agl_m;
  return agl_m > base + 1e-3 ? legs_rad[0] : agl_m > final + 1e-3 ? legs_rad[1] : legs_rad[2];
}
