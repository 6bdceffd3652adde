// netCDF: gridded forecasts to columns of wind, and soundings. Classic files (CDF-1, CDF-2, CDF-5) by our own reader,
// netCDF-4 by HDF5. Legal: packed numbers, levels in Pa or hPa either way, latitudes either way, geopotential or
// height, any time unit of CF. Not legal, and said in a sentence: other files, headers or data cut short, grids with
// 2-D positions, units that are not known.
import type { Problem, Read } from '../../base/problem.ts';
import { gridColumns, type GridColumns, type GridOptions } from '../../air/gridColumns.ts';
import { readClassic } from './netcdf/classic.ts';
import { fieldsOf } from './netcdf/fields.ts';
import type { NcFile } from './netcdf/file.ts';
import { withHdf5 } from './netcdf/hdf5.ts';
import { soundingDimension, soundingOf } from './netcdf/sounding.ts';

const nothing = (text: string): Read<GridColumns> => ({
  value: { decoded: [], grids: [] },
  problems: [{ line: 0, text }],
});

/**
 * The signature of HDF5: at the start of the file, or after a block of 512 bytes, 1024, 2048 … that belongs to someone
 * else.
 */
const HDF5 = [0x89, 0x48, 0x44, 0x46, 0x0d, 0x0a, 0x1a, 0x0a];

/**
 * Columns of wind from a netCDF file: as `readGrib2` answers. A sounding is one decoded column of all its samples, and
 * no grid.
 */
export async function readNetcdf(bytes: Uint8Array, options: GridOptions): Promise<Read<GridColumns>> {
  if (bytes[0] === 0x43 && bytes[1] === 0x44 && bytes[2] === 0x46) {
    const file = readClassic(bytes);
    return typeof file === 'string' ? nothing(file) : readFile(file, options);
  }
  if (isHdf5(bytes)) {
    const read = await withHdf5(bytes, (file) => readFile(file, options));
    return typeof read === 'string' ? nothing(read) : read;
  }
  return nothing(
    `${bytes.length === 0 ? 'an empty file' : 'neither "CDF" nor an HDF5 signature'}; expected a netCDF file`,
  );
}

function isHdf5(bytes: Uint8Array): boolean {
  for (let at = 0; at < bytes.length; at = at === 0 ? 512 : at * 2) {
    if (HDF5.every((byte, k) => bytes[at + k] === byte)) return true;
  }
  return false;
}

function readFile(file: NcFile, options: GridOptions): Read<GridColumns> {
  const { fields, problems } = fieldsOf(file);
  const said: Problem[] = problems.map((text) => ({ line: 0, text }));
  if (fields.length === 0) {
    const dim = soundingDimension(file);
    if (dim !== null) {
      const sounding = soundingOf(file, dim);
      return {
        value: { decoded: sounding.levels.length > 0 ? [sounding] : [], grids: [] },
        problems: said.concat(sounding.levels.length > 0 ? [] : sounding.problems),
      };
    }
    const names = file.variables
      .slice(0, 12)
      .map(({ name }) => name)
      .join(', ');
    const text =
      `no wind, height or temperature on levels; the file has ${file.variables.length} ` +
      `variables${names === '' ? '' : `: ${names}`}`;
    return { value: { decoded: [], grids: [] }, problems: [...said, { line: 0, text }] };
  }
  const made = gridColumns(fields, options);
  return { value: made.value, problems: [...said, ...made.problems] };
}
