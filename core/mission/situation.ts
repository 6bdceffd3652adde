// A mission at a moment, ready for every question: the log folded, the reports judged and analysed, the world with the
// analysed wind.
import { declination_deg } from '../earth/declination.ts';
import { epoch_s, type World } from '../descent/scenario.ts';
import { RAD_PER_DEG } from '../base/units.ts';
import { backgroundOf, type WindsAnalysis } from '../winds/analysis.ts';
import { windsNow, type WindsNow } from '../winds/now.ts';
import type { LogEvent } from '../log/events.ts';
import { missionAt, spanOfLog, type MissionState } from '../log/fold.ts';
import type { Mission } from '../plan/schema.ts';

export interface Situation {
  readonly mission: Mission;
  readonly at_s: number;
  readonly state: MissionState;
  readonly winds: WindsNow;
  /** The world in which predictions are made: forecast and analysis. */
  readonly world: World;
}

/** When the jumper left, or is planned to leave, s since 1970. */
export function exitTime_s(mission: Pick<Mission, 'exit'>, state: Pick<MissionState, 'marks'>): number {
  return state.marks.get('exit')?.time_s ?? epoch_s(mission.exit.time);
}

/**
 * The moment that is meant where nobody names one: the newest event of the log, else the planned exit. So a replay
 * needs no clock.
 */
export function defaultMoment_s(mission: Mission, log: readonly LogEvent[]): number {
  return spanOfLog(log)?.last_s ?? epoch_s(mission.exit.time);
}

/**
 * `world`: the forecast's, as `assemble` of `load.ts` makes it. Pure: the same mission, log and moment give the same
 * bytes.
 */
export function situationAt(mission: Mission, log: readonly LogEvent[], world: World, at_s: number): Situation {
  return situationOf(mission, missionAt(mission, log, at_s), world);
}

/** The same of a log that was folded already. */
export function situationOf(mission: Mission, state: MissionState, world: World): Situation {
  const winds = windsAt(mission, state, world);
  return { mission, at_s: state.at_s, state, winds, world: { ...world, analysis: analysisIn(winds) } };
}

/** The height above the exit up to which the winds are analysed, m. */
const ABOVE_EXIT_M = 1000;

/** What of a plan decides what its reports make of the forecast. */
export type AnalysedPlan = Pick<Mission, 'site'> & {
  readonly exit: Pick<Mission['exit'], 'time' | 'altitude_m'>;
};

/** The reports of a folded log judged and analysed for the time of the exit. */
export function windsAt(
  { site, exit }: AnalysedPlan,
  state: Pick<MissionState, 'at_s' | 'counting' | 'byId' | 'marks'>,
  forecast: World,
): WindsNow {
  const declination = declination_deg(site.position, site.elevation_m, state.at_s);
  return windsNow({
    mission: { site },
    errors: forecast.errors,
    state,
    background: forecast.wind.isAssumedCalm ? null : backgroundOf(forecast.wind),
    valid_s: state.marks.get('exit')?.time_s ?? epoch_s(exit.time),
    groundAt: ([lon, lat]) => forecast.ground.heightAt(lat * RAD_PER_DEG, lon * RAD_PER_DEG),
    declination_deg: declination.kind === 'known' ? declination.deg : null,
    top_m: exit.altitude_m + ABOVE_EXIT_M,
  });
}

/** What the reports add to the forecast; null where none of them counts. */
export const analysisIn = ({ used, analysis }: WindsNow): WindsAnalysis | null => (used.size > 0 ? analysis : null);

/** The winds as they would be if a person confirmed some held reports as they stand: what a question may change. */
export function windsIfConfirmed({ mission, state, world }: Situation, ids: readonly string[]): WindsNow {
  const confirmed = { by: null, at_s: state.at_s, seq: -1 };
  const counting = state.counting.map((report) => (ids.includes(report.id) ? { ...report, confirmed } : report));
  return windsAt(mission, { ...state, counting }, world);
}
