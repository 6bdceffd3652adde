// Where the points of a gridded forecast lie: from a place to fractional indices and back, and the turn from the grid's
// north to true north. Degrees outside, indices inside: i rises along the grid's x (west to east), j along its y (south
// to north).
import { DEG_PER_RAD, RAD_PER_DEG, wrap180, wrap360, type LonLat } from '../base/units.ts';

/** How the values of a grid follow one another in the file: GRIB2 flag table 3.4, of which netCDF uses a part. */
export interface Scan {
  readonly iNegative: boolean;
  readonly jPositive: boolean;
  /** Points next to each other in the file lie along j. */
  readonly alongJ: boolean;
  /** Every second row runs the other way. */
  readonly alternating: boolean;
}

export interface Mesh {
  /** For sentences: "longitude-latitude", "Lambert" … */
  readonly kind: string;
  /** Equal for grids with the same points, and only for these. */
  readonly key: string;
  readonly ni: number;
  readonly nj: number;
  readonly scan: Scan;
  /** The row's end is next to its start: the grid runs round the globe. */
  readonly wraps: boolean;
  /** The axes in degrees, rising, where rows lie along parallels and columns along meridians; longitudes unwrapped. */
  readonly axes: { readonly lons: readonly number[]; readonly lats: readonly number[] } | null;
  /** Fractional indices of a place; null outside the grid. */
  locate(place: LonLat): readonly [i: number, j: number] | null;
  /** The place of (fractional) indices. */
  place(i: number, j: number): LonLat;
  /** Direction of the grid's j axis, radians clockwise from true north. */
  gridNorth_rad(place: LonLat): number;
}

/** Position in the file of the point (i, j), both whole and inside the grid. */
export function storageIndex(mesh: Mesh, i: number, j: number): number {
  const { ni, nj, scan } = mesh;
  const col = scan.iNegative ? ni - 1 - i : i;
  const row = scan.jPositive ? j : nj - 1 - j;
  const [outer, inner, length] = scan.alongJ ? [col, row, nj] : [row, col, ni];
  return outer * length + (scan.alternating && outer % 2 === 1 ? length - 1 - inner : inner);
}

/** The four points around a place with their bilinear weights, as positions in the file. */
export interface Stencil {
  readonly at: readonly [number, number, number, number];
  readonly weight: readonly [number, number, number, number];
  /** The turn of each of the four points, radians: a wind along the grid there is turned by it. */
  readonly turn_rad: readonly [number, number, number, number];
}

/** The stencil of a place, null outside the grid. A place on a node has one weight of exactly 1. */
export function stencilOf(mesh: Mesh, place: LonLat): Stencil | null {
  const found = mesh.locate(place);
  if (found === null) return null;
  // Within a millionth of a cell of a node the node itself is meant: axes are written to 1e-6 degree, so a place typed
  // as a node would otherwise mix in its neighbours, and a missing neighbour would take the node away.
  const i = snapped(found[0]);
  const j = snapped(found[1]);
  const i0 = mesh.wraps ? Math.floor(i) : Math.min(Math.floor(i), mesh.ni - 2);
  const j0 = Math.min(Math.floor(j), mesh.nj - 2);
  const a = i - i0;
  const b = j - j0;
  const i1 = (i0 + 1) % mesh.ni;
  const west = i0 % mesh.ni;
  const corner = (ci: number, cj: number): number => mesh.gridNorth_rad(mesh.place(ci, cj));
  return {
    at: [
      storageIndex(mesh, west, j0),
      storageIndex(mesh, i1, j0),
      storageIndex(mesh, west, j0 + 1),
      storageIndex(mesh, i1, j0 + 1),
    ],
    weight: [(1 - a) * (1 - b), a * (1 - b), (1 - a) * b, a * b],
    turn_rad: [corner(west, j0), corner(i1, j0), corner(west, j0 + 1), corner(i1, j0 + 1)],
  };
}

function snapped(x: number): number {
  const whole = Math.round(x);
  return Math.abs(x - whole) < 1e-6 ? whole : x;
}

/**
 * A grid of parallels and meridians.
 *
 * lons   at least two, rising and unwrapped (the last below the first + 360, or equal to it in a grid that repeats its
 *        seam)
 * lats   at least two, rising, within ±90
 */
export function latLonMesh(kind: string, lons: readonly number[], lats: readonly number[], scan: Scan): Mesh {
  const ni = lons.length;
  const nj = lats.length;
  const west = lons[0] ?? 0;
  const east = lons[ni - 1] ?? 0;
  const step = (east - west) / (ni - 1);
  const wraps = Math.abs(east + step - west - 360) < 0.01 * step;
  // A hundredth of a cell beyond the rim is still the rim: written axes are rounded, some to a thousandth of a degree.
  const slack = 0.01 * step;
  return {
    kind,
    key: `${kind}|${ni}|${nj}|${west}|${east}|${lats[0]}|${lats[nj - 1]}|${scanKey(scan)}`,
    ni,
    nj,
    scan,
    wraps,
    axes: { lons, lats },
    locate: ([lon, lat]) => {
      const j = onAxis(lats, lat);
      if (!Number.isFinite(lon) || j === null) return null;
      let turned = west + wrap360(lon - west);
      if (turned > west + 360 - slack) turned -= 360;
      if (wraps && turned > east) return [ni - 1 + (turned - east) / (west + 360 - east), j];
      const i = onAxis(lons, turned);
      return i === null ? null : [i, j];
    },
    place: (i, j) => [
      wrap180(wraps && i > ni - 1 ? east + (i - ni + 1) * (west + 360 - east) : valueOn(lons, i)),
      valueOn(lats, j),
    ],
    gridNorth_rad: () => 0,
  };
}

