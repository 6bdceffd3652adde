// Soundings in netCDF: one ascent, each sample with its own height, wind, pressure and position along one dimension.
// The files of the ARM facility are of this form (doi:10.5439/1595321); other names of the same things are taken too.
import { isoOf } from '../../../base/plainNumbers.ts';
import type { DecodedLevel, DecodedWinds } from '../../../air/levels.ts';
import { KELVIN_AT_0_C, PA_PER_HPA, windFrom, wrap180, wrap360, type LonLat } from '../../../base/units.ts';
import { geometricHeight } from '../../../air/air.ts';
import { allOf, textIn, type NcFile, type NcVariable } from './file.ts';
import { singleNumber } from './fields.ts';
import { meaningOf } from './quantities.ts';
import { timeUnit } from './time.ts';

const NAMES = {
  height: /^(alt|altitude|gpsalt|gps_alt|gps_altitude|height|geopotential_height|geopotential|gph|zg|z)$/i,
  pressure: /^(p|pres|pressure|press|air_pressure)$/i,
  temperature: /^(t|ta|tdry|temp|temperature|air_temperature)$/i,
  dewPoint: /^(dp|td|dewpoint|dew_point|dew_point_temperature)$/i,
  speed: /^(wspd|wind_speed|windspeed|speed|ff)$/i,
  direction: /^(deg|wdir|wind_dir|wind_direction|winddir|dd)$/i,
  u: /^(u|ua|u_wind|uwnd|eastward_wind)$/i,
  v: /^(v|va|v_wind|vwnd|northward_wind)$/i,
  lat: /^(lat|latitude)$/i,
  lon: /^(lon|long|longitude)$/i,
  time: /^(time|launch_time|base_time|time_offset)$/i,
} as const;

/** A sounding's numbers along its one dimension, in our units, NaN where missing. */
type Samples = Readonly<Record<Exclude<keyof typeof NAMES, 'time'>, Float64Array | null>>;

/** The dimension along which a file holds a sounding: heights and winds on it alone; null where it holds none. */
export function soundingDimension(file: NcFile): string | null {
  for (const { dims } of file.variables) {
    const [dim] = dims;
    if (dims.length !== 1 || dim === undefined) continue;
    const has = (name: RegExp): boolean =>
      file.variables.some((v) => v.dims.length === 1 && v.dims[0] === dim && name.test(v.name));
    const wind = (has(NAMES.speed) && has(NAMES.direction)) || (has(NAMES.u) && has(NAMES.v));
    if (wind && (has(NAMES.height) || has(NAMES.pressure))) return dim;
  }
  return null;
}

/**
 * The sounding along `dim`. Samples without any number are left out; everything else stays, with null for what is
 * missing.
 */
export function soundingOf(file: NcFile, dim: string): DecodedWinds {
  const problems: string[] = [];
  const samples = samplesOf(file, dim, problems);
  const n = file.variables.find(({ dims }) => dims.length === 1 && dims[0] === dim)?.shape[0] ?? 0;
  const levels: DecodedLevel[] = [];
  let empty = 0;
  let unwinded = 0;
  let unplaced = 0;
  for (let k = 0; k < n; k++) {
    const level = levelAt(samples, k);
    if (level.height_m === null && level.pressure_Pa === null) {
      empty += 1;
      continue;
    }
    if (level.from_deg === null) unwinded += 1;
    if (level.height_m === null) unplaced += 1;
    levels.push(level);
  }
  const say = (count: number, what: string): void => {
    if (count > 0) problems.push(`${count} of ${n} samples ${what}`);
  };
  say(empty, 'have neither height nor pressure and were left out');
  say(unwinded, 'have no wind (marked missing in the file)');
  say(unplaced, 'have no height');
  return {
    source: `${file.kind} sounding${siteText(file)}`,
    validTime: startOf(file, dim, problems),
    position: positionOf(file, samples),
    levels,
    problems: problems.map((text) => ({ line: 0, text })),
  };
}

function siteText(file: NcFile): string {
  const site =
    textIn(file.attributes, 'facility_id') || textIn(file.attributes, 'site_id') || textIn(file.attributes, 'title');
  return site === '' ? '' : ` ${site.slice(0, 60)}`;
}

/** No sonde was lower or higher. */
const LOWEST_M = -1000;
const HIGHEST_M = 120_000;

function possible(heights_m: Float64Array | null, problems: string[]): Float64Array | null {
  if (heights_m === null) return null;
  const out = heights_m.filter((h) => h < LOWEST_M || h > HIGHEST_M).length;
  if (out === 0) return heights_m;
  problems.push(`${out} heights outside ${LOWEST_M} to ${HIGHEST_M} m: left out`);
  return heights_m.map((h) => (h >= LOWEST_M && h <= HIGHEST_M ? h : NaN));
}

