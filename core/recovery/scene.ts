// The place where the crews work, made once and asked often: everything that may land there with its weight, the ways,
// the ground, the keep-clear region, the wind a helicopter flies in, the light. Metres on the plane of one frame, times
// s (absolute: since 1970).
import { balloonFix } from '../descent/carrier.ts';
import type { LandingStatistics } from '../descent/statistics.ts';
import type { Members } from '../descent/ensemble.ts';
import type { Outlook } from '../descent/outlook.ts';
import { localFrame, type LocalFrame } from '../earth/geodesic.ts';
import type { CaseOutlook, FlownCase } from '../mission/caseOutlooks.ts';
import type { Mission } from '../plan/schema.ts';
import { exitTime_s, type Situation } from '../mission/situation.ts';
import { RAD_PER_DEG, type LonLat } from '../base/units.ts';
import { driftOf, type Drift } from './afloat.ts';
import { crewsOf, gustNow_mps, windOver, type Crew } from './crews.ts';
import type { FallingOther, OtherBody } from './gondola.ts';
import { clearEllipses, KeepClear } from './keepClear.ts';
import { LandableGround } from './landable.ts';
import type { Point } from '../earth/plane.ts';
import type { Road } from './roads.ts';
import { sunTimes } from '../earth/sun.ts';
import { Water } from './water.ts';
import { landWays, latticeOver, type WayMap } from './ways.ts';
import type { WayLattice } from './wayNodes.ts';
import { clock, roughDuration } from '../words/times.ts';
import { nth } from '../base/nth.ts';

/** Drawn landings with their probabilities, which add up to 1. */
export interface Targets {
  readonly count: number;
  readonly x: Float64Array;
  readonly y: Float64Array;
  readonly weight: Float64Array;
  readonly touchdown_s: Float64Array;
  /** Index of the group (case) that a landing belongs to. */
  readonly group: Int32Array;
  /** Whether it lies in water. */
  readonly afloat: readonly boolean[];
  readonly groups: readonly {
    readonly name: string;
    readonly weight: number;
    readonly statistics: LandingStatistics;
    /** When it leaves its carrier and when its canopy opens, as predicted; null where none does. */
    readonly exit_s: number;
    readonly opened_s: number | null;
  }[];
}

export interface Scene {
  readonly mission: Mission;
  readonly frame: LocalFrame;
  /** Where the jumper is expected, and when. */
  readonly landing: LonLat;
  readonly touchdown_s: number;
  /** When 95 % of the drawn descents, over all cases, are down. */
  readonly touchdown_s_p95: number;
  readonly crews: readonly Crew[];
  readonly jumper: Targets;
  /** Null where the plan has no gondola. */
  readonly gondola: Targets | null;
  readonly lattice: WayLattice;
  /** Of vehicles, and of boats. */
  readonly ways: WayMap;
  readonly boatWays: WayMap;
  readonly water: Water;
  /** Of somebody in the water at the expected landing; null where the plan gives no current. */
  readonly drift: Drift | null;
  readonly ground: LandableGround;
  readonly clear: KeepClear;
  /** What a wide keep-clear region comes from, before the exit from a balloon; null: not from that. */
  readonly wideBecause: string | null;
  /** What is still to be kept clear of once the jumper is down: bodies that land later. */
  readonly clearAfter: KeepClear;
  /** The descent that is expected. */
  readonly outlook: Outlook;
  readonly stage: FlightStage;
  /** The moment, and when the jumper left or is to leave. */
  readonly at_s: number;
  readonly exit_s: number;
  /** Height MSL of the ground. */
  readonly groundAt: (x: number, y: number) => number;
  /** The newest reported gust on the ground, m/s; null where none is reported. */
  readonly gust_mps: number | null;
  /** A crew that comes to the jumper over the ground and gathers the canopy; null without one. */
  readonly gatherer: Crew | null;
  /** Air's motion [east, north] m/s 10 m above the expected landing, and at each crew's flying height there. */
  readonly surface: readonly [u: number, v: number];
  readonly windOf: (crew: Crew) => readonly [u: number, v: number];
  /** End of evening civil twilight after the touchdown; null where it does not come. */
  readonly dusk_s: number | null;
}

export type FlightStage = 'before the exit' | 'falling' | 'under canopy' | 'down';

interface SceneInput {
  readonly stage: FlightStage;
  readonly situation: Situation;
  readonly cases: readonly CaseOutlook[];
  readonly others: readonly OtherBody[];
  readonly roads: readonly Road[];
}

/**
 * Cases whose landings lie farther than this from the expected one are not given lattice of their own: crews reach them
 * from its edge.
 */
const FAR_M = 25_000;
const ROADS_M = 30_000;
const MARGIN_M = 2000;

