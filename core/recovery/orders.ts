// What each crew is told: where it waits, by which ways it goes, and whether that is ordered, only proposed, or refused
// with the reason. Only ways whose corridor is open stand here, so whatever prints them prints nothing else. A place
// that fails is replaced by the next best; a crew that has none is refused everywhere. Metres, s since 1970.
import { never } from '../base/problem.ts';
import type { LonLat } from '../base/units.ts';
import type { Outlook } from '../descent/outlook.ts';
import { inverse } from '../earth/geodesic.ts';
import { roughDuration } from '../words/times.ts';
import { distance } from '../words/lengths.ts';
import { driftedTo, type Meeting } from './afloat.ts';
import { approachOf, flightRound, type Approach } from './approach.ts';
import type { WayPoint } from './corridor.ts';
import type { CrewPlace } from './crewPlace.ts';
import type { Crew } from './crews.ts';
import { GATHER_S } from './final.ts';
import type { OtherBody } from './gondola.ts';
import type { Placement } from './placement.ts';
import { farthestOf, reachOf } from './reachTimes.ts';
import { routeOf, type Route, type RouteLeg } from './routes.ts';
import type { Scene } from './scene.ts';
import { refusesCrew, refusesPlace, STANDBY_BEFORE_S } from './standby.ts';
import type { Shore } from './water.ts';

export interface OrderPoint {
  readonly name: string;
  readonly position: LonLat;
  /** Height MSL, and above the ground there. */
  readonly up_m: number;
  readonly agl_m: number;
  readonly at_s: number;
}

export interface OrderWay {
  readonly what: 'to standby' | 'approach' | 'road' | 'water';
  readonly points: readonly OrderPoint[];
}

export interface CrewGoal {
  readonly name: 'jumper' | 'gondola';
  readonly position: LonLat;
  /** The descent that ends there. */
  readonly outlook: Outlook;
}

export interface CrewOrder {
  readonly crew: Crew;
  readonly goal: Pick<CrewGoal, 'name' | 'position'>;
  readonly status: 'ordered' | 'proposed' | 'refused';
  /** Why it is refused, or why its place differs from the plan's; null otherwise. */
  readonly why: string | null;
  /** Where it waits; where it is, for a crew that is refused or already on its way. */
  readonly standby: LonLat;
  readonly place: CrewPlace | null;
  /** From the standby to the goal; "no way" for a crew that is refused. */
  readonly route: Route;
  /**
   * What its way comes to: the person or the gondola; the shore, for whoever does not go into the water; nothing, for a
   * boat, while the landing lies on land.
   */
  readonly ends: 'goal' | 'shore' | 'nothing';
  /** How the goal lies to the shore; null: on land. */
  readonly shore: Shore | null;
  /** Where it meets somebody who drifts from the goal; null on land, and where no drift is counted. */
  readonly meets: Meeting | null;
  /** From where it is to its standby: 0 where it stands there, endless where it cannot get there. */
  readonly getThere_s: number;
  readonly approach: Approach | null;
  readonly ways: readonly OrderWay[];
}

/** A crew that is this near to its standby stands there. */
const THERE_M = 100;

export function ordersOf(scene: Scene, placement: Placement | null, goalOf: (crew: Crew) => CrewGoal): CrewOrder[] {
  return scene.crews.map((crew) => {
    const place = placement?.crews.find((one) => one.crew.name === crew.name) ?? null;
    return orderOf(scene, crew, place, goalOf(crew));
  });
}

/** What each crew goes to: the gondola's own crews to it where it lands, all others to the jumper. */
export function goalsOf(scene: Scene, others: readonly OtherBody[]): (crew: Crew) => CrewGoal {
  const jumper: CrewGoal = {
    name: 'jumper',
    position: scene.outlook.prediction.landing?.position ?? scene.landing,
    outlook: scene.outlook,
  };
  const gondola = others.find((one) => one.kind === 'falls' && one.name === 'gondola');
  const lands = gondola?.kind === 'falls' ? gondola.outlook.prediction.landing : null;
  const after: CrewGoal | null =
    gondola?.kind === 'falls' && lands !== null
      ? { name: 'gondola', position: lands.position, outlook: gondola.outlook }
      : null;
  return (crew) => (crew.serves === 'gondola' && after !== null ? after : jumper);
}

