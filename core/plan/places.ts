// The named places of a plan, for reports that say where ("at Salt Flat North") or whereto ("toward the ridge"), and
// the landmark that lies on a given side. Positions [longitude, latitude] in degrees, bearings degrees clockwise from
// true north.
import type { LonLat } from '../base/units.ts';
import { RAD_PER_DEG, toward_deg, wrap180 } from '../base/units.ts';
import { centroid } from '../earth/geodesic.ts';
import { meridianRadius, primeVerticalRadius } from '../earth/gravity.ts';
import type { Mission } from './schema.ts';

export interface Place {
  readonly name: string;
  readonly kind: 'site' | 'zone' | 'landmark' | 'hazard' | 'team';
  /** The middle of a zone; the nodes of a line (a ridge), one after another; else one point. */
  readonly points: readonly LonLat[];
}

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

function pointsIn(of: { position?: unknown; line?: unknown; polygon?: unknown }): LonLat[] {
  const isPoint = (x: unknown): x is LonLat =>
    Array.isArray(x) && x.length === 2 && x.every((c) => typeof c === 'number');
  if (isPoint(of.position)) return [of.position];
  if (Array.isArray(of.line)) return of.line.filter(isPoint);
  const corners = Array.isArray(of.polygon) ? of.polygon.filter(isPoint) : [];
  return corners.length === 0 ? [] : [centroid(corners)];
}

/**
 * East and north m from one place to another, on the plane that touches the earth midway: below 0.1 % up to 100 km, for
 * words.
 */
export function offset_m(from: LonLat, to: LonLat): readonly [east: number, north: number] {
  const middle = 0.5 * (from[1] + to[1]) * RAD_PER_DEG;
  const s2 = Math.sin(middle) ** 2;
  const east = primeVerticalRadius(s2) * Math.cos(middle) * wrap180(to[0] - from[0]) * RAD_PER_DEG;
  return [east, meridianRadius(s2) * (to[1] - from[1]) * RAD_PER_DEG];
}

/** Farther than this from the site nobody means a place of the mission. */
const FAR_M = 400_000;

/** A far place whose latitude and longitude, put the other way round, lie near the site; null for any other place. */
export function turnedToward([lon, lat]: LonLat, site: LonLat): LonLat | null {
  const isFar = (place: LonLat): boolean => !(Math.hypot(...offset_m(site, place)) <= FAR_M);
  return Math.abs(lon) <= 90 && isFar([lon, lat]) && !isFar([lat, lon]) ? [lat, lon] : null;
}

/** Bearing and distance to the nearest of a place's points, lines taken between their nodes. */
export function toPlace(from: LonLat, place: Place): { bearing_deg: number; distance_m: number } {
  const points = place.points.map((point) => offset_m(from, point));
  let best: readonly [number, number] = points[0] ?? [0, 0];
  for (let i = 0; i < points.length; i++) {
    const a = points[i] ?? best;
    const b = points[i + 1] ?? a;
    const dx = b[0] - a[0];
    const dy = b[1] - a[1];
    const length2 = dx * dx + dy * dy;
    const t = length2 > 0 ? Math.min(Math.max(-(a[0] * dx + a[1] * dy) / length2, 0), 1) : 0;
    const near: readonly [number, number] = [a[0] + t * dx, a[1] + t * dy];
    if (Math.hypot(near[0], near[1]) < Math.hypot(best[0], best[1])) best = near;
  }
  return { bearing_deg: toward_deg(best[0], best[1]), distance_m: Math.hypot(best[0], best[1]) };
}

/**
 * The landmark that lies most nearly in a direction, within 30° of it: what "toward" means to somebody who stands
 * there. Landmarks go before hazards, hazards before zones; what is nearer than 200 m lies under one's feet and in no
 * direction. Null where none is.
 */
export function landmarkToward(places: readonly Place[], from: LonLat, bearing_deg: number): string | null {
  for (const kind of ['landmark', 'hazard', 'zone'] as const) {
    let best: { name: string; off: number } | null = null;
    for (const place of places) {
      if (place.kind !== kind) continue;
      const { bearing_deg: to, distance_m } = toPlace(from, place);
      const off = Math.abs(wrap180(to - bearing_deg));
      if (distance_m >= 200 && off <= 30 && (best === null || off < best.off)) best = { name: place.name, off };
    }
    if (best !== null) return best.name;
  }
  return null;
}
