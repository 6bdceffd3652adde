// Where each crew waits: so that the first medical crew reaches the jumper soonest over all cases and drawn landings,
// with extra weight on the worst tenth; then the gondola's crew. Fixed crews stay; every place has its reason and what
// is lost if it is refused. Advisory only: the pilot and the crew's lead decide where they go.
import { inverse } from '../earth/geodesic.ts';
import { roughDuration } from '../words/times.ts';
import { distance } from '../words/lengths.ts';
import { chanceWords, NEARLY_ALL } from '../words/numbers.ts';
import { toEnd, type Steps } from '../base/steps.ts';
import type { LonLat } from '../base/units.ts';
import { directionWords } from '../words/winds.ts';
import { rolesOf, type CrewPlace, type CrewRole } from './crewPlace.ts';
import { placedBy } from '../words/places.ts';
import { flightTime_s, type Crew } from './crews.ts';
import { expectedTimeOf, ownMean, weightsOf, type PlacementWeights } from './placementCost.ts';
import { placesInSteps, teamCost, timesByPlan, type Found, type Mover, type GoalCrews } from './placementSearch.ts';
import { answersFor } from './placementWords.ts';
import { farthestOf, ReachTimes, reachOf, summaryOf } from './reachTimes.ts';
import { waysOf, type Scene, type Targets } from './scene.ts';
import { fuelFor, refusesCrew, refusesPlace, windSide } from './standby.ts';
import { nth } from '../base/nth.ts';

export interface Placement {
  readonly crews: readonly CrewPlace[];
  readonly weights: PlacementWeights;
  /** The minimised cost, s, and its parts; NaN where no crew serves. */
  readonly cost: number;
  readonly mean_s: number;
  readonly worst_s: number;
  readonly gondola_s: number;
  /** Places that were tried with every drawn landing. */
  readonly tried: number;
  /**
   * Warnings: crews that are missing, shared or cannot come, landings that no crew reaches.
   */
  readonly answers: readonly string[];
}

/** After reaching the jumper, before a crew that serves both goes on to the gondola. Ours. */
const ON_SCENE_S = 1800;

/** A crew is moved only where the cost without the move is so much more: one correction on the radio. Ours. */
export const MOVE_GAIN_S = 30;

/** From the exit on no crew is placed: it stays unless the lead moves it. */
const staysPut = ({ stage }: Scene): boolean => stage !== 'before the exit';

const moverOf = (scene: Scene, crew: Crew, targets: Targets): Mover => ({
  crew,
  reach: reachOf(scene, crew, targets),
  // A standby of the plan is one that the lead has given; without one a crew waits where it is.
  start: scene.frame.toLocal(
    staysPut(scene) || crew.team.standby === undefined ? (crew.heard?.position ?? crew.standby) : crew.standby,
  ),
});

/** A goal's crews: those that move and those that stay. */
export function teamOf(
  scene: Scene,
  crews: readonly Crew[],
  targets: Targets,
  weights: Pick<GoalCrews, 'worstTenth' | 'second'>,
): GoalCrews & { readonly staying: readonly Mover[] } {
  const all = crews.map((crew) => moverOf(scene, crew, targets));
  const staying = all.filter((mover) => mover.crew.fixed || staysPut(scene));
  const fixed = staying.map((mover) => timesByPlan(scene, mover));
  return { targets, movers: all.filter((mover) => !staying.includes(mover)), staying, fixed, ...weights };
}

/**
 * Places the crews.
 *
 * Cost    below a second for three crews, ten cases of 500 members each (2-core server, Node 20)
 * Error   within 2 % of the least cost on a grid of 250 m, at a tenth of its time (`tests/recovery/placement.test.ts`:
 *         both demo
 *         missions and 20 random ones)
 */
export const placeCrews = (scene: Scene): Placement => toEnd(placementInSteps(scene));

