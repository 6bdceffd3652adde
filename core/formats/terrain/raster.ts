// Heights as a terrain file has them, in the file's own coordinates, and their way to the program's grid of longitude
// and latitude. Datums within some metres of WGS 84 (ETRS89, NAD83, GDA, SIRGAS…) are taken as WGS 84: terrain cells
// are tens of metres.
import { number, quantity, angle } from '../../words/numbers.ts';
import { WGS84_A } from '../../earth/gravity.ts';
import { bilinear, TerrainGrid } from '../../earth/terrain.ts';
import type { TerrainShape } from '../../earth/terrain.ts';
import { inverseTransverseMercator, toUtm, transverseMercator, utmZone } from '../../earth/utm.ts';
import type { Problem, Read } from '../../base/problem.ts';
import { DEG_PER_RAD, RAD_PER_DEG, wrap180 } from '../../base/units.ts';
import type { LonLat } from '../../base/units.ts';

export interface TransverseMercator {
  readonly kind: 'transverse Mercator';
  readonly lon0_deg: number;
  readonly lat0_deg: number;
  readonly scale: number;
  readonly falseEasting_m: number;
  readonly falseNorthing_m: number;
}

export type Crs =
  | { readonly kind: 'geographic' }
  | TransverseMercator
  | { readonly kind: 'web Mercator' }
  /** The file does not say; `unknown` becomes one of the others, with a sentence, or the file is refused. */
  | { readonly kind: 'unknown' };

export interface Raster {
  readonly columns: number;
  readonly rows: number;
  /** m MSL, first row first; NaN where unknown. */
  readonly heights_m: Float32Array;
  /**
   * Centre of the first cell, and steps along a row and down a column, in the file's coordinates (degrees or metres).
   */
  readonly x0: number;
  readonly y0: number;
  readonly stepX: number;
  readonly stepY: number;
  readonly crs: Crs;
}

/** Cells that are read of one file: 25 million, 100 MB of heights. A tile of 1° at 30 m has 13 million. */
export const CELLS_MAX = 25_000_000;

export const utmCrs = (zone: number, south: boolean): TransverseMercator => ({
  kind: 'transverse Mercator',
  lon0_deg: zone * 6 - 183,
  lat0_deg: 0,
  scale: 0.9996,
  falseEasting_m: 500_000,
  falseNorthing_m: south ? 10_000_000 : 0,
});

/**
 * The grid of a raster: as it is where it already runs in longitude and latitude, re-gridded otherwise.
 *
 * near   a place that the terrain should hold (the mission's site): decides what a file without a coordinate system
 *        means
 * Error  of re-gridding: the new nodes lie at a quarter of the old step (half of it above 0.5 million cells, the whole
 *        above 2 million)
 *        and take the old grid's bilinear heights. Between them a crease of the old grid is cut: by at most a sixteenth
 *        (an eighth,
 *        a quarter) of the second difference of neighbouring heights in each direction
 *        (`tests/published/terrain.test.ts`)
 */
export function toTerrainGrid(raster: Raster, near: LonLat | null): Read<TerrainGrid | null> {
  const problems: Problem[] = [];
  const crs = raster.crs.kind === 'unknown' ? guessCrs(raster, near, problems) : raster.crs;
  if (crs === null) return { value: null, problems };
  const sane = withoutNonsense(upright(raster), problems);
  if (sane === null) return { value: null, problems };
  if (crs.kind === 'geographic') {
    const why = outsideEarth(sane);
    if (why !== null) return { value: null, problems: [...problems, { line: 0, text: why }] };
    const shape = { west_deg: wrap180(sane.x0), north_deg: sane.y0, stepLon_deg: sane.stepX, stepLat_deg: -sane.stepY };
    return { value: new TerrainGrid({ ...shape, columns: sane.columns, rows: sane.rows }, sane.heights_m), problems };
  }
  const grid = regrid(sane, crs);
  if (grid === null)
    problems.push({
      line: 0,
      text: 'corners that lie on no place of the Earth in this projection; expected a smaller region',
    });
  return { value: grid, problems };
}

