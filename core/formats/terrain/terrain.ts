// Terrain files: GeoTIFF, SRTM tiles (plain or in a zip) and Arc ASCII grids, told apart by what they hold. The answer
// is the grid of longitude and latitude that the descent reads. Heights m MSL.
import type { Read } from '../../base/problem.ts';
import type { TerrainGrid } from '../../earth/terrain.ts';
import type { LonLat } from '../../base/units.ts';
import { looksLikeAscGrid, readAscGrid } from './ascGrid.ts';
import { looksLikeTiff, readGeoTiff } from './geotiff.ts';
import { readHgt } from './hgt.ts';
import { toTerrainGrid } from './raster.ts';
import type { Raster } from './raster.ts';

/** What a zip may unpack to: the largest tile there is, and a margin. */
const UNZIPPED_BYTES_MAX = 120_000_000;

/**
 * The terrain of a file.
 *
 * name   decides nothing but the place of an SRTM tile, whose file does not say where it lies
 * near   the mission's site: decides what a grid without a coordinate system means
 * Error  none for grids in longitude and latitude; for others see `toTerrainGrid`
 */
export async function readTerrain(
  name: string,
  bytes: Uint8Array,
  near: LonLat | null = null,
): Promise<Read<TerrainGrid | null>> {
  if (bytes.length === 0)
    return {
      value: null,
      problems: [{ line: 0, text: 'the file is empty; expected terrain: GeoTIFF, .hgt or Arc ASCII' }],
    };
  const read = await readRaster(name, bytes, near);
  if (read.value === null) return { value: null, problems: read.problems };
  const grid = toTerrainGrid(read.value, near);
  return { value: grid.value, problems: [...read.problems, ...grid.problems] };
}

async function readRaster(name: string, bytes: Uint8Array, near: LonLat | null): Promise<Read<Raster | null>> {
  if (looksLikeTiff(bytes)) return readGeoTiff(bytes, near);
  if (bytes[0] === 0x50 && bytes[1] === 0x4b && bytes[2] === 3 && bytes[3] === 4) return readZip(bytes, near);
  if (looksLikeAscGrid(bytes)) return readAscGrid(bytes);
  if (/\.hgt$/i.test(name) || bytes.length === 2_884_802 || bytes.length === 25_934_402) return readHgt(name, bytes);
  return {
    value: null,
    problems: [{ line: 0, text: `"${name}" is not a terrain file; expected GeoTIFF, SRTM .hgt or Arc ASCII` }],
  };
}

/** The first terrain file of a zip; what else lies in it is said. */
async function readZip(bytes: Uint8Array, near: LonLat | null): Promise<Read<Raster | null>> {
  const { unzipSync } = await import('fflate');
  const refuse = (text: string): Read<null> => ({ value: null, problems: [{ line: 0, text }] });
  const found: string[] = [];
  const tooLarge: string[] = [];
  let files: Readonly<Record<string, Uint8Array>>;
  try {
    files = unzipSync(bytes, {
      filter: (file) => {
        if (!/\.(hgt|tiff?|asc)$/i.test(file.name)) return false;
        if (file.originalSize > UNZIPPED_BYTES_MAX) {
          tooLarge.push(file.name);
          return false;
        }
        found.push(file.name);
        return found.length === 1;
      },
    });
  } catch (error) {
    return refuse(
      `the zip cannot be unpacked (${error instanceof Error ? error.message.slice(0, 100) : 'unknown'}); it ` +
        'is cut off or damaged',
    );
  }
  const [name, ...others] = found;
  const content = name === undefined ? undefined : files[name];
  if (name === undefined || content === undefined) {
    if (tooLarge.length > 0)
      return refuse(
        `"${tooLarge[0] ?? ''}" in the zip is larger than ${UNZIPPED_BYTES_MAX / 1e6} MB; cut it to the ` +
          'region of the descent',
      );
    return refuse('a zip without terrain; expected a .hgt, .tif or .asc file in it');
  }
  if (content[0] === 0x50 && content[1] === 0x4b) return refuse('a zip in a zip; expected a terrain file in it');
  const read = await readRaster(name, content, near);
  const more =
    others.length === 0
      ? []
      : [{ line: 0, text: `${others.length} more terrain files in the zip; only "${name}" is read` }];
  return { value: read.value, problems: [...read.problems, ...more] };
}
