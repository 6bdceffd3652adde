// Where things lie, in words: named places by their bearing, the one landmark rule, and how far one place is from
// another. Positions [longitude, latitude] in degrees; bearings true, degrees.
import { inverse, nearestOnLine } from '../earth/geodesic.ts';
import { wrap180, type LonLat } from '../base/units.ts';
import { distance } from './lengths.ts';
import { PAPER_UNITS, type Units } from './numbers.ts';
import { directionWords } from './winds.ts';

export interface Place {
  readonly name: string;
  readonly kind: 'site' | 'zone' | 'landmark' | 'hazard' | 'team';
  /** The nodes of a line (a ridge), one after another; the middle of an area; else one point. */
  readonly points: readonly LonLat[];
}

/** Bearing and distance to the nearest point of a place. */
export function toPlace(from: LonLat, place: Place): { bearing_deg: number; distance_m: number } {
  return inverse(from, nearestOnLine(from, place.points).position);
}

/**
 * A landmark is named for directions within this of its bearing: below 45°, so two a right angle apart never share one.
 */
export const SIDE_DEG = 30;
/** Nearer than this a landmark lies in no direction. */
const UNDERFOOT_M = 200;

/**
 * The landmark that a direction leads to, as seen from the expected landing: the one whose bearing is nearest to the
 * direction and within 30° of it. Null without one: then the octant must do.
 *
 * places  of a mission (`placesOf`). A line or an outline counts by the point of it that is nearest to `from` and by
 *         that point's bearing alone: so a name belongs to one bearing, and a wind and its reverse never share it. Of
 *         several places with one name the nearest counts.
 */
export function landmarkToward(places: readonly Place[], from: LonLat, direction_deg: number): string | null {
  let best: string | null = null;
  let least_deg = SIDE_DEG;
  for (const { name, bearing_deg } of sightsFrom(from, places)) {
    const off_deg = Math.abs(wrap180(bearing_deg - direction_deg));
    if (off_deg > least_deg) continue;
    least_deg = off_deg;
    best = name;
  }
  return best;
}

interface Sight {
  readonly name: string;
  readonly bearing_deg: number;
  readonly distance_m: number;
}

/** The landmarks as seen from a place, one sight for each name. */
function sightsFrom(from: LonLat, places: readonly Place[]): readonly Sight[] {
  const nearest = new Map<string, Sight>();
  for (const place of places) {
    if (place.kind !== 'landmark') continue;
    const sight = { name: place.name, ...toPlace(from, place) };
    const known = nearest.get(place.name);
    if (known === undefined || sight.distance_m < known.distance_m) nearest.set(place.name, sight);
  }
  return [...nearest.values()].filter(({ distance_m }) => distance_m >= UNDERFOOT_M);
}

/** Nearer than this a place is at the other one, and in no direction. */
const AT_M = 30;

/** "2.4 km toward 124° (south-east)"; null within 30 m. */
export function awayWords(from: LonLat, to: LonLat, units: Units = PAPER_UNITS): string | null {
  const { distance_m, bearing_deg } = inverse(from, to);
  return distance_m < AT_M ? null : `${distance(distance_m, units)} toward ${directionWords(bearing_deg)}`;
}

/** "2.4 km toward 124° (south-east) from the expected landing"; "at the expected landing" within 30 m of it. */
export function placedBy(place: LonLat, from: LonLat, what: string, units: Units = PAPER_UNITS): string {
  const away = awayWords(from, place, units);
  return away === null ? `at ${what}` : `${away} from ${what}`;
}

/** How a place in the water lies to the shore: "in Sea, the shore 350 m toward 270° (west)". */
export function shoreWords(
  shore: { readonly name: string; readonly distance_m: number; readonly toward_deg: number },
  units: Units = PAPER_UNITS,
): string {
  const { name, distance_m, toward_deg } = shore;
  return `in ${name}, the shore ${distance(distance_m, units)} toward ${directionWords(toward_deg)}`;
}