/** Column and row of a place, fractions kept; null where the coordinate system is not named. */
export function placeIn(
  raster: Pick<Raster, 'x0' | 'y0' | 'stepX' | 'stepY' | 'crs'>,
  place: LonLat,
): readonly [i: number, j: number] | null {
  const { crs, x0, y0, stepX, stepY } = raster;
  if (crs.kind === 'unknown') return null;
  const [x, y] =
    crs.kind === 'geographic' ? [x0 + wrap180(place[0] - x0 - 180) + 180, place[1]] : project(crs)(place[0], place[1]);
  return [(x - x0) / stepX, (y - y0) / stepY];
}

function outsideEarth(raster: Raster): string | null {
  const south = raster.y0 + (raster.rows - 1) * raster.stepY;
  if (!(raster.y0 <= 90.01 && south >= -90.01))
    return `latitudes ${number(south, 3)} to ${number(raster.y0, 3)}; expected -90 to 90`;
  const wide = raster.columns * raster.stepX;
  if (!(wide <= 360.01 && Math.abs(raster.x0) <= 540))
    return `longitudes from ${number(raster.x0, 3)}, ${angle(wide, 1)} wide; expected at most 360°`;
  return null;
}

/** Rows from north to south and columns from west to east, whichever way the file ran. */
function upright(raster: Raster): Raster {
  const { columns, rows, heights_m, stepX, stepY } = raster;
  if (stepX > 0 && stepY < 0) return raster;
  const turned = new Float32Array(heights_m.length);
  for (let j = 0; j < rows; j++) {
    const from = stepY > 0 ? rows - 1 - j : j;
    for (let i = 0; i < columns; i++)
      turned[j * columns + i] = heights_m[from * columns + (stepX < 0 ? columns - 1 - i : i)] ?? NaN;
  }
  return {
    ...raster,
    heights_m: turned,
    x0: stepX < 0 ? raster.x0 + (columns - 1) * stepX : raster.x0,
    y0: stepY > 0 ? raster.y0 + (rows - 1) * stepY : raster.y0,
    stepX: Math.abs(stepX),
    stepY: -Math.abs(stepY),
  };
}

/**
 * No land lies higher than 8849 m or, uncovered by water, lower than −440 m; a margin for survey and sea floor's edge.
 */
const HIGHEST_M = 9000;
const LOWEST_M = -600;

/** Takes out cells that cannot be land, and refuses or doubts files whose unit can hardly be the metre. */
function withoutNonsense(raster: Raster, problems: Problem[]): Raster | null {
  const { heights_m } = raster;
  let known = 0;
  let above = 0;
  let below = 0;
  let max = -Infinity;
  let min = Infinity;
  for (const h of heights_m) {
    if (!(h === h)) continue;
    known++;
    if (h > HIGHEST_M) above++;
    if (h < LOWEST_M) below++;
    if (h > max) max = h;
    if (h < min) min = h;
  }
  if (known === 0) {
    problems.push({ line: 0, text: 'no known height in the whole file; expected at least one' });
    return null;
  }
  if (above > known / 50) {
    const cm = `${number(min / 100)} to ${quantity(max / 100, 'm')}`;
    problems.push({
      line: 0,
      text:
        `heights ${number(min)} to ${quantity(max, 'm')}; no land is above 8849 m. The unit may be ` +
        `centimetres (${cm}): ` +
        'the file must say its unit or be turned into metres',
    });
    return null;
  }
  if (above + below > 0) {
    for (let k = 0; k < heights_m.length; k++) {
      const h = heights_m[k] ?? NaN;
      if (h > HIGHEST_M || h < LOWEST_M) heights_m[k] = NaN;
    }
    const worst = above > 0 ? max : min;
    problems.push({
      line: 0,
      text: `${above + below} cells such as ${quantity(worst, 'm')}, which no land has; taken as unknown`,
    });
  }
  const steep = medianSlope(raster);
  if (steep > 40) {
    problems.push({
      line: 0,
      text:
        `half of the ground is steeper than ${angle(steep, 0)}; hardly any land is. ` +
        'The unit may be centimetres or feet: compare a known height',
    });
  }
  return raster;
}

