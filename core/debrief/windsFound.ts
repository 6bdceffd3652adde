// The winds as they were reported, beside what the forecast said there and what the descent was reckoned with.
import { RAD_PER_DEG, windFrom, type LonLat } from '../base/units.ts';
import type { World } from '../descent/scenario.ts';
import { exitTime_s, type Situation } from '../mission/situation.ts';
import { windOver } from '../recovery/crews.ts';
import { backgroundOf } from '../winds/analysis.ts';
import { DEFAULT_ROUGHNESS_M } from '../winds/nearGround.ts';
import { observationOf } from '../winds/reports.ts';

/** A wind FROM a true direction. */
export interface WindThere {
  readonly from_deg: number;
  readonly speed_mps: number;
}

export interface WindFound {
  readonly id: string;
  readonly by: string;
  readonly observed_s: number;
  /** Height MSL. */
  readonly height_m: number;
  readonly told: WindThere;
  /** At the report's place, height and time. */
  readonly forecast: WindThere;
  /** At the same place and height in the winds that were known at the exit, at the exit's time. */
  readonly used: WindThere;
  /** Sizes of the difference as vectors. */
  readonly offForecast_mps: number;
  readonly offUsed_mps: number;
  /** Why it does not count; null: it does. */
  readonly without: string | null;
}

/**
 * Every report of the log that has a height and a wind.
 *
 * last    when all was known; `atExit`: when the jumper left
 * world   the forecast's, without reports
 */
export function windsFound(last: Situation, atExit: Situation, world: World): WindFound[] {
  const { mission, state, winds } = last;
  const forecast = backgroundOf(world.wind);
  const exit_s = exitTime_s(mission, atExit.state);
  const groundAt = ([lon, lat]: LonLat): number => world.ground.heightAt(lat * RAD_PER_DEG, lon * RAD_PER_DEG);
  const ground = {
    groundAt,
    roughness_m: mission.site.roughness_m ?? DEFAULT_ROUGHNESS_M,
  };
  const held = new Map(winds.held.map(({ report, sentence }) => [report.id, sentence]));
  return state.reports.flatMap((report): WindFound[] => {
    const { event, position, observed_s, outcome } = report;
    if (event.height_m === undefined && event.agl_m === undefined) return [];
    const { height_m, u_mps, v_mps } = observationOf(report, ground);
    const [fu, fv] = forecast(height_m, observed_s, position);
    const [au, av] = windOver(atExit, position, height_m - groundAt(position), exit_s);
    return [
      {
        id: report.id,
        by: event.by ?? event.source,
        observed_s,
        height_m,
        told: { from_deg: event.from_deg, speed_mps: event.speed_mps },
        forecast: windFrom(fu, fv),
        used: windFrom(au, av),
        offForecast_mps: Math.hypot(u_mps - fu, v_mps - fv),
        offUsed_mps: Math.hypot(u_mps - au, v_mps - av),
        without: outcome.kind === 'counts' ? (held.get(report.id) ?? null) : outcome.sentence,
      },
    ];
  });
}
