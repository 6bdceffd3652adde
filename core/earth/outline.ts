// What is wrong with an outline that a person draws or a file brings: it crosses itself, holds nothing, or lies over
// another. Shapes by Turf, on the plane of degrees: crossings are the same there. Sizes by the ellipsoid.
import { booleanIntersects, kinks, polygon } from '@turf/turf';
import type { LonLat } from '../base/units.ts';
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
  const shape = polygon([closed(ring)]);
  const crossings = kinks(shape).features.length;
  if (crossings > 0) return ['The outline crosses itself.'];
  if (!(ringArea(ring).area_m2 >= SMALLEST_M2)) return ['The outline holds no area to speak of.'];
  return others.flatMap(({ name, ring: other }) =>
    other.length >= 3 && booleanIntersects(shape, polygon([closed(other)])) ? [`It overlaps ${name}.`] : [],
  );
}

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
