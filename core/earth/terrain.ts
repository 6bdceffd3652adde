// The ground: heights m MSL on a regular longitude-latitude grid, read between its nodes bilinearly. Files in other
// projections are brought to this grid by their reader (`formats/raster.ts`); outside the grid, and where it holds NaN,
// there is no terrain.
import { DEG_PER_RAD, RAD_PER_DEG, wrap360 } from '../base/units.ts';
import type { LonLat } from '../base/units.ts';
import { isInside, radii } from './geodesic.ts';

export interface TerrainShape {
  /** Longitude of the first column and latitude of the first row: nodes (cell centres), not cell edges. Degrees. */
  readonly west_deg: number;
  readonly north_deg: number;
  /** Steps between nodes, both positive: columns run east, rows run south. */
  readonly stepLon_deg: number;
  readonly stepLat_deg: number;
  readonly columns: number;
  readonly rows: number;
}

/** Slope of the ground: steepest angle, and the direction in which it falls (water runs), clockwise from true north. */
export interface Slope {
  readonly slope_deg: number;
  readonly downhill_deg: number;
}

export interface Extremes {
  readonly min_m: number;
  readonly max_m: number;
}

/** A billionth of a cell: what rounding may take from a place that lies on a node or on the edge. */
const HAIR = 1e-9;

export class TerrainGrid implements TerrainShape {
  readonly west_deg: number;
  readonly north_deg: number;
  readonly stepLon_deg: number;
  readonly stepLat_deg: number;
  readonly columns: number;
  readonly rows: number;
  /** m MSL, row by row from the north; NaN where unknown. */
  readonly heights_m: Float32Array;
  #extremes: Extremes | null | undefined;

  constructor(shape: TerrainShape, heights_m: Float32Array) {
    this.west_deg = shape.west_deg;
    this.north_deg = shape.north_deg;
    this.stepLon_deg = shape.stepLon_deg;
    this.stepLat_deg = shape.stepLat_deg;
    this.columns = shape.columns;
    this.rows = shape.rows;
    this.heights_m = heights_m;
  }

  /**
   * Height m MSL at a place, bilinear between the four nodes about it; NaN outside the grid or where a node that counts
   * is unknown. Longitudes may be given on either side of 180°.
   */
  heightAt(lon_deg: number, lat_deg: number): number {
    let east = lon_deg - this.west_deg;
    if (east < -1) east += 360;
    else if (east >= 360) east -= 360;
    return bilinear(
      this.heights_m,
      this.columns,
      this.rows,
      east / this.stepLon_deg,
      (this.north_deg - lat_deg) / this.stepLat_deg,
    );
  }

