// What is wrong with an outline that a person draws or a file brings: it crosses itself, holds nothing, or lies over
// another. On the plane of degrees, where crossings are the same; overlaps by Turf, sizes by the ellipsoid.
import { booleanIntersects, polygon } from '@turf/turf';
import { wrap180, type LonLat } from '../base/units.ts';
import { direct, ringArea } from './geodesic.ts';

/** Below this an outline is a slip of the hand: the size of a room. */
const SMALLEST_M2 = 25;

export interface Outline {
  readonly name: string;
  readonly ring: readonly LonLat[];
}

/** Ring with its first place again at the end, as GeoJSON closes it. */
function closed(ring: readonly LonLat[]): [number, number][] {
  const places = ring.map(([lon, lat]): [number, number] => [lon, lat]);
  const [first] = places;
  const last = places.at(-1);
  if (first === undefined || last === undefined) return places;
  return first[0] === last[0] && first[1] === last[1] ? places : [...places, [first[0], first[1]]];
}

/**
 * Sentences on an outline of at least three places; none where nothing is wrong. `others`: what it should not cover.
 */
export function outlineFaults(ring: readonly LonLat[], others: readonly Outline[] = []): string[] {
  if (ring.length < 3) return ['An outline needs at least three corners.'];
  if (goesAroundPole(ring)) return ['The outline goes around a pole: what it holds cannot be told.'];
  if (crossesItself(ring)) return ['The outline crosses itself.'];
  if (!(ringArea(ring).area_m2 >= SMALLEST_M2)) return ['The outline holds no area to speak of.'];
  const shape = polygon([closed(ring)]);
  return others.flatMap(({ name, ring: other }) =>
    other.length >= 3 && booleanIntersects(shape, polygon([closed(other)])) ? [`It overlaps ${name}.`] : [],
  );
}

/** Whether the sides of a ring, each taken the short way, lead once around the axis of the earth. */
function goesAroundPole(ring: readonly LonLat[]): boolean {
  const turned = ring.reduce((sum, [lon], i) => sum + wrap180(lon - (ring.at(i - 1)?.[0] ?? lon)), 0);
  return Math.abs(turned) > 180;
}

interface Side {
  readonly a: LonLat;
  readonly b: LonLat;
  readonly at: number;
  readonly west: number;
  readonly east: number;
}

/**
 * Whether two sides that are not neighbours meet. Sides are taken from west to east, and each is held against those
 * that have not ended yet: of 50 000 corners that is a few each.
 */
function crossesItself(ring: readonly LonLat[]): boolean {
  const lon0 = ring[0]?.[0] ?? 0;
  const corners = closed(ring).map(([lon, lat]): LonLat => [wrap180(lon - lon0), lat]);
  const sides = corners
    .slice(1)
    .map((b, at): Side => {
      const a = corners[at] ?? b;
      return { a, b, at, west: Math.min(a[0], b[0]), east: Math.max(a[0], b[0]) };
    })
    .filter(({ a, b }) => a[0] !== b[0] || a[1] !== b[1]);
  const ordered = sides.map((side, i) => ({ ...side, at: i })).sort((x, y) => x.west - y.west);
  const n = ordered.length;
  let open: Side[] = [];
  for (const side of ordered) {
    open = open.filter(({ east }) => east >= side.west);
    for (const other of open) {
      const apart = Math.abs(side.at - other.at);
      if (apart > 1 && apart < n - 1 && meet(side, other)) return true;
    }
    open.push(side);
  }
  return false;
}

/** Twice the area of a triangle, above 0 where it turns left. */
const turn = (a: LonLat, b: LonLat, c: LonLat): number => (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);

const meet = (p: Side, q: Side): boolean =>
  turn(p.a, p.b, q.a) * turn(p.a, p.b, q.b) <= 0 &&
  turn(q.a, q.b, p.a) * turn(q.a, q.b, p.b) <= 0 &&
  Math.max(p.a[1], p.b[1]) >= Math.min(q.a[1], q.b[1]) &&
  Math.max(q.a[1], q.b[1]) >= Math.min(p.a[1], p.b[1]);

/** The rectangle with these two opposite corners, its sides north–south and east–west. */
export const rectangle = ([west, south]: LonLat, [east, north]: LonLat): LonLat[] => [
  [west, south],
  [east, south],
  [east, north],
  [west, north],
];

/** Corners of a circle drawn as an outline: the area of 48 is 0.3 % short of the round one's. */
const CIRCLE_CORNERS = 48;

/** A circle as an outline, counter-clockwise. */
export const circle = (centre: LonLat, radius_m: number): LonLat[] =>
  Array.from({ length: CIRCLE_CORNERS }, (_, i) => direct(centre, 360 - (i * 360) / CIRCLE_CORNERS, radius_m));
