// The named places of a plan, for reports that say where ("at Salt Flat North") or whereto ("toward the ridge"), and
// for sentences. Positions [longitude, latitude] in degrees.
import type { LonLat } from '../base/units.ts';
import { centroid, inverse } from '../earth/geodesic.ts';
import type { Place } from '../words/places.ts';
import type { Mission } from './schema.ts';

/**
 * Every named place: the site, zones, landmarks, hazards, in this order; the first of a name is meant. Teams move and
 * are not here.
 */
export function placesOf(mission: Pick<Mission, 'site' | 'landingZones' | 'landmarks' | 'hazards'>): Place[] {
  const places: Place[] = [{ name: mission.site.name, kind: 'site', points: [mission.site.position] }];
  for (const zone of mission.landingZones ?? [])
    places.push({ name: zone.name, kind: 'zone', points: [centroid(zone.polygon)] });
  for (const mark of mission.landmarks ?? [])
    places.push({ name: mark.name, kind: 'landmark', points: pointsIn(mark) });
  for (const hazard of mission.hazards ?? [])
    places.push({ name: hazard.name, kind: 'hazard', points: pointsIn(hazard) });
  return places.filter((place) => place.points.length > 0);
}

/** The landmarks alone: what `landmarkToward` chooses from. */
export const landmarksOf = (mission: Mission): Place[] => placesOf(mission).filter(({ kind }) => kind === 'landmark');

function pointsIn(of: { position?: unknown; line?: unknown; polygon?: unknown }): LonLat[] {
  const isPoint = (x: unknown): x is LonLat =>
    Array.isArray(x) && x.length === 2 && x.every((c) => typeof c === 'number');
  if (isPoint(of.position)) return [of.position];
  if (Array.isArray(of.line)) return of.line.filter(isPoint);
  const corners = Array.isArray(of.polygon) ? of.polygon.filter(isPoint) : [];
  return corners.length === 0 ? [] : [centroid(corners)];
}

/** Farther than this from the site nobody means a place of the mission. */
const FAR_M = 400_000;

/**
 * A far place whose latitude and longitude, put the other way round, lie near the site; null for any other place. With
 * letters the figures alone may have been exchanged: 22.41 S 30.08 E for 30.08 S 22.41 E.
 */
export function turnedToward([lon, lat]: LonLat, site: LonLat): LonLat | null {
  const isFar = (place: LonLat): boolean => !(inverse(site, place).distance_m <= FAR_M);
  if (Math.abs(lon) > 90 || !isFar([lon, lat])) return null;
  const lettered: LonLat = [Math.sign(lon) * Math.abs(lat), Math.sign(lat) * Math.abs(lon)];
  return [[lat, lon] as const, lettered].find((place) => !isFar(place)) ?? null;
}
