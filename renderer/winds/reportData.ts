// What the wind column shows beside its levels: the reports at their heights, the error of the wind in force, the
// forecast alone, and the wind of another hour. Plain data from the mission at a moment; heights m MSL, m/s, s since
// 1970.
import type { World } from '../../core/descent/scenario.ts';
import type { Mission } from '../../core/plan/schema.ts';
import type { Situation } from '../../core/mission/situation.ts';
import { RAD_PER_DEG } from '../../core/base/units.ts';
import { evaluate, pointsOf } from '../../core/winds/analysis.ts';
import { observationOf } from '../../core/winds/reports.ts';
import { FADED_WEIGHT, weightOf, type ReportTable } from '../state/derived/reports.ts';
import { age } from '../../core/words/times.ts';
import { isCalm, speed, windWords } from '../../core/words/winds.ts';
import { type Units, angle } from '../../core/words/numbers.ts';
import { profileAt } from './profile.ts';
import type { ChartReport, ErrorPoint, ProfilePoint } from './model.ts';

/** More marks would cover each other: of a long log the newest are drawn, and every one that is held back. */
const MOST_DRAWN = 60;

export function chartReports(situation: Situation, { rows }: ReportTable): ChartReport[] {
  const { state, winds, world } = situation;
  const ground = {
    groundAt: ([lon, lat]: readonly [number, number]): number =>
      world.ground.heightAt(lat * RAD_PER_DEG, lon * RAD_PER_DEG),
    roughness_m: world.roughness_m,
  };
  const drawn = rows.filter(({ standing }) => standing !== 'left out' && standing !== 'refused').slice(0, MOST_DRAWN);
  const held =
    winds.held.length > MOST_DRAWN ? [] : rows.filter((row) => row.standing === 'held' && !drawn.includes(row));
  return [...drawn, ...held].map(({ seq, id, report, standing }) => {
    const { height_m, u_mps, v_mps, std_mps } = observationOf(report, ground);
    const faded = standing === 'counts' && weightOf(report, situation) < FADED_WEIGHT;
    return { seq, id, height_m, u_mps, v_mps, std_mps, standing, faded, age: age(state.at_s - report.observed_s) };
  });
}

/** Standard error of one component of the wind in force over the site at a time, from the ground to `top_m`. */
export function errorsAt(mission: Mission, { errors, analysis }: World, time_s: number, top_m: number): ErrorPoint[] {
  const bottom = mission.site.elevation_m;
  if (analysis === null) {
    const count = 60;
    return Array.from({ length: count + 1 }, (_, i) => {
      const height_m = bottom + ((top_m - bottom) * i) / count;
      return { height_m, std_mps: errors.std_mps(height_m, time_s) };
    });
  }
  const heights = Array.from(analysis.increment.heights_m).filter((height_m) => height_m <= top_m + 1000);
  const at = pointsOf(
    heights.map((height_m) => ({ height_m, time_s, position: mission.site.position })),
    analysis.errors,
  );
  const { covariance } = evaluate(analysis.solved, at);
  return heights.map((height_m, k) => ({ height_m, std_mps: Math.sqrt(covariance[k * at.n + k] ?? 0) }));
}

/** Hours that the forecasts cover, s since 1970: the slider's ends, and the ticks between. */
export function hoursOf(world: World): readonly number[] {
  return world.wind.isAssumedCalm ? [] : Array.from(world.wind.times_s).filter((time) => Number.isFinite(time));
}

/** Below this two winds are the same to anybody. */
const SAME_MPS = 0.25;

/** "4 kt more and 12° to the right of 06:00Z"; what one hour's wind is against another's at a height. */
export function differenceWords(
  now: readonly ProfilePoint[],
  other: readonly ProfilePoint[],
  height_m: number,
  name: string,
  units: Units,
): string {
  const a = profileAt(now, height_m);
  const b = profileAt(other, height_m);
  if (a === null || b === null) return '';
  const apart_mps = Math.hypot(a.u_mps - b.u_mps, a.v_mps - b.v_mps);
  if (apart_mps < SAME_MPS) return `the same as at ${name}`;
  const more = a.speed_mps - b.speed_mps;
  const parts: string[] = [];
  if (Math.abs(more) >= SAME_MPS) parts.push(`${speed(Math.abs(more), units)} ${more > 0 ? 'more' : 'less'}`);
  const turned = ((a.from_deg - b.from_deg + 540) % 360) - 180;
  if (!isCalm(a.speed_mps) && !isCalm(b.speed_mps) && Math.abs(turned) >= 1)
    parts.push(`turned ${angle(Math.abs(turned))} ${turned > 0 ? 'clockwise' : 'anticlockwise'}`);
  const said = parts.length === 0 ? `${speed(apart_mps, units)} apart` : parts.join(', ');
  return `${said} against ${name} (${windWords(b.from_deg, b.speed_mps, units)})`;
}

/** The heights at which two hours differ most, in words for the ear: the largest difference of a component pair. */
export function largestDifference(
  now: readonly ProfilePoint[],
  other: readonly ProfilePoint[],
): { readonly height_m: number; readonly apart_mps: number } | null {
  let best: { height_m: number; apart_mps: number } | null = null;
  for (const point of now) {
    const there = profileAt(other, point.height_m);
    if (there === null) continue;
    const apart_mps = Math.hypot(point.u_mps - there.u_mps, point.v_mps - there.v_mps);
    if (best === null || apart_mps > best.apart_mps) best = { height_m: point.height_m, apart_mps };
  }
  return best;
}
