// Conformal map projections of gridded forecasts, on a sphere or an ellipsoid: degrees to metres and back.
// Source: Snyder, Map Projections: a Working Manual, USGS Professional Paper 1395 (1987); equation numbers beside the
// formulas.
import { DEG_PER_RAD, RAD_PER_DEG, wrap180, type LonLat } from '../base/units.ts';
import type { Projection } from './mesh.ts';

/** `a_m`: equatorial radius; `e`: first eccentricity, 0 on a sphere. */
export interface EarthShape {
  readonly a_m: number;
  readonly e: number;
}

/** Eq. 15-9: t of a latitude, radians. On the sphere tan(π/4 − φ/2). */
function tOf(phi: number, e: number): number {
  const s = e * Math.sin(phi);
  return Math.tan(Math.PI / 4 - phi / 2) / Math.pow((1 - s) / (1 + s), e / 2);
}

/** Eq. 14-15. */
const mOf = (phi: number, e: number): number => Math.cos(phi) / Math.sqrt(1 - (e * Math.sin(phi)) ** 2);

/** Eq. 7-9, iterated: converges by a factor of e² ≈ 0.007 a round, so eight rounds leave less than 1e-16. */
function phiOf(t: number, e: number): number {
  let phi = Math.PI / 2 - 2 * Math.atan(t);
  for (let round = 0; round < (e > 0 ? 8 : 0); round++) {
    const s = e * Math.sin(phi);
    phi = Math.PI / 2 - 2 * Math.atan(t * Math.pow((1 - s) / (1 + s), e / 2));
  }
  return phi;
}

/**
 * A cone over the pole: n its constant, ρ = scale · tⁿ. Lambert (n below 1) and polar stereographic (n = ±1) share all
 * but `scale`.
 */
function conic(kind: string, earth: EarthShape, central_deg: number, n: number, scale: number): Projection {
  const { e } = earth;
  return {
    kind,
    key: `${kind}|${earth.a_m}|${e}|${central_deg}|${n}|${scale}`,
    forward: ([lon, lat]) => {
      if (!(Math.abs(lat) <= 90) || !Number.isFinite(lon)) return null;
      const rho = scale * Math.pow(tOf(lat * RAD_PER_DEG, e), n);
      // The pole on the open side of the cone lies at infinity.
      if (!Number.isFinite(rho)) return null;
      const theta = n * wrap180(lon - central_deg) * RAD_PER_DEG;
      return [rho * Math.sin(theta), -rho * Math.cos(theta)];
    },
    inverse: (x, y) => {
      const side = Math.sign(n);
      const rho = side * Math.hypot(x, y);
      const theta = Math.atan2(side * x, -side * y);
      return [wrap180(central_deg + (theta / n) * DEG_PER_RAD), phiOf(Math.pow(rho / scale, 1 / n), e) * DEG_PER_RAD];
    },
    north_rad: ([lon]) => n * wrap180(lon - central_deg) * RAD_PER_DEG,
  };
}

/**
 * Lambert conformal conic, eq. 15-1 to 15-11: true along the parallels `first_deg` and `second_deg`; null where these
 * make no cone.
 */
export function lambert(
  earth: EarthShape,
  central_deg: number,
  first_deg: number,
  second_deg: number,
): Projection | null {
  const p1 = first_deg * RAD_PER_DEG;
  const p2 = second_deg * RAD_PER_DEG;
  if (!(Math.abs(first_deg) < 90 && Math.abs(second_deg) < 90)) return null;
  const m1 = mOf(p1, earth.e);
  const t1 = tOf(p1, earth.e);
  const n =
    Math.abs(first_deg - second_deg) < 1e-9
      ? Math.sin(p1)
      : (Math.log(m1) - Math.log(mOf(p2, earth.e))) / (Math.log(t1) - Math.log(tOf(p2, earth.e)));
  if (!(Math.abs(n) > 1e-6)) return null;
  return conic('Lambert', earth, central_deg, n, (earth.a_m * m1) / (n * Math.pow(t1, n)));
}

/** Polar stereographic, eq. 21-33 and 21-34: true along the parallel `true_deg`; over the south pole where `south`. */
export function polarStereographic(
  earth: EarthShape,
  central_deg: number,
  true_deg: number,
  south: boolean,
): Projection | null {
  if (!(Math.abs(true_deg) > 0.1 && Math.abs(true_deg) <= 90)) return null;
  const n = south ? -1 : 1;
  const phi = Math.abs(true_deg) * RAD_PER_DEG;
  const { e } = earth;
  // At the pole itself the ratio m/t has the limit of eq. 21-33.
  const ratio =
    Math.abs(true_deg) === 90
      ? 2 / Math.sqrt(Math.pow(1 + e, 1 + e) * Math.pow(1 - e, 1 - e))
      : mOf(phi, e) / tOf(phi, e);
  return conic('polar stereographic', earth, central_deg, n, n * earth.a_m * ratio);
}

/** Mercator, eq. 7-6 and 7-7: true along the parallel `true_deg`; x counted from `west_deg` eastward, 0 to 360°. */
export function mercator(earth: EarthShape, west_deg: number, true_deg: number): Projection | null {
  if (!(Math.abs(true_deg) < 89)) return null;
  const radius = earth.a_m * mOf(true_deg * RAD_PER_DEG, earth.e);
  return {
    kind: 'Mercator',
    key: `Mercator|${earth.a_m}|${earth.e}|${west_deg}|${true_deg}`,
    forward: ([lon, lat]) => {
      if (!(Math.abs(lat) < 90) || !Number.isFinite(lon)) return null;
      let east = (lon - west_deg) % 360;
      if (east < -1e-6) east += 360;
      return [radius * east * RAD_PER_DEG, -radius * Math.log(tOf(lat * RAD_PER_DEG, earth.e))];
    },
    inverse: (x, y) => [
      wrap180(west_deg + (x / radius) * DEG_PER_RAD),
      phiOf(Math.exp(-y / radius), earth.e) * DEG_PER_RAD,
    ],
    north_rad: () => 0,
  };
}

/** The place where a projection's first point lies, for readers that are told the first point and the spacing. */
export function firstPoint(projection: Projection, first: LonLat): readonly [number, number] | null {
  const xy = projection.forward(first);
  return xy !== null && Number.isFinite(xy[0]) && Number.isFinite(xy[1]) ? xy : null;
}
