// What a netCDF variable is of, and along which axes it lies. Files say it by standard name, by a centre's own names,
// by units. Source: CF standard name table and §4 of the CF conventions; names as NCEP, ECMWF, CMIP and the THREDDS
// server write them.
import { G0 } from '../../../air/air.ts';
import { KELVIN_AT_0_C, MPS_PER_KMH, MPS_PER_KT, PA_PER_HPA } from '../../../base/units.ts';
import type { FieldLevel, Quantity } from '../../../air/gridFields.ts';
import { allOf, textIn, type NcVariable } from './file.ts';

export interface NcMeaning {
  readonly quantity: Quantity;
  /** value · factor + offset is in our unit. */
  readonly factor: number;
  readonly offset: number;
  /** Where the name says it: a wind at 10 m, a height of the ground. */
  readonly level: FieldLevel | null;
}

const TEN_M: FieldLevel = { kind: 'above ground', value: 10 };
const GROUND: FieldLevel = { kind: 'ground', value: 0 };

/** Names in lower case; the first pattern that fits decides. */
const NAMES: readonly (readonly [RegExp, Quantity, FieldLevel | null])[] = [
  [/^(u10m?|10u|uas|ugrd_10maboveground)$/, 'u_mps', TEN_M],
  [/^(v10m?|10v|vas|vgrd_10maboveground)$/, 'v_mps', TEN_M],
  [/^(u|ua|uwnd|ugrd|u_wind|u-component_of_wind(_isobaric|_height_above_ground|_altitude_above_msl)?)$/, 'u_mps', null],
  [/^(v|va|vwnd|vgrd|v_wind|v-component_of_wind(_isobaric|_height_above_ground|_altitude_above_msl)?)$/, 'v_mps', null],
  [/^(orog|orography|hsurf|hgt_surface|geopotential_height_surface|surface_altitude)$/, 'height_gpm', GROUND],
  [/^(z|zg|gh|hgt|height|geopotential|geopotential_height(_isobaric)?)$/, 'height_gpm', null],
  [/^(t|ta|air|tmp|temp|temperature(_isobaric)?)$/, 'temperature_K', null],
];

const STANDARD_NAMES: Readonly<Record<string, readonly [Quantity, FieldLevel | null]>> = {
  eastward_wind: ['u_mps', null],
  northward_wind: ['v_mps', null],
  geopotential_height: ['height_gpm', null],
  geopotential: ['height_gpm', null],
  surface_altitude: ['height_gpm', GROUND],
  altitude: ['height_m', null],
  air_temperature: ['temperature_K', null],
};

/** The meaning of a variable; null where it is of something else, a sentence where its unit is not read. */
export function meaningOf(variable: NcVariable): NcMeaning | string | null {
  const standard = STANDARD_NAMES[textIn(variable.attributes, 'standard_name')];
  const named = NAMES.find(([pattern]) => pattern.test(variable.name.toLowerCase()));
  const quantity = standard?.[0] ?? named?.[1];
  if (quantity === undefined) return null;
  const units = textIn(variable.attributes, 'units');
  const scale = scaleOf(quantity, units);
  if (scale === null) return `"${variable.name}" in "${units}"; expected ${EXPECTED[quantity]}`;
  return { quantity, ...scale, level: standard?.[1] ?? (named?.[1] === quantity ? named[2] : null) };
}

const EXPECTED: Readonly<Record<Quantity, string>> = {
  u_mps: 'm/s, km/h or knots',
  v_mps: 'm/s, km/h or knots',
  height_gpm: 'm, gpm, km or m2/s2',
  height_m: 'm or km',
  temperature_K: 'K or °C',
};

/**
 * Units are compared without blanks, carets, stars and case: "m s**-1", "m s-1" and "M S^-1" are one. A unit left out
 * is taken as SI.
 */
const bare = (units: string): string => units.toLowerCase().replaceAll(/[\s^*.]/g, '');

const SPEEDS: readonly (readonly [RegExp, number])[] = [
  [/^(|m\/s|ms-1|mps|meters?\/second|metres?\/second|meterspersecond|meterpersecond)$/, 1],
  [/^(knots?|kts?|kn)$/, MPS_PER_KT],
  [/^(km\/h|kmh-1|kph|kmhr-1)$/, MPS_PER_KMH],
];

