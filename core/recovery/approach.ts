// How a helicopter comes to the jumper: into the wind, from behind and below the canopy's path, never over the canopy;
// by which gates, when to leave standby, where to set down, how near it comes to the canopy on its way, whether the
// pilot looks into the sun. Advisory only: the pilot decides. Metres, m/s, times s since 1970, headings degrees true.
import { inverse } from '../earth/geodesic.ts';
import type { Outlook } from '../descent/outlook.ts';
import { clockZ, durationWords, lengthWords, whole } from '../words/say.ts';
import { RAD_PER_DEG, windFrom, wrap180, wrap360, type LonLat } from '../base/units.ts';
import { directionWords } from '../words/winds.ts';
import { approachPath, type Circle, type PathLeg } from './approachPath.ts';
import type { Crew } from './crews.ts';
import { PEOPLE_M, REPORT_M, type Obstacle } from './landable.ts';
import { meetingOf, type Passing, type BodyPath } from './meeting.ts';
import type { Point } from './plane.ts';
import { SET_DOWN_M_MAX } from './reachTimes.ts';
import type { Scene } from './scene.ts';
import { sunOffHeading_deg, sunPosition } from '../earth/sun.ts';
import { marginOf } from './standby.ts';

/**
 * No approach is steeper than 1 in 5 (ref: recovery.md §2; source: field-expedient manual; mark F); the gates' 1 in 8
 * is ours.
 */
export const GATE_SLOPE = 1 / 8;
/** Gates on the final, metres before setting down. Ours. */
export const GATES_M = [1600, 600, 200] as const;
/** A sun within this of the heading and this low is in the pilot's eyes. Common practice. */
export const GLARE_OFF_DEG = 30;
const GLARE_ELEVATION_DEG = 30;
/** The heading may be turned out of the wind by so much to spare the pilot the sun. Ours. */
const TURN_DEG_MAX = 30;
/** From touchdown until the canopy is collapsed, gathered and held. Ours: the call decides, not the clock. */
const GATHER_S = 60;
/**
 * Nearer to an open canopy than this, seen from above, is warned of: 1000 ft, the larger of weak figures
 * (`keepClear.ts`).
 */
const NEAR_M = 304.8;
const CALM_MPS = 1;

export interface Gate {
  readonly name: 'hold' | 'initial' | 'final' | 'short final' | 'set down';
  readonly position: LonLat;
  readonly agl_m: number;
  readonly rule: string;
}

interface Glare {
  readonly sunAzimuth_deg: number;
  readonly sunElevation_deg: number;
  readonly off_deg: number;
  readonly inEyes: boolean;
}

type SetDown =
  | {
      readonly kind: 'ground';
      readonly position: LonLat;
      readonly walk_m: number;
      readonly obstacles: readonly Obstacle[];
    }
  | { readonly kind: 'hoist'; readonly why: string }
  | { readonly kind: 'none'; readonly why: string };

export interface Approach {
  readonly crew: Crew;
  /** The predicted landing. */
  readonly jumper: LonLat;
  /** Heading of the final; and of one straight into the wind. */
  readonly final_deg: number;
  readonly intoWind_deg: number;
  readonly gates: readonly Gate[];
  readonly setDown: SetDown;
  /** From standby to the hold. */
  readonly path: readonly PathLeg[];
  readonly toHold_s: number;
  readonly fromHold_s: number;
  readonly leave: {
    readonly at_s: number;
    readonly on: 'canopy open and seen' | 'touchdown called';
    readonly why: string;
  };
  /** At the jumper, when it goes by the clock. */
  readonly arrives_s: number;
  /** To the open canopy, on the way to the hold and there; null where no canopy opens or they are never up together. */
  readonly nearest: Passing | null;
  readonly glare: Glare;
  readonly warnings: readonly string[];
  readonly sentences: readonly string[];
}

