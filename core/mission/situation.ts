// A mission at a moment, ready for every question: the log folded, the reports judged and analysed, the world with the
// analysed wind.
import { declination_deg } from '../earth/declination.ts';
import { epoch_s, type World } from '../descent/scenario.ts';
import { RAD_PER_DEG } from '../base/units.ts';
import { backgroundOf } from '../winds/analysis.ts';
import { windsNow, type WindsNow } from '../winds/now.ts';
import type { LogEvent } from '../log/events.ts';
import { missionAt, type MissionState } from '../log/fold.ts';
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
export function exitTime_s(mission: Mission, state: MissionState): number {
  return state.marks.get('exit')?.time_s ?? epoch_s(mission.exit.time);
}

/**
 * The moment that is meant where nobody names one: the newest event of the log, else the planned exit. So a replay
 * needs no clock.
 */
export function defaultMoment_s(mission: Mission, log: readonly LogEvent[]): number {
  const times = log.map((event) => epoch_s(event.at));
  return times.length === 0 ? epoch_s(mission.exit.time) : times.reduce((a, b) => Math.max(a, b));
}

/**
 * `world`: the forecast's, as `assemble` of `load.ts` makes it. Pure: the same mission, log and moment give the same
 * bytes.
 */
export function situationAt(mission: Mission, log: readonly LogEvent[], world: World, at_s: number): Situation {
  return situationOf(mission, missionAt(mission, log, at_s), world);
}

/**
 * The same from a log that is folded already: an edit of the plan that leaves the reports alone need not fold ten
 * thousand again.
 */
export function situationOf(mission: Mission, state: MissionState, world: World): Situation {
  const { site } = mission;
  const { at_s } = state;
  const declination = declination_deg(site.position, site.elevation_m, at_s);
  const winds = windsNow({
    mission,
    state,
    background: world.wind.isAssumedCalm ? null : backgroundOf(world.wind),
    valid_s: exitTime_s(mission, state),
    groundAt: ([lon, lat]) => world.ground.heightAt(lat * RAD_PER_DEG, lon * RAD_PER_DEG),
    declination_deg: declination.kind === 'known' ? declination.deg : null,
  });
  const analysis = winds.used.size > 0 ? winds.analysis : null;
  return { mission, at_s, state, winds, world: { ...world, errors: winds.errors, analysis } };
}
