// The placement beside brute force on a grid and beside random places: what the tests check of the costs, and the bench
// of the times.
import { teamOf } from '../../core/recovery/placement.ts';
import { rolesOf } from '../../core/recovery/crewPlace.ts';
import { earliest, expectedTimeOf, weightsOf } from '../../core/recovery/placementCost.ts';
import { otherBody } from '../../core/recovery/gondola.ts';
import { allowsTimes, searchPlaces, teamCost, type GoalCrews } from '../../core/recovery/placementSearch.ts';
import { readRoads } from '../../core/recovery/roads.ts';
import { sceneOf, type Scene } from '../../core/recovery/scene.ts';
import { refusesPlace } from '../../core/recovery/standby.ts';
import { caseOutlooks } from '../../core/mission/caseOutlooks.ts';
import { casesOf } from '../../core/mission/cases.ts';
import type { Situation } from '../../core/mission/situation.ts';
import { Random } from '../../core/base/random.ts';
import { worked_ms } from '../bench/cpuTime.ts';
import { bruteForce } from './bruteForce.ts';

/**
 * Half the side of the square that brute force fills, metres: past every keep-clear region of these missions, and a
 * fraction of the map that the search looks at. The wider one where the two are timed.
 */
export const REACH_M = 6000;
export const TIMED_REACH_M = 8000;

export function sceneWith(situation: Situation, roads: unknown, members: number): Scene {
  const outlooks = caseOutlooks(situation, casesOf(situation.mission).cases, { members, seed: 1 });
  const others = (['gondola', 'envelope'] as const).map((name) => otherBody(situation, name, { members, seed: 1 }));
  const scene = sceneOf({
    stage: 'before the exit',
    situation,
    cases: outlooks,
    others,
    roads: readRoads(roads).value,
  });
  if (scene === null) throw new Error('a scene');
  return scene;
}

export const mainTeam = (scene: Scene): GoalCrews =>
  teamOf(scene, rolesOf(scene).first, scene.jumper, weightsOf(scene.mission));

/**
 * Mean expected time of the first crew over random allowed places of the crews that move, anywhere on the map that the
 * placement searches.
 */
function atRandom(scene: Scene, team: GoalCrews, seed: number): number {
  const random = new Random(seed, 99);
  let sum = 0;
  const TRIES = 24;
  for (let n = 0; n < TRIES; n++) {
    const times = team.movers.map((mover) => {
      for (let tries = 0; tries < 5000; tries++) {
        const { west, south, step_m, columns, rows } = scene.lattice;
        const [x, y] = [west + columns * step_m * random.uniform(), south + rows * step_m * random.uniform()];
        if (refusesPlace(scene, mover.crew, x, y) !== null) continue;
        const found = mover.reach.from(x, y);
        if (allowsTimes(scene, mover, [x, y], found)) return found;
      }
      throw new Error(`${mover.crew.name} may stand nowhere`);
    });
    sum += expectedTimeOf(earliest([...team.fixed, ...times], team.targets.count), team.targets.weight).mean_s;
  }
  return sum / TRIES;
}

export interface PlacementRun {
  readonly name: string;
  readonly cost: number;
  readonly brute: number;
  readonly brutePlaces: number;
  /** Movers that found no place. */
  readonly unplaced: number;
  /** Expected time of the first crew: as placed, and the mean over random places. */
  readonly mean_s: number;
  readonly random_s: number;
  /** The same if each landing had the best allowed place of its own: what no place can spare. */
  readonly fixed_s: number;
  readonly search_ms: number;
  readonly brute_ms: number;
}

/**
 * searches  how often the search is run; its quickest counts, for the first is compiled
 * backward  brute force by times from the landings outward: the same numbers in less time (`placement.test.ts`)
 */
export function comparePlacement(
  name: string,
  scene: Scene,
  seed: number,
  { reach_m, backward, searches }: { readonly reach_m: number; readonly backward: boolean; readonly searches: number },
): PlacementRun {
  const team = mainTeam(scene);
  let search_ms = Infinity;
  let found = searchPlaces(scene, team).found;
  for (let run = 0; run < searches; run++) {
    const began = worked_ms();
    found = searchPlaces(scene, team).found;
    search_ms = Math.min(search_ms, worked_ms() - began);
  }
  const began = worked_ms();
  const brute = bruteForce(scene, team, reach_m, backward);
  const brute_ms = worked_ms() - began;
  const mine = teamCost(
    team,
    found.map((one) => one.times),
  );
  return {
    name,
    cost: mine.cost,
    brute: brute.cost,
    brutePlaces: brute.places,
    unplaced: found.filter((one) => one.none !== null).length,
    mean_s: mine.mean_s,
    random_s: atRandom(scene, team, seed),
    fixed_s: brute.fixed_s,
    search_ms,
    brute_ms,
  };
}

export const costRow = (one: PlacementRun): string =>
  `${one.name.padEnd(12)} cost ${one.cost.toFixed(1).padStart(6)} s, brute force ${one.brute.toFixed(1).padStart(6)} s: ${(one.cost / one.brute).toFixed(4)}; ` +
  `expected ${one.mean_s.toFixed(0).padStart(4)} s, at random ${one.random_s.toFixed(0).padStart(4)} s: ${(one.mean_s / one.random_s).toFixed(2)}; ` +
  `no place spares ${one.fixed_s.toFixed(0).padStart(4)} s: ${wayShare(one).toFixed(2)}`;

/** What is left of the time that places can spare: 0 with the best place for each landing, 1 with random places. */
export const wayShare = ({ mean_s, random_s, fixed_s }: PlacementRun): number =>
  (mean_s - fixed_s) / (random_s - fixed_s);
