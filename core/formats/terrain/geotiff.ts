// Terrain from GeoTIFF (OGC GeoTIFF 1.1, 19-008r4): the npm package geotiff reads the TIFF, here stands what its cells
// mean as heights, and in `geotiffCrs.ts` where they lie. Everything the package throws is caught here, at the border.
import { fromArrayBuffer, type GeoTIFFImage } from 'geotiff';
import type { Problem, Read } from '../../base/problem.ts';
import type { LonLat } from '../../base/units.ts';
import { shown } from '../text/shown.ts';
import { cellIsPoint, crsOf, verticalUnit } from './geotiffCrs.ts';
import type { CrsAnswer, GeoKeys } from './geotiffCrs.ts';
import { CELLS_MAX, placeIn } from './raster.ts';
import type { Raster } from './raster.ts';
import { boundUnpacking, PACKINGS } from './tiffUnpack.ts';

boundUnpacking();

/** A piece (strip or tile) is unpacked as a whole. */
const PIECE_BYTES_MAX = 100_000_000;

interface Placement {
  readonly x0: number;
  readonly y0: number;
  readonly stepX: number;
  readonly stepY: number;
}

/** Columns and rows, the ends not held. */
interface CellWindow {
  readonly left: number;
  readonly top: number;
  readonly right: number;
  readonly bottom: number;
}

export const looksLikeTiff = (bytes: Uint8Array): boolean => {
  const [a, b, c, d] = bytes;
  return (
    (a === 0x49 && b === 0x49 && (c === 42 || c === 43) && d === 0) ||
    (a === 0x4d && b === 0x4d && c === 0 && (d === 42 || d === 43))
  );
};

/**
 * The first picture of a file, first band. Legal: strips and tiles, LZW, deflate, PackBits, predictors, both byte
 * orders, BigTIFF; cells as areas or points;
 * longitude-latitude, UTM, other transverse Mercator; metre, foot, centimetre where named; scale and offset. Refused
 * with a sentence: no georeference, a rotated grid, another projection.
 *
 * near   of a picture of more than `CELLS_MAX` cells only the part around this place is read
 */
export async function readGeoTiff(bytes: Uint8Array, near: LonLat | null): Promise<Read<Raster | null>> {
  try {
    const whole = bytes.byteLength === bytes.buffer.byteLength && bytes.buffer instanceof ArrayBuffer;
    const file = await fromArrayBuffer(whole ? bytes.buffer : bytes.slice().buffer);
    const read = await readImage(await file.getImage(), near);
    return typeof read === 'string' ? refused(read) : read;
  } catch (error) {
    return refused(`a TIFF that is cut off, damaged or of a kind that is not read (${shown(String(error))})`);
  }
}

const refused = (text: string): Read<null> => ({ value: null, problems: [{ line: 0, text }] });

async function readImage(image: GeoTIFFImage, near: LonLat | null): Promise<Read<Raster> | string> {
  const [columns, rows] = [image.getWidth(), image.getHeight()];
  const wrong = shapeWrong(image);
  if (wrong !== null) return wrong;
  const keys = await geoKeys(image);
  const crs = crsOf(keys);
  if (typeof crs === 'string') return crs;
  const placed = await placement(image, keys, crs);
  if (typeof placed === 'string') return placed;
  const metadata = await textOf(image, 'GDAL_METADATA');
  const unit_m = verticalUnit(keys, role(metadata, 'unittype'));
  if (typeof unit_m === 'string') return unit_m;
  const part = partAround(columns, rows, near === null ? null : placeIn({ ...placed, crs: crs.crs }, near));
  if (typeof part === 'string') return part;
  const problems: Problem[] = crs.notes.map((text) => ({ line: 0, text }));
  const samples = image.getSamplesPerPixel();
  if (samples > 1) problems.push({ line: 0, text: `${samples} bands; the first is read as height` });
  const [wide, high] = [part.right - part.left, part.bottom - part.top];
  if (wide < columns || high < rows)
    problems.push({ line: 0, text: `${columns} × ${rows} cells; the ${wide} × ${high} around the site are read` });
  const { cells, pieces, damaged } = await readCells(image, part);
  if (damaged > 0)
    problems.push({
      line: 0,
      text: `${damaged} of ${pieces} pieces are damaged or cut off; there the ground is unknown`,
    });
  toMetres(cells, {
    nodata: await textOf(image, 'GDAL_NODATA'),
    scale: role(metadata, 'scale'),
    offset: role(metadata, 'offset'),
    unit_m,
  });
  const x0 = placed.x0 + part.left * placed.stepX;
  const y0 = placed.y0 + part.top * placed.stepY;
  return { value: { columns: wide, rows: high, heights_m: cells, ...placed, x0, y0, crs: crs.crs }, problems };
}

function shapeWrong(image: GeoTIFFImage): string | null {
  const [columns, rows] = [image.getWidth(), image.getHeight()];
  const packing: unknown = image.fileDirectory.getValue('Compression') ?? 1;
  const single: readonly unknown[] = [
    columns,
    rows,
    image.getTileWidth(),
    image.getTileHeight(),
    image.getSamplesPerPixel(),
    packing,
  ];
  // A damaged count makes a list of a tag's value, of any length.
  if (!single.every(Number.isSafeInteger))
    return 'the size of the picture, of its pieces, its bands or its packing is no whole number: the file is damaged';
  if (!(columns >= 2 && rows >= 2)) return `${columns} × ${rows} cells; expected at least 2 × 2`;
  const [wide, high] = [image.getTileWidth(), image.getTileHeight()];
  if (!(wide >= 1 && high >= 1 && wide * high * image.getBytesPerPixel() <= PIECE_BYTES_MAX))
    return `pieces of ${wide} × ${high} cells; at most ${PIECE_BYTES_MAX / 1e6} MB are unpacked at once`;
  if (typeof packing !== 'number' || !PACKINGS.has(packing))
    return (
      `packing ${String(packing)}; expected none (1), LZW (5), deflate (8) or PackBits (32773): gdal_translate ` +
      '-co COMPRESS=DEFLATE changes it'
    );
  return null;
}

