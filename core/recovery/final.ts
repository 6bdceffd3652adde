// The last part of a helicopter's way to the jumper, the same wherever it comes from: a set-down, the final to it, its
// gates, and the hold before it. Candidates are tried best first, and the first with an open corridor
// is taken; the faults of the better ones are reported. Metres on the scene's plane, degrees true, s since 1970.
import type { LonLat } from '../base/units.ts';
import { keptIn } from '../base/kept.ts';
import { assert } from '../base/problem.ts';
import { RAD_PER_DEG, windFrom, wrap180, wrap360 } from '../base/units.ts';
import type { Outlook } from '../descent/outlook.ts';
import { inverse } from '../earth/geodesic.ts';
import { sunOffHeading_deg, sunPosition } from '../earth/sun.ts';
import { distance } from '../words/lengths.ts';
import { shoreWords } from '../words/places.ts';
import { number, quantity } from '../words/numbers.ts';
import { direction, isCalm } from '../words/winds.ts';
import { breaks, legTime_s, levelOver, type WayPoint } from './corridor.ts';
import { flownAlike, rotorWind_mps, type Crew } from './crews.ts';
import { HALF_SITE_M, PEOPLE_M, REPORT_M, type Obstacle } from './landable.ts';
import type { Point } from '../earth/plane.ts';
import type { Scene } from './scene.ts';
import { marginOf } from './margin.ts';
import type { Shore } from './water.ts';

/**
 * No approach is steeper than 1 in 5 (ref: recovery.md §2; source: field-expedient manual; mark F); the gates' 1 in 8
 * is ours.
 */
const GATE_SLOPE = 1 / 8;
/** Gates on the final, metres before setting down. Ours. */
const GATES_M = [1600, 600, 200] as const;
/** A sun within this of the heading and this low is in the pilot's eyes. Common practice. */
export const GLARE_OFF_DEG = 30;
const GLARE_ELEVATION_DEG = 30;
/** The heading may be turned out of the wind by so much to spare the pilot the sun. Ours. */
const TURN_DEG_MAX = 30;
/** The most that a final is turned off the wind, and the most crosswind on it. Ours. */
const OFF_WIND_DEG_MAX = 60;
const CROSSWIND_MPS_MAX = 8;
/** The hold lies this far from towns and crowds: 1000 ft, as `TOWN_AGL_M`. */
const HOLD_TOWN_M = 300;
/** A final is no longer than this: a hold farther off serves nobody. Ours. */
const HOLD_M_MAX = 15_000;
/** A helicopter that finds no ground within this of the jumper does not count as reaching it. Ours. */
export const SET_DOWN_M_MAX = 1500;
/** How many set-downs are tried. Ours. */
const SET_DOWNS_MAX = 24;
/** A hover from which somebody is let down. Common practice. */
const HOIST_AGL_M = 40;