/** Median slope between neighbours along rows, degrees, of a sample of cells; 0 where the step's unit is unknown. */
function medianSlope(raster: Raster): number {
  const perUnit = raster.crs.kind === 'geographic' ? (Math.PI / 180) * WGS84_A * Math.cos(raster.y0 * RAD_PER_DEG) : 1;
  const run = raster.stepX * perUnit;
  if (raster.crs.kind === 'unknown' || !(run > 0)) return 0;
  const rises: number[] = [];
  const stride = Math.max(1, Math.floor(raster.heights_m.length / 20_000));
  for (let k = 0; k + 1 < raster.heights_m.length; k += stride) {
    const rise = Math.abs((raster.heights_m[k + 1] ?? NaN) - (raster.heights_m[k] ?? NaN));
    if (rise === rise && (k + 1) % raster.columns !== 0) rises.push(rise);
  }
  rises.sort((a, b) => a - b);
  return Math.atan((rises[rises.length >> 1] ?? 0) / run) * DEG_PER_RAD;
}

/**
 * What coordinates without a named system can be: degrees where they fit, else the UTM zone in which they hold the
 * site.
 */
function guessCrs(raster: Raster, near: LonLat | null, problems: Problem[]): Exclude<Crs, { kind: 'unknown' }> | null {
  const x1 = raster.x0 + (raster.columns - 1) * raster.stepX;
  const y1 = raster.y0 + (raster.rows - 1) * raster.stepY;
  const degrees =
    Math.max(Math.abs(raster.x0), Math.abs(x1)) <= 360 && Math.max(Math.abs(raster.y0), Math.abs(y1)) <= 90;
  if (degrees && Math.abs(raster.stepX) < 1) {
    problems.push({ line: 0, text: 'no coordinate system named; read as longitude and latitude on WGS 84' });
    return { kind: 'geographic' };
  }
  const utm = near === null ? null : toUtm(near);
  if (near !== null && utm !== null) {
    const inX = (utm.easting_m - raster.x0) * (utm.easting_m - x1) <= 0;
    const inY = (utm.northing_m - raster.y0) * (utm.northing_m - y1) <= 0;
    if (inX && inY) {
      problems.push({
        line: 0,
        text: `no coordinate system named; read as UTM zone ${utm.zone} ${utm.hemisphere}, where it holds the site`,
      });
      return utmCrs(utmZone(near), utm.hemisphere === 'south');
    }
  }
  problems.push({
    line: 0,
    text:
      `no coordinate system named, and ${number(raster.x0)}, ${number(raster.y0)} is neither longitude and latitude ` +
      "nor in the site's UTM zone; expected a GeoTIFF that names its system",
  });
  return null;
}

type Projected = Exclude<Crs, { kind: 'unknown' } | { kind: 'geographic' }>;

function project(crs: Projected): (lon_deg: number, lat_deg: number) => [x: number, y: number] {
  if (crs.kind === 'web Mercator') {
    return (lon, lat) => [WGS84_A * lon * RAD_PER_DEG, WGS84_A * Math.asinh(Math.tan(lat * RAD_PER_DEG))];
  }
  const [, yOrigin] = transverseMercator(0, crs.lat0_deg * RAD_PER_DEG);
  return (lon, lat) => {
    const [x, y] = transverseMercator(wrap180(lon - crs.lon0_deg) * RAD_PER_DEG, lat * RAD_PER_DEG);
    return [crs.falseEasting_m + crs.scale * x, crs.falseNorthing_m + crs.scale * (y - yOrigin)];
  };
}

/** The inverse; longitudes as they come, so that a region across 180° stays in one piece. */
function unproject(crs: Projected): (x: number, y: number) => LonLat {
  if (crs.kind === 'web Mercator') {
    return (x, y) => [(x / WGS84_A) * DEG_PER_RAD, Math.atan(Math.sinh(y / WGS84_A)) * DEG_PER_RAD];
  }
  const [, yOrigin] = transverseMercator(0, crs.lat0_deg * RAD_PER_DEG);
  return (x, y) => {
    const [lon, lat] = inverseTransverseMercator(
      (x - crs.falseEasting_m) / crs.scale,
      (y - crs.falseNorthing_m) / crs.scale + yOrigin,
    );
    return [crs.lon0_deg + lon * DEG_PER_RAD, lat * DEG_PER_RAD];
  };
}

