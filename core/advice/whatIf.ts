// What if the wind were another: near the ground so much more speed in its own direction, or a wind added to a layer.
// The reports and what they add to the forecast stay as they are, so that only the asked-for change moves the answer.
import { nth } from '../base/nth.ts';
import type { Situation } from '../mission/situation.ts';
import type { World } from '../descent/scenario.ts';
import { WindField, type WindOffset } from '../winds/field.ts';

export interface WhatIf {
  /** Added to the speed of the wind near the ground, m/s; negative: less wind, down to a calm. */
  readonly surface_mps: number;
}

/**
 * Up to this height above the site the whole change; above it less, and nothing from the second height on: where
 * surface winds end (common practice).
 */
export const WHOLE_AGL_M = 150;
export const NOTHING_AGL_M = 600;

export function whatIf(situation: Situation, change: WhatIf): Situation {
  return { ...situation, world: strengthened(situation.world, situation.mission.site.elevation_m, change.surface_mps) };
}

/**
 * The world with `by_mps` more wind near the ground. A calm has no direction of its own: there the wind above it gives
 * it.
 */
export function strengthened(world: World, ground_m: number, by_mps: number): World {
  const own = [
    ground_m,
    ground_m + 10,
    ground_m + WHOLE_AGL_M,
    ground_m + (WHOLE_AGL_M + NOTHING_AGL_M) / 2,
    ground_m + NOTHING_AGL_M,
  ];
  const increment = world.analysis?.increment ?? null;
  return rewritten(world, own, () => {
    let east = 0;
    let north = 1;
    return (h, u0, v0) => {
      const [u, v] = added(increment, h, u0, v0);
      const speed = Math.hypot(u, v);
      if (speed > 0.1) [east, north] = [u / speed, v / speed];
      const more = Math.max(by_mps * weightAt(h - ground_m), -speed);
      return [u0 + more * east, v0 + more * north];
    };
  });
}

/** A stretch of height, m MSL. */
export interface WindLayer {
  readonly bottom_m: number;
  readonly top_m: number;
}

/** Over this height a change of a layer fades out above and below it, m. */
export const LAYER_FADE_M = 500;

/** How much of a layer's change there is at a height: 1 in it, 0 from a fade beyond it on. */
export const layerWeight = ({ bottom_m, top_m }: WindLayer, height_m: number): number =>
  Math.max(0, 1 - Math.max(bottom_m - height_m, height_m - top_m, 0) / LAYER_FADE_M);

/** The world with a wind added to a layer, m/s east and north. */
export function shifted(world: World, layer: WindLayer, u_mps: number, v_mps: number): World {
  const { bottom_m, top_m } = layer;
  return rewritten(world, [bottom_m - LAYER_FADE_M, bottom_m, top_m, top_m + LAYER_FADE_M], () => (h, u0, v0) => {
    const weight = layerWeight(layer, h);
    return [u0 + weight * u_mps, v0 + weight * v_mps];
  });
}

/** A column's wind at a height from what it was: asked from the top down. */
type Rewrite = (height_m: number, u_mps: number, v_mps: number) => readonly [u_mps: number, v_mps: number];

/** The world with every column of its wind written again, with `own_m` among the heights. `column` makes one's rule. */
function rewritten(world: World, own_m: readonly number[], column: () => Rewrite): World {
  const old = world.wind;
  const heights_m = Float64Array.from(new Set([...old.heights_m, ...own_m])).sort();
  const n = heights_m.length;
  const before = old.heights_m.length;
  const count = old.u_mps.length / before;
  const u_mps = new Float64Array(count * n);
  const v_mps = new Float64Array(count * n);
  for (let at = 0; at < count; at++) {
    const u = old.u_mps.subarray(at * before, (at + 1) * before);
    const v = old.v_mps.subarray(at * before, (at + 1) * before);
    const rewrite = column();
    for (let k = n - 1; k >= 0; k--) {
      const h = nth(heights_m, k);
      const [u1, v1] = rewrite(h, along(old.heights_m, u, h), along(old.heights_m, v, h));
      u_mps[at * n + k] = u1;
      v_mps[at * n + k] = v1;
    }
  }
  const { times_s, lats_rad, lons_rad, bottoms_m, tops_m, facts, columns } = old;
  return {
    ...world,
    wind: new WindField({ heights_m, times_s, lats_rad, lons_rad, u_mps, v_mps, bottoms_m, tops_m, facts, columns }),
  };
}

const weightAt = (agl_m: number): number =>
  Math.min(1, Math.max(0, (NOTHING_AGL_M - agl_m) / (NOTHING_AGL_M - WHOLE_AGL_M)));

function added(increment: WindOffset | null, h: number, u: number, v: number): readonly [number, number] {
  if (increment === null) return [u, v];
  return [u + along(increment.heights_m, increment.u_mps, h), v + along(increment.heights_m, increment.v_mps, h)];
}

/** Linear between nodes, the end values outside. */
function along(heights_m: Float64Array, values: Float64Array, h: number): number {
  const last = heights_m.length - 1;
  if (last < 0) return 0;
  let k = 0;
  while (k + 1 < last && nth(heights_m, k + 1) <= h) k += 1;
  const next = Math.min(k + 1, last);
  const span = nth(heights_m, next) - nth(heights_m, k);
  const x = span > 0 ? Math.min(Math.max((h - nth(heights_m, k)) / span, 0), 1) : 0;
  return nth(values, k) + x * (nth(values, next) - nth(values, k));
}
