// Numbers and times as files and programs read them; what a person reads is formatted in `core/words/`.
import type { LonLat } from './units.ts';

/** ISO 8601 UTC to the second, or to the millisecond where there are any: `2023-05-22T11:04:00Z`. */
export const isoOf = (time_s: number): string =>
  new Date(Math.round(time_s * 1000)).toISOString().replace('.000Z', 'Z');

/** A number to so many decimals, for plain data. */
export const roundTo = (value: number, decimals: number): number => Number(value.toFixed(decimals));

/** A place as a plan holds it: six decimals of a degree are 0.1 m, as near as a drag or a typed coordinate can mean. */
export const tidyPlace = ([lon, lat]: LonLat): [lon: number, lat: number] => [roundTo(lon, 6), roundTo(lat, 6)];

/** A whole number with zeros before it. */
export const zeroed = (value: number, width: number): string => String(value).padStart(width, '0');
