// Reading where it can be stopped. The HDF5 library behind netCDF-4 is C compiled to WebAssembly: a damaged file can
// send it round without end, or spoil its memory for every file after it. A host therefore reads each such file in a
// thread of its own, started for it and ended after it. Without a host (a test, a script) it is read where it is asked
// for.
import type { Read } from '../../base/problem.ts';
import type { GridColumns, GridOptions } from '../../air/gridColumns.ts';

/**
 * Answers as `readNetcdf`, and with a sentence where the thread failed or took longer than `APART_LIMIT_S`. Never
 * rejects.
 */
export type ReadApart = (bytes: Uint8Array, options: GridOptions) => Promise<Read<GridColumns>>;

/** What such a thread is sent; it posts the answer. */
export interface ApartAsk {
  readonly bytes: Uint8Array;
  readonly options: GridOptions;
}

/** A forecast of a hundred megabytes takes a few seconds. */
export const APART_LIMIT_S = 30;

export function notReadApart(why: 'late' | { readonly failed: string }): Read<GridColumns> {
  const text =
    why === 'late'
      ? `a netCDF-4 file that took longer than ${APART_LIMIT_S} s and was given up; it is damaged, or has far more in it than the winds`
      : `a netCDF-4 file that could not be read (${why.failed}); it is damaged`;
  return { value: { decoded: [], grids: [] }, problems: [{ line: 0, text }] };
}
