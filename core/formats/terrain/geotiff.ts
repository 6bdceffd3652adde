// Terrain from GeoTIFF: what the cells of a TIFF (`tiffCells.ts`) mean as heights, and where they lie
// (`geotiffCrs.ts`). OGC GeoTIFF 1.1 (19-008r4). The npm package geotiff is not used: it cannot be loaded inside a Node
// worker thread, where this reader runs.
import type { Problem, Read } from '../../base/problem.ts';
import { cellIsPoint, crsOf, verticalUnit } from './geotiffCrs.ts';
import type { CrsAnswer, GeoKeys } from './geotiffCrs.ts';
import { CELLS_MAX } from './raster.ts';
import type { Raster } from './raster.ts';
import { layoutOf, readCells } from './tiffCells.ts';
import { readDirectory } from './tiffDirectory.ts';
import type { TiffDirectory } from './tiffDirectory.ts';

/** Tags of GeoTIFF and of GDAL's additions. */
const TAG = {
  pixelScale: 33550,
  tiePoint: 33922,
  transformation: 34264,
  geoKeys: 34735,
  geoDoubles: 34736,
  metadata: 42112,
  nodata: 42113,
} as const;

interface Placement {
  readonly x0: number;
  readonly y0: number;
  readonly stepX: number;
  readonly stepY: number;
}

/**
 * The first picture of a file, first band. Legal: strips and tiles, LZW, deflate, PackBits, predictors, both byte
 * orders, BigTIFF; cells as areas or points; longitude-latitude, UTM, other transverse Mercator; metre, foot,
 * centimetre where named; scale and offset. Refused with a sentence: no georeference, a rotated grid, another
 * projection or packing, more than 64 million cells.
 */
export function readGeoTiff(bytes: Uint8Array): Read<Raster | null> {
  const refuse = (text: string): Read<null> => ({ value: null, problems: [{ line: 0, text }] });
  const directory = readDirectory(bytes);
  if (typeof directory === 'string') return refuse(directory);
  const layout = layoutOf(directory, CELLS_MAX);
  if (typeof layout === 'string') return refuse(layout);
  const keys = geoKeys(directory);
  const crs = crsOf(keys);
  if (typeof crs === 'string') return refuse(crs);
  const placed = placement(directory, keys, crs);
  if (typeof placed === 'string') return refuse(placed);
  const metadata = directory.text(TAG.metadata) ?? '';
  const unit_m = verticalUnit(keys, role(metadata, 'unittype'));
  if (typeof unit_m === 'string') return refuse(unit_m);
  const problems: Problem[] = crs.notes.map((text) => ({ line: 0, text }));
  if (layout.samples > 1) problems.push({ line: 0, text: `${layout.samples} bands; the first is read as height` });
  const { cells, damaged } = readCells(directory, layout);
  if (damaged > 0) {
    problems.push({
      line: 0,
      text: `${damaged} of ${layout.offsets.length} pieces are damaged or cut off; there the ground is unknown`,
    });
  }
  toMetres(cells, {
    nodata: directory.text(TAG.nodata),
    scale: role(metadata, 'scale'),
    offset: role(metadata, 'offset'),
    unit_m,
  });
  return { value: { columns: layout.columns, rows: layout.rows, heights_m: cells, ...placed, crs: crs.crs }, problems };
}

/** The keys whose value is a number: in the directory itself, or in the list of doubles beside it. */
function geoKeys(directory: TiffDirectory): GeoKeys | null {
  const list = directory.numbers(TAG.geoKeys);
  if (list.length < 4) return null;
  const doubles = directory.numbers(TAG.geoDoubles);
  const keys = new Map<number, number>();
  for (let at = 4; at + 3 < list.length; at += 4) {
    const [id = 0, place = 0, , value = 0] = list.slice(at, at + 4);
    const number = place === 0 ? value : place === TAG.geoDoubles ? doubles[value] : undefined;
    if (number !== undefined && Number.isFinite(number)) keys.set(id, number);
  }
  return keys;
}

/** GDAL's metadata of the first band: `<Item name="SCALE" sample="0" role="scale">0.01</Item>`. */
function role(metadata: string, name: string): string | null {
  const item = new RegExp(`<Item\\b(?=[^>]*\\brole="${name}")(?![^>]*\\bsample="[1-9])[^>]*>([^<]*)</Item>`, 'i').exec(
    metadata,
  );
  return item?.[1]?.trim() ?? null;
}

/** Centre of the first cell and the steps, or a sentence. */
function placement(directory: TiffDirectory, keys: GeoKeys | null, crs: CrsAnswer): Placement | string {
  const half = cellIsPoint(keys) ? 0 : 0.5;
  const u = crs.unit_m;
  const [stepX = NaN, stepY = NaN] = directory.numbers(TAG.pixelScale);
  const [i = NaN, j = NaN, , x = NaN, y = NaN] = directory.numbers(TAG.tiePoint);
  if (Number.isFinite(stepX + stepY + i + j + x + y)) {
    if (!(Math.abs(stepX) > 0 && Math.abs(stepY) > 0)) return `cells of ${stepX} × ${stepY}; expected sizes above 0`;
    return { x0: (x + (half - i) * stepX) * u, y0: (y - (half - j) * stepY) * u, stepX: stepX * u, stepY: -stepY * u };
  }
  const [a = NaN, b = NaN, , left = NaN, d = NaN, e = NaN, , top = NaN] = directory.numbers(TAG.transformation);
  if (!Number.isFinite(a + b + left + d + e + top))
    return 'no georeference (neither tie point and cell size nor a transformation); expected a GeoTIFF';
  if (!(Math.abs(b) <= 1e-9 * Math.abs(a) && Math.abs(d) <= 1e-9 * Math.abs(e)))
    return 'a rotated grid; expected rows that run west to east (gdalwarp turns it)';
  if (!(Math.abs(a) > 0 && Math.abs(e) > 0)) return `cells of ${a} × ${e}; expected sizes other than 0`;
  return { x0: (left + half * a) * u, y0: (top + half * e) * u, stepX: a * u, stepY: e * u };
}

/** Cells as they stand in the file to heights in metres, in place; the file's own number for "no data" becomes NaN. */
function toMetres(
  cells: Float32Array,
  said: { nodata: string | null; scale: string | null; offset: string | null; unit_m: number },
): void {
  const number = (text: string | null, otherwise: number): number => {
    const value = text === null || text.trim() === '' ? NaN : Number(text);
    return Number.isFinite(value) ? value : otherwise;
  };
  // A number written in decimal may not be the very float that the cells hold.
  const hole = Math.fround(number(said.nodata, NaN));
  const scale = number(said.scale, 1) * said.unit_m;
  const offset = number(said.offset, 0) * said.unit_m;
  if (scale === 1 && offset === 0 && Number.isNaN(hole)) return;
  for (let k = 0; k < cells.length; k++) {
    const cell = cells[k] ?? NaN;
    cells[k] = cell === hole ? NaN : cell * scale + offset;
  }
}
