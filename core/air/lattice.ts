// Which points of a gridded forecast are kept for the field around a place: a longitude-latitude lattice, rows and
// columns rising.
import { DEG_PER_RAD, RAD_PER_DEG, wrap180, type LonLat } from '../base/units.ts';
import type { Mesh } from './mesh.ts';

export interface Lattice {
  readonly lats: readonly number[];
  readonly lons: readonly number[];
  /** Row by row from the south, each from the west. */
  readonly places: readonly LonLat[];
  /** What the reader should know of it; null where nothing was thinned, cut or resampled. */
  readonly note: string | null;
  /** The largest lattice around the place all of whose nodes are `whole`; null without one. */
  within(whole: readonly boolean[]): { lats: readonly number[]; lons: readonly number[]; at: readonly number[] } | null;
}

/**
 * Half the width of the part that is kept, degrees of a great circle: 440 km, more than any descent and most balloon
 * flights drift.
 */
const REACH_DEG = 4;
/** At least so many rows and columns, where the grid has them. */
const LEAST = 4;
/** At most so many points: a field of 30 levels then takes some megabytes a time. */
const MOST_POINTS = 1700;
/** Up to so many points a grid is kept whole where no place was asked for. */
const WHOLE_POINTS = 5000;

/**
 * The lattice around `place`, which lies on the mesh. `asked`: the place was asked for; otherwise small grids are kept
 * whole.
 */
export function latticeAround(mesh: Mesh, place: LonLat, asked: boolean): Lattice {
  if (mesh.axes === null) return resampled(mesh, place);
  const { lons, lats } = mesh.axes;
  if (!asked && lons.length * lats.length <= WHOLE_POINTS) {
    // The seam of a grid that runs round the globe is closed by its first column again.
    const closed = mesh.wraps ? [...lons, (lons[0] ?? 0) + 360] : lons;
    return latticeOf(lats, closed, place, null);
  }
  const rows = aroundRows(lats, place[1]);
  const columns = aroundColumns(mesh, lons, place);
  const stride = Math.ceil(Math.sqrt((rows.length * columns.length) / MOST_POINTS));
  const thin = (axis: readonly number[], at: number): number[] => thinned(axis, at, stride);
  const note = [
    asked
      ? ''
      : `the grid of ${mesh.ni} by ${mesh.nj} points was cut to its middle; give a place to have the part around it`,
    stride > 1 ? `of the points around the place every ${stride}th row and column was kept` : '',
  ].filter((text) => text !== '');
  const centre = columns.reduce(
    (best, lon) => (Math.abs(wrap180(lon - place[0])) < Math.abs(wrap180(best - place[0])) ? lon : best),
    columns[0] ?? 0,
  );
  return latticeOf(thin(rows, place[1]), thin(columns, centre), place, note.length === 0 ? null : note.join('; '));
}

/** The rows within reach and one beyond on either side. */
function aroundRows(lats: readonly number[], lat: number): number[] {
  return widened(lats, lat - REACH_DEG, lat + REACH_DEG);
}

function widened(axis: readonly number[], low: number, high: number): number[] {
  let first = axis.findIndex((x) => x >= low);
  if (first === -1) first = axis.length - 1;
  let last = axis.findLastIndex((x) => x <= high);
  if (last === -1) last = 0;
  if (first > 0) first -= 1;
  if (last < axis.length - 1) last += 1;
  while (last - first + 1 < Math.min(LEAST, axis.length)) {
    if (first > 0) first -= 1;
    if (last - first + 1 < LEAST && last < axis.length - 1) last += 1;
  }
  return axis.slice(first, last + 1);
}

/**
 * The columns within reach, longitudes unwrapped around the place's own. Meridians converge: near a pole that is more
 * of them.
 */
function aroundColumns(mesh: Mesh, lons: readonly number[], [lon, lat]: LonLat): number[] {
  const half = Math.min(REACH_DEG / Math.max(Math.cos(lat * RAD_PER_DEG), 1e-3), 180);
  if (!mesh.wraps) {
    const west = lons[0] ?? 0;
    let near = west + ((((lon - west) % 360) + 360) % 360);
    if (near > west + 360 - 1e-6) near -= 360;
    return widened(lons, near - half, near + half);
  }
  const n = lons.length;
  if (half >= 170) return [...lons, (lons[0] ?? 0) + 360];
  const turns = Math.floor((lon - half - (lons[0] ?? 0)) / 360);
  const unrolled = Array.from({ length: 3 * n }, (_, k) => (lons[k % n] ?? 0) + 360 * (turns + Math.floor(k / n)));
  return widened(unrolled, lon - half, lon + half);
}

/**
 * Every `stride`-th of an axis, such that the points around `at` stay: the cell of the place is not widened more than
 * it must.
 */