export function* placementInSteps(scene: Scene): Steps<Placement> {
  const weights = weightsOf(scene.mission);
  const roles = rolesOf(scene);
  const places: CrewPlace[] = [];
  const main = teamOf(scene, roles.first, scene.jumper, weights);
  yield;
  const first = yield* placesInSteps(scene, main);
  const found = { ...first, found: unmoved(scene, main, first.found) };
  yield;
  places.push(...described(scene, main, found.found, 'first'));
  const cost = teamCost(
    main,
    found.found.map((one) => one.times),
  );
  let tried = found.tried;
  let gondola_s = NaN;
  if (scene.gondola !== null && roles.gondola.length > 0) {
    const team = teamOf(scene, roles.gondola, scene.gondola, { worstTenth: 0, second: weights.second });
    yield;
    const searched = yield* placesInSteps(scene, team);
    const stands = unmoved(scene, team, searched.found);
    yield;
    places.push(...described(scene, team, stands, 'gondola'));
    gondola_s = teamCost(
      team,
      stands.map((one) => one.times),
    ).mean_s;
    tried += searched.tried;
  }
  for (const crew of roles.helpers) {
    const team = teamOf(
      scene,
      [crew],
      crew.serves === 'gondola' && scene.gondola !== null ? scene.gondola : scene.jumper,
      {
        worstTenth: 0,
        second: 0,
      },
    );
    yield;
    const searched = yield* placesInSteps(scene, team);
    places.push(...described(scene, team, unmoved(scene, team, searched.found), 'helper'));
    tried += searched.tried;
  }
  const after_s = roles.after === null ? NaN : sequential_s(scene, roles.after, cost.mean_s);
  if (roles.after !== null) gondola_s = after_s;
  const ordered = scene.crews.flatMap((crew) => places.filter((place) => place.crew === crew));
  return {
    crews: ordered,
    weights,
    cost: roles.first.length === 0 ? NaN : cost.cost + weights.gondola * (gondola_s === gondola_s ? gondola_s : 0),
    mean_s: roles.first.length === 0 ? NaN : cost.mean_s,
    worst_s: roles.first.length === 0 ? NaN : cost.worst_s,
    gondola_s,
    tried,
    answers: answersFor(scene, roles, ordered, { mean_s: cost.mean_s, gondola_s: after_s }),
  };
}

/** The places that were found, but for crews whose move would gain less than `MOVE_GAIN_S`: the least gain first. */
function unmoved(scene: Scene, team: GoalCrews, found: readonly Found[]): Found[] {
  const stands = [...found];
  const here = team.movers.map((mover) =>
    refusesPlace(scene, mover.crew, mover.start[0], mover.start[1]) === null ? timesByPlan(scene, mover) : null,
  );
  const cost = (): number =>
    teamCost(
      team,
      stands.map((one) => one.times),
    ).cost;
  for (;;) {
    const now = cost();
    let least: { readonly gain: number; readonly index: number; readonly stays: Found } | null = null;
    for (const [index, mover] of team.movers.entries()) {
      const [before, times] = [stands[index], here[index]];
      if (before === undefined || before.none !== null || before.stays === true || times == null) continue;
      const stays: Found = { point: mover.start, times, none: null, stays: true };
      stands[index] = stays;
      const gain = cost() - now;
      stands[index] = before;
      if (gain < (least?.gain ?? MOVE_GAIN_S)) least = { gain, index, stays };
    }
    if (least === null) return stands;
    stands[least.index] = least.stays;
  }
}

/** To the gondola after the jumper: the jumper's time, the care there, and the way from the expected landing. */
function sequential_s(scene: Scene, crew: Crew, toJumper_s: number): number {
  if (scene.gondola === null) return NaN;
  const times = new ReachTimes(scene, { ...crew, ready_s: 0 }, scene.gondola).from(0, 0);
  return toJumper_s + ON_SCENE_S + expectedTimeOf(times, scene.gondola.weight).mean_s;
}

function described(
  scene: Scene,
  team: GoalCrews & { readonly staying: readonly Mover[] },
  found: readonly Found[],
  role: CrewRole,
): CrewPlace[] {
  const all = found.map((one) => one.times);
  const now = teamCost(team, all);
  const placed = team.movers.flatMap((mover, i): CrewPlace[] => {
    const one = found[i];
    if (one === undefined) return [];
    const atPlan = timesByPlan(scene, mover);
    const instead = teamCost(
      team,
      all.map((times, k) => (k === i ? atPlan : times)),
    );
    const base = describe(scene, mover, one, role, one.none === null ? 'placed' : 'cannot');
    if (one.none !== null) return [base];
    const { weight } = team.targets;
    const lost = {
      mean_s: instead.mean_s - now.mean_s,
      worst_s: instead.worst_s - now.worst_s,
      own_s: ownMean(atPlan, weight) - ownMean(one.times, weight),
    };
    return [{ ...base, ifRefused: { ...lost, sentence: lostSentence(scene, mover, lost, team.worstTenth > 0) } }];
  });
  const stays = team.staying.map((mover) => describe(scene, mover, { point: mover.start }, role, 'fixed'));
  return [...placed, ...stays];
}

