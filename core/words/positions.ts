// Positions and bearings as a person reads them: one precision for what a crew steers by, true and magnetic side by
// side. Positions [longitude, latitude] in degrees; bearings true, degrees.
import { trueToMagnetic, type Declination } from '../earth/declination.ts';
import { toMgrs, toUtm, utmBand } from '../earth/utm.ts';
import { never } from '../base/problem.ts';
import { wrap180, type LonLat } from '../base/units.ts';
import { MISSING, number } from './numbers.ts';
import { direction } from './winds.ts';

export type CoordinateFormat = 'degrees' | 'degrees-minutes' | 'degrees-minutes-seconds' | 'MGRS' | 'UTM';

/**
 * A position in any format, rounded to within `precision_m` (MGRS: squares of that side); 1 m by default, 1 cm at best.
 */
export function formatPosition(place: LonLat, format: CoordinateFormat, precision_m: number = 1): string {
  const step = Math.max(0.01, precision_m);
  const digits = (unit_m: number): number => Math.max(0, Math.ceil(Math.log10(unit_m / (2 * step)) - 1e-9));
  switch (format) {
    case 'degrees':
      return formatDegrees(place, digits(111_320));
    case 'degrees-minutes':
      return formatDegreesMinutes(place, digits(1855));
    case 'degrees-minutes-seconds':
      return formatDegreesMinutesSeconds(place, digits(30.9));
    case 'MGRS':
      return formatMgrs(place, Math.max(0, Math.min(5, digits(200_000))));
    case 'UTM':
      return formatUtm(place, digits(1));
    default:
      return never(format);
  }
}

/** "30.08560° S 022.41246° E" */
export function formatDegrees(place: LonLat, decimals: number = 5): string {
  return both(place, (angle, width) => {
    const [degrees = 0] = sexagesimal(angle, 1, decimals);
    return `${fixed(degrees, width, decimals)}°`;
  });
}

/** "30° 05.136′ S 022° 24.748′ E". Three decimals are 1.9 m; two are 19 m. */
export function formatDegreesMinutes(place: LonLat, decimals: number = 3): string {
  return both(place, (angle, width) => {
    const [degrees = 0, minutes = 0] = sexagesimal(angle, 2, decimals);
    return `${fixed(degrees, width, 0)}° ${fixed(minutes, 2, decimals)}′`;
  });
}

/** "30° 05′ 08.2″ S 022° 24′ 44.9″ E" */
export function formatDegreesMinutesSeconds(place: LonLat, decimals: number = 1): string {
  return both(place, (angle, width) => {
    const [degrees = 0, minutes = 0, seconds = 0] = sexagesimal(angle, 3, decimals);
    return `${fixed(degrees, width, 0)}° ${fixed(minutes, 2, 0)}′ ${fixed(seconds, 2, decimals)}″`;
  });
}

function both(place: LonLat, write: (angle: number, width: number) => string): string {
  const [lon, lat] = place;
  if (!(Math.abs(lat) <= 90 && Number.isFinite(lon))) return MISSING;
  const east = wrap180(lon);
  return `${write(Math.abs(lat), 2)} ${lat < 0 ? 'S' : 'N'} ${write(Math.abs(east), 3)} ${east < 0 ? 'W' : 'E'}`;
}

/**
 * An angle as degrees; degrees and minutes; or degrees, minutes and seconds, the last rounded to so many decimals. It
 * is rounded once, in units of the last digit, before it is taken apart: 59.9999″ carries into the minute and never
 * prints as 60.
 */
export function sexagesimal(angle_deg: number, parts: 1 | 2 | 3, decimals: number): number[] {
  const unit = 10 ** decimals;
  let rest = Math.round(angle_deg * 60 ** (parts - 1) * unit);
  const out: number[] = [];
  for (let k = parts - 1; k > 0; k--) {
    const whole = 60 ** k * unit;
    out.push(Math.floor(rest / whole));
    rest %= whole;
  }
  out.push(rest / unit);
  return out;
}

function fixed(value: number, width: number, decimals: number): string {
  return value.toFixed(decimals).padStart(decimals > 0 ? width + 1 + decimals : width, '0');
}

/** "34J FL 26232 98125"; `digits` a side, 5 for 1 m. Outside −80° to 84° an en dash: the polar grid is not written. */
export function formatMgrs(place: LonLat, digits: number = 5): string {
  const mgrs = toMgrs(place, digits);
  if (mgrs === null) return MISSING;
  return `${mgrs.zone}${mgrs.band} ${mgrs.square} ${mgrs.easting} ${mgrs.northing}`.trim();
}

/**
 * "34J 626233 6598126": zone and latitude band, easting, northing. The metres are rounded here, where MGRS cuts them.
 * Band S is written "31 north 219700 3655286": an S after the zone is often meant for the south.
 */
export function formatUtm(place: LonLat, decimals: number = 0): string {
  const utm = toUtm(place);
  const band = utmBand(place[1]);
  if (utm === null || band === null) return MISSING;
  const zone = band === 'S' ? `${utm.zone} north` : `${utm.zone}${band}`;
  return `${zone} ${utm.easting_m.toFixed(decimals)} ${Math.max(0, utm.northing_m).toFixed(decimals)}`;
}

/** To ten metres: what a crew steers by, and what the prediction is good for. */
export const placeWords = (place: LonLat, format: CoordinateFormat): string => formatPosition(place, format, 10);

/** "310° true, 334° magnetic"; without a known declination "310° true". */
export function bothNorths(true_deg: number, declination: Declination): string {
  const magnetic = magneticOf(true_deg, declination);
  return `${direction(true_deg)} true${magnetic === null ? '' : `, ${direction(magnetic)} magnetic`}`;
}

export const magneticOf = (true_deg: number, declination: Declination): number | null =>
  declination.kind === 'known' ? trueToMagnetic(true_deg, declination.deg) : null;

/** "12.3° E". */
export const declinationWords = (declination_deg: number, decimals = 1): string =>
  `${number(Math.abs(declination_deg), decimals)}° ${declination_deg < 0 ? 'W' : 'E'}`;