/** Fractional index of a value on a rising axis; null more than a hundredth of a cell outside. */
function onAxis(axis: readonly number[], x: number): number | null {
  const n = axis.length;
  const first = axis[0] ?? NaN;
  const last = axis[n - 1] ?? NaN;
  const slack = (0.01 * (last - first)) / (n - 1);
  if (!(x >= first - slack && x <= last + slack)) return null;
  let low = 0;
  let high = n - 1;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if ((axis[middle] ?? 0) <= x) low = middle;
    else high = middle;
  }
  const a = axis[low] ?? 0;
  const b = axis[high] ?? 1;
  return low + Math.min(Math.max((x - a) / (b - a), 0), 1);
}

function valueOn(axis: readonly number[], at: number): number {
  const low = Math.min(Math.max(Math.floor(at), 0), axis.length - 2);
  const a = axis[low] ?? 0;
  const b = axis[low + 1] ?? a;
  return a + (at - low) * (b - a);
}

const scanKey = (scan: Scan): string =>
  [scan.iNegative, scan.jPositive, scan.alongJ, scan.alternating].map(Number).join('');

/**
 * A longitude-latitude grid on a turned sphere: the southern pole of the turned system stands at `pole`. Source:
 * WMO-No. 306 Manual on Codes, vol. I.2, GRIB2 grid definition template 3.1.
 */
export function rotatedMesh(inner: Mesh, pole: LonLat): Mesh {
  const poleLat = pole[1] * RAD_PER_DEG;
  const poleLon = pole[0] * RAD_PER_DEG;
  // The turned north pole is the antipode of the turned south pole.
  const north = [
    -Math.cos(poleLat) * Math.cos(poleLon),
    -Math.cos(poleLat) * Math.sin(poleLon),
    -Math.sin(poleLat),
  ] as const;
  const tilt = Math.PI / 2 + poleLat;
  const toTurned = ([lon, lat]: LonLat): LonLat => {
    const [x, y, z] = unitVector(lon - pole[0], lat);
    const tx = Math.cos(tilt) * x + Math.sin(tilt) * z;
    const tz = -Math.sin(tilt) * x + Math.cos(tilt) * z;
    return [Math.atan2(y, tx) * DEG_PER_RAD, Math.asin(Math.min(Math.max(tz, -1), 1)) * DEG_PER_RAD];
  };
  const fromTurned = ([lon, lat]: LonLat): LonLat => {
    const [tx, y, tz] = unitVector(lon, lat);
    const x = Math.cos(tilt) * tx - Math.sin(tilt) * tz;
    const z = Math.sin(tilt) * tx + Math.cos(tilt) * tz;
    return [wrap180(Math.atan2(y, x) * DEG_PER_RAD + pole[0]), Math.asin(Math.min(Math.max(z, -1), 1)) * DEG_PER_RAD];
  };
  return {
    ...inner,
    kind: 'rotated longitude-latitude',
    key: `${inner.key}|rotated|${pole[0]}|${pole[1]}`,
    axes: null,
    locate: (place) => inner.locate(toTurned(place)),
    place: (i, j) => fromTurned(inner.place(i, j)),
    gridNorth_rad: ([lon, lat]) => {
      const a = lon * RAD_PER_DEG;
      const b = lat * RAD_PER_DEG;
      const east = -north[0] * Math.sin(a) + north[1] * Math.cos(a);
      const up = -north[0] * Math.sin(b) * Math.cos(a) - north[1] * Math.sin(b) * Math.sin(a) + north[2] * Math.cos(b);
      return Math.atan2(east, up);
    },
  };
}

function unitVector(lon_deg: number, lat_deg: number): [number, number, number] {
  const lon = lon_deg * RAD_PER_DEG;
  const lat = lat_deg * RAD_PER_DEG;
  return [Math.cos(lat) * Math.cos(lon), Math.cos(lat) * Math.sin(lon), Math.sin(lat)];
}

/** A projected grid: evenly spaced x and y, metres. */
export interface Projection {
  readonly kind: string;
  readonly key: string;
  forward(place: LonLat): readonly [x_m: number, y_m: number] | null;
  inverse(x_m: number, y_m: number): LonLat;
  /** Direction of the y axis, radians clockwise from true north. */
  north_rad(place: LonLat): number;
}

/** `x0`, `y0`: of the point (0, 0); `dx`, `dy`: spacing, m, both above 0. */
export function projectedMesh(
  projection: Projection,
  [ni, nj]: readonly [ni: number, nj: number],
  origin: readonly [x0: number, y0: number],
  step: readonly [dx: number, dy: number],
  scan: Scan,
): Mesh {
  const inside = (x: number, n: number): boolean => x >= -0.01 && x <= n - 1 + 0.01;
  const clamped = (x: number, n: number): number => Math.min(Math.max(x, 0), n - 1);
  return {
    kind: projection.kind,
    key: `${projection.key}|${ni}|${nj}|${origin.join('|')}|${step.join('|')}|${scanKey(scan)}`,
    ni,
    nj,
    scan,
    wraps: false,
    axes: null,
    locate: (place) => {
      const xy = projection.forward(place);
      if (xy === null) return null;
      const i = (xy[0] - origin[0]) / step[0];
      const j = (xy[1] - origin[1]) / step[1];
      return inside(i, ni) && inside(j, nj) ? [clamped(i, ni), clamped(j, nj)] : null;
    },
    place: (i, j) => projection.inverse(origin[0] + i * step[0], origin[1] + j * step[1]),
    gridNorth_rad: (place) => projection.north_rad(place),
  };
}