export interface Gate {
  readonly name: 'hold' | 'initial' | 'final' | 'short final' | 'set down';
  readonly position: LonLat;
  readonly agl_m: number;
  readonly up_m: number;
  readonly rule: string;
  /** How its height and its place come about. */
  readonly how: string;
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
  /** At the shore of the water that the jumper lies in, where the helicopter waits: nobody goes in from there. */
  | {
      readonly kind: 'shore';
      readonly position: LonLat;
      readonly away_m: number;
      readonly obstacles: readonly Obstacle[];
    }
  | { readonly kind: 'hoist'; readonly why: string };

export interface Final {
  readonly setDown: SetDown;
  /** Heading of the final; and of one straight into the wind. */
  readonly final_deg: number;
  readonly intoWind_deg: number;
  readonly hold: Point;
  readonly gates: readonly Gate[];
  /** From the hold to the set-down; times from leaving the hold. */
  readonly way: readonly WayPoint[];
  readonly glare: Glare;
  /** Nobody on the ground gathers the canopy: one of this crew walks in from a set-down that is far enough from it. */
  readonly alone: boolean;
  /** What was wrong with the final that would have been better; null where this is the best. */
  readonly instead: string | null;
}

export type FinalFound =
  { readonly kind: 'final'; readonly final: Final } | { readonly kind: 'none'; readonly why: string };

function finalOf(scene: Scene, outlook: Outlook, crew: Crew): FinalFound {
  const { landing } = outlook.prediction;
  if (landing === null) return { kind: 'none', why: 'no landing is predicted' };
  const wind_mps = rotorWind_mps(scene.surface, scene.gust_mps);
  if (wind_mps > crew.wind_mps_max)
    return {
      kind: 'none',
      why:
        `the wind on the ground, ${quantity(wind_mps, 'm/s')}, is over its limit of ` +
        quantity(crew.wind_mps_max, 'm/s'),
    };
  const touchdown_s = outlook.scenario.exit.time_s + landing.time_s;
  const at = scene.frame.toLocal(landing.position);
  const calm = isCalm(Math.hypot(...scene.surface));
  const intoWind_deg = calm
    ? inverse(crew.base, landing.position).bearing_deg
    : windFrom(scene.surface[0], scene.surface[1]).from_deg;
  const sun = sunPosition(landing.position, touchdown_s + GATHER_S);
  const headings = headingsOf(scene, intoWind_deg, calm, sun);
  const alone = scene.gatherer === null;
  const why: string[] = [];
  const tried = (target: Point, setDown: SetDown, hover_m: number): Final | null => {
    for (const final_deg of headings) {
      const found = tryFinal(scene, crew, { at, target, hover_m, final_deg });
      if (typeof found === 'string') {
        why.push(`on ${direction(final_deg)} ${found}`);
        continue;
      }
      const glare = {
        sunAzimuth_deg: sun.azimuth_deg,
        sunElevation_deg: sun.elevation_deg,
        off_deg: sunOffHeading_deg(final_deg, sun),
        inEyes: blinds(final_deg, sun),
      };
      return { ...found, setDown, final_deg, intoWind_deg, glare, alone, instead: why[0] ?? null };
    }
    return null;
  };
  const shore = scene.water.shoreOf(at);
  const from_m = alone ? marginOf(scene, crew) : PEOPLE_M;
  let looked = 0;
  for (const place of setDowns(scene, crew, { at, shore, from_m, toward_deg: intoWind_deg + 180 })) {
    if ((looked += 1) > SET_DOWNS_MAX) break;
    const setDown = setDownAt(scene, place, at, shore);
    // One that walks in has to be able to: no river between.
    if (setDown.kind === 'ground' && scene.ways.walkBlocks(place, at)) {
      why.push(`${distance(setDown.walk_m)} off somebody on foot could not cross to the jumper`);
      continue;
    }
    const final = tried(place, setDown, 0);
    if (final !== null) return { kind: 'final', final };
  }
  const ground = againstGround(scene, crew, at, shore);
  if (crew.hoist) {
    const final = tried(at, { kind: 'hoist', why: looked === 0 ? ground : (why[0] ?? ground) }, HOIST_AGL_M);
    if (final !== null) return { kind: 'final', final };
  }
  return { kind: 'none', why: why[0] === undefined ? noGroundWords(ground, shore) : `no final is open: ${why[0]}` };
}

function setDownAt(
  { frame, ground }: Scene,
  place: Point,
  at: Point,
  shore: Shore | null,
): Exclude<SetDown, { kind: 'hoist' }> {
  const position = frame.toLonLat(place[0], place[1]);
  const away_m = Math.hypot(place[0] - at[0], place[1] - at[1]);
  const obstacles = ground.obstaclesNear(place[0], place[1], REPORT_M);
  return shore === null
    ? { kind: 'ground', position, walk_m: away_m, obstacles }
    : { kind: 'shore', position, away_m, obstacles };
}

/** Why it does not set down where the jumper lies. */
function againstGround({ ground }: Scene, crew: Crew, at: Point, shore: Shore | null): string {
  if (shore !== null) return `the landing lies ${shoreWords(shore)}`;
  return ground.refusesLanding(at[0], at[1], crew.slope_deg_max) ?? 'no ground about it serves';
}

const noGroundWords = (ground: string, shore: Shore | null): string =>
  `there is no ground to set down within ${distance(SET_DOWN_M_MAX)} of ` +
  `${shore === null ? 'the jumper' : 'the shore next to the jumper'}: ${ground}`;

interface SetDownsAbout {
  readonly at: Point;
  /** Null for a landing on land. */
  readonly shore: Shore | null;
  readonly from_m: number;
  readonly toward_deg: number;
}

/** Places to set down, best first: about the jumper, or about the shore next to one who lies in water. */
function* setDowns(
  { ground, frame }: Scene,
  crew: Crew,
  { at, shore, from_m, toward_deg }: SetDownsAbout,
): Generator<Point, undefined> {
  if (shore === null) {
    yield* ground.setDownsNear(at, crew.slope_deg_max, toward_deg, [from_m, SET_DOWN_M_MAX]);
    return undefined;
  }
  // Somebody in the water is reached by hoist alone.
  if (crew.hoist) return undefined;
  const [x, y] = frame.toLocal(shore.position);
  for (const place of ground.setDownsNear([x, y], crew.slope_deg_max, toward_deg, [HALF_SITE_M, SET_DOWN_M_MAX]))
    if (Math.hypot(place[0] - at[0], place[1] - at[1]) >= from_m) yield place;
  return undefined;
}

const finals = new WeakMap<Scene, Map<Outlook, Map<string, FinalFound>>>();

/**
 * The final of a helicopter to an outlook's landing, worked out once for a scene and for all that fly alike: board,
 * placement, routes and brief all ask for it.
 */
export function finalFor(scene: Scene, crew: Crew, outlook: Outlook = scene.outlook): FinalFound {
  const ofScene = keptIn(finals, scene, () => new Map<Outlook, Map<string, FinalFound>>());
  const ofOutlook = keptIn(ofScene, outlook, () => new Map<string, FinalFound>());
  return keptIn(ofOutlook, flownAlike(crew, scene.surface), () => finalOf(scene, outlook, crew));
}

/** From touchdown until the canopy is collapsed and held. Ours: the call decides, not the clock. */
export const GATHER_S = 60;

type Sun = ReturnType<typeof sunPosition>;

const blinds = (heading: number, sun: Sun): boolean =>
  sun.elevation_deg > -1 && sun.elevation_deg < GLARE_ELEVATION_DEG && sunOffHeading_deg(heading, sun) < GLARE_OFF_DEG;

/**
 * Headings, best first: into the wind, or as little off it as keeps a low sun out of the pilot's eyes; then farther
 * off.
 */
function headingsOf({ surface }: Scene, intoWind_deg: number, calm: boolean, sun: Sun): number[] {
  const speed_mps = Math.hypot(surface[0], surface[1]);
  const most = calm ? 180 : OFF_WIND_DEG_MAX;
  const turns = [0];
  for (let turn = 5; turn <= most; turn += 5) turns.push(turn, -turn);
  const flyable = turns.filter(
    (turn) => calm || speed_mps * Math.abs(Math.sin(turn * RAD_PER_DEG)) <= CROSSWIND_MPS_MAX || turn === 0,
  );
  const sunMost = calm ? 180 : TURN_DEG_MAX;
  const clear = flyable.find((turn) => Math.abs(turn) <= sunMost && !blinds(intoWind_deg + turn, sun));
  const rest = flyable.filter((turn) => turn % 15 === 0 && turn !== clear);
  return [...(clear === undefined ? [] : [clear]), ...rest].map((turn) => wrap360(intoWind_deg + turn));
}

interface Wanted {
  /** The jumper, and where the helicopter comes down or hovers, this high. */
  readonly at: Point;
  readonly target: Point;
  readonly hover_m: number;
  readonly final_deg: number;
}

/** Hold, gates and way of one final; a string: what is wrong with it. */
function tryFinal(scene: Scene, crew: Crew, wanted: Wanted): Pick<Final, 'hold' | 'gates' | 'way'> | string {
  const { target, final_deg, hover_m } = wanted;
  const [e, n] = [-Math.sin(final_deg * RAD_PER_DEG), -Math.cos(final_deg * RAD_PER_DEG)];
  const back = (d: number): Point => [target[0] + d * e, target[1] + d * n];
  const far_m = holdAt(scene, crew, back);
  if (far_m === null) return 'no hold lies outside the ground that is kept clear';
  const hold = back(far_m);
  const foot_m = scene.groundAt(target[0], target[1]);
  const above = (d: number): number => foot_m + Math.max(Math.min(crew.cruise_agl_m, d * GATE_SLOPE), hover_m);
  const level = Math.max(
    levelOver(scene, crew, hold, back(GATES_M[0])),
    scene.groundAt(hold[0], hold[1]) + crew.cruise_agl_m,
    above(GATES_M[0]),
  );
  const places: [Gate['name'], number, number][] = [
    ['hold', far_m, level],
    ['initial', GATES_M[0], above(GATES_M[0])],
    ['final', GATES_M[1], above(GATES_M[1])],
    ['short final', GATES_M[2], above(GATES_M[2])],
    ['set down', 0, foot_m + hover_m],
  ];
  const way: WayPoint[] = [];
  for (const [name, d, up_m] of places) {
    const last = way.at(-1);
    const leg_s = last === undefined ? 0 : legTime_s(scene, crew, last.at, back(d), up_m - last.up_m);
    if (leg_s === null) return 'the wind does not let it hold its track';
    way.push({ name, at: back(d), up_m, time_s: (last?.time_s ?? 0) + leg_s });
  }
  const why = breaks(scene, way, {
    beginsLow: false,
    endsLow: true,
    clear: scene.clearAfter.ellipses.length === 0 ? null : scene.clearAfter,
    clear_m: marginOf(scene, crew),
  });
  return (
    why ?? {
      hold,
      way,
      gates: places.map(([name, d], i) => gateOf(scene, way[i], name, howGate(crew, name, d, hover_m))),
    }
  );
}

/** How far back the hold lies: the first place out of all that is kept clear, away from towns and high ground alike. */
function holdAt(scene: Scene, crew: Crew, back: (d: number) => Point): number | null {
  const margin = marginOf(scene, crew);
  for (let d: number = GATES_M[0]; d <= HOLD_M_MAX;) {
    const [x, y] = back(d);
    const short = margin - scene.clear.distance_m(x, y);
    if (short <= 0 && scene.ground.townAway_m(x, y) >= HOLD_TOWN_M) return d;
    d += Math.max(short, 100);
  }
  return null;
}

const RULES: Readonly<Record<Gate['name'], string>> = {
  hold: 'wait here, canopy in sight and above, until touchdown is called and the canopy is gathered',
  initial: 'canopy down, collapsed and held; wires and people called',
  final: 'touchdown place in sight, loose items secured, else go around',
  'short final': 'guide in sight, arms not waved overhead, else go around',
  'set down': 'nobody comes near before the signal',
};

/** `d`: metres before it sets down. */
function howGate(crew: Crew, name: Gate['name'], d: number, hover_m: number): string {
  const cruise = `its height of flight, ${quantity(crew.cruise_agl_m, 'm')} above the ground`;
  if (name === 'hold')
    return (
      `It stands at ${cruise}. The place lies on the line of the final, backwards from where it sets down, outside ` +
      'every part of the ground that is kept clear, with what a helicopter keeps from it, and of towns; ' +
      `${quantity(GATES_M[0], 'm')} out at least.`
    );
  if (name === 'set down')
    return hover_m > 0 ? `It hovers ${quantity(hover_m, 'm')} above the ground.` : 'On the ground, so its height is 0.';
  const rise = `one in ${number(1 / GATE_SLOPE)} makes ${quantity(d * GATE_SLOPE, 'm')} above the ground`;
  const least = hover_m > 0 ? `, and the hover, ${quantity(hover_m, 'm')}, the least` : '';
  return (
    `${quantity(d, 'm')} before it sets down, on the line of the final: ${rise} where it sets down; ${cruise}, is ` +
    `the most${least}.`
  );
}

function gateOf(scene: Scene, point: WayPoint | undefined, name: Gate['name'], how: string): Gate {
  assert(point !== undefined, 'every gate is a point of the way');
  const { at, up_m } = point;
  const position = scene.frame.toLonLat(at[0], at[1]);
  return { name, position, agl_m: Math.max(0, up_m - scene.groundAt(at[0], at[1])), up_m, rule: RULES[name], how };
}

/** Degrees that a final is turned out of the wind: positive to the right. */
export const offWind_deg = ({ final_deg, intoWind_deg }: Pick<Final, 'final_deg' | 'intoWind_deg'>): number =>
  Math.round(wrap180(final_deg - intoWind_deg));
