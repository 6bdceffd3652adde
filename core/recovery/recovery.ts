// What happens when it does not go as planned, and who goes where: one call for a moment of the mission. Cases and what
// else comes down, the crews' times, their places, the ways there, approach, smoke, search. Advisory only. Times s
// since 1970 unless a name says otherwise; metres.
import { PATTERN_DEFAULT_AGL_M, flownSetting } from '../descent/body.ts';
import type { Outlook } from '../descent/outlook.ts';
import type { CaseOutlook } from '../mission/caseOutlooks.ts';
import { casesOf, type FlightCase } from '../mission/cases.ts';
import type { Situation } from '../mission/situation.ts';
import { toEnd, type Steps } from '../base/steps.ts';
import { CIVIL_TWILIGHT_DEG, sunPosition } from '../earth/sun.ts';
import { approachOf, type Approach } from './approach.ts';
import type { Advised } from '../advice/advise.ts';
import { caseTable, type CaseRow } from './caseTable.ts';
import { boardInSteps, type CrewBoard } from './crewBoard.ts';
import { crewsOf } from './crews.ts';
import { othersInSteps, separationsInSteps, type OtherBody, type Separation } from './gondola.ts';
import { placementInSteps, type Placement } from './placement.ts';
import { readRoads } from './roads.ts';
import { routeOf, type Route } from './routes.ts';
import { sceneOf, type Scene } from './scene.ts';
import { searchPlan, type SearchOptions, type SearchPlan } from './search.ts';
import { smokeFor, type Smoke } from './smoke.ts';
import { unfold, type Unfolding } from './unfolding.ts';
import { RAD_PER_DEG, windFrom, type LonLat } from '../base/units.ts';

interface CrewRoute {
  readonly crew: string;
  readonly from: LonLat;
  readonly to: 'jumper' | 'gondola';
  readonly route: Route;
}

export interface Recovery {
  readonly at_s: number;
  readonly stage: Unfolding['stage'];
  /** What the stage is known from, in a sentence. */
  readonly basis: string;
  readonly cases: readonly FlightCase[];
  readonly outlooks: readonly CaseOutlook[];
  /** Every case in a row, with the medical crew that is first there from where the crews are now. */
  readonly table: readonly CaseRow[];
  /** Gondola and envelope. */
  readonly others: readonly OtherBody[];
  readonly separations: readonly { readonly name: OtherBody['name']; readonly separation: Separation }[];
  /** Null where no case reaches the ground: then there is nobody to go to, and whatever depends on it is empty too. */
  readonly scene: Scene | null;
  /** From where the crews are: last heard, else their standby by the plan. */
  readonly board: CrewBoard | null;
  readonly placement: Placement | null;
  /** The same board as if every place were taken. */
  readonly boardIfPlaced: CrewBoard | null;
  /** From the placement to the expected landing of what each crew is there for. */
  readonly routes: readonly CrewRoute[];
  /** One for each helicopter that serves the jumper, from its place. */
  readonly approaches: readonly Approach[];
  readonly smoke: Smoke | null;
  readonly search: SearchPlan;
  /** What was wrong in cases and roads, each in a sentence. */
  readonly problems: readonly string[];
  readonly warnings: readonly string[];
}

interface RecoveryOptions {
  /** Drawn descents of the case as planned; of each other half as many (`membersBeside`). */
  readonly members: number;
  readonly seed: number;
  /** GeoJSON of the mission's roads as it was loaded, unchecked; null without any. */
  readonly roads: unknown;
  readonly firstLeg?: NonNullable<SearchOptions['firstLeg']>;
}

/** Results that a pool of workers has flown already. */
export interface Flown extends Unfolding {
  readonly others: readonly OtherBody[];
}

/**
 * The whole recovery at a moment.
 *
 * advised  the advice of the same situation: its whole descent from the exit, its carrier the balloon's way
 * flown    cases and bodies where they are flown elsewhere; left out: flown here
 * Cost     flying the cases, a tenth to half a millisecond for each member; all else well below a second and a half
 */
export const recoveryOn = (
  situation: Situation,
  advised: Pick<Advised, 'planned' | 'carrier'>,
  options: RecoveryOptions,
  flown: Flown | null = null,
): Recovery => toEnd(recoveryInSteps(situation, advised, options, flown));