  /** Lowest and highest known height; null where none is known. Looked for once: a descent in each new wind asks. */
  extremes(): Extremes | null {
    if (this.#extremes === undefined) this.#extremes = extremesOf(this.heights_m);
    return this.#extremes;
  }

  /** [west, south, east, north] of the outermost nodes; east may pass 180°. */
  bounds(): readonly [west: number, south: number, east: number, north: number] {
    const east = this.west_deg + (this.columns - 1) * this.stepLon_deg;
    return [this.west_deg, this.north_deg - (this.rows - 1) * this.stepLat_deg, east, this.north_deg];
  }

  /** Metres between nodes at a latitude, east and north. */
  cell_m(lat_deg: number): readonly [east: number, north: number] {
    const { meridian_m, primeVertical_m } = radii(lat_deg);
    return [
      this.stepLon_deg * RAD_PER_DEG * primeVertical_m * Math.cos(lat_deg * RAD_PER_DEG),
      this.stepLat_deg * RAD_PER_DEG * meridian_m,
    ];
  }

  /**
   * Rise per metre to the east and to the north, by central differences over one cell to each side (Zevenbergen and
   * Thorne 1987); null outside, within a cell of the edge, and beside unknown ground.
   */
  gradientAt(lon_deg: number, lat_deg: number): readonly [east: number, north: number] | null {
    const [eastCell_m, northCell_m] = this.cell_m(lat_deg);
    const de = this.heightAt(lon_deg + this.stepLon_deg, lat_deg) - this.heightAt(lon_deg - this.stepLon_deg, lat_deg);
    const dn = this.heightAt(lon_deg, lat_deg + this.stepLat_deg) - this.heightAt(lon_deg, lat_deg - this.stepLat_deg);
    const east = de / (2 * eastCell_m);
    const north = dn / (2 * northCell_m);
    return Number.isFinite(east) && Number.isFinite(north) ? [east, north] : null;
  }

  /** Slope at a place; null as for `gradientAt`. On level ground the downhill direction is 0 and means nothing. */
  slopeAt(lon_deg: number, lat_deg: number): Slope | null {
    const gradient = this.gradientAt(lon_deg, lat_deg);
    if (gradient === null) return null;
    const [east, north] = gradient;
    const steepness = Math.hypot(east, north);
    return {
      slope_deg: Math.atan(steepness) * DEG_PER_RAD,
      downhill_deg: steepness === 0 ? 0 : wrap360(Math.atan2(-east, -north) * DEG_PER_RAD),
    };
  }
}

/**
 * The value at column `x` and row `y` (fractions between nodes) of a grid of at least two columns and rows; NaN
 * outside.
 */
export function bilinear(h: Float32Array, columns: number, rows: number, x: number, y: number): number {
  const lastColumn = columns - 1;
  const lastRow = rows - 1;
  if (!(x >= -HAIR && y >= -HAIR && x <= lastColumn + HAIR && y <= lastRow + HAIR)) return NaN;
  const i = Math.max(0, Math.min(Math.floor(x), lastColumn - 1));
  const j = Math.max(0, Math.min(Math.floor(y), lastRow - 1));
  const fx = snapped(x - i);
  const fy = snapped(y - j);
  const at = j * columns + i;
  // A node of no weight must not count: beside unknown nodes NaN times zero would still be NaN.
  if (fy === 0) return between(h, at, fx);
  if (fy === 1) return between(h, at + columns, fx);
  return between(h, at, fx) * (1 - fy) + between(h, at + columns, fx) * fy;
}

/** A fraction of a cell, whole where it is so but for rounding. */
const snapped = (f: number): number => (f < HAIR ? 0 : f > 1 - HAIR ? 1 : f);

function between(h: Float32Array, at: number, fx: number): number {
  const left = h[at] ?? NaN;
  const right = h[at + 1] ?? NaN;
  return fx === 0 ? left : fx === 1 ? right : left * (1 - fx) + right * fx;
}

/** How steep and how rough the ground within a ring is. */
export interface GroundWithin {
  /** Sampled places with known slope, and those without. */
  readonly count: number;
  readonly unknown: number;
  readonly min_m: number;
  readonly mean_m: number;
  readonly max_m: number;
  readonly slope_deg_mean: number;
  readonly slope_deg_max: number;
  readonly steepest: LonLat;
  /** Part of the known ground that is steeper than the limit, 0 to 1. */
  readonly overLimit: number;
  /** Standard deviation of height about the plane that fits best, metres: what slope alone does not show. */
  readonly roughness_m: number;
}

/**
 * The ground within a ring, sampled at half the grid's step and at 200 places per side at most; null where none of it
 * is known.
 *
 * Error  a zone smaller than a cell is told by the slope across that cell: terrain of 30 or 90 m does not show ditches
 */
export function groundWithin(grid: TerrainGrid, ring: readonly LonLat[], limit_deg: number): GroundWithin | null {
  const first = ring[0];
  if (first === undefined) return null;
  const unrolled = ring.map(([lon, lat]): LonLat => [
    lon - first[0] > 180 ? lon - 360 : lon - first[0] < -180 ? lon + 360 : lon,
    lat,
  ]);
  const lons = unrolled.map(([lon]) => lon);
  const lats = unrolled.map(([, lat]) => lat);
  const [west, east, south, north] = [Math.min(...lons), Math.max(...lons), Math.min(...lats), Math.max(...lats)];
  const across = Math.min(200, Math.max(8, Math.ceil(((east - west) / grid.stepLon_deg) * 2)));
  const down = Math.min(200, Math.max(8, Math.ceil(((north - south) / grid.stepLat_deg) * 2)));
  const samples: Sample[] = [];
  let unknown = 0;
  const [mPerLon, mPerLat] = [grid.cell_m(first[1])[0] / grid.stepLon_deg, grid.cell_m(first[1])[1] / grid.stepLat_deg];
  for (let j = 0; j < down; j++) {
    for (let i = 0; i < across; i++) {
      const place: LonLat = [west + ((i + 0.5) * (east - west)) / across, south + ((j + 0.5) * (north - south)) / down];
      if (!isInside(place, ring)) continue;
      const slope = grid.slopeAt(place[0], place[1]);
      if (slope === null) unknown++;
      else {
        const [x, y] = [(place[0] - west) * mPerLon, (place[1] - south) * mPerLat];
        samples.push({ place, x, y, h: grid.heightAt(place[0], place[1]), slope_deg: slope.slope_deg });
      }
    }
  }
  return samples.length === 0 ? null : summary(samples, unknown, limit_deg);
}

interface Sample {
  readonly place: LonLat;
  readonly x: number;
  readonly y: number;
  readonly h: number;
  readonly slope_deg: number;
}

function summary(samples: readonly Sample[], unknown: number, limit_deg: number): GroundWithin {
  const count = samples.length;
  const mean = (of: (sample: Sample) => number): number => samples.reduce((sum, sample) => sum + of(sample), 0) / count;
  const steepest = samples.reduce((worst, sample) => (sample.slope_deg > worst.slope_deg ? sample : worst));
  return {
    count,
    unknown,
    min_m: samples.reduce((least, { h }) => Math.min(least, h), Infinity),
    mean_m: mean(({ h }) => h),
    max_m: samples.reduce((most, { h }) => Math.max(most, h), -Infinity),
    slope_deg_mean: mean(({ slope_deg }) => slope_deg),
    slope_deg_max: steepest.slope_deg,
    steepest: steepest.place,
    overLimit: samples.filter(({ slope_deg }) => slope_deg > limit_deg).length / count,
    roughness_m: aboutPlane(mean),
  };
}

/** Standard deviation about the least-squares plane; about the mean where the places lie on one line. */
function aboutPlane(mean: (of: (sample: Sample) => number) => number): number {
  const [mx, my, mh] = [mean(({ x }) => x), mean(({ y }) => y), mean(({ h }) => h)];
  const xx = mean(({ x }) => (x - mx) ** 2);
  const xy = mean(({ x, y }) => (x - mx) * (y - my));
  const yy = mean(({ y }) => (y - my) ** 2);
  const xh = mean(({ x, h }) => (x - mx) * (h - mh));
  const yh = mean(({ y, h }) => (y - my) * (h - mh));
  const det = xx * yy - xy * xy;
  const flat = !(det > 1e-12 * xx * yy);
  const a = flat ? 0 : (xh * yy - yh * xy) / det;
  const b = flat ? 0 : (yh * xx - xh * xy) / det;
  return Math.sqrt(
    Math.max(
      0,
      mean(({ x, y, h }) => (h - mh - a * (x - mx) - b * (y - my)) ** 2),
    ),
  );
}

function extremesOf(heights_m: Float32Array): Extremes | null {
  let min_m = Infinity;
  let max_m = -Infinity;
  for (const h of heights_m) {
    if (h < min_m) min_m = h;
    if (h > max_m) max_m = h;
  }
  return min_m <= max_m ? { min_m, max_m } : null;
}

/** Radius of the Earth for lines of sight; the mean radius is near enough: 0.3 % of a drop of 20 m at 16 km. */
const SIGHT_RADIUS_M = 6_371_008.8;

/**
 * Elevation of the skyline seen from a height above a place toward an azimuth, degrees; with the Earth's curve, without
 * refraction. Null where the grid does not know the place. The skyline is looked for to `reach_m` and no farther than
 * the grid.
 */
export function skyline_deg(
  grid: TerrainGrid,
  place: LonLat,
  height_agl_m: number,
  azimuth_deg: number,
  reach_m: number = 30_000,
): number | null {
  const ground = grid.heightAt(place[0], place[1]);
  if (!(ground === ground)) return null;
  const eye = ground + height_agl_m;
  const { meridian_m, primeVertical_m } = radii(place[1]);
  const north = Math.cos(azimuth_deg * RAD_PER_DEG) / (meridian_m * RAD_PER_DEG);
  const east = Math.sin(azimuth_deg * RAD_PER_DEG) / (primeVertical_m * Math.cos(place[1] * RAD_PER_DEG) * RAD_PER_DEG);
  const step = Math.min(...grid.cell_m(place[1])) / 2;
  let steepest = -Math.sqrt((2 * Math.max(0, eye - Math.min(0, ground))) / SIGHT_RADIUS_M);
  for (let s = step; s <= reach_m; s += Math.max(step, s / 200)) {
    const h = grid.heightAt(place[0] + east * s, place[1] + north * s);
    if (h !== h) continue;
    steepest = Math.max(steepest, Math.atan2(h - eye - (s * s) / (2 * SIGHT_RADIUS_M), s));
  }
  return steepest * DEG_PER_RAD;
}