/** The approach of a helicopter from a standby; null where it cannot hold a track in the wind. */
export function approachOf(scene: Scene, outlook: Outlook, crew: Crew, standby: LonLat): Approach | null {
  const { landing, opening } = outlook.prediction;
  if (crew.kind !== 'helicopter' || landing === null) return null;
  const exit_s = outlook.scenario.exit.time_s;
  const touchdown_s = exit_s + landing.time_s;
  const at = scene.frame.toLocal(landing.position);
  const [u, v] = scene.surface;
  const calm = !(Math.hypot(u, v) >= CALM_MPS);
  // In a calm from the side of the standby: the shortest way that does not lead over the canopy.
  const intoWind_deg = calm ? inverse(standby, landing.position).bearing_deg : windFrom(u, v).from_deg;
  const setDown = setDownOf(scene, crew, at, intoWind_deg + 180);
  const target = setDown.kind === 'ground' ? scene.frame.toLocal(setDown.position) : at;
  const glareAt = touchdown_s + GATHER_S;
  const { heading: final_deg, glare } = finalHeading(scene, landing.position, glareAt, intoWind_deg);
  const circle = keepOff(scene, crew, at);
  const hold = holdOn(target, final_deg, circle);
  const path = approachPath(scene, crew, scene.frame.toLocal(standby), hold, circle);
  const last = approachPath(scene, crew, hold, target, null);
  if (path === null || last === null) return null;
  const toHold_s = path.reduce((sum, leg) => sum + leg.time_s, 0);
  const fromHold_s = last.reduce((sum, leg) => sum + leg.time_s, 0);
  const opened_s = opening === null ? null : exit_s + opening.time_s;
  const leave = leaveOf(crew, touchdown_s, opened_s, toHold_s);
  const arrives_s = Math.max(leave.at_s + toHold_s, touchdown_s + GATHER_S) + fromHold_s;
  const nearest =
    opened_s === null
      ? null
      : nearestToCanopy(scene, outlook, path, leave.at_s, touchdown_s, opened_s, crew, landing.elevation_m);
  const gates = gatesOf(scene, crew, target, final_deg, hold);
  const facts = {
    crew,
    jumper: landing.position,
    final_deg,
    intoWind_deg,
    gates,
    setDown,
    path,
    toHold_s,
    fromHold_s,
    leave,
    arrives_s,
    nearest,
    glare,
  };
  const warnings = warningsOf(facts);
  return { ...facts, warnings, sentences: sentencesOf(facts, touchdown_s) };
}

type Facts = Omit<Approach, 'warnings' | 'sentences'>;

/**
 * What is flown around while the canopy is up: the planned landing's 99 % ellipse with its margin, as a circle about
 * the landing.
 */
function keepOff(scene: Scene, crew: Crew, at: Point): Circle {
  const own = scene.clear.ellipses[0];
  const reach = own === undefined ? 0 : Math.hypot(own.east - at[0], own.north - at[1]) + own.semiMajor_m;
  return { center: at, radius_m: reach + marginOf(scene, crew) };
}

function setDownOf(scene: Scene, crew: Crew, [x, y]: Point, downwind_deg: number): SetDown {
  const { ground, frame } = scene;
  const place = ground.setDownNear([x, y], crew.slope_deg_max, downwind_deg, [PEOPLE_M, SET_DOWN_M_MAX]);
  const why = ground.refusesLanding(x, y, crew.slope_deg_max) ?? 'no ground about it serves';
  if (place === null && crew.hoist) return { kind: 'hoist', why };
  if (place === null)
    return { kind: 'none', why: `no ground to set down within ${lengthWords(SET_DOWN_M_MAX)} of the jumper: ${why}` };
  return {
    kind: 'ground',
    position: frame.toLonLat(place[0], place[1]),
    walk_m: Math.hypot(place[0] - x, place[1] - y),
    obstacles: ground.obstaclesNear(place[0], place[1], REPORT_M),
  };
}

