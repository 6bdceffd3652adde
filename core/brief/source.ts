// Everything that a brief says, worked out for one moment: the advice, the cases, what else comes down, the crews with
// their standby, way, approach and smoke. The window has most of it already and hands it over; the command line has it
// made here.
import { adviseOn, type Advised } from '../advice/advise.ts';
import { approachOf, type Approach } from '../recovery/approach.ts';
import { caseTable, type CaseRow } from '../recovery/caseTable.ts';
import { boardInSteps, type CrewBoard } from '../recovery/crewBoard.ts';
import type { Crew } from '../recovery/crews.ts';
import { flightTime_s } from '../recovery/crews.ts';
import { type FallingOther, type OtherBody, type Separation } from '../recovery/gondola.ts';
import { type Placement } from '../recovery/placement.ts';
import { type CrewPlace } from '../recovery/crewPlace.ts';
import { reachOf, summaryOf, type ReachSummary } from '../recovery/reachTimes.ts';
import { routeOf, type Route } from '../recovery/routes.ts';
import { type Scene } from '../recovery/scene.ts';
import { recoveryOn, type Recovery } from '../recovery/recovery.ts';
import { roadLines } from '../formats/areas/areas.ts';
import type { Smoke } from '../recovery/smoke.ts';
import { Reach } from '../descent/reach.ts';
import { declination_deg, type Declination } from '../earth/declination.ts';
import { inverse } from '../earth/geodesic.ts';
import type { CaseOutlook, FlownCase } from '../mission/caseOutlooks.ts';
import { carrierOf } from '../mission/cases.ts';
import type { LogEvent } from '../log/events.ts';
import type { LandingZone } from '../plan/schema.ts';
import type { Situation } from '../mission/situation.ts';
import type { Problem } from '../base/problem.ts';
import { toEnd, type Steps } from '../base/steps.ts';
import { RAD_PER_DEG, type LonLat } from '../base/units.ts';

/** A crew as the brief sees it: where it is to wait, where it goes from there, and how long that takes. */
export interface CrewSource {
  readonly crew: Crew;
  readonly standby: LonLat;
  /** Whose place that is: the plan's (a placement that was accepted is in the plan), or this program's proposal. */
  readonly standbyFrom: 'plan' | 'proposed';
  readonly place: CrewPlace | null;
  /** The landing that the crew goes to. */
  readonly goal: { readonly name: 'jumper' | 'gondola'; readonly position: LonLat };
  readonly route: Route;
  /** From the word to go to the drawn landings of the flight as planned, from the standby. */
  readonly reach: ReachSummary;
  /**
   * From where it was last heard, else from its base, to the standby: 0 where it stands there, endless where it cannot
   * get there.
   */
  readonly getThere_s: number;
  readonly approach: Approach | null;
}

export interface ConeSlice {
  readonly zone: string;
  readonly height_m: number;
  readonly ring: readonly LonLat[];
}

export interface BriefSource {
  readonly situation: Situation;
  readonly log: readonly LogEvent[];
  readonly advised: Advised;
  readonly cases: readonly CaseOutlook[];
  readonly table: readonly CaseRow[];
  readonly others: readonly OtherBody[];
  readonly separations: readonly { readonly name: FallingOther['name']; readonly separation: Separation }[];
  readonly scene: Scene | null;
  readonly placement: Placement | null;
  readonly board: CrewBoard | null;
  readonly crews: readonly CrewSource[];
  readonly smoke: Smoke | null;
  readonly declination: Declination;
  readonly cone: readonly ConeSlice[];
}

interface BriefOptions {
  readonly seed: number;
  readonly members: number;
  /** Of each case and of the gondola. */
  readonly caseMembers: number;
}

/** Ours: a spread that is known to some per cent, in about two seconds for ten cases. */
export const BRIEF_OPTIONS: BriefOptions = { seed: 1, members: 2000, caseMembers: 500 };

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
  { seed, members, caseMembers }: BriefOptions = BRIEF_OPTIONS,
): SourceMade {
  const advised = adviseOn(situation, { seed, members, roads: roadLines(roads) });
  const flown = { planned: advised.planned, carrier: carrierOf(situation) };
  const recovery = recoveryOn(situation, flown, { seed, members: caseMembers, roads });
  return toEnd(sourceInSteps(situation, log, { advised, recovery }));
}

/** The same where advice and recovery of the situation are worked out already. */
export function* sourceInSteps(
  situation: Situation,
  log: readonly LogEvent[],
  { advised, recovery }: { readonly advised: Advised; readonly recovery: Recovery },
): Steps<SourceMade> {
  const { mission } = situation;
  const { outlooks: cases, others, scene, placement, separations, smoke } = recovery;
  const crews = scene === null ? [] : crewSources(scene, cases, placement);
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
      declination: declination_deg(place, mission.site.elevation_m, situation.at_s),
      cone: coneOf(situation, advised),
    },
    problems: recovery.problems.map((text) => ({ line: 0, text })),
  };
}

export const plannedCase = (cases: readonly CaseOutlook[]): FlownCase | null =>
  cases.find((one): one is FlownCase => one.kind === 'flown' && one.case.kind === 'as planned') ?? null;

export function crewSources(scene: Scene, cases: readonly CaseOutlook[], placement: Placement | null): CrewSource[] {
  const planned = plannedCase(cases);
  const landing = planned?.outlook.prediction.landing?.position ?? scene.landing;
  const gondola = scene.gondola?.groups[0]?.statistics.mean ?? null;
  return scene.crews.map((crew) => {
    const place = placement?.crews.find((one) => one.crew.name === crew.name) ?? null;
    const byPlan = crew.fixed || crew.team.standby !== undefined || place === null;
    const standby = byPlan ? crew.standby : place.position;
    const goal =
      crew.serves === 'gondola' && gondola !== null
        ? { name: 'gondola' as const, position: gondola }
        : { name: 'jumper' as const, position: landing };
    const targets = goal.name === 'gondola' && scene.gondola !== null ? scene.gondola : scene.jumper;
    const [x, y] = scene.frame.toLocal(standby);
    return {
      crew,
      standby,
      standbyFrom: byPlan ? 'plan' : 'proposed',
      place,
      goal,
      route: routeOf(scene, crew, standby, goal.position),
      reach: summaryOf(reachOf(scene, crew, targets).from(x, y), targets, 0),
      getThere_s: getThere_s(scene, crew, standby),
      approach: goal.name === 'jumper' && planned !== null ? approachOf(scene, planned.outlook, crew, standby) : null,
    };
  });
}

/** A crew that is this near to its standby stands there. */
const THERE_M = 100;

function getThere_s(scene: Scene, crew: Crew, standby: LonLat): number {
  const from = crew.heard?.position ?? crew.base;
  if (inverse(from, standby).distance_m < THERE_M) return 0;
  if (crew.kind === 'helicopter') return flightTime_s(crew, from, standby, scene.windOf(crew));
  const route = routeOf(scene, crew, from, standby);
  return route.kind === 'route' ? route.time_s : Infinity;
}

const SLICES = 6;

/** Slices of the aimed zone's drift cone from the pattern's height up to the opening, evenly in height. */
function coneOf({ mission, world }: Situation, { advice, planned: outlook }: Advised): ConeSlice[] {
  const { canopy } = mission.jumper;
  const { landing, opening } = outlook.prediction;
  const zone = aimedZone(mission.landingZones ?? [], advice.zone);
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

/** The zone that the plan steers for, else its first. */
export const aimedZone = (zones: readonly LandingZone[], name: string | null): LandingZone | null =>
  zones.find((zone) => zone.name === name) ?? zones[0] ?? null;
