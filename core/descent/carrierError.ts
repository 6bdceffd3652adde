// How far off its line a carrier may be by the time of an exit (MODEL.md §7): the wind error over the time still to
// fly, from where it was last known. Metres, one standard deviation an axis.
import { nth } from '../base/nth.ts';
import { evaluate, pointsOf } from '../winds/analysis.ts';
import type { CarrierPath } from './carrier.ts';
import type { World } from './scenario.ts';
import { noReports } from './windError.ts';

/** The path is cut into this many stretches: each has one wind error. */
const STRETCHES = 60;

/**
 * returns  the standard error of the place at `until_s`, m an axis; 0 where nothing is left to fly
 * Left out the ascent rate's own error: it moves the line along its time and is seen in the next fix
 */
export function carrierError_m({ points }: CarrierPath, world: World, until_s: number): number {
  const ahead = points.filter((point) => point.time_s <= until_s);
  const every = Math.max(1, Math.ceil(ahead.length / STRETCHES));
  const list = ahead.filter((_, i) => i % every === 0);
  if (list.length < 2) return 0;
  const { covariance } = evaluate(world.analysis?.solved ?? noReports(world.errors), pointsOf(list, world.errors));
  const n = list.length;
  const lasts = list.map((point, i) => Math.max(0, (list[i + 1]?.time_s ?? until_s) - point.time_s));
  let variance = 0;
  for (let i = 0; i < n; i++)
    for (let j = 0; j < n; j++) variance += (lasts[i] ?? 0) * (lasts[j] ?? 0) * nth(covariance, i * n + j);
  return Math.sqrt(Math.max(variance, 0));
}
