// Columns of wind tables: which quantity a header name means, in which unit, and the reading of one cell into SI.
// A unit is always said by the header (its name's ending, or a fixed mnemonic), never guessed from the numbers.
import { KELVIN_AT_0_C, M_PER_FT, MPS_PER_KMH, MPS_PER_KT, MPS_PER_MPH, PA_PER_HPA } from '../../base/units.ts';
import { shown } from '../text/shown.ts';
import { TEMPERATURE_K, WIND_MAX_MPS } from '../../air/levels.ts';
import { isMissing, numberOf } from '../text/text.ts';
import type { Findings, TextPlace } from '../text/text.ts';

export type CellQuantity =
  | 'height'
  | 'geopotential'
  | 'agl'
  | 'pressure'
  | 'temperature'
  | 'dewPoint'
  | 'from'
  | 'speed'
  | 'gust'
  | 'u'
  | 'v'
  | 'latitude'
  | 'longitude'
  | 'time'
  | 'validTime';

type Kind = 'length' | 'pressure' | 'temperature' | 'angle' | 'speed' | 'time';

/** SI value = written value × factor + offset. */
export interface Unit {
  readonly name: string;
  readonly kind: Kind;
  readonly factor: number;
  readonly offset: number;
}

const unit = (name: string, kind: Kind, factor = 1, offset = 0): Unit => ({ name, kind, factor, offset });

export const M = unit('m', 'length');
export const HPA = unit('hPa', 'pressure', PA_PER_HPA);
export const PA = unit('Pa', 'pressure');
export const CELSIUS = unit('°C', 'temperature', 1, KELVIN_AT_0_C);
export const KELVIN = unit('K', 'temperature');
export const DEG = unit('°', 'angle');
export const MPS = unit('m/s', 'speed');
export const KT = unit('kt', 'speed', MPS_PER_KT);
const FT = unit('ft', 'length', M_PER_FT);
const KM = unit('km', 'length', 1000);
const KPA = unit('kPa', 'pressure', 1000);
const FAHRENHEIT = unit('°F', 'temperature', 5 / 9, KELVIN_AT_0_C - 160 / 9);
const KMH = unit('km/h', 'speed', MPS_PER_KMH);
const MPH = unit('mph', 'speed', MPS_PER_MPH);

/** How units are written after a name, all in lower case, parts joined by `_`. */
const UNITS = new Map<string, Unit>(
  Object.entries({
    m: M,
    metres: M,
    meters: M,
    gpm: M,
    ft: FT,
    feet: FT,
    km: KM,
    pa: PA,
    hpa: HPA,
    mb: HPA,
    mbar: HPA,
    kpa: KPA,
    c: CELSIUS,
    degc: CELSIUS,
    deg_c: CELSIUS,
    celsius: CELSIUS,
    k: KELVIN,
    kelvin: KELVIN,
    f: FAHRENHEIT,
    degf: FAHRENHEIT,
    deg: DEG,
    degree: DEG,
    degrees: DEG,
    deg_true: DEG,
    mps: MPS,
    ms: MPS,
    m_s: MPS,
    m_s_1: MPS,
    kt: KT,
    kts: KT,
    kn: KT,
    knot: KT,
    knots: KT,
    kmh: KMH,
    km_h: KMH,
    kph: KMH,
    mph: MPH,
  }),
);

interface Meaning {
  readonly says: string;
  readonly kind: Kind;
  /** Bounds in SI; a value outside is not a measurement. */
  readonly min: number;
  readonly max: number;
}

const MEANINGS: Readonly<Record<CellQuantity, Meaning>> = {
  height: { says: 'height', kind: 'length', min: -1000, max: 100_000 },
  geopotential: { says: 'height', kind: 'length', min: -1000, max: 100_000 },
  agl: { says: 'height above ground', kind: 'length', min: -1000, max: 100_000 },
  pressure: { says: 'pressure', kind: 'pressure', min: 0.1, max: 110_000 },
  temperature: { says: 'temperature', kind: 'temperature', ...TEMPERATURE_K },
  dewPoint: { says: 'dew point', kind: 'temperature', min: 100, max: 340 },
  from: { says: 'direction', kind: 'angle', min: 0, max: 360 },
  speed: { says: 'speed', kind: 'speed', min: 0, max: WIND_MAX_MPS },
  gust: { says: 'gust', kind: 'speed', min: 0, max: WIND_MAX_MPS },
  u: { says: 'eastward wind', kind: 'speed', min: -WIND_MAX_MPS, max: WIND_MAX_MPS },
  v: { says: 'northward wind', kind: 'speed', min: -WIND_MAX_MPS, max: WIND_MAX_MPS },
  latitude: { says: 'latitude', kind: 'angle', min: -90, max: 90 },
  longitude: { says: 'longitude', kind: 'angle', min: -180, max: 360 },
  time: { says: 'time', kind: 'time', min: -Infinity, max: Infinity },
  validTime: { says: 'valid time', kind: 'time', min: -Infinity, max: Infinity },
};