/** Everything where it is not too much, else a square about the cell of the site. */
function partAround(columns: number, rows: number, site: readonly [i: number, j: number] | null): CellWindow | string {
  if (columns * rows <= CELLS_MAX) return { left: 0, top: 0, right: columns, bottom: rows };
  const side = Math.floor(Math.sqrt(CELLS_MAX));
  const [i, j] = site ?? [NaN, NaN];
  if (!(i >= 0 && j >= 0 && i < columns && j < rows))
    return (
      `${columns} × ${rows} cells, and the site lies in none; at most ${CELLS_MAX / 1e6} million are read: cut ` +
      'the file to the region of the descent'
    );
  const from = (at: number, count: number): number => Math.max(0, Math.min(Math.round(at) - (side >> 1), count - side));
  const [left, top] = [from(i, columns), from(j, rows)];
  return { left, top, right: Math.min(columns, left + side), bottom: Math.min(rows, top + side) };
}

/** The first band of a part, row by row, piece by piece: cells of a piece that cannot be unpacked are NaN. */
async function readCells(
  image: GeoTIFFImage,
  part: CellWindow,
): Promise<{ cells: Float32Array; pieces: number; damaged: number }> {
  const [pieceWide, pieceHigh] = [image.getTileWidth(), image.getTileHeight()];
  const wide = part.right - part.left;
  const cells = new Float32Array(wide * (part.bottom - part.top)).fill(NaN);
  const all = Math.ceil(image.getWidth() / pieceWide) * Math.ceil(image.getHeight() / pieceHigh);
  if ((await offsetCount(image)) < all) throw new Error(`fewer offsets than the ${all} pieces`);
  let pieces = 0;
  let damaged = 0;
  for (let top = part.top - (part.top % pieceHigh); top < part.bottom; top += pieceHigh) {
    for (let left = part.left - (part.left % pieceWide); left < part.right; left += pieceWide) {
      const [x0, y0] = [Math.max(left, part.left), Math.max(top, part.top)];
      const [x1, y1] = [Math.min(left + pieceWide, part.right), Math.min(top + pieceHigh, part.bottom)];
      pieces++;
      try {
        const [band] = await image.readRasters({ window: [x0, y0, x1, y1], samples: [0] });
        if (band === undefined || typeof band === 'number') throw new Error('no band');
        for (let y = y0; y < y1; y++) {
          const row = band.subarray((y - y0) * (x1 - x0), (y - y0 + 1) * (x1 - x0));
          cells.set(row, (y - part.top) * wide + x0 - part.left);
        }
      } catch {
        damaged++;
      }
    }
  }
  return { cells, pieces, damaged };
}

async function offsetCount(image: GeoTIFFImage): Promise<number> {
  const offsets: unknown = await image.fileDirectory.loadValue(image.isTiled ? 'TileOffsets' : 'StripOffsets');
  return numbers(offsets).length;
}

/** Values of a tag as numbers; none where it is missing. */
const numbers = (value: unknown): number[] =>
  Array.isArray(value) || ArrayBuffer.isView(value) ? Array.from(value as ArrayLike<number>, Number) : [];

async function textOf(image: GeoTIFFImage, tag: 'GDAL_METADATA' | 'GDAL_NODATA'): Promise<string> {
  const value: unknown = await image.fileDirectory.loadValue(tag);
  return typeof value === 'string' ? (value.split('\0')[0] ?? '') : '';
}

/** The keys whose value is a number: in the directory itself, or in the list of doubles beside it. */
async function geoKeys(image: GeoTIFFImage): Promise<GeoKeys | null> {
  const list = numbers(await image.fileDirectory.loadValue('GeoKeyDirectory'));
  if (list.length < 4) return null;
  const doubles = numbers(await image.fileDirectory.loadValue('GeoDoubleParams'));
  const keys = new Map<number, number>();
  for (let at = 4; at + 3 < list.length; at += 4) {
    const [id = 0, place = 0, , value = 0] = list.slice(at, at + 4);
    // 34736 is the tag of the doubles.
    const number = place === 0 ? value : place === 34736 ? doubles[value] : undefined;
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
async function placement(image: GeoTIFFImage, keys: GeoKeys | null, crs: CrsAnswer): Promise<Placement | string> {
  const values = async (tag: 'ModelPixelScale' | 'ModelTiepoint' | 'ModelTransformation'): Promise<number[]> =>
    numbers(await image.fileDirectory.loadValue(tag));
  const half = cellIsPoint(keys) ? 0 : 0.5;
  const u = crs.unit_m;
  const [stepX = NaN, stepY = NaN] = await values('ModelPixelScale');
  const [i = NaN, j = NaN, , x = NaN, y = NaN] = await values('ModelTiepoint');
  if (Number.isFinite(stepX + stepY + i + j + x + y)) {
    if (!(Math.abs(stepX) > 0 && Math.abs(stepY) > 0)) return `cells of ${stepX} × ${stepY}; expected sizes above 0`;
    return { x0: (x + (half - i) * stepX) * u, y0: (y - (half - j) * stepY) * u, stepX: stepX * u, stepY: -stepY * u };
  }
  const [a = NaN, b = NaN, , left = NaN, d = NaN, e = NaN, , top = NaN] = await values('ModelTransformation');
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
  said: { nodata: string; scale: string | null; offset: string | null; unit_m: number },
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
