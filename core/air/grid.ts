// Columns of wind on a regular longitude-latitude grid at several times: what gridded forecasts are read into, and what
// the wind field interpolates (linear in time, bilinear in the horizontal, u and v linear in height; MODEL.md §3).
import type { WindLevel } from './levels.ts';

export interface WindGrid {
  readonly source: string;
  /** Valid times, seconds since 1970-01-01T00:00:00Z, rising. */
  readonly times_s: readonly number[];
  /** Of each valid time when its model started, s since 1970; null where the files do not say. */
  readonly runs_s?: readonly (number | null)[];
  /** Rising; longitudes run on past 180° where the grid crosses the date line, so that neighbours stay neighbours. */
  readonly lats_deg: readonly number[];
  readonly lons_deg: readonly number[];
  /** Levels rising in height, at index `(time * lats + lat) * lons + lon`. */
  readonly columns: readonly (readonly WindLevel[])[];
}
