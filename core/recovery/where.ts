// Where a place lies: in which zone and how far inside its edge, or how far from which. Distances and bearings on the
// ellipsoid; directions true, degrees.
import { distanceToEdge, inverse, isInside, nearestOnLine } from '../earth/geodesic.ts';
import type { LandingZone } from '../plan/schema.ts';
import { never } from '../base/problem.ts';
import type { LonLat } from '../base/units.ts';
import { distance } from '../words/lengths.ts';
import { PAPER_UNITS, type Units } from '../words/numbers.ts';
import { directionWords } from '../words/winds.ts';

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

/** `verb`: of what is said, at its beginning. */
export function whereWords(where: Where, units: Units = PAPER_UNITS, verb = 'Lands'): string {
  switch (where.kind) {
    case 'inside':
      return `${verb} in ${where.zone}, ${distance(where.margin_m, units)} inside its edge`;
    case 'outside':
      return (
        `${verb} ${distance(where.short_m, units)} outside ${where.zone}, on its ` +
        `${directionWords(where.bearing_deg)} side`
      );
    case 'no zones':
      return `${verb} away from any zone: the plan names none`;
    default:
      return never(where);
  }
}