/** Into the wind, turned by as little as brings a low sun out of the pilot's eyes, where 30° do. */
function finalHeading(
  scene: Scene,
  place: LonLat,
  time_s: number,
  intoWind_deg: number,
): { readonly heading: number; readonly glare: Glare } {
  const sun = sunPosition(place, time_s);
  const low = sun.elevation_deg > -1 && sun.elevation_deg < GLARE_ELEVATION_DEG;
  const blinds = (heading: number): boolean => low && sunOffHeading_deg(heading, sun) < GLARE_OFF_DEG;
  const calm = !(Math.hypot(scene.surface[0], scene.surface[1]) >= CALM_MPS);
  const most = calm ? 180 : TURN_DEG_MAX;
  let heading = intoWind_deg;
  for (let turn = 5; turn <= most && blinds(heading); turn += 5) {
    const better = [intoWind_deg + turn, intoWind_deg - turn].find((one) => !blinds(one));
    if (better !== undefined) heading = better;
  }
  return {
    heading: wrap360(heading),
    glare: {
      sunAzimuth_deg: sun.azimuth_deg,
      sunElevation_deg: sun.elevation_deg,
      off_deg: sunOffHeading_deg(heading, sun),
      inEyes: blinds(heading),
    },
  };
}

/** The first place on the final's line backwards that lies outside the circle, the outermost gate at least. */
function holdOn(target: Point, final_deg: number, circle: Circle): Point {
  const [e, n] = [-Math.sin(final_deg * RAD_PER_DEG), -Math.cos(final_deg * RAD_PER_DEG)];
  let d: number = GATES_M[0];
  for (let tries = 0; tries < 50; tries++) {
    const out =
      Math.hypot(target[0] + d * e - circle.center[0], target[1] + d * n - circle.center[1]) - circle.radius_m;
    if (out >= -1e-6) break;
    d += Math.max(-out, 1);
  }
  return [target[0] + d * e, target[1] + d * n];
}

function gatesOf(scene: Scene, crew: Crew, target: Point, final_deg: number, hold: Point): Gate[] {
  const back = (d: number): LonLat =>
    scene.frame.toLonLat(
      target[0] - d * Math.sin(final_deg * RAD_PER_DEG),
      target[1] - d * Math.cos(final_deg * RAD_PER_DEG),
    );
  const height = (d: number): number => Math.min(crew.cruise_agl_m, d * GATE_SLOPE);
  const [initial, final, short] = GATES_M;
  return [
    {
      name: 'hold',
      position: scene.frame.toLonLat(hold[0], hold[1]),
      agl_m: crew.cruise_agl_m,
      rule: 'wait here, canopy in sight and above, until touchdown is called and the canopy is gathered',
    },
    {
      name: 'initial',
      position: back(initial),
      agl_m: height(initial),
      rule: 'canopy down, collapsed and held; wires and people called',
    },
    {
      name: 'final',
      position: back(final),
      agl_m: height(final),
      rule: 'touchdown place in sight, loose items secured, else go around',
    },
    {
      name: 'short final',
      position: back(short),
      agl_m: height(short),
      rule: 'guide in sight, arms not waved overhead, else go around',
    },
    { name: 'set down', position: back(0), agl_m: 0, rule: 'nobody comes near before the signal' },
  ];
}

/** So that the hold is reached as the jumper lands, but not before the canopy is open and seen. */
function leaveOf(crew: Crew, touchdown_s: number, opened_s: number | null, toHold_s: number): Approach['leave'] {
  const wanted = touchdown_s - toHold_s;
  if (opened_s === null)
    return {
      at_s: touchdown_s + crew.ready_s,
      on: 'touchdown called',
      why: 'no canopy opens: nothing is flown toward what still falls',
    };
  if (wanted >= opened_s)
    return {
      at_s: wanted,
      on: 'canopy open and seen',
      why: `it makes ready ${durationWords(crew.ready_s)} before, and is at the hold at touchdown`,
    };
  const at_s = opened_s + crew.ready_s;
  const late = durationWords(at_s + toHold_s - touchdown_s);
  return {
    at_s,
    on: 'canopy open and seen',
    why: `the canopy is up for less than the way to the hold; it leaves at once and is there ${late} after touchdown`,
  };
}

/**
 * Nearest moment of helicopter and open canopy while the helicopter is on its way to the hold or waits there, until
 * touchdown.
 */