function orderOf(scene: Scene, crew: Crew, place: CrewPlace | null, goal: CrewGoal): CrewOrder {
  // A crew under way stays where it is unless the lead moves it.
  if (scene.stage !== 'before the exit') return tried(scene, crew, goal, { standby: placeOf(crew), place, why: null });
  const planned = crew.fixed || crew.team.standby !== undefined || place === null || place.kind !== 'placed';
  if (!planned) return proposed(scene, crew, goal, place, null);
  const first = tried(scene, crew, goal, { standby: crew.standby, place, why: null });
  if (first.status !== 'refused' || place?.kind !== 'placed') return first;
  const second = proposed(scene, crew, goal, place, first.why);
  return second.status === 'refused' ? first : second;
}

const placeOf = (crew: Crew): LonLat => crew.heard?.position ?? crew.standby;

function proposed(scene: Scene, crew: Crew, goal: CrewGoal, place: CrewPlace, against: string | null): CrewOrder {
  const why = against === null ? null : `at the place of the plan, ${against}`;
  const order = tried(scene, crew, goal, { standby: place.position, place, why });
  // No crew drives to a new place at the exit: it stays where it is.
  const late = scene.at_s < scene.exit_s && scene.at_s + order.getThere_s > scene.exit_s;
  if (order.status !== 'refused' && late && order.getThere_s > 0)
    return tried(scene, crew, goal, {
      standby: placeOf(crew),
      place,
      why: `a better place cannot be reached before the exit (${roughDuration(order.getThere_s)})`,
    });
  return order.status === 'refused' || inverse(placeOf(crew), place.position).distance_m < THERE_M
    ? order
    : { ...order, status: 'proposed' };
}

type Tried = Pick<CrewOrder, 'standby' | 'place' | 'why'>;

/** So often the place is moved by what somebody drifts until the crew is there; then it moves by less than metres. */
const MEETINGS = 2;

/** A crew with one standby: its ways to where it finds the person, or why it is refused there. */
function tried(scene: Scene, crew: Crew, goal: CrewGoal, from: Tried): CrewOrder {
  let order = triedAt(scene, crew, goal, from);
  for (let k = 0; k < MEETINGS; k++) {
    const meets = meetingIn(scene, goal, order);
    const { landing } = goal.outlook.prediction;
    if (meets === null || landing === null) return order;
    const { prediction } = goal.outlook;
    const outlook = {
      ...goal.outlook,
      prediction: { ...prediction, landing: { ...landing, position: meets.position } },
    };
    const moved = triedAt(scene, crew, { ...goal, position: meets.position, outlook }, from);
    order = { ...moved, goal: order.goal, shore: order.shore, meets };
  }
  return order;
}

/** Where somebody in the water has drifted to when a crew is there by its order. */
function meetingIn(scene: Scene, goal: CrewGoal, { ways, shore, status, ends }: CrewOrder): Meeting | null {
  const { landing } = goal.outlook.prediction;
  const there_s = ways.at(-1)?.points.at(-1)?.at_s;
  if (scene.drift === null || shore === null || landing === null || there_s === undefined) return null;
  if (status === 'refused' || ends === 'nothing') return null;
  const after_s = there_s - goal.outlook.scenario.exit.time_s - landing.time_s;
  const { at, away_m, ashore } = driftedTo(scene.water, scene.drift, scene.frame.toLocal(goal.position), after_s);
  return { position: scene.frame.toLonLat(at[0], at[1]), away_m, after_s, ashore };
}

