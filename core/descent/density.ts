// Highest-density regions of a sample of landings: the smallest regions that hold a share of it. The density is a
// Gaussian kernel's, computed on a grid; metres in the tangent frame of the mean. Source: D. W. Scott, Multivariate
// Density Estimation (1992), §6.3 for the bandwidth; R. J. Hyndman, The American Statistician 50 (1996), 120–126, for
// the level as a quantile of the density at the sample itself.
import { nth } from '../base/nth.ts';
import { localFrame, type LocalFrame } from '../earth/geodesic.ts';
import { isolines } from '../base/isolines.ts';
import { scratch } from '../base/scratch.ts';
import type { LonLat } from '../base/units.ts';
import type { Members } from './ensemble.ts';
import { landingsIn } from './statistics.ts';

export interface Contour {
  /** The share of the landings inside, per cent. */
  readonly percent: number;
  /** Outlines and holes alike; what lies inside an odd number of them is in. */
  readonly rings: readonly (readonly LonLat[])[];
}

/**
 * Nodes to a bandwidth: straight lines between them miss the density by less than 1 % of its middle (1/8 of a node
 * squared).
 */
const FINE = 4;
/**
 * The kernel is cut where it is 1 % of its middle, and the grid ends there: no contour of interest is cut by the edge.
 */
const CUT = 3.04;
/** Across the longer side: only a sample that is spread over islands far apart, or nearly a line, has wider steps. */
const NODES_MAX = 400;

/** Of one picture of contours; nothing of it is left in the answer. */
const memory = { places: scratch(), found: scratch(), binned: scratch(), east: scratch(), north: scratch() };

/** Landings binned and smoothed. Rows run south to north, columns west to east. */
interface Density {
  readonly values: Float64Array;
  readonly columns: number;
  readonly rows: number;
  readonly west_m: number;
  readonly south_m: number;
  readonly step_m: number;
}

/**
 * shares  of the sample, 0 to 1, each
 * Error   of a normal sample of 10 000 the 50 % and 90 % regions have the area of the ellipse within 10 %
 *         (`tests/descent/density.test.ts`);
 *         the kernel widens each axis by a factor √(1 + n^(−1/3)), 2 % at 10 000
 * Returns an empty list where fewer than 20 members landed or all landed in one place: then there is nothing to draw
 */
export function contoursOf(members: Members, shares: readonly number[]): Contour[] {
  const frame = frameOf(members);
  if (frame === null) return [];
  const places = landingsIn(frame, members, memory.places(2 * members.count));
  if (places.length < 40) return [];
  const density = densityOf(places);
  if (density === null) return [];
  const found = memory.found(places.length / 2);
  for (let i = 0; i < found.length; i++) found[i] = at(density, nth(places, 2 * i), nth(places, 2 * i + 1));
  found.sort();
  return shares.map((share) => {
    const x = (1 - share) * (found.length - 1);
    const i = Math.floor(x);
    const low = nth(found, i);
    const level = low + (x - i) * ((found[i + 1] ?? low) - low);
    return { percent: Math.round(share * 1000) / 10, rings: ringsAt(density, level, frame) };
  });
}

function frameOf(members: Members): LocalFrame | null {
  let n = 0;
  let lon = 0;
  let lat = 0;
  const first = members.lon_deg.find((x) => x === x);
  if (first === undefined) return null;
  for (let i = 0; i < members.count; i++) {
    const x = nth(members.lon_deg, i);
    if (x !== x) continue;
    n += 1;
    // Across the date line degrees jump: differences from the first are taken the short way round.
    lon += x - first - 360 * Math.round((x - first) / 360);
    lat += nth(members.lat_deg, i);
  }
  return localFrame([first + lon / n, lat / n]);
}