function scaleOf(quantity: Quantity, units: string): { readonly factor: number; readonly offset: number } | null {
  const unit = bare(units);
  if (quantity === 'temperature_K') {
    if (/^(|k|kelvins?|degk|degreek|degreesk)$/.test(unit)) return { factor: 1, offset: 0 };
    return /^(c|°c|degc|degreec|degreesc|degc|celsius|degcelsius|degreecelsius|degreescelsius|deg_c|degree_celsius|degrees_celsius)$/.test(
      unit,
    )
      ? { factor: 1, offset: KELVIN_AT_0_C }
      : null;
  }
  if (quantity === 'u_mps' || quantity === 'v_mps') {
    const factor = SPEEDS.find(([pattern]) => pattern.test(unit))?.[1];
    return factor === undefined ? null : { factor, offset: 0 };
  }
  if (/^(|m|gpm|geopotentialmeters?|geopotentialmetres?|meters?|metres?|m\(msl\)|metersabovemeansealevel)$/.test(unit))
    return { factor: 1, offset: 0 };
  if (/^(km|kilometers?|kilometres?)$/.test(unit)) return { factor: 1000, offset: 0 };
  return quantity === 'height_gpm' && /^(m2\/s2|m2s-2|m2second-2|jkg-1|j\/kg)$/.test(unit)
    ? { factor: 1 / G0, offset: 0 }
    : null;
}

export type AxisKind = 'time' | 'lat' | 'lon' | 'level' | 'other';

export interface Axis {
  readonly kind: AxisKind;
  readonly variable: NcVariable | null;
  readonly length: number;
}

const PRESSURE: readonly (readonly [RegExp, number])[] = [
  [/^(pa|pascals?)$/, 1],
  [/^(hpa|mb|mbar|mbars|millibars?|hectopascals?)$/, PA_PER_HPA],
];

/** The axis of a dimension, by its coordinate variable (the one of its own name). */
export function axisOf(name: string, length: number, variables: readonly NcVariable[]): Axis {
  const variable = variables.find((candidate) => candidate.name === name && candidate.dims.length === 1) ?? null;
  if (variable === null) return { kind: kindByName(name), variable, length };
  const units = textIn(variable.attributes, 'units');
  const standard = textIn(variable.attributes, 'standard_name');
  const unit = bare(units);
  const kind: AxisKind = /since/.test(units)
    ? 'time'
    : standard === 'latitude' || /^degrees?_?n(orth)?$/.test(unit)
      ? 'lat'
      : standard === 'longitude' || /^degrees?_?e(ast)?$/.test(unit)
        ? 'lon'
        : levelScale(variable) !== null
          ? 'level'
          : kindByName(name);
  return { kind, variable, length };
}

function kindByName(name: string): AxisKind {
  if (/^(time|valid_time|t)\d*$/i.test(name)) return 'time';
  if (/^(lat|latitude|y)$/i.test(name)) return 'lat';
  if (/^(lon|long|longitude|x)$/i.test(name)) return 'lon';
  if (/^(lev|level|plev|isobaric|pressure_level|hybrid|model_level)\d*$/i.test(name)) return 'level';
  return 'other';
}

/** How a coordinate variable of heights or pressures turns to levels; null where it is neither. */
function levelScale(variable: NcVariable): { readonly kind: FieldLevel['kind']; readonly factor: number } | null {
  const units = bare(textIn(variable.attributes, 'units'));
  const standard = textIn(variable.attributes, 'standard_name');
  const pressure = PRESSURE.find(([pattern]) => pattern.test(units));
  if (pressure !== undefined) return { kind: 'pressure', factor: pressure[1] };
  const name = variable.name.toLowerCase();
  if (/hybrid|model_level|sigma/.test(`${standard} ${name}`)) return { kind: 'model', factor: 1 };
  const factor = /^(m|meters?|metres?)$/.test(units) ? 1 : /^km$/.test(units) ? 1000 : null;
  if (factor === null) return null;
  if (standard === 'height' || /height_above_ground|^height\d*$/.test(name)) return { kind: 'above ground', factor };
  return standard === 'altitude' || /altitude|msl/.test(name) ? { kind: 'above sea', factor } : null;
}

/** The levels of an axis; a sentence where its numbers cannot be read or mean no level. */
export function levelsOf(axis: Axis): readonly FieldLevel[] | string {
  const { variable } = axis;
  if (variable === null) return 'levels without a coordinate variable, so nothing says which they are';
  const scale = levelScale(variable);
  const units = textIn(variable.attributes, 'units');
  if (scale === null) return `levels "${variable.name}" in "${units}"; expected Pa, hPa, or metres above ground or sea`;
  const values = allOf(variable);
  if (typeof values === 'string') return values;
  // Coordinates are often single precision: 0.7 hPa is then 69.99999880790710 Pa.
  const levels = Array.from(values, (x): FieldLevel => ({
    kind: scale.kind,
    value: Number((x * scale.factor).toPrecision(6)),
  }));
  if (scale.kind === 'pressure' && levels.some(({ value }) => !(value > 0 && value < 120_000))) {
    return (
      `levels "${variable.name}" from ${levels[0]?.value} to ${levels.at(-1)?.value} Pa; expected above 0 and ` +
      'below 120000'
    );
  }
  return levels;
}
