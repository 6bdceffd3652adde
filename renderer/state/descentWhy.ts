// Where two numbers of the descent come from that hang on the prediction itself: the time since the exit and the ground at the landing.
import { sinceExit_s, type Expected } from '../../core/advice/expected.ts';
import type { Landing } from '../../core/descent/prediction.ts';
import type { World } from '../../core/descent/scenario.ts';
import type { Mission } from '../../core/mission/schema.ts';
import { clock, duration, height, type Units } from '../format.ts';
import { provenanceOf } from './provenance.ts';
import type { Provenance } from './store.ts';

/** What is told of, and how it is said. */
export interface DescentOf {
  readonly mission: Mission;
  readonly expected: Expected;
  readonly landing: Landing;
  readonly world: World | null;
  readonly units: Units;
}

export function afterExitWhy({ mission, expected, landing, world, units }: DescentOf): Provenance {
  const { basis, planned, outlook } = expected;
  const exit_s = planned.scenario.exit.time_s;
  const since_s = sinceExit_s(expected);
  const at = (time_s: number): string => clock(time_s * 1000, units, mission.site.timeZone);
  const between = `From the exit at ${at(exit_s)} to the touchdown at ${at(outlook.scenario.exit.time_s + landing.time_s)}`;
  const parts = since_s === 0 ? '' : `, ${duration(since_s)} of it before the moment from which the descent is predicted`;
  const how =
    expected.from === 'touchdown'
      ? ': the touchdown is the one in the log.'
      : `${parts}: the fall through each stage and the flight under canopy, in the analysed wind.`;
  const { inputs } = provenanceOf('touchdown', mission, world?.wind ?? null, units);
  return {
    key: 'after exit',
    title: 'Time after exit',
    sentence: `${between}${how}${basis === null ? '' : ` ${basis}`}`,
    inputs,
  };
}

export function groundWhy({ mission, landing, world, expected, units }: DescentOf): Provenance {
  const site = height(mission.site.elevation_m, { ...units, height: 'MSL' }, 0);
  const [lon, lat] = landing.position;
  const known = world?.ground.terrain?.heightAt(lon, lat) ?? NaN;
  const from = !Number.isNaN(known)
    ? `Height of the terrain’s grid at the landing, in proportion between its posts; the plan’s site lies at ${site}.`
    : world?.ground.terrain == null
      ? `Height of the plan’s site, ${site}: no terrain is loaded, so the ground is taken as level.`
      : `Height of the plan’s site, ${site}: the landing lies outside the terrain or where it has no height.`;
  const met = expected.from === 'touchdown' ? '' : ' The predicted path ends where it meets this ground.';
  const { inputs } = provenanceOf('landing', mission, world?.wind ?? null, units);
  return { key: 'ground', title: 'Ground at the landing', sentence: `${from}${met}`, inputs };
}