function densityOf(places: Float64Array): Density | null {
  const n = places.length / 2;
  const [east, north] = [spanOf(places, 0), spanOf(places, 1)];
  // Scott's rule for two dimensions: h = σ n^(−1/6), each axis by its own σ. A bare metre keeps a line of landings a
  // region.
  const bandwidth = n ** (-1 / 6);
  const [hE, hN] = [Math.max(east.std * bandwidth, 1), Math.max(north.std * bandwidth, 1)];
  const west_m = east.min - CUT * hE;
  const south_m = north.min - CUT * hN;
  const width = east.max + CUT * hE - west_m;
  const height = north.max + CUT * hN - south_m;
  const step_m = Math.max(Math.min(hE, hN) / FINE, Math.max(width, height) / NODES_MAX);
  if (!(step_m > 0) || !Number.isFinite(step_m)) return null;
  const columns = Math.ceil(width / step_m) + 2;
  const rows = Math.ceil(height / step_m) + 2;
  const values = memory.binned(columns * rows);
  for (let i = 0; i < places.length; i += 2) {
    // Each landing is shared among the four nodes about it.
    const x = (nth(places, i) - west_m) / step_m;
    const y = (nth(places, i + 1) - south_m) / step_m;
    const k = Math.floor(y) * columns + Math.floor(x);
    const [fx, fy] = [x - Math.floor(x), y - Math.floor(y)];
    values[k] = nth(values, k) + (1 - fx) * (1 - fy);
    values[k + 1] = nth(values, k + 1) + fx * (1 - fy);
    values[k + columns] = nth(values, k + columns) + (1 - fx) * fy;
    values[k + columns + 1] = nth(values, k + columns + 1) + fx * fy;
  }
  const along = smoothedEast(values, columns, kernelOf(hE / step_m));
  return { values: smoothedNorth(along, columns, kernelOf(hN / step_m)), columns, rows, west_m, south_m, step_m };
}

function spanOf(places: Float64Array, axis: 0 | 1): { min: number; max: number; std: number } {
  const n = places.length / 2;
  let [min, max, mean] = [Infinity, -Infinity, 0];
  for (let i = axis; i < places.length; i += 2) {
    const x = nth(places, i);
    min = Math.min(min, x);
    max = Math.max(max, x);
    mean += x / n;
  }
  let square = 0;
  for (let i = axis; i < places.length; i += 2) square += (nth(places, i) - mean) ** 2;
  return { min, max, std: Math.sqrt(square / Math.max(n - 1, 1)) };
}

/** One half of a Gaussian, from its middle outward; `sigma` in nodes. */
const kernelOf = (sigma: number): Float64Array =>
  Float64Array.from({ length: Math.max(1, Math.ceil(CUT * sigma)) }, (_, i) => Math.exp(-0.5 * (i / sigma) ** 2));

/** The grid smoothed along its rows. Most nodes carry no landing, and those spread nothing. */
function smoothedEast(values: Float64Array, columns: number, kernel: Float64Array): Float64Array {
  const out = memory.east(values.length);
  for (let k = 0; k < values.length; k++) {
    const value = nth(values, k);
    if (value === 0) continue;
    const column = k % columns;
    const from = Math.max(1 - kernel.length, -column);
    const to = Math.min(kernel.length - 1, columns - 1 - column);
    for (let d = from; d <= to; d++) out[k + d] = nth(out, k + d) + value * nth(kernel, Math.abs(d));
  }
  return out;
}

/** The grid smoothed along its columns: whole rows are added, so that memory is walked in order. */
function smoothedNorth(values: Float64Array, columns: number, kernel: Float64Array): Float64Array {
  const out = memory.north(values.length);
  const rows = { out, values, columns };
  for (let row = 0; row < values.length; row += columns) {
    for (let d = 1 - kernel.length; d < kernel.length; d++) {
      const from = row + d * columns;
      if (from < 0 || from >= values.length) continue;
      addRow(rows, row, from, nth(kernel, Math.abs(d)));
    }
  }
  return out;
}

interface Rows {
  readonly out: Float64Array;
  readonly values: Float64Array;
  readonly columns: number;
}

/** A function of its own: as the innermost of three loops it was recompiled for every picture. */
function addRow({ out, values, columns }: Rows, row: number, from: number, weight: number): void {
  for (let i = 0; i < columns; i++) out[row + i] = nth(out, row + i) + weight * nth(values, from + i);
}

function at({ values, columns, west_m, south_m, step_m }: Density, east_m: number, north_m: number): number {
  const x = (east_m - west_m) / step_m;
  const y = (north_m - south_m) / step_m;
  const k = Math.floor(y) * columns + Math.floor(x);
  const [fx, fy] = [x - Math.floor(x), y - Math.floor(y)];
  const south = (1 - fx) * nth(values, k) + fx * nth(values, k + 1);
  const north = (1 - fx) * nth(values, k + columns) + fx * nth(values, k + columns + 1);
  return (1 - fy) * south + fy * north;
}

function ringsAt(
  { values, columns, rows, west_m, south_m, step_m }: Density,
  level: number,
  frame: LocalFrame,
): LonLat[][] {
  const whole = { column0: 0, column1: columns - 1, row0: 0, row1: rows - 1 };
  return isolines(values, columns, whole, level)
    .filter((line) => line.closed && line.points.length >= 6)
    .map(({ points }) =>
      Array.from({ length: points.length / 2 }, (_, i) =>
        frame.toLonLat(west_m + step_m * nth(points, 2 * i), south_m + step_m * nth(points, 2 * i + 1)),
      ),
    );
}