function triedAt(scene: Scene, crew: Crew, goal: CrewGoal, { standby, place, why }: Tried): CrewOrder {
  const shore = scene.water.shoreOf(scene.frame.toLocal(goal.position));
  const refused = (because: string): CrewOrder => ({
    crew,
    goal: { name: goal.name, position: goal.position },
    ends: 'goal',
    shore,
    meets: null,
    status: 'refused',
    why: because,
    standby: placeOf(crew),
    place,
    route: { kind: 'no way', why: because },
    getThere_s: Infinity,
    approach: null,
    ways: [],
  });
  const targets = goal.name === 'gondola' && scene.gondola !== null ? scene.gondola : scene.jumper;
  const [x, y] = scene.frame.toLocal(standby);
  const reach = reachOf(scene, crew, targets);
  const late = refusesCrew(scene, reach, standby, farthestOf(reach.from(x, y), targets));
  if (late !== null) return refused(late.why);
  const waits = scene.stage === 'before the exit' ? refusesPlace(scene, crew, x, y) : null;
  if (waits !== null) return refused(waits.why);
  const there = wayThere(scene, crew, standby);
  if (typeof there === 'string') return refused(there);
  const onward = onwardOf(scene, crew, standby, { ...goal, shore });
  if (typeof onward === 'string') return refused(onward);
  return {
    crew,
    goal: { name: goal.name, position: goal.position },
    ends: onward.ends,
    shore,
    meets: null,
    status: 'ordered',
    why,
    standby,
    place,
    getThere_s: there.getThere_s,
    route: onward.route,
    approach: onward.approach,
    ways: [...there.ways, ...onward.ways],
  };
}

/** From where a crew is to where it waits; a string: why it cannot get there. */
function wayThere(
  scene: Scene,
  crew: Crew,
  standby: LonLat,
): { readonly getThere_s: number; readonly ways: OrderWay[] } | string {
  const from = crew.heard?.position ?? crew.base;
  if (scene.stage !== 'before the exit' || inverse(from, standby).distance_m < THERE_M)
    return { getThere_s: 0, ways: [] };
  const by_s = scene.exit_s - STANDBY_BEFORE_S;
  if (crew.kind !== 'helicopter') {
    const route = routeOf(scene, crew, from, standby);
    if (route.kind === 'no way') return `it cannot get to its standby: ${route.why}`;
    const begins_s = Math.max(scene.at_s, by_s - route.time_s);
    return { getThere_s: route.time_s, ways: [{ what: 'to standby', points: roadPoints(scene, route, begins_s) }] };
  }
  const way = flightRound(scene, crew, { from: scene.frame.toLocal(from), to: scene.frame.toLocal(standby) });
  if (typeof way === 'string') return `it cannot get to its standby: ${way}`;
  const getThere_s = way.at(-1)?.time_s ?? 0;
  const begins_s = Math.max(scene.at_s + crew.ready_s, by_s - getThere_s);
  return { getThere_s, ways: [{ what: 'to standby', points: pointsOf(scene, way, begins_s) }] };
}

type Onward = Pick<CrewOrder, 'route' | 'approach' | 'ways' | 'ends'>;

interface ShoreGoal extends CrewGoal {
  readonly shore: Shore | null;
}

/** From a standby to the goal, or as near to it as the crew goes; a string: why there is no way. */
function onwardOf(scene: Scene, crew: Crew, standby: LonLat, goal: ShoreGoal): Onward | string {
  switch (crew.kind) {
    case 'helicopter':
      return flown(scene, crew, standby, goal);
    case 'vehicle':
      return goal.shore === null ? driven(scene, crew, standby, goal) : toShore(scene, crew, standby, goal);
    case 'boat':
      return goal.shore === null
        ? { route: { kind: 'no way', why: 'the landing lies on land' }, approach: null, ways: [], ends: 'nothing' }
        : driven(scene, crew, standby, goal);
    default:
      return never(crew.kind);
  }
}

/** How far along the shore from the nearest place a vehicle is sent at most. Ours. */
const ALONG_SHORE_M = 3000;

/** A vehicle to the place at the shore that is nearest to the goal, of those that it reaches. */
function toShore(scene: Scene, crew: Crew, standby: LonLat, goal: ShoreGoal): Onward | string {
  const { frame, water, ways } = scene;
  const at = frame.toLocal(goal.position);
  const from = frame.toLocal(standby);
  const speeds = { road_mps: crew.speed_mps, offRoad_mps: crew.offRoad_mps };
  const places = water.landingPlaces(at, (goal.shore?.distance_m ?? 0) + ALONG_SHORE_M);
  const place = places.find((one) => ways.reaches(from, one, speeds, true));
  if (place === undefined) return 'the landing lies in the water, and no way leads to the shore next to it';
  const onward = driven(scene, crew, standby, { ...goal, position: frame.toLonLat(place[0], place[1]) });
  return typeof onward === 'string' ? onward : { ...onward, ends: 'shore' };
}