export function* recoveryInSteps(
  situation: Situation,
  advised: Pick<Advised, 'planned' | 'carrier'>,
  options: RecoveryOptions,
  flown: Flown | null = null,
): Steps<Recovery> {
  const { mission } = situation;
  const { cases, problems } = casesOf(mission, situation.state);
  const unfolding = flown ?? (yield* unfold(situation, advised.planned, cases, options));
  const { outlooks, stage, basis } = unfolding;
  const others = flown?.others ?? (yield* othersInSteps(situation, options, advised.carrier));
  const roads = readRoads(options.roads);
  const planned = outlooks.find((one) => one.case.kind === 'as planned');
  // From a fix or the log on, the descent is the one that is left of the plan's.
  const expected = planned?.kind === 'flown' ? planned.outlook : advised.planned;
  const separations =
    planned?.kind === 'flown' && stage !== 'down'
      ? yield* separationsInSteps(
          situation,
          planned,
          others.filter((other) => other.kind === 'falls'),
          { left: stage !== 'before the exit', seed: options.seed },
        )
      : [];
  yield;
  const scene = sceneOf({ stage, situation, cases: outlooks, others, roads: roads.value });
  const crews = scene === null ? null : yield* crewsIn(scene, expected);
  yield;
  const table = caseTable(outlooks, mission.landingZones ?? [], crews?.board ?? null);
  yield;
  const search = searchPlan(
    situation,
    advised.planned,
    { cases, outlooks, crews: scene?.crews ?? crewsOf(mission, situation.state) },
    options,
  );
  return {
    at_s: situation.at_s,
    stage,
    basis,
    cases,
    outlooks,
    table,
    others,
    separations,
    scene,
    board: crews?.board ?? null,
    placement: crews?.placement ?? null,
    boardIfPlaced: crews?.boardIfPlaced ?? null,
    routes: crews?.routes ?? [],
    approaches: crews?.approaches ?? [],
    smoke: scene === null || stage === 'down' ? null : smokeOn(scene, situation, expected),
    search,
    problems: [...problems, ...(mission.roads === undefined ? [] : roads.problems)].map((problem) => problem.text),
    warnings: [
      ...separations.flatMap(({ separation }) => separation.warnings),
      ...(crews?.approaches.flatMap((one) => one.warnings) ?? []),
      ...(scene === null ? ['No case reaches the ground: no crew can be placed.'] : []),
    ],
  };
}

function* crewsIn(scene: Scene, planned: Outlook) {
  yield;
  const placement = yield* placementInSteps(scene);
  yield;
  const standbys = new Map(placement.crews.map((place) => [place.crew.name, place.position]));
  const gondola = scene.gondola?.groups[0]?.statistics.mean ?? null;
  const board = yield* boardInSteps(scene);
  yield;
  const routes = placement.crews.map(({ crew, role, position }): CrewRoute => {
    const to = role === 'gondola' && gondola !== null ? gondola : scene.landing;
    return {
      crew: crew.name,
      from: position,
      to: to === gondola ? 'gondola' : 'jumper',
      route: routeOf(scene, crew, position, to),
    };
  });
  const approaches = placement.crews.flatMap(({ crew, role, position }) => {
    const approach =
      role === 'gondola' || crew.kind !== 'helicopter' ? null : approachOf(scene, planned, crew, position);
    return approach?.kind === 'approach' ? [approach.approach] : [];
  });
  return { board, placement, boardIfPlaced: yield* boardInSteps(scene, standbys, false), routes, approaches };
}

/**
 * The smoke for the planned landing; null where the plan has no canopy to be landed by it, or the landing is not known.
 */
export function smokeOn(scene: Scene, { mission }: Situation, planned: Outlook): Smoke | null {
  const { landing } = planned.prediction;
  const canopy = mission.jumper.canopy;
  if (landing === null || canopy === undefined) return null;
  const [u, v] = scene.surface;
  const speed_mps = Math.hypot(u, v);
  const { steering } = canopy;
  const pattern = steering?.policy === 'pattern' ? steering : null;
  const from_deg = windFrom(scene.surface[0], scene.surface[1]).from_deg;
  const setting = flownSetting(canopy);
  const scale = Math.sqrt(mission.jumper.mass_kg / canopy.referenceMass_kg);
  const touchdown_s = planned.scenario.exit.time_s + landing.time_s;
  const [x, y] = scene.frame.toLocal(landing.position);
  const final_deg = pattern?.landing_deg ?? from_deg;
  const against_mps = speed_mps * Math.cos((final_deg - from_deg) * RAD_PER_DEG);
  return smokeFor({
    from_deg,
    speed_mps,
    final_deg,
    final_agl_m: pattern?.final_agl_m ?? PATTERN_DEFAULT_AGL_M.final,
    groundSpeed_mps: Math.max(setting.airspeed_mps * scale - against_mps, 1),
    sink_mps: setting.sink_mps * scale,
    pattern_agl_m: pattern?.downwind_agl_m ?? PATTERN_DEFAULT_AGL_M.downwind,
    patternSide: pattern === null ? null : (pattern.turn ?? 'left'),
    touchdown_s,
    groundCover: mission.site.groundCover,
    night: sunPosition(landing.position, touchdown_s).elevation_deg < CIVIL_TWILIGHT_DEG,
    refuses: ([east, north]) => scene.ground.refusesStanding(x + east, y + north),
  });
}
