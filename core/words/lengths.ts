// Lengths, heights, areas and sizes of a spread as a person reads them, to the precision that is meant. Takes metres.
import { M_PER_FT, M_PER_NM } from '../base/units.ts';
import { MISSING, number, PAPER_UNITS, quantity, rounded, THIN, type Units } from './numbers.ts';

/**
 * A difference of heights, or a length upright: to 1 m below 1000 m and 10 m above; to 10 ft. Below 3 m (10 ft) to a
 * tenth: a fence of 1.4 m is not "0 ft".
 */
export function lengthUp(length_m: number, units: Units = PAPER_UNITS): string {
  const isFeet = units.length === 'ft';
  const value = isFeet ? length_m / M_PER_FT : length_m;
  const size = Math.abs(value);
  if (size < (isFeet ? 10 : 3)) return quantity(value, units.length, Number.isInteger(rounded(value, 0.1)) ? 0 : 1);
  if (isFeet) return quantity(size < 100 ? value : rounded(value, 10), 'ft');
  return quantity(size < 1000 ? value : rounded(value, 10), 'm');
}

/** A height with its reference, always: `1500 m AGL`. `ground_m`: height of the ground that AGL counts from, MSL. */
export function height(height_m: number, units: Units = PAPER_UNITS, ground_m = 0): string {
  const value = lengthUp(units.height === 'AGL' ? height_m - ground_m : height_m, units);
  return value === MISSING ? MISSING : `${value} ${units.height}`;
}

/** The height that a report gives, with its own reference: "2 m AGL", "1450 m MSL", "no height". */
export function statedHeight(
  of: { readonly agl_m?: number | undefined; readonly height_m?: number | undefined },
  units: Units = PAPER_UNITS,
): string {
  if (of.height_m !== undefined) return `${lengthUp(of.height_m, units)} MSL`;
  return of.agl_m === undefined ? 'no height' : `${lengthUp(of.agl_m, units)} AGL`;
}

/**
 * A distance over the ground: to 1 m below 100 m, to 10 m below a kilometre, to 0.1 km below 100 km, then whole
 * kilometres; in feet to 10 and 50 ft, then nautical miles.
 */
export function distance(distance_m: number, units: Units = PAPER_UNITS): string {
  if (!Number.isFinite(distance_m)) return MISSING;
  if (units.length === 'ft') {
    const nauticalMiles = distance_m / M_PER_NM;
    const feet = distance_m / M_PER_FT;
    if (nauticalMiles < 0.5) return quantity(rounded(feet, feet < 30 ? 1 : feet < 500 ? 10 : 50), 'ft');
    return quantity(nauticalMiles, 'NM', nauticalMiles < 100 ? 1 : 0);
  }
  const size_m = Math.abs(distance_m);
  if (size_m < 995) return quantity(rounded(distance_m, size_m < 100 ? 1 : 10), 'm');
  return quantity(distance_m / 1000, 'km', size_m < 99_950 ? 1 : 0);
}

/** A distance to be kept at least: rounded up to tens of metres, never down. */
export const atLeast = (distance_m: number): string =>
  distance(distance_m < 995 ? 10 * Math.ceil(distance_m / 10 - 1e-9) : distance_m);

/** Nothing finer is meant by a spread. */
const FINEST_M = 10;

/** The size of a spread by its half axes, as its ellipse is drawn: "±1.4 km by ±1.3 km". */
export const halfAxes = (semiMajor_m: number, semiMinor_m: number, units: Units = PAPER_UNITS): string =>
  `±${distance(Math.max(semiMajor_m, FINEST_M), units)} by ±${distance(Math.max(semiMinor_m, FINEST_M), units)}`;

/** A spread, said one way everywhere: "90 of 100 within ±1.4 km by ±1.3 km". */
export const spreadSize = (
  percent: number,
  ellipse: { readonly semiMajor_m: number; readonly semiMinor_m: number },
  units: Units = PAPER_UNITS,
): string => `${number(percent)} of 100 within ${halfAxes(ellipse.semiMajor_m, ellipse.semiMinor_m, units)}`;

/** An area of ground: hectares below 10 ha, else square kilometres; the same in either system of units. */
export const area = (area_m2: number): string =>
  area_m2 < 100_000 ? quantity(area_m2 / 10_000, 'ha', 1) : `${number(area_m2 / 1e6, area_m2 < 1e7 ? 2 : 1)}${THIN}km²`;
