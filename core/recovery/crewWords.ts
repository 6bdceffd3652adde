// What the crews' sentences have in common: places by distance and bearing, the wind as where it blows from.
import { inverse } from '../earth/geodesic.ts';
import { lengthWords } from '../words/say.ts';
import { windFrom, type LonLat } from '../base/units.ts';
import { directionWords } from '../words/winds.ts';

/** Where the wind of an air's motion [east, north] comes from, degrees true. */
export const surfaceFrom_deg = (motion: readonly [u: number, v: number]): number =>
  windFrom(motion[0], motion[1]).from_deg;

/** "2.4 km toward 124° (south-east) of the expected landing"; "at the expected landing" within 30 m of it. */
export function placedBy(place: LonLat, from: LonLat, what: string): string {
  const { distance_m, bearing_deg } = inverse(from, place);
  return distance_m < 30 ? `at ${what}` : `${lengthWords(distance_m)} toward ${directionWords(bearing_deg)} of ${what}`;
}
