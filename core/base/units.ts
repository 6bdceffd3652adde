// Units. SI and radians inside `core/`; every other unit is turned at the edge, here and nowhere else.
// Factors are exact by definition: NIST SP 811 (2008) §B.8; the knot and the nautical mile: §5.2.

/** A place, [longitude, latitude] in degrees on WGS 84, the order of GeoJSON (RFC 7946 §3.1.1). */
export type LonLat = readonly [lon: number, lat: number];

export const MPS_PER_KT = 1852 / 3600;
export const MPS_PER_KMH = 1 / 3.6;
export const MPS_PER_MPH = 1609.344 / 3600;
export const M_PER_FT = 0.3048;
export const M_PER_NM = 1852;
export const PA_PER_HPA = 100;
export const KELVIN_AT_0_C = 273.15;
export const RAD_PER_DEG = Math.PI / 180;
export const DEG_PER_RAD = 180 / Math.PI;

/** Any angle in degrees brought into [0, 360). */
export function wrap360(angle_deg: number): number {
  const turned = angle_deg % 360;
  return turned < 0 ? turned + 360 : turned === 0 ? 0 : turned;
}

/** Any angle in degrees brought into (−180, 180]. */
export function wrap180(angle_deg: number): number {
  // Most are differences of neighbouring places, and come by the million. Zero is added so that −0 becomes 0.
  if (angle_deg > -180 && angle_deg <= 180) return angle_deg + 0;
  const turned = wrap360(angle_deg);
  return turned > 180 ? turned - 360 : turned;
}

/** Wind as [east, north] m/s of the air's motion. `from_deg`: where it blows from, clockwise from true north. */
export function windVector(from_deg: number, speed_mps: number): [u: number, v: number] {
  const from = from_deg * RAD_PER_DEG;
  return [-speed_mps * Math.sin(from), -speed_mps * Math.cos(from)];
}

/**
 * The inverse of `windVector`. Of a calm the direction is 0: a calm has none, and callers say "calm" before they say a
 * direction.
 */
export function windFrom(u: number, v: number): { from_deg: number; speed_mps: number } {
  const speed_mps = Math.hypot(u, v);
  return { from_deg: speed_mps === 0 ? 0 : wrap360(Math.atan2(-u, -v) * DEG_PER_RAD), speed_mps };
}

/** Direction toward which a vector [east, north] points, degrees clockwise from true north, [0, 360). */
export function toward_deg(east: number, north: number): number {
  return wrap360(Math.atan2(east, north) * DEG_PER_RAD);
}