function describe(
  scene: Scene,
  mover: Mover,
  { point, stays }: Pick<Found, 'point' | 'stays'>,
  role: CrewRole,
  kind: CrewPlace['kind'],
): CrewPlace {
  const { crew } = mover;
  // A crew that is not counted on still has its own times.
  const times = mover.reach.from(point[0], point[1]);
  const { targets } = mover.reach;
  const position = kind === 'cannot' ? crew.standby : scene.frame.toLonLat(point[0], point[1]);
  const far = farthestOf(times, targets);
  const clear_m = scene.clear.distance_m(point[0], point[1]);
  const refusal =
    kind === 'placed'
      ? null
      : (refusesCrew(scene, mover.reach, position, far) ?? refusesPlace(scene, crew, point[0], point[1], clear_m));
  const place = {
    crew,
    role,
    position,
    kind,
    reach: summaryOf(times, targets),
    asPlanned: summaryOf(times, targets, 0),
    getThere_s: getThere_s(scene, crew, position),
    fuel: fuelFor(scene, mover.reach, position),
    keepClear_m: clear_m,
    refusal,
    ifRefused: null,
  };
  return { ...place, reason: reasonOf(scene, place, stays === true) };
}

/** From a crew's base to a place, without the time to make ready: it goes there long before. */
function getThere_s(scene: Scene, crew: Crew, place: LonLat): number {
  if (crew.kind === 'helicopter') return flightTime_s(crew, crew.base, place, scene.windOf(crew));
  const { frame } = scene;
  const ways = waysOf(scene, crew);
  const speeds = { road_mps: crew.speed_mps, offRoad_mps: crew.offRoad_mps };
  const base = frame.toLocal(crew.base);
  const out = new Float64Array(1);
  ways.times(base, ways.field(base[0], base[1], speeds), ways.attach([frame.toLocal(place)], false), speeds, out);
  return nth(out, 0);
}

function reasonOf(scene: Scene, place: Omit<CrewPlace, 'reason'>, stays: boolean): string {
  const { crew, reach, asPlanned, kind, keepClear_m, refusal } = place;
  const what = place.role === 'gondola' ? 'gondola' : 'jumper';
  const where = placedBy(place.position, scene.landing, 'the expected landing');
  const times = `at the ${what} ${roughDuration(asPlanned.p50_s)} after touchdown as planned, ${
    reach.p95_s < Infinity
      ? `${roughDuration(reach.p95_s)} at ${NEARLY_ALL} of the landings`
      : `and not at ${chanceWords(reach.unreached)} of all landings`
  }`;
  if (kind === 'cannot')
    return `There is no allowed place for ${crew.name}; at its standby ${refusal?.why ?? 'it comes as it is'}.`;
  if (kind === 'fixed') {
    const comes = refusal === null || !['fuel', 'dark', 'no way'].includes(refusal.by);
    const against =
      refusal === null ? '' : comes ? `; mind that ${refusal.why}` : `; it is not counted on: ${refusal.why}`;
    return (
      `${crew.name} stays ${staysPut(scene) ? 'where it is' : 'where the plan fixes it'}, ${where}: ` +
      `${times}${against}.`
    );
  }
  const side = windSide(scene, place.position);
  const clear =
    keepClear_m < Infinity ? `${distance(keepClear_m)} outside the keep-clear region` : 'clear of every landing';
  const wind = crew.kind === 'helicopter' && side !== 'calm' ? `, ${side} of the touchdown` : '';
  const gain = stays ? `; no other place gains ${roughDuration(MOVE_GAIN_S)}` : '';
  return `${crew.name} waits ${where}${wind}, ${clear}: ${times}${gain}.`;
}

function lostSentence(
  scene: Scene,
  mover: Mover,
  lost: { mean_s: number; worst_s: number; own_s: number },
  tail: boolean,
): string {
  const { crew } = mover;
  const [x, y] = mover.start;
  const refusal = refusesPlace(scene, crew, x, y);
  const instead = inverse(scene.landing, crew.standby);
  const there = `If ${crew.name} stays ${distance(instead.distance_m)} toward ${directionWords(instead.bearing_deg)}`;
  const mind = refusal === null ? '' : ` Besides, ${refusal.why}.`;
  if (lost.mean_s < -5 && refusal !== null)
    return `${there}, help comes ${signed(lost.mean_s)} on average, but ${refusal.why}.`;
  if (lost.mean_s < 5 && lost.worst_s < 15 && lost.own_s >= 30)
    return `${there}, the first crew comes no later, but it is there itself ${signed(lost.own_s)}.${mind}`;
  if (lost.mean_s < 5 && lost.worst_s < 15)
    return refusal === null ? `${there}, next to nothing is lost.` : `${there}, no time is lost, but ${refusal.why}.`;
  const worst = tail ? `, and ${signed(lost.worst_s)} in the worst tenth` : '';
  return `${there}, help comes ${signed(lost.mean_s)} on average${worst}.${mind}`;
}

const signed = (s: number): string => `${roughDuration(s)} ${s >= 0 ? 'later' : 'sooner'}`;
