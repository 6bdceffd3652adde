// Where a place lies: in which zone and how far inside its edge, or how far from which; and the landmark on a side of
// it. Distances and bearings on the ellipsoid; directions true, degrees.
import { distanceToEdge, inverse, isInside, nearestOnLine } from '../earth/geodesic.ts';
import type { LandingZone, Landmark } from '../plan/schema.ts';
import { wrap180, type LonLat } from '../base/units.ts';

export type Where =
  | { readonly kind: 'inside'; readonly zone: string; readonly margin_m: number }
  /** `bearing_deg`: from the nearest edge of the zone to the landing. */
  | { readonly kind: 'outside'; readonly zone: string; readonly short_m: number; readonly bearing_deg: number }
  | { readonly kind: 'no zones' };

export function whereOf(place: LonLat, zones: readonly LandingZone[]): Where {
  let nearest: Where = { kind: 'no zones' };
  for (const zone of zones) {
    if (isInside(place, zone.polygon))
      return { kind: 'inside', zone: zone.name, margin_m: distanceToEdge(place, zone.polygon) };
    const first = zone.polygon[0];
    if (first === undefined) continue;
    const edge = nearestOnLine(place, [...zone.polygon, first]);
    if (nearest.kind === 'outside' && !(edge.distance_m < nearest.short_m)) continue;
    nearest = {
      kind: 'outside',
      zone: zone.name,
      short_m: edge.distance_m,
      bearing_deg: inverse(edge.position, place).bearing_deg,
    };
  }
  return nearest;
}

/** Landmarks count for a direction when they lie within this of it. */
const SIDE_DEG = 30;

/**
 * The landmark on the side of a direction as seen from a place: of those within 30° of it the one nearest to it in
 * angle, of long landmarks their nearest point. Null where there is none: then the octant must do.
 */
export function landmarkToward(from: LonLat, landmarks: readonly Landmark[], toward_deg: number): string | null {
  let best: string | null = null;
  let least = SIDE_DEG;
  for (const { name, bearing_deg } of sightsFrom(from, landmarks)) {
    const off = Math.abs(wrap180(bearing_deg - toward_deg));
    if (off < least) {
      least = off;
      best = name;
    }
  }
  return best;
}

interface Sight {
  readonly name: string;
  readonly bearing_deg: number;
}

/**
 * Of each list of landmarks, how they lie from the place that was asked about last: it is the site's, over and over.
 */
const sights = new WeakMap<readonly Landmark[], { readonly from: LonLat; readonly seen: readonly Sight[] }>();

/** The places of landmarks as seen from a place; on one that is nearer than 100 m nobody faces anything. */
function sightsFrom(from: LonLat, landmarks: readonly Landmark[]): readonly Sight[] {
  const known = sights.get(landmarks);
  if (known !== undefined && known.from[0] === from[0] && known.from[1] === from[1]) return known.seen;
  const seen = landmarks.flatMap((landmark) =>
    placesOf(landmark).flatMap((place): Sight[] => {
      const { distance_m, bearing_deg } = inverse(from, place);
      return distance_m < 100 ? [] : [{ name: landmark.name, bearing_deg }];
    }),
  );
  sights.set(landmarks, { from, seen });
  return seen;
}

function placesOf(landmark: Landmark): readonly LonLat[] {
  if ('position' in landmark) return [landmark.position as LonLat];
  return landmark.line;
}
