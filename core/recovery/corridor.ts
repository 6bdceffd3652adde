// The one check that every way of a helicopter passes before it is printed: over wires, obstacles and ground with a
// margin, climbing and descending no faster than it can, out of the ground that is kept clear, not low over a town,
// able to hold its tracks in the wind. A way that fails is not printed, but its reason is. On the plane of the scene's
// frame, heights m MSL unless a name says AGL, seconds.
import { distance } from '../words/lengths.ts';
import { quantity } from '../words/numbers.ts';
import { madeGood, type Crew } from './crews.ts';
import type { KeepClear } from './keepClear.ts';
import { HALF_SITE_M } from './landable.ts';
import type { Point } from '../earth/plane.ts';
import type { Scene } from './scene.ts';
import { toward_deg } from '../base/units.ts';

/** A wire or obstacle within this of a way, to a side, is under it: the error of two maps and of a pilot. Ours. */
export const LATERAL_M = 60;
/** Over obstacles 100 ft, over the ground 200 ft. Common practice for low flight by day. */
export const OBSTACLE_MARGIN_M = 30;
export const TERRAIN_MARGIN_M = 60;
/** Near a set-down the margins shrink to half of a 1 in 8 glide. Ours. */
const NEAR_SLOPE = 1 / 16;
/** Over towns and crowds 1000 ft. source: 14 CFR 91.119 (b); kept though it lets helicopters lower; mark M. */
export const TOWN_AGL_M = 300;
/** Climb and descent, 800 ft/min. Common practice for a loaded light helicopter. */
export const RATE_MPS = 4;
const SAMPLE_M = 25;
const NEAR_M = 150;

export interface WayPoint {
  readonly name: string;
  readonly at: Point;
  readonly up_m: number;
  /** From the beginning of the way. */
  readonly time_s: number;
}

/** What a way must keep to beside its heights. */
export interface CorridorRules {
  /** The last place of the way is on the ground or in a hover there, so that margins shrink toward it. */
  readonly endsLow: boolean;
  /** The same for its first place. */
  readonly beginsLow: boolean;
  /** What is still to be kept clear of; null: nothing. */
  readonly clear: KeepClear | null;
  readonly clear_m: number;
}

/** Height MSL that a flight must have over a place: `from_m` metres along it from where it stands or sets down. */
function needed_m(
  scene: Scene,
  [x, y]: Point,
  from_m: number,
): { readonly up_m: number; readonly over: string | null } {
  const near = from_m * NEAR_SLOPE;
  const ground = scene.groundAt(x, y);
  let best: { up_m: number; over: string | null } = { up_m: ground + Math.min(TERRAIN_MARGIN_M, near), over: null };
  // Near the ground only what stands under the rotor counts: a set-down keeps its own distance from the rest.
  for (const one of scene.ground.under(x, y, from_m < NEAR_M ? HALF_SITE_M : LATERAL_M)) {
    const foot = Math.max(ground, scene.groundAt(one.nearest[0], one.nearest[1]));
    const up_m = foot + one.height_m + Math.min(OBSTACLE_MARGIN_M, near);
    if (up_m > best.up_m) best = { up_m, over: one.words };
  }
  if (scene.ground.townAway_m(x, y) === 0) {
    const up_m = ground + TOWN_AGL_M;
    if (up_m > best.up_m) best = { up_m, over: 'a town' };
  }
  return best;
}

/** The level from which a straight leg clears everything under it by its margin, at least the crew's flying height. */
export function levelOver(scene: Scene, crew: Crew, from: Point, to: Point): number {
  let level = -Infinity;
  eachOn(from, to, (place) => {
    level = Math.max(
      level,
      scene.groundAt(place[0], place[1]) + crew.cruise_agl_m,
      needed_m(scene, place, Infinity).up_m,
    );
    return true;
  });
  return level;
}

