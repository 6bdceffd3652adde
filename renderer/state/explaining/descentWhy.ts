// Where the numbers come from that depend on the prediction itself: time since the exit, ground at the
// landing, stages.
import { sinceExit_s, type Expected } from '../../../core/mission/expected.ts';
import type { Landing, StageResult } from '../../../core/descent/prediction.ts';
import type { World } from '../../../core/descent/scenario.ts';
import type { Mission } from '../../../core/plan/schema.ts';
import { clock, duration } from '../../../core/words/times.ts';
import type { Units } from '../../../core/words/numbers.ts';
import { mslWords, provenanceOf, triggerWords } from './provenance.ts';
import type { Provenance } from '../stored/tellers.ts';

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
  const at = (time_s: number): string => clock(time_s, units);
  const between =
    `From the exit at ${at(exit_s)} to the touchdown at ` + at(outlook.scenario.exit.time_s + landing.time_s);
  const parts =
    since_s === 0 ? '' : `, ${duration(since_s)} of it before the moment from which the descent is predicted`;
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

export type StageColumn = 'lasts' | 'ends after' | 'ends at';

export const stageKey = (index: number, column: StageColumn): string => `stage/${index}/${column}`;

interface StageOf {
  readonly mission: Mission;
  readonly world: World | null;
  readonly units: Units;
  /** From the exit to the moment from which the stages' times are counted, s. */
  readonly since_s: number;
}

/** From where to where a stage goes, and what ends it. */
export function stageWhy(
  { mission, world, units, since_s }: StageOf,
  stage: StageResult,
  index: number,
  column: StageColumn,
): Provenance {
  const begins =
    `Begins ${duration(since_s + stage.start_s)} after the exit at ` + mslWords(stage.startHeight_m, units);
  const ends = `ends ${duration(since_s + stage.end_s)} after it at ${mslWords(stage.endHeight_m, units)}`;
  const planned = mission.jumper.stages.find(({ name }) => name === stage.name);
  const by =
    planned?.until !== undefined
      ? `when its trigger is met: ${triggerWords(planned.until, units)}`
      : stage.name === 'opening'
        ? 'when the canopy has filled'
        : 'at the touchdown';
  const { inputs } = provenanceOf('stages', mission, world?.wind ?? null, units);
  // The fields for a stage are the last one's: nothing before it depends on them.
  const after = planned === undefined || planned === mission.jumper.stages.at(-1);
  return {
    key: stageKey(index, column),
    title: `Stage ${stage.name}, ${column}`,
    sentence: `${begins}, ${ends}, ${by}; it lasts ${duration(stage.end_s - stage.start_s)}.`,
    inputs: after ? inputs : inputs.filter(({ field }) => field !== 'body.drag' && field !== 'body.value'),
  };
}

export function groundWhy({ mission, landing, world, expected, units }: DescentOf): Provenance {
  const site = mslWords(mission.site.elevation_m, units);
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
