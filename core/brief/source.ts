// Everything that a brief says, worked out for one moment: the advice, the cases, what else comes down, the crews with
// their standby, way, approach and smoke. The window has most of it already and hands it over; the command line has it
// made here.
import { adviseOn, type Advice, type Advised } from '../advice/advise.ts';
import { edgesOf, type Edge } from '../advice/edges.ts';
import { caseTable, type CaseRow } from '../recovery/caseTable.ts';
import { boardInSteps, type CrewBoard } from '../recovery/crewBoard.ts';
import { type FallingOther, type OtherBody, type Separation } from '../recovery/gondola.ts';
import { goalsOf, ordersOf, type CrewOrder } from '../recovery/orders.ts';
import { type Placement } from '../recovery/placement.ts';
import { reachOf, summaryOf, type ReachSummary } from '../recovery/reachTimes.ts';
import { type Scene } from '../recovery/scene.ts';
import { recoveryOn, type Recovery } from '../recovery/recovery.ts';
import { roadLines } from '../formats/areas/areas.ts';
import type { SearchPlan } from '../recovery/search.ts';
import type { Smoke } from '../recovery/smoke.ts';
import { Reach } from '../descent/reach.ts';
import { zoneNamed } from '../descent/scenario.ts';
import { declination_deg, type Declination } from '../earth/declination.ts';
import type { CaseOutlook, FlownCase } from '../mission/caseOutlooks.ts';
import { carrierOf } from '../mission/cases.ts';
import type { LogEvent } from '../log/events.ts';
import { exitTime_s, type Situation } from '../mission/situation.ts';
import type { Problem } from '../base/problem.ts';
import { toEnd, type Steps } from '../base/steps.ts';
import { RAD_PER_DEG, type LonLat } from '../base/units.ts';

/** A crew as the brief sees it: what it is told, and how long it takes. */
export interface CrewSource extends CrewOrder {
  /** From touchdown to the drawn landings of the flight as planned, from the standby. */
  readonly reach: ReachSummary;
}

export interface ConeSlice {
  readonly zone: string;
  readonly height_m: number;
  readonly ring: readonly LonLat[];
}

/** What is plain of an advice, and the descents that it is about. */
export type AdviceSaid = Pick<Advised, 'advice' | 'outlook' | 'planned'>;

/** What was worked out about the word elsewhere, of the same moment. */
export interface WordSaid {
  readonly advice: Advice;
  readonly edges: readonly Edge[];
}

export interface BriefSource {
  readonly situation: Situation;
  readonly log: readonly LogEvent[];
  readonly advised: AdviceSaid;
  readonly cases: readonly CaseOutlook[];
  readonly table: readonly CaseRow[];
  readonly others: readonly OtherBody[];
  readonly separations: readonly { readonly name: FallingOther['name']; readonly separation: Separation }[];
  readonly scene: Scene | null;
  readonly placement: Placement | null;
  readonly board: CrewBoard | null;
  readonly crews: readonly CrewSource[];
  readonly smoke: Smoke | null;
  readonly search: SearchPlan;
  readonly declination: Declination;
  readonly cone: readonly ConeSlice[];
  /** What would change the word, the most likely first. */
  readonly edges: readonly Edge[];
}

interface BriefOptions {
  readonly seed: number;
  readonly members: number;
  /** Of each case and of the gondola. */
  readonly caseMembers: number;
  /** How many changes of the word are looked for. */
  readonly edges: number;
}

/** Ours: a spread that is known to some per cent, in about two seconds for ten cases. */
export const BRIEF_OPTIONS: BriefOptions = { seed: 1, members: 2000, caseMembers: 500, edges: 3 };

export interface SourceMade {
  readonly source: BriefSource;
  readonly problems: readonly Problem[];
}

/**
 * `roads`: the network as `Loaded` has it, unchecked. Cost: one to three seconds with ten cases (2-core server, Node
 * 20).
 */