/** New nodes: at most this many, 32 MB of heights. */
const NODES_MAX = 8_000_000;

function regrid(raster: Raster, crs: Projected): TerrainGrid | null {
  const back = unproject(crs);
  let [west, east, south, north] = [Infinity, -Infinity, Infinity, -Infinity];
  // Edges of the region bend in longitude and latitude: 32 places along each tell how far they reach.
  for (let k = 0; k <= 32; k++) {
    const x = raster.x0 + ((raster.columns - 1) * raster.stepX * k) / 32;
    const y = raster.y0 + ((raster.rows - 1) * raster.stepY * k) / 32;
    for (const [px, py] of [
      [x, raster.y0],
      [x, raster.y0 + (raster.rows - 1) * raster.stepY],
      [raster.x0, y],
      [raster.x0 + (raster.columns - 1) * raster.stepX, y],
    ] as const) {
      const [lon, lat] = back(px, py);
      [west, east, south, north] = [
        Math.min(west, lon),
        Math.max(east, lon),
        Math.min(south, lat),
        Math.max(north, lat),
      ];
    }
  }
  if (!(east - west < 30 && east > west && north > south && north < 89.9 && south > -89.9)) return null;
  const cells = raster.columns * raster.rows;
  const finer = cells * 16 <= NODES_MAX ? 4 : cells * 4 <= NODES_MAX ? 2 : 1;
  // One step for both directions in metres: the finer of the file's two, at the latitude where a degree of longitude is
  // longest.
  const widest = Math.cos(Math.min(Math.abs(south), Math.abs(north), south * north < 0 ? 0 : 90) * RAD_PER_DEG);
  const scale = crs.kind === 'web Mercator' ? Math.cos(((south + north) / 2) * RAD_PER_DEG) : 1;
  const stepLat_deg = (Math.abs(raster.stepY) * scale) / finer / 111_700;
  const stepLon_deg = (raster.stepX * scale) / finer / (111_330 * widest);
  const columns = Math.max(2, Math.ceil((east - west) / stepLon_deg) + 1);
  const rows = Math.max(2, Math.ceil((north - south) / stepLat_deg) + 1);
  if (!(columns * rows <= CELLS_MAX)) return null;
  const heights_m = sample(raster, project(crs), {
    west_deg: west,
    north_deg: north,
    stepLon_deg,
    stepLat_deg,
    columns,
    rows,
  });
  return new TerrainGrid(
    { west_deg: wrap180(west), north_deg: north, stepLon_deg, stepLat_deg, columns, rows },
    heights_m,
  );
}

/** Nodes of a row between two that are projected exactly. */
const STRETCH = 16;

/**
 * The old grid's bilinear height at each new node. Every 16th node of a row is projected, those between lie on the
 * straight line: a bow of 16 nodes of 25 m departs from it by 3 mm, of 16 nodes of 1 km by 5 m, half a per cent of the
 * cell.
 */
function sample(
  raster: Raster,
  to: (lon_deg: number, lat_deg: number) => [number, number],
  shape: TerrainShape,
): Float32Array {
  const { columns, rows, heights_m, x0, y0, stepX, stepY } = raster;
  const out = new Float32Array(shape.columns * shape.rows);
  for (let j = 0; j < shape.rows; j++) {
    const lat = shape.north_deg - j * shape.stepLat_deg;
    let [x, y] = to(shape.west_deg, lat);
    for (let first = 0; first < shape.columns; first += STRETCH) {
      const [xNext, yNext] = to(shape.west_deg + (first + STRETCH) * shape.stepLon_deg, lat);
      for (let k = 0; k < STRETCH && first + k < shape.columns; k++) {
        const px = x + ((xNext - x) * k) / STRETCH;
        const py = y + ((yNext - y) * k) / STRETCH;
        out[j * shape.columns + first + k] = bilinear(heights_m, columns, rows, (px - x0) / stepX, (py - y0) / stepY);
      }
      [x, y] = [xNext, yNext];
    }
  }
  return out;
}
