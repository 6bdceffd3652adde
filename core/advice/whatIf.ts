// What if the wind near the ground were stronger: the same situation with so much more speed in it, in the wind's own
// direction. The reports and what they add to the forecast stay as they are, so that only the asked-for change moves
// the answer.
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
  const old = world.wind;
  const own = [
    ground_m,
    ground_m + 10,
    ground_m + WHOLE_AGL_M,
    ground_m + (WHOLE_AGL_M + NOTHING_AGL_M) / 2,
    ground_m + NOTHING_AGL_M,
  ];
  const heights_m = Float64Array.from(new Set([...old.heights_m, ...own])).sort();
  const n = heights_m.length;
  const count = old.u_mps.length / old.heights_m.length;
  const u_mps = new Float64Array(count * n);
  const v_mps = new Float64Array(count * n);
  const increment = world.analysis?.increment ?? null;
  for (let column = 0; column < count; column++) {
    const u = old.u_mps.subarray(column * old.heights_m.length, (column + 1) * old.heights_m.length);
    const v = old.v_mps.subarray(column * old.heights_m.length, (column + 1) * old.heights_m.length);
    let east = 0;
    let north = 1;
    for (let k = n - 1; k >= 0; k--) {
      const h = nth(heights_m, k);
      const [u0, v0] = [along(old.heights_m, u, h), along(old.heights_m, v, h)];
      const [uAll, vAll] = added(increment, h, u0, v0);
      const speed = Math.hypot(uAll, vAll);
      if (speed > 0.1) [east, north] = [uAll / speed, vAll / speed];
      const more = Math.max(by_mps * weightAt(h - ground_m), -speed);
      u_mps[column * n + k] = u0 + more * east;
      v_mps[column * n + k] = v0 + more * north;
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
