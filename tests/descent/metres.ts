// Distances in tests: on the ellipsoid by geographiclib, which is not what the physics integrates with.
import { Geodesic } from 'geographiclib-geodesic';
import type { LonLat } from '../../core/base/units.ts';

export function metresBetween(a: LonLat, b: LonLat): number {
  return Geodesic.WGS84.Inverse(a[1], a[0], b[1], b[0]).s12 ?? NaN;
}

/** East and north of b from a, m: distance and first azimuth. For some kilometres. */
export function offsetBetween(a: LonLat, b: LonLat): [east: number, north: number] {
  const { s12 = NaN, azi1 = NaN } = Geodesic.WGS84.Inverse(a[1], a[0], b[1], b[0]);
  return [s12 * Math.sin((azi1 * Math.PI) / 180), s12 * Math.cos((azi1 * Math.PI) / 180)];
}