function thinned(axis: readonly number[], at: number, stride: number): number[] {
  if (stride <= 1) return [...axis];
  const nearest = axis.reduce(
    (best, x, k) => (Math.abs(x - at) < Math.abs((axis[best] ?? Infinity) - at) ? k : best),
    0,
  );
  return axis.filter((_, k) => (k - nearest) % stride === 0);
}

/**
 * On a map of another kind: a lattice at the grid's own spacing with the place itself as a node, as far as the grid
 * goes.
 */
function resampled(mesh: Mesh, place: LonLat): Lattice {
  const spacing_deg = spacingAt(mesh, place);
  const perSide = Math.floor((Math.sqrt(MOST_POINTS) - 1) / 2);
  const step = Math.max(spacing_deg, REACH_DEG / perSide);
  const steps = Math.max(Math.ceil(REACH_DEG / step), 2);
  const eastStep = step / Math.max(Math.cos(place[1] * RAD_PER_DEG), 0.05);
  const around = (at: number, by: number, low: number, high: number): number[] =>
    Array.from({ length: 2 * steps + 1 }, (_, k) => at + (k - steps) * by).filter((x) => x >= low && x <= high);
  const lats = around(place[1], step, -90, 90);
  const lons = around(place[0], Math.min(eastStep, 180 / (steps + 1)), -Infinity, Infinity);
  const note =
    `the ${mesh.kind} grid was interpolated to longitudes and latitudes ${step.toFixed(2)}° apart around the ` +
    'place';
  const all = latticeOf(lats, lons, place, note);
  const part = all.within(all.places.map((node) => mesh.locate(node) !== null));
  return part === null ? latticeOf([place[1]], [place[0]], place, note) : latticeOf(part.lats, part.lons, place, note);
}

/** The spacing of the mesh at a place, degrees of latitude: the mean of its two axes. */
function spacingAt(mesh: Mesh, place: LonLat): number {
  const [i, j] = mesh.locate(place) ?? [0, 0];
  const here = mesh.place(i, j);
  const away = (di: number, dj: number): number => {
    const there = mesh.place(i + di, j + dj);
    return Math.hypot(there[1] - here[1], wrap180(there[0] - here[0]) * Math.cos(here[1] * RAD_PER_DEG));
  };
  const di = i + 1 <= mesh.ni - 1 ? 1 : -1;
  const dj = j + 1 <= mesh.nj - 1 ? 1 : -1;
  const mean = (away(di, 0) + away(0, dj)) / 2;
  return mean > 1e-4 && mean < 20 ? mean : 2 * Math.asin(0.01) * DEG_PER_RAD;
}

function latticeOf(lats: readonly number[], lons: readonly number[], place: LonLat, note: string | null): Lattice {
  const places = lats.flatMap((lat) => lons.map((lon) => [lon, lat] as const));
  return { lats, lons, places, note, within: (whole) => wholePart(lats, lons, place, whole) };
}

/**
 * Takes away, one after another, the border row or column with the most nodes that are not whole, until none is left.
 */
function wholePart(
  lats: readonly number[],
  lons: readonly number[],
  place: LonLat,
  whole: readonly boolean[],
): ReturnType<Lattice['within']> {
  let [south, north, west, east] = [0, lats.length - 1, 0, lons.length - 1];
  const holes = (j0: number, j1: number, i0: number, i1: number): number => {
    let count = 0;
    for (let j = j0; j <= j1; j++) for (let i = i0; i <= i1; i++) if (whole[j * lons.length + i] !== true) count += 1;
    return count;
  };
  while (south <= north && west <= east && holes(south, north, west, east) > 0) {
    const share = [
      holes(south, south, west, east) / (east - west + 1),
      holes(north, north, west, east) / (east - west + 1),
      holes(south, north, west, west) / (north - south + 1),
      holes(south, north, east, east) / (north - south + 1),
    ];
    const worst = Math.max(...share);
    const away = [
      place[1] - (lats[south] ?? 0),
      (lats[north] ?? 0) - place[1],
      Math.abs(wrap180(place[0] - (lons[west] ?? 0))),
      Math.abs(wrap180((lons[east] ?? 0) - place[0])),
    ];
    // With holes inside and none on the border, the side farthest from the place gives way.
    const side = worst > 0 ? share.indexOf(worst) : away.indexOf(Math.max(...away));
    if (side === 0) south += 1;
    else if (side === 1) north -= 1;
    else if (side === 2) west += 1;
    else east -= 1;
  }
  if (south > north || west > east) return null;
  const at: number[] = [];
  for (let j = south; j <= north; j++) for (let i = west; i <= east; i++) at.push(j * lons.length + i);
  return { lats: lats.slice(south, north + 1), lons: lons.slice(west, east + 1), at };
}