/** Names before the unit, lower case, parts joined by `_`. A height without more is geometric, above mean sea level. */
const NAMES = new Map<string, CellQuantity>(
  Object.entries({
    height: 'height',
    altitude: 'height',
    alt: 'height',
    height_msl: 'height',
    altitude_msl: 'height',
    gps_altitude: 'height',
    geometric_height: 'height',
    geopotential_height: 'geopotential',
    geopotential: 'geopotential',
    height_agl: 'agl',
    agl: 'agl',
    pressure: 'pressure',
    pres: 'pressure',
    p: 'pressure',
    temperature: 'temperature',
    temp: 'temperature',
    air_temperature: 'temperature',
    t: 'temperature',
    dew_point: 'dewPoint',
    dewpoint: 'dewPoint',
    dew_point_temperature: 'dewPoint',
    td: 'dewPoint',
    from: 'from',
    wind_from: 'from',
    wind_from_direction: 'from',
    direction: 'from',
    wind_direction: 'from',
    dir: 'from',
    wdir: 'from',
    speed: 'speed',
    wind_speed: 'speed',
    wspd: 'speed',
    spd: 'speed',
    gust: 'gust',
    wind_gust: 'gust',
    u: 'u',
    wind_u: 'u',
    eastward_wind: 'u',
    v: 'v',
    wind_v: 'v',
    northward_wind: 'v',
    latitude: 'latitude',
    lat: 'latitude',
    longitude: 'longitude',
    lon: 'longitude',
    time: 'time',
    validtime: 'validTime',
    valid_time: 'validTime',
  }),
);

/** The fixed four-letter names of upper-air tables; heights in them are geopotential. Written in capitals only. */
const MNEMONICS = new Map<string, readonly [CellQuantity, Unit]>(
  Object.entries({
    PRES: ['pressure', HPA],
    PRESS: ['pressure', HPA],
    LEVEL: ['pressure', HPA],
    HGHT: ['geopotential', M],
    TEMP: ['temperature', CELSIUS],
    TMPC: ['temperature', CELSIUS],
    TMPK: ['temperature', KELVIN],
    DWPT: ['dewPoint', CELSIUS],
    DWPC: ['dewPoint', CELSIUS],
    DWPK: ['dewPoint', KELVIN],
    DRCT: ['from', DEG],
    WDIR: ['from', DEG],
    SPED: ['speed', MPS],
    SKNT: ['speed', KT],
    WSPD: ['speed', KT],
    UWND: ['u', MPS],
    VWND: ['v', MPS],
  }),
);

/** Quantities of upper-air tables that say nothing about wind or air density: left unread without a word. */
const UNREAD = new Set(
  (
    'RELH MIXR THTA THTE THTV OMEG CWTR DTCP DTGP DTSW DTLW CFRL TKEL IMXR DTAR relative_humidity ' +
    'humidity_wrt_ice humidity mixing_ratio ice_point_temperature vertical_speed ascent_rate gps_satellites ' +
    'potential_temperature'
  ).split(' '),
);

export interface Column {
  readonly index: number;
  readonly name: string;
  readonly quantity: CellQuantity;
  readonly unit: Unit;
}

export type Named =
  | { readonly kind: 'column'; readonly column: Column }
  | { readonly kind: 'unread' }
  | { readonly kind: 'wrong'; readonly text: string };

const plain = (name: string): string =>
  name
    .toLowerCase()
    .replace(/[°º˚]/g, 'deg')
    .replace(/[\s./()[\]:-]+/g, '_')
    .replace(/^_+|_+$/g, '');

const TOWARD = /^(?:wind_)?(?:to|toward|towards|blowing_to)(?:_|$)/;

/** Splits "wind_speed_m_s" into the name and the longest ending that is a unit. */
function splitUnit(written: string): { base: string; unit: Unit | null } {
  // "height_ft_agl" says the same as "height_agl_ft".
  const name = written.replace(/_(m|ft|km)_(msl|agl)$/, '_$2_$1');
  for (let at = name.indexOf('_'); at > 0; at = name.indexOf('_', at + 1)) {
    const found = UNITS.get(name.slice(at + 1));
    if (found !== undefined) return { base: name.slice(0, at), unit: found };
  }
  return { base: name, unit: null };
}