function samplesOf(file: NcFile, dim: string, problems: string[]): Samples {
  const along = (name: RegExp): NcVariable | undefined =>
    file.variables.find((v) => v.dims.length === 1 && v.dims[0] === dim && name.test(v.name));
  const read = (name: RegExp, convert: (x: number, units: string) => number): Float64Array | null => {
    const variable = along(name);
    if (variable === undefined) return null;
    const values = allOf(variable);
    if (typeof values === 'string') {
      problems.push(values);
      return null;
    }
    const units = textIn(variable.attributes, 'units');
    const marked = variable.attributes.has('missing_value') || variable.attributes.has('_FillValue');
    // −9999 is missing in these files whether or not an attribute says so; no number here is ever that low.
    return values.map((x) => (!marked && x <= -8888 ? NaN : convert(x, units)));
  };
  const asMeaning = (name: RegExp): Float64Array | null => {
    const variable = along(name);
    const meaning = variable === undefined ? null : meaningOf(variable);
    if (typeof meaning === 'string') {
      problems.push(meaning);
      return null;
    }
    const scaled = read(name, (x) => x * (meaning?.factor ?? 1) + (meaning?.offset ?? 0));
    // An altitude is geometric; a geopotential height, which says so by its name, is turned.
    return scaled !== null &&
      /geopotential|gph|^zg?$/i.test(`${variable?.name} ${textIn(variable?.attributes ?? new Map(), 'standard_name')}`)
      ? scaled.map(geometricHeight)
      : scaled;
  };
  const kelvin = (x: number, units: string): number => (/^(k|kelvin|degk)$/i.test(units) ? x : x + KELVIN_AT_0_C);
  const pascal = (x: number, units: string): number => (/^(pa|pascals?)$/i.test(units) ? x : x * PA_PER_HPA);
  const speed = (x: number, units: string): number => (/^(kt|kts|knots?)$/i.test(units) ? (x * 1852) / 3600 : x);
  return {
    height: possible(asMeaning(NAMES.height), problems),
    pressure: read(NAMES.pressure, pascal),
    temperature: read(NAMES.temperature, kelvin),
    dewPoint: read(NAMES.dewPoint, kelvin),
    speed: read(NAMES.speed, speed),
    direction: read(NAMES.direction, (x) => x),
    u: read(NAMES.u, speed),
    v: read(NAMES.v, speed),
    lat: read(NAMES.lat, (x) => x),
    lon: read(NAMES.lon, (x) => x),
  };
}

const finite = (values: Float64Array | null, k: number): number | null => {
  const x = values?.[k] ?? NaN;
  return Number.isFinite(x) ? x : null;
};

function levelAt(samples: Samples, k: number): DecodedLevel {
  const [from, speed] = [finite(samples.direction, k), finite(samples.speed, k)];
  const [u, v] = [finite(samples.u, k), finite(samples.v, k)];
  const measured = from !== null && speed !== null && from >= 0 && from <= 360 && speed >= 0 && speed < 150;
  const wind = measured
    ? { from_deg: wrap360(from), speed_mps: speed }
    : u !== null && v !== null
      ? windFrom(u, v)
      : null;
  return {
    height_m: finite(samples.height, k),
    pressure_Pa: finite(samples.pressure, k),
    from_deg: wind?.from_deg ?? null,
    speed_mps: wind?.speed_mps ?? null,
    temperature_K: finite(samples.temperature, k),
    ...(samples.dewPoint === null ? {} : { dewPoint_K: finite(samples.dewPoint, k) }),
  };
}

/** Of the first sample that has one, else of the file. */
function positionOf(file: NcFile, { lat, lon }: Samples): LonLat | null {
  const good = (x: number, y: number): boolean => Math.abs(x) <= 360 && Math.abs(y) <= 90;
  const first = lat?.findIndex((y, k) => good(lon?.[k] ?? NaN, y)) ?? -1;
  const x = first >= 0 ? (lon?.[first] ?? NaN) : (singleNumber(file, NAMES.lon) ?? NaN);
  const y = first >= 0 ? (lat?.[first] ?? NaN) : (singleNumber(file, NAMES.lat) ?? NaN);
  return good(x, y) ? [wrap180(x), y] : null;
}

/** The time of the first sample. */
function startOf(file: NcFile, dim: string, problems: string[]): string | null {
  const candidates = file.variables.filter(
    ({ name, dims }) => NAMES.time.test(name) && (dims.length === 0 || (dims.length === 1 && dims[0] === dim)),
  );
  const timed = candidates.filter(({ attributes }) => /since/.test(textIn(attributes, 'units')));
  const variable = timed.find(({ name }) => name === 'time') ?? timed[0];
  if (variable === undefined) {
    problems.push('nothing says when the sounding began');
    return null;
  }
  const unit = timeUnit(textIn(variable.attributes, 'units'), textIn(variable.attributes, 'calendar'));
  const values = allOf(variable);
  if (typeof unit === 'string' || typeof values === 'string') {
    problems.push(typeof unit === 'string' ? unit : String(values));
    return null;
  }
  const seconds = unit.origin_s + (values.find(Number.isFinite) ?? NaN) * unit.step_s;
  return Math.abs(seconds) < 8.64e12 ? isoOf(Math.round(seconds)) : null;
}
