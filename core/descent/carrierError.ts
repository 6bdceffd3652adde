// How far off its line a carrier may be by the time of an exit (MODEL.md §7): the wind error over the time still to
// fly, from where it was last known, and the error of a balloon's rise. Metres, one standard deviation an axis.
import { nth } from '../base/nth.ts';
import { localFrame } from '../earth/geodesic.ts';
import { evaluate, pointsOf } from '../winds/analysis.ts';
import { carrierAt, type CarrierPath } from './carrier.ts';
import type { World } from './scenario.ts';
import { DEFAULT_SPREAD, type Spread } from './spread.ts';
import { noReports } from './windError.ts';

/** The path is cut into this many stretches: each has one wind error. */
const STRETCHES = 60;

/**
 * returns  the standard error of the place at `until_s`, m an axis; 0 where nothing is left to fly, and for a run that
 *          is flown by satellite
 * `rise_rel`: of the rate of rise, a share of it
 */
export function carrierError_m(
  path: CarrierPath,
  world: World,
  until_s: number,
  rise_rel = DEFAULT_SPREAD.ascentRate_rel.value,
): number {
  const { points } = path;
  const ahead = points.filter((point) => point.time_s <= until_s);
  const every = Math.max(1, Math.ceil(ahead.length / STRETCHES));
  const list = ahead.filter((_, i) => i % every === 0);
  const isRun = path.levelFrom === 0 && points.every(({ height_m }) => height_m === points[0]?.height_m);
  if (list.length < 2 || isRun) return 0;
  const { covariance } = evaluate(world.analysis?.solved ?? noReports(world.errors), pointsOf(list, world.errors));
  const n = list.length;
  const lasts = list.map((point, i) => Math.max(0, (list[i + 1]?.time_s ?? until_s) - point.time_s));
  let variance = 0;
  for (let i = 0; i < n; i++)
    for (let j = 0; j < n; j++) variance += (lasts[i] ?? 0) * (lasts[j] ?? 0) * nth(covariance, i * n + j);
  return Math.hypot(Math.sqrt(Math.max(variance, 0)), rise_rel * riseError_m(path, until_s));
}

/**
 * What a rise slower by its whole self would move the place by, m an axis: each height is passed later in the ratio of
 * the time left to climb, so the wind there takes the place of that of the last height for so long.
 */
function riseError_m(path: CarrierPath, until_s: number): number {
  const first = path.points[0];
  const top = path.points[path.levelFrom];
  const there = carrierAt(path, Math.min(until_s, top?.time_s ?? until_s));
  if (first === undefined || there === null) return 0;
  const [east, north] = localFrame(first.position).toLocal(there.position);
  const climbing_s = there.time_s - first.time_s;
  return Math.hypot(there.velocity_mps[0] * climbing_s - east, there.velocity_mps[1] * climbing_s - north) / Math.SQRT2;
}

/** The spread of an exit at a time, with that of the way which the carrier has still to go. */
export function withCarrier(spread: Spread, path: CarrierPath | null, world: World, exit_s: number): Spread {
  if (path === null || spread.carrierPath_rel === 0) return spread;
  const off_m = spread.carrierPath_rel * carrierError_m(path, world, exit_s, spread.ascentRate_rel);
  return off_m === 0 ? spread : { ...spread, exitPosition_m: Math.hypot(spread.exitPosition_m, off_m) };
}