function flown(scene: Scene, crew: Crew, standby: LonLat, goal: CrewGoal): Onward | string {
  const found = approachOf(scene, goal.outlook, crew, standby);
  if (found.kind === 'none') return found.why;
  const { approach } = found;
  const { landing } = goal.outlook.prediction;
  const touchdown_s = goal.outlook.scenario.exit.time_s + (landing?.time_s ?? 0);
  const waits_s = approach.alone || scene.stage === 'down' ? 0 : GATHER_S;
  const enters_s = Math.max(approach.leave.at_s + approach.toHold_s, touchdown_s + waits_s);
  const points = [
    ...pointsOf(scene, approach.toHold, approach.leave.at_s),
    ...pointsOf(scene, approach.way.slice(1), enters_s).map((point) =>
      point.name === 'set down' ? { ...point, name: 'set-down' } : point,
    ),
  ];
  const ends = approach.setDown.kind === 'shore' ? 'shore' : 'goal';
  return { route: flightRoute(scene, approach), approach, ways: [{ what: 'approach', points }], ends };
}

/** The approach as a route: what is drawn and exported is what is flown. */
function flightRoute({ frame }: Scene, approach: Approach): Route {
  const leg = (way: readonly WayPoint[]): RouteLeg => ({
    kind: 'flight',
    road: null,
    line: way.map(({ at }) => frame.toLonLat(at[0], at[1])),
    length_m: way.reduce((sum, { at }, i) => {
      const before = way[i - 1]?.at ?? at;
      return sum + Math.hypot(at[0] - before[0], at[1] - before[1]);
    }, 0),
    time_s: way.at(-1)?.time_s ?? 0,
  });
  const legs = [leg(approach.toHold), leg(approach.way)];
  const length_m = legs.reduce((sum, one) => sum + one.length_m, 0);
  const time_s = approach.toHold_s + approach.fromHold_s;
  const sentence = `${distance(length_m)} by the hold and the gates: ${roughDuration(time_s)}.`;
  return { kind: 'route', legs, length_m, time_s, sentence };
}

function driven(scene: Scene, crew: Crew, standby: LonLat, goal: CrewGoal): Onward | string {
  const route = routeOf(scene, crew, standby, goal.position);
  if (route.kind === 'no way') return route.why;
  const { landing } = goal.outlook.prediction;
  const touchdown_s = goal.outlook.scenario.exit.time_s + (landing?.time_s ?? 0);
  const begins_s = Math.max(touchdown_s, scene.at_s, scene.exit_s + crew.ready_s);
  const what = crew.kind === 'boat' ? 'water' : 'road';
  return { route, approach: null, ways: [{ what, points: roadPoints(scene, route, begins_s) }], ends: 'goal' };
}

function pointsOf(scene: Scene, way: readonly WayPoint[], begins_s: number): OrderPoint[] {
  return way.map(({ name, at, up_m, time_s }) => ({
    name,
    position: scene.frame.toLonLat(at[0], at[1]),
    up_m,
    agl_m: Math.max(0, up_m - scene.groundAt(at[0], at[1])),
    at_s: begins_s + time_s,
  }));
}

/** A drive's corners, the time of each by its part of its leg. */
function roadPoints(scene: Scene, route: Extract<Route, { kind: 'route' }>, begins_s: number): OrderPoint[] {
  const points: OrderPoint[] = [];
  let at_s = begins_s;
  const add = (name: string, position: LonLat): void => {
    const [x, y] = scene.frame.toLocal(position);
    points.push({ name, position, up_m: scene.groundAt(x, y), agl_m: 0, at_s });
  };
  for (const leg of route.legs) {
    const name = leg.road ?? leg.kind;
    for (const [i, place] of leg.line.entries()) {
      const before = leg.line[i - 1];
      if (before !== undefined && leg.length_m > 0)
        at_s += (leg.time_s * inverse(before, place).distance_m) / leg.length_m;
      if (i > 0 || points.length === 0) add(name, place);
    }
  }
  return points;
}