/**
 * What one header name means.
 *
 * Legal      height_m, height_ft, height_agl_ft, "geopotential height_m", altitude (km), from_deg, direction, speed_kt,
 *            wind speed_m/s,
 *            u_mps, temperature_C, temperature_K, dew_point_C, pressure_hPa, PRES, HGHT, SKNT, lat, longitude,
 *            validTime
 * Not legal  height (no unit), speed_hPa (the unit of something else), toward_deg (winds are said by where they blow
 *            from), colour
 */
export function columnOf(written: string, index: number): Named {
  const name = written.trim();
  const fixed = MNEMONICS.get(name);
  if (fixed !== undefined) return { kind: 'column', column: { index, name, quantity: fixed[0], unit: fixed[1] } };
  const { base, unit: given } = splitUnit(plain(name));
  if (UNREAD.has(name) || UNREAD.has(base) || UNREAD.has(base.replace(/_(?:%|pct|percent|g_kg)$/, '')))
    return { kind: 'unread' };
  if (TOWARD.test(base)) {
    return {
      kind: 'wrong',
      text: `column ${shown(name)}: winds are read by where they blow from; add 180 and name it from_deg`,
    };
  }
  const quantity = NAMES.get(base);
  if (quantity === undefined) return { kind: 'wrong', text: `column ${shown(name)} is not known and not used` };
  const meaning = MEANINGS[quantity];
  const natural = meaning.kind === 'angle' || meaning.kind === 'time' ? DEG : null;
  const used = given ?? natural;
  if (used === null)
    return {
      kind: 'wrong',
      text: `column ${shown(name)} says no unit and is not used; expected ${EXAMPLES[meaning.kind]}`,
    };
  if (given !== null && given.kind !== meaning.kind) {
    return {
      kind: 'wrong',
      text: `column ${shown(name)}: ${meaning.says} in ${given.name}; expected ${EXAMPLES[meaning.kind]}`,
    };
  }
  return { kind: 'column', column: { index, name, quantity, unit: used } };
}

const EXAMPLES: Readonly<Record<Kind, string>> = {
  length: 'an ending such as height_m or height_ft',
  pressure: 'an ending such as pressure_hPa or pressure_Pa',
  temperature: 'an ending such as temperature_C or temperature_K',
  speed: 'an ending such as speed_kt, speed_mps or speed_kmh',
  angle: 'degrees, such as from_deg',
  time: 'no unit',
};

/**
 * The cells of one row that hold a number, in SI. `refused`: another cell of the row held something else, and a finding
 * says so.
 */
export type Cells = Partial<Record<CellQuantity, number>> & { refused?: boolean };

const rounded = (value: number): string => String(Number(value.toPrecision(4)));

/**
 * One cell in SI; null where it is missing or is not a possible value (then it stands in `findings`).
 * text     without surrounding blanks
 * missing  how the format writes "not measured", where that differs from the usual ways
 */
export function readCell(
  column: Pick<Column, 'quantity' | 'unit'>,
  text: string,
  place: TextPlace,
  findings: Findings,
  missing: (text: string) => boolean = isMissing,
): number | null {
  if (missing(text)) return null;
  const { factor, offset, name } = column.unit;
  const meaning = MEANINGS[column.quantity];
  const value = numberOf(text) * factor + offset;
  // A rounded bound must not refuse its own value: 100 % of the range is legal.
  if (value >= meaning.min - 1e-9 && value <= meaning.max + 1e-9) return value;
  const low = rounded((meaning.min - offset) / factor);
  const high = rounded((meaning.max - offset) / factor);
  const wants =
    column.quantity === 'from' ? `${low} to ${high}, where the wind blows from` : `${low} to ${high} ${name}`;
  const kind = Number.isNaN(value)
    ? `cells of ${meaning.says} that are not numbers`
    : `cells of ${meaning.says} out of range`;
  findings.add(
    kind,
    place,
    `${meaning.says} ${shown(text)}${Number.isNaN(value) ? ' is not a number' : ''}; expected ${wants}`,
  );
  return null;
}

/** Reads the named columns of one row that was cut into cells. */
export function readCells(
  columns: readonly Column[],
  cells: readonly string[],
  place: TextPlace,
  findings: Findings,
): Cells {
  const row: Cells = {};
  for (const column of columns) {
    if (MEANINGS[column.quantity].kind === 'time') continue;
    const text = (cells[column.index] ?? '').trim();
    const value = readCell(column, text, place, findings);
    if (value !== null) row[column.quantity] = value;
    else if (!isMissing(text)) row.refused = true;
  }
  return row;
}
