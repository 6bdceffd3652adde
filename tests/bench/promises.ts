// The other times that were promised, each over the same numbers that the tests check: the analysis of a long log, the
// slider of an exit during the ascent, hostile XML, and the placement of crews beside brute force. Milliseconds of this
// thread's work.
import { backgroundErrors } from '../../core/winds/errors.ts';
import { otherBody } from '../../core/recovery/gondola.ts';
import { placeCrews } from '../../core/recovery/placement.ts';
import { readRoads } from '../../core/recovery/roads.ts';
import { sceneOf } from '../../core/recovery/scene.ts';
import { epoch_s } from '../../core/descent/scenario.ts';
import { Findings } from '../../core/formats/text/text.ts';
import { readXml } from '../../core/formats/text/xml.ts';
import { caseOutlooks } from '../../core/mission/caseOutlooks.ts';
import { carrierOf, casesOf, exitDuringAscent } from '../../core/mission/cases.ts';
import { defaultMoment_s, situationAt } from '../../core/mission/situation.ts';
import { missionAt } from '../../core/log/fold.ts';
import { windsNow } from '../../core/winds/now.ts';
import { comparePlacement, sceneWith, TIMED_REACH_M, type PlacementRun } from '../recovery/placementRuns.ts';
import { randomMission } from '../recovery/randomMission.ts';
import { DEMOS, demo } from '../demo.ts';
import { hostileXml } from '../formats/hostileXml.ts';
import { manyReports, trueWind } from '../winds/manyReports.ts';
import { worked_ms } from './cpuTime.ts';

function worked(run: () => void): number {
  const began = worked_ms();
  run();
  return worked_ms() - began;
}

/**
 * `count` reports in the log of the balloon demo: folding the log, and the analysis of what counts, once each; warmed
 * up.
 */
export async function longLog(
  count: number,
  rounds: number,
): Promise<{ readonly fold_ms: number[]; readonly analysis_ms: number[] }> {
  const { mission } = (await demo('salt-plain')).situation;
  const begin_s = epoch_s(mission.exit.time) - 40_000;
  const { log } = manyReports(count, begin_s);
  const at_s = begin_s + 3 * count;
  const fold_ms: number[] = [];
  const analysis_ms: number[] = [];
  for (let i = 0; i < rounds + 3; i++) {
    let state = missionAt(mission, [], at_s);
    const folded = worked(() => (state = missionAt(mission, log, at_s)));
    if (state.counting.length !== count) throw new Error(`${state.counting.length} of ${count} reports count`);
    const analysed = worked(
      () =>
        void windsNow({
          mission,
          errors: backgroundErrors({ ground_m: mission.site.elevation_m }),
          top_m: mission.exit.altitude_m + 1000,
          state,
          background: trueWind,
          valid_s: at_s + 600,
          declination_deg: 8,
        }),
    );
    if (i < 3) continue;
    fold_ms.push(folded);
    analysis_ms.push(analysed);
  }
  return { fold_ms, analysis_ms };
}

/** One position of the slider "if they leave now, here": a descent with its spread, a height. */
export async function leaveNow(rounds: number): Promise<number[]> {
  const { loaded } = await demo('salt-plain');
  const { mission, world } = loaded;
  // Before the launch: of a balloon that is up already no lower height is left.
  const situation = situationAt(mission, [], world, defaultMoment_s(mission, []));
  const path = carrierOf(situation);
  const HEIGHTS = 200;
  const sweep = (): number =>
    worked(() => {
      for (let i = 0; i < HEIGHTS; i++)
        if (exitDuringAscent(situation, 2000 + (36_000 * i) / HEIGHTS, path).kind !== 'exit')
          throw new Error('no exit on the ascent');
    }) / HEIGHTS;
  sweep();
  return Array.from({ length: rounds }, sweep);
}

/**
 * Reading twice the text over reading the text, the worst over texts that invite going back: 2 is in proportion, 4 is
 * quadratic.
 */
export function hostileXmlGrowth(): number {
  const quickest = (text: string): number =>
    Math.min(...Array.from({ length: 5 }, () => worked(() => void readXml(text, new Findings()))));
  const [single, double] = [60_000, 120_000].map((times) => hostileXml(times).map(quickest));
  // What is read in no time at all grows by nothing that could be measured.
  return Math.max(...(double ?? []).flatMap((two, i) => (two < 2 ? [] : [two / (single?.[i] ?? NaN)])));
}

/** Three crews, ten cases of 500 members each, the scene's tables included. */
export async function threeCrewsTenCases(rounds: number): Promise<number[]> {
  const { situation, loaded } = await demo('salt-plain');
  const outlooks = caseOutlooks(situation, casesOf(situation.mission).cases, { members: 500, seed: 1 });
  const others = [otherBody(situation, 'gondola', { members: 500, seed: 1 })];
  const roads = readRoads(loaded.roads).value;
  return Array.from({ length: rounds }, () =>
    worked(() => {
      const scene = sceneOf({ stage: 'before the exit', situation, cases: outlooks, others, roads });
      if (scene === null || scene.jumper.count !== 5000 || placeCrews(scene).crews.length !== 3)
        throw new Error('three crews, 5000 landings');
    }),
  );
}

/** Both demos and random missions against brute force that tries every pair of places and knows no short way. */
export async function placements(missions: number): Promise<PlacementRun[]> {
  const how = { reach_m: TIMED_REACH_M, backward: false, searches: 3 };
  const runs: PlacementRun[] = [];
  for (const name of DEMOS) {
    const { situation, loaded } = await demo(name);
    runs.push(comparePlacement(name, sceneWith(situation, loaded.roads, 20), 1, how));
  }
  for (let seed = 1; seed <= missions; seed++) {
    const { situation, roads } = randomMission(seed);
    runs.push(comparePlacement(`random ${seed}`, sceneWith(situation, roads, 16), seed, how));
  }
  return runs;
}

export { costRow } from '../recovery/placementRuns.ts';
