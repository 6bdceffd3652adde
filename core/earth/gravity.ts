// The figure of the earth and normal gravity on WGS 84. Angles in radians, heights m above the ellipsoid, m/s².
// Source: NGA.STND.0036 (WGS 84, 2014), tables 3.1, 3.3 and 3.7; Somigliana's formula and its second-order height term,
// §4.

export const WGS84_A = 6_378_137;
export const WGS84_F = 1 / 298.257223563;
export const WGS84_E2 = WGS84_F * (2 - WGS84_F);
export const EARTH_RATE_RADPS = 7.292115e-5;
export const GAMMA_E = 9.7803253359;
export const GAMMA_K = 0.00193185265246;
/** ω² a² b / GM, dimensionless. */
export const GAMMA_M = 0.00344978650684;

/** Meridian radius M and prime-vertical radius N, m, from sin² of the latitude. */
export const meridianRadius = (sin2: number): number =>
  (WGS84_A * (1 - WGS84_E2)) / ((1 - WGS84_E2 * sin2) * Math.sqrt(1 - WGS84_E2 * sin2));
export const primeVerticalRadius = (sin2: number): number => WGS84_A / Math.sqrt(1 - WGS84_E2 * sin2);

/**
 * Normal gravity at a geodetic latitude and height. Error of the height series below 1.1e-5 m/s² up to 40 km
 * (`reference/geodesy.md` §5).
 */
export function normalGravity(lat_rad: number, height_m: number): number {
  const s = Math.sin(lat_rad);
  return gravityFrom(s * s, height_m);
}

export function gravityFrom(sin2: number, height_m: number): number {
  const surface = (GAMMA_E * (1 + GAMMA_K * sin2)) / Math.sqrt(1 - WGS84_E2 * sin2);
  const q = height_m / WGS84_A;
  return surface * (1 - 2 * (1 + WGS84_F + GAMMA_M - 2 * WGS84_F * sin2) * q + 3 * q * q);
}