function nearestToCanopy(
  scene: Scene,
  outlook: Outlook,
  path: readonly PathLeg[],
  leave_s: number,
  touchdown_s: number,
  opened_s: number,
  crew: Crew,
  ground_m: number,
): Passing | null {
  const start_s = outlook.scenario.exit.time_s;
  const { track } = outlook.prediction;
  const places = track.map(([, lon, lat]) => scene.frame.toLocal([lon, lat]));
  const canopy: BodyPath = {
    t: Float64Array.from(track, (point) => start_s + point[0]),
    east: Float64Array.from(places, (place) => place[0]),
    north: Float64Array.from(places, (place) => place[1]),
    up: Float64Array.from(track, (point) => point[3]),
  };
  let t = leave_s;
  const knots: [t: number, point: Point][] = path.length === 0 ? [] : [[t, (path[0] as PathLeg).from]];
  for (const leg of path) {
    t += leg.time_s;
    knots.push([t, leg.to]);
  }
  const last = knots.at(-1);
  if (last === undefined) return null;
  knots.push([Math.max(t, touchdown_s), last[1]]);
  const up_m = ground_m + crew.cruise_agl_m;
  const flight: BodyPath = {
    t: Float64Array.from(knots, (knot) => knot[0]),
    east: Float64Array.from(knots, (knot) => knot[1][0]),
    north: Float64Array.from(knots, (knot) => knot[1][1]),
    up: Float64Array.from(knots, () => up_m),
  };
  const from_s = Math.max(leave_s, opened_s);
  if (!(touchdown_s > from_s)) return null;
  return meetingOf(canopy, flight, from_s, touchdown_s, opened_s).horizontal;
}

function warningsOf({ crew, nearest, glare, setDown }: Facts): string[] {
  const said: string[] = [];
  if (nearest !== null && nearest.horizontal_m < NEAR_M) {
    const side = `${lengthWords(nearest.above_m)} ${nearest.above_m >= 0 ? 'above' : 'below'} it`;
    const across = lengthWords(nearest.horizontal_m);
    said.push(
      `${crew.name} comes within ${across} of the open canopy at ${clockZ(nearest.time_s)}, ${side}: wait at standby.`,
    );
  }
  if (glare.inEyes)
    said.push(
      `The sun stands ${Math.round(glare.off_deg)}° off the nose, ${Math.round(glare.sunElevation_deg)}° high, on the final.`,
    );
  if (setDown.kind === 'none') said.push(`${crew.name}: ${setDown.why}.`);
  if (setDown.kind === 'hoist') said.push(`${crew.name} lets down by hoist: ${setDown.why}.`);
  return said;
}

function sentencesOf(facts: Facts, touchdown_s: number): string[] {
  const { crew, final_deg, intoWind_deg, leave, setDown, glare, nearest } = facts;
  const turned = Math.round(wrap180(final_deg - intoWind_deg));
  const how =
    turned === 0 ? 'into the wind' : `${Math.abs(turned)}° ${turned > 0 ? 'right' : 'left'} of the wind, for the sun`;
  const when = leave.on === 'canopy open and seen' ? 'when the canopy is open and seen' : 'when touchdown is called';
  const said = [
    `${crew.name} approaches on ${directionWords(final_deg)}, ${how}, from behind and below the canopy's path, never over the canopy.`,
    `Leave standby ${when}, about ${clockZ(leave.at_s)} (${relative(leave.at_s - touchdown_s)}): ${leave.why}.`,
  ];
  if (setDown.kind === 'ground') {
    const { bearing_deg } = inverse(facts.jumper, setDown.position);
    const tall = setDown.obstacles.map(
      (one) =>
        `${one.name}${one.height_m === null ? '' : ` (${whole(one.height_m)}\u202fm)`} at ${lengthWords(one.distance_m)}`,
    );
    const obstacles = tall.length === 0 ? 'no obstacle is known within a quarter mile' : `report ${tall.join(', ')}`;
    said.push(
      `Set down ${lengthWords(setDown.walk_m)} toward ${directionWords(bearing_deg)} of the jumper, no nearer; ${obstacles}.`,
    );
  }
  const elevation = Math.round(glare.sunElevation_deg);
  if (elevation > 0) said.push(`Sun ${elevation}° high, ${Math.round(glare.off_deg)}° off the heading of the final.`);
  if (nearest !== null)
    said.push(`Nearest to the open canopy: ${lengthWords(nearest.horizontal_m)} across at ${clockZ(nearest.time_s)}.`);
  return said;
}

const relative = (s: number): string => `${durationWords(s)} ${s < 0 ? 'before' : 'after'} touchdown`;