/** Why a way must not be flown; null where it may. */
export function breaks(scene: Scene, points: readonly WayPoint[], rules: CorridorRules): string | null {
  const length_m = points.reduce((sum, point, i) => sum + lengthOf(points[i - 1]?.at ?? point.at, point.at), 0);
  let gone_m = 0;
  for (const [i, b] of points.entries()) {
    const a = points[i - 1];
    if (a === undefined) continue;
    const leg_m = lengthOf(a.at, b.at);
    const rate = Math.abs(b.up_m - a.up_m) / Math.max(b.time_s - a.time_s, 1e-9);
    if (Math.abs(b.up_m - a.up_m) > 1 && !(rate <= RATE_MPS * 1.01))
      return `between ${a.name} and ${b.name} it would climb or descend ${quantity(rate, 'm/s')}`;
    let why: string | null = null;
    eachOn(a.at, b.at, (place, share) => {
      const so_far = gone_m + share * leg_m;
      const begin = rules.beginsLow ? so_far : Infinity;
      const end = rules.endsLow ? length_m - so_far : Infinity;
      const up_m = a.up_m + share * (b.up_m - a.up_m);
      why = breaksAt(scene, place, up_m, Math.min(begin, end), rules);
      return why === null;
    });
    if (why !== null) return why;
    gone_m += leg_m;
  }
  return null;
}

function breaksAt(
  scene: Scene,
  place: Point,
  up_m: number,
  low_m: number,
  { clear, clear_m, endsLow }: CorridorRules,
): string | null {
  const need = needed_m(scene, place, low_m);
  if (up_m < need.up_m - 0.5) {
    const ground = scene.groundAt(place[0], place[1]);
    const where = endsLow ? `, ${distance(low_m)} before the set-down` : '';
    return (
      `it would pass ${need.over ?? 'the ground'} ${distance(up_m - ground)} up where ` +
      `${distance(need.up_m - ground)} are needed${where}`
    );
  }
  if (clear !== null && clear.distance_m(place[0], place[1]) < clear_m - 1)
    return `it would lead through the ground that is kept clear of`;
  return null;
}

const lengthOf = (a: Point, b: Point): number => Math.hypot(b[0] - a[0], b[1] - a[1]);

/** Places along a straight leg, 25 m apart at most, both ends included; ends where `visit` answers false. */
function eachOn(a: Point, b: Point, visit: (place: Point, share: number) => boolean): void {
  const count = Math.max(1, Math.ceil(lengthOf(a, b) / SAMPLE_M));
  for (let k = 0; k <= count; k++) {
    const share = k / count;
    if (!visit([a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])], share)) return;
  }
}

/**
 * A leg's time in the wind of the crew's height, no shorter than its climb or descent takes; null where it cannot be
 * flown.
 */
export function legTime_s(scene: Scene, crew: Crew, from: Point, to: Point, climb_m: number): number | null {
  const length_m = lengthOf(from, to);
  const climb_s = Math.abs(climb_m) / RATE_MPS;
  if (!(length_m > 0)) return climb_s;
  const [u, v] = scene.windOf(crew);
  const good = madeGood(crew.speed_mps, toward_deg(to[0] - from[0], to[1] - from[1]), u, v);
  return good.kind === 'cannot' ? null : Math.max(length_m / good.speed_mps, climb_s);
}

/**
 * A flight at safe levels: up over its first place, along its legs at levels that clear what lies under them, and down
 * to the last height on the last leg's end. Null where the wind does not allow a leg.
 *
 * corners  from the first place to the last
 * ends_m   height over the last place; null: the level of the last leg
 */
export function levelFlight(
  scene: Scene,
  crew: Crew,
  corners: readonly Point[],
  names: { readonly first: string; readonly last: string },
  ends_m: number | null,
): WayPoint[] | null {
  const levels = corners.slice(1).map((b, i) => levelOver(scene, crew, corners[i] ?? b, b));
  const first = corners[0];
  if (first === undefined) return null;
  const ground_m = scene.groundAt(first[0], first[1]);
  const points: WayPoint[] = [{ name: names.first, at: first, up_m: ground_m, time_s: 0 }];
  const add = (name: string, at: Point, up_m: number): boolean => {
    const last = points.at(-1);
    if (last === undefined) return false;
    const leg_s = legTime_s(scene, crew, last.at, at, up_m - last.up_m);
    if (leg_s !== null) points.push({ name, at, up_m, time_s: last.time_s + leg_s });
    return leg_s !== null;
  };
  add('climb', first, levels[0] ?? ground_m + crew.cruise_agl_m);
  for (const [i, corner] of corners.entries()) {
    if (i === 0) continue;
    const isLast = i === corners.length - 1;
    const level = Math.max(levels[i - 1] ?? -Infinity, levels[i] ?? -Infinity);
    const up_m = isLast && ends_m !== null ? Math.max(ends_m, level) : level;
    if (!add(isLast ? names.last : `turn ${i}`, corner, up_m)) return null;
  }
  const end = points.at(-1);
  if (ends_m !== null && end !== undefined && end.up_m > ends_m && !add(names.last, end.at, ends_m)) return null;
  return points;
}