/** Null where no case reaches the ground: then there is nobody to go to. */
export function sceneOf({ situation, cases, others, roads, stage }: SceneInput): Scene | null {
  const { mission, world } = situation;
  const flown = cases.filter((one): one is FlownCase => one.kind === 'flown' && one.statistics !== null);
  const main = mainOf(flown);
  const landing = main?.statistics?.mean;
  if (main === undefined || landing === undefined) return null;
  const [frame, hazards] = [localFrame(landing), mission.hazards ?? []];
  const water = new Water(hazards, frame);
  const jumper = targetsOf(
    flown.map((one) => groupOf(one.case.name, one.case.weight, one)),
    frame,
    water,
  );
  if (jumper === null) return null;
  const falling = others.filter((one): one is FallingOther => one.kind === 'falls');
  const gondola = gondolaTargets(falling, frame, water);
  const crews = crewsOf(mission, situation.state).map((crew) => afloat(crew, water, frame));
  const lattice = latticeFor(frame, [jumper, ...(gondola === null ? [] : [gondola])], crews, roads);
  const ways = landWays(lattice, roads, hazards, frame);
  const boatWays = boatWaysOf(crews, water, lattice) ?? ways;
  const touchdown_s = main.outlook.scenario.exit.time_s + (main.statistics?.time_s.p50 ?? 0);
  const surface = windOver(situation, landing, 10, touchdown_s);
  return {
    mission,
    frame,
    landing,
    touchdown_s,
    touchdown_s_p95: weightedQuantiles(jumper.touchdown_s, jumper.weight, [0.95])[0] ?? NaN,
    crews,
    jumper,
    gondola,
    lattice,
    ways,
    boatWays,
    water,
    drift: driftOf(mission, surface),
    ground: new LandableGround(hazards, world.ground.terrain, frame),
    clear: clearOf(flown, falling, frame),
    wideBecause: stage === 'before the exit' ? balloonKnown(situation) : null,
    clearAfter: clearOf(
      [],
      falling.filter((one) => landsAfter(one, touchdown_s)),
      frame,
    ),
    outlook: main.outlook,
    stage,
    at_s: situation.at_s,
    exit_s: exitTime_s(mission, situation.state),
    groundAt: (x, y) => {
      const [lon, lat] = frame.toLonLat(x, y);
      return world.ground.heightAt(lat * RAD_PER_DEG, lon * RAD_PER_DEG);
    },
    gust_mps: gustNow_mps(situation),
    gatherer: crews.find((crew) => gathers(crew.kind === 'boat' ? boatWays : ways, frame, crew, landing)) ?? null,
    surface,
    windOf: (crew) => windOver(situation, landing, crew.cruise_agl_m, touchdown_s),
    dusk_s: duskOf(landing, touchdown_s),
  };
}

/** Null without a boat: nothing is made for nobody. */
const boatWaysOf = (crews: readonly Crew[], water: Water, lattice: WayLattice): WayMap | null =>
  crews.some(({ kind }) => kind === 'boat') ? water.ways(lattice) : null;

function duskOf(landing: LonLat, touchdown_s: number): number | null {
  const { dusk } = sunTimes(landing, touchdown_s).civil;
  return dusk.kind === 'at' ? dusk.time_s : null;
}

const mainOf = (flown: readonly FlownCase[]): FlownCase | undefined =>
  flown.find((one) => one.case.kind === 'as planned') ?? flown[0];

/** How a balloon was last known. */
function balloonKnown({ mission, state }: Situation): string | null {
  const { carrier, exit } = mission;
  if (carrier?.kind !== 'balloon') return null;
  const last = balloonFix(carrier, exit, state);
  if (last === null) return 'the balloon has not been seen yet';
  const before = roughDuration(exitTime_s(mission, state) - last.time_s);
  return `the balloon was last known at ${clock(last.time_s)}, ${before} before the exit`;
}

/** What must be kept clear of for everything that may still land. */
function clearOf(flown: readonly FlownCase[], falling: readonly FallingOther[], frame: LocalFrame): KeepClear {
  return new KeepClear([
    ...clearEllipses(
      flown.map((one) => ({ name: one.case.name, weight: one.case.weight, members: one.members })),
      frame,
    ),
    ...falling.flatMap((one) => clearEllipses([{ name: one.name, weight: 1, members: one.members }], frame)),
  ]);
}

const groupOf = (
  name: string,
  weight: number,
  { members, statistics, outlook }: Pick<FlownCase, 'members' | 'statistics' | 'outlook'>,
): Group => {
  const exit_s = outlook.scenario.exit.time_s;
  const { opening } = outlook.prediction;
  return { name, weight, members, statistics, exit_s, opened_s: opening === null ? null : exit_s + opening.time_s };
};

function gondolaTargets(falling: readonly FallingOther[], frame: LocalFrame, water: Water): Targets | null {
  const body = falling.find((one) => one.name === 'gondola');
  return body === undefined ? null : targetsOf([groupOf(body.name, 1, body)], frame, water);
}

/** Whether a body may still come down when a helicopter comes to the jumper. */
function landsAfter({ outlook }: FallingOther, touchdown_s: number): boolean {
  const { landing } = outlook.prediction;
  return landing !== null && outlook.scenario.exit.time_s + landing.time_s > touchdown_s;
}