export function briefSource(
  situation: Situation,
  log: readonly LogEvent[],
  roads: unknown,
  { seed, members, caseMembers, edges: most }: BriefOptions = BRIEF_OPTIONS,
): SourceMade {
  const advised = adviseOn(situation, { seed, members, roads: roadLines(roads) });
  const flown = { planned: advised.planned, carrier: carrierOf(situation) };
  const recovery = recoveryOn(situation, flown, { seed, members: caseMembers, roads });
  const edges = edgesOf(situation, advised, { seed, roads: roadLines(roads), most });
  return toEnd(sourceInSteps(situation, log, { advised, recovery, edges }));
}

interface SourceParts {
  readonly advised: AdviceSaid;
  readonly recovery: Recovery;
  readonly edges: readonly Edge[];
}

/** The same where advice and recovery of the situation are worked out already. */
export function* sourceInSteps(
  situation: Situation,
  log: readonly LogEvent[],
  { advised, recovery, edges }: SourceParts,
): Steps<SourceMade> {
  const { mission } = situation;
  const { outlooks: cases, others, scene, placement, separations, smoke, search } = recovery;
  const crews = scene === null ? [] : crewSources(scene, others, placement);
  const standbys = new Map(crews.map((one) => [one.crew.name, one.standby]));
  yield;
  const board = scene === null ? null : yield* boardInSteps(scene, standbys);
  const place = advised.outlook.prediction.landing?.position ?? mission.site.position;
  return {
    source: {
      situation,
      log,
      advised,
      cases,
      table: caseTable(cases, mission.landingZones ?? [], board),
      others,
      separations,
      scene,
      placement,
      board,
      crews,
      smoke,
      search,
      declination: declination_deg(place, mission.site.elevation_m, exitTime_s(mission, situation.state)),
      cone: coneOf(situation, advised),
      edges,
    },
    problems: recovery.problems.map((text) => ({ line: 0, text })),
  };
}

export const plannedCase = (cases: readonly CaseOutlook[]): FlownCase | null =>
  cases.find((one): one is FlownCase => one.kind === 'flown' && one.case.kind === 'as planned') ?? null;

export function crewSources(scene: Scene, others: readonly OtherBody[], placement: Placement | null): CrewSource[] {
  const goalOf = goalsOf(scene, others);
  return ordersOf(scene, placement, goalOf).map((order) => {
    const targets = order.goal.name === 'gondola' && scene.gondola !== null ? scene.gondola : scene.jumper;
    const [x, y] = scene.frame.toLocal(order.standby);
    return { ...order, reach: summaryOf(reachOf(scene, order.crew, targets).from(x, y), targets, 0) };
  });
}

const SLICES = 6;

/** Slices of the aimed zone's drift cone from the pattern's height up to the opening, evenly in height. */
function coneOf({ mission, world }: Situation, { advice, planned: outlook }: AdviceSaid): ConeSlice[] {
  const { canopy } = mission.jumper;
  const { landing, opening } = outlook.prediction;
  const zone = zoneNamed(advice.zone, mission.landingZones);
  if (canopy === undefined || landing === null || opening === null || zone === null) return [];
  const [lon, lat] = landing.position;
  const ground_m = world.ground.heightAt(lat * RAD_PER_DEG, lon * RAD_PER_DEG);
  const column = {
    wind: world.wind,
    offset: outlook.offset,
    air: world.air,
    place: landing.position,
    landing_s: outlook.scenario.exit.time_s + landing.time_s,
    ground_m,
  };
  const reach = new Reach(column, canopy, mission.jumper.mass_kg, opening.height_m);
  const span = opening.height_m - reach.floor_m;
  if (!(span > 0)) return [];
  return Array.from({ length: SLICES }, (_, k) => {
    const height_m = reach.floor_m + (span * k) / (SLICES - 1);
    return { zone: zone.name, height_m, ring: reach.coneSlice(zone, height_m) };
  });
}
