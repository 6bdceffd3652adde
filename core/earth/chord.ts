// Places as points in space, for correlations that must hold over any set of places.
import { RAD_PER_DEG, type LonLat } from '../base/units.ts';
import { WGS84_E2, primeVerticalRadius } from './gravity.ts';

/**
 * A place as x, y, z metres about the earth's middle. The distance correlation is taken of the straight line between
 * two such points: a Gaussian of a straight distance is a covariance on any set of places, one of the way along the
 * ground is not. Straight and along the ground differ by less than 0.02 % at 400 km.
 */
export function chordPoint(position: LonLat): readonly [x: number, y: number, z: number] {
  const lon = position[0] * RAD_PER_DEG;
  const lat = position[1] * RAD_PER_DEG;
  const s = Math.sin(lat);
  const n = primeVerticalRadius(s * s);
  return [n * Math.cos(lat) * Math.cos(lon), n * Math.cos(lat) * Math.sin(lon), n * (1 - WGS84_E2) * s];
}

/** Straight distance between two places, m. */
export function chord_m(a: LonLat, b: LonLat): number {
  const p = chordPoint(a);
  const q = chordPoint(b);
  return Math.hypot(p[0] - q[0], p[1] - q[1], p[2] - q[2]);
}