/** The ways of a crew that does not fly. */
export const waysOf = ({ ways, boatWays }: Pick<Scene, 'ways' | 'boatWays'>, { kind }: Pick<Crew, 'kind'>): WayMap =>
  kind === 'boat' ? boatWays : ways;

/** A boat's places in the water beside its slip or quay; one that lies farther off stays there, and is refused. */
function afloat(crew: Crew, water: Water, frame: LocalFrame): Crew {
  if (crew.kind !== 'boat') return crew;
  const wet = (place: LonLat): LonLat => {
    const [x, y] = frame.toLocal(place);
    const there = water.afloat([x, y]);
    return there === null || (there[0] === x && there[1] === y) ? place : frame.toLonLat(there[0], there[1]);
  };
  const { heard } = crew;
  return {
    ...crew,
    base: wet(crew.base),
    standby: wet(crew.standby),
    heard: heard === null ? null : { ...heard, position: wet(heard.position) },
  };
}

/** Whether a crew is on the ground or the water and gets to the jumper over it. */
function gathers(ways: WayMap, frame: LocalFrame, crew: Crew, landing: LonLat): boolean {
  if (crew.kind === 'helicopter' || crew.serves === 'gondola') return false;
  const from = frame.toLocal(crew.heard?.position ?? crew.standby);
  return ways.reaches(from, frame.toLocal(landing), { road_mps: crew.speed_mps, offRoad_mps: crew.offRoad_mps }, true);
}

interface Group {
  readonly name: string;
  readonly weight: number;
  readonly members: Members;
  readonly statistics: LandingStatistics | null;
  readonly exit_s: number;
  readonly opened_s: number | null;
}

function targetsOf(groups: readonly Group[], frame: LocalFrame, water: Water): Targets | null {
  const rows: [x: number, y: number, weight: number, touchdown: number, group: number][] = [];
  const kept: Targets['groups'][number][] = [];
  for (const { name, weight, members, statistics, exit_s, opened_s } of groups) {
    if (statistics === null || !(weight > 0)) continue;
    const landed = members.count - statistics.lost;
    for (let i = 0; i < members.count; i++) {
      const lon = nth(members.lon_deg, i);
      if (lon !== lon) continue;
      const [x, y] = frame.toLocal([lon, nth(members.lat_deg, i)]);
      rows.push([x, y, weight / landed, exit_s + nth(members.time_s, i), kept.length]);
    }
    kept.push({ name, weight, statistics, exit_s, opened_s });
  }
  const total = rows.reduce((sum, row) => sum + row[2], 0);
  if (!(total > 0)) return null;
  return {
    count: rows.length,
    x: Float64Array.from(rows, (row) => row[0]),
    y: Float64Array.from(rows, (row) => row[1]),
    weight: Float64Array.from(rows, (row) => row[2] / total),
    touchdown_s: Float64Array.from(rows, (row) => row[3]),
    group: Int32Array.from(rows, (row) => row[4]),
    afloat: rows.map(([x, y]) => !water.empty && water.at([x, y]) !== null),
    groups: kept.map((one) => ({ ...one, weight: one.weight / total })),
  };
}

function latticeFor(
  frame: LocalFrame,
  targets: readonly Targets[],
  crews: readonly Crew[],
  roads: readonly Road[],
): WayLattice {
  let [west, south, east, north] = [-MARGIN_M, -MARGIN_M, MARGIN_M, MARGIN_M];
  const take = ([x, y]: Point, margin: number, reach: number): void => {
    if (Math.hypot(x, y) > reach) return;
    west = Math.min(west, x - margin);
    south = Math.min(south, y - margin);
    east = Math.max(east, x + margin);
    north = Math.max(north, y + margin);
  };
  for (const { groups } of targets)
    for (const { statistics } of groups) {
      const { semiMajor_m } = statistics.ellipses['90'];
      take(frame.toLocal(statistics.mean), Math.min(1.2 * semiMajor_m, FAR_M / 2) + MARGIN_M, FAR_M);
    }
  for (const crew of crews) if (crew.kind !== 'helicopter') take(frame.toLocal(crew.standby), MARGIN_M / 2, FAR_M);
  for (const road of roads) for (const place of road.line) take(frame.toLocal(place), 0, ROADS_M);
  return latticeOver(west, south, east, north);
}

/** The value below which each share of the weight lies, shares rising; NaN where nothing weighs. */
export function weightedQuantiles(values: Float64Array, weight: Float64Array, shares: readonly number[]): number[] {
  const weighing = Int32Array.from(values.keys()).filter((k) => nth(weight, k) > 0);
  const order = weighing.sort((a, b) => nth(values, a) - nth(values, b));
  const total = weight.reduce((sum, w) => sum + w, 0);
  let [held, next] = [0, 0];
  return shares.map((share) => {
    while (next < order.length && held < share * total - 1e-12) held += nth(weight, order[next++] ?? 0);
    return next === 0 ? NaN : nth(values, order[next - 1] ?? 0);
  });
}
