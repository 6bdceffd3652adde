// Numbers as a person reads them: value, thin space, unit; directions three digits with a degree sign; times hh:mm:ssZ;
// ages in words; an en dash where there is no value. Takes SI and degrees, answers text. Pure: the clock and the zone
// are arguments.
import { never } from '../core/base/problem.ts';
import { M_PER_FT, M_PER_NM, MPS_PER_KMH, MPS_PER_KT } from '../core/base/units.ts';
import { octant, threeDigits } from '../core/words/winds.ts';

export { octant };

export interface Units {
  readonly length: 'm' | 'ft';
  readonly speed: 'm/s' | 'kt' | 'km/h';
  readonly height: 'MSL' | 'AGL';
  readonly time: 'UTC' | 'local';
}

export const THIN = '\u2009';
export const MINUS = '\u2212';
export const MISSING = '\u2013';

/**
 * A number with the true minus sign and thin spaces between thousands (from five digits on, so that 1500 stays one
 * word).
 */
export function number(value: number, decimals = 0): string {
  const fixed = Math.abs(value).toFixed(decimals);
  const [whole = '', part] = fixed.split('.');
  const grouped = whole.length > 4 ? whole.replace(/\B(?=(\d{3})+$)/g, THIN) : whole;
  const isZero = Number(fixed) === 0;
  return `${value < 0 && !isZero ? MINUS : ''}${grouped}${part === undefined ? '' : `.${part}`}`;
}

/** Value, thin space, unit. What is not a number is the en dash alone: the caller says why beside it. */
export function quantity(value: number, unit: string, decimals = 0): string {
  return Number.isFinite(value) ? `${number(value, decimals)}${THIN}${unit}` : MISSING;
}

const rounded = (value: number, step: number): number => Math.round(value / step) * step;

/** A difference of heights, or a length upright: metres to 1 m below 1 000 and to 10 m above; feet to 10 ft. */
export function lengthUp(length_m: number, units: Units): string {
  if (units.length === 'ft') return quantity(rounded(length_m / M_PER_FT, 10), 'ft');
  return quantity(Math.abs(length_m) < 1000 ? length_m : rounded(length_m, 10), 'm');
}

/** A height with its reference, always: `1500 m AGL`. `ground_m`: height of the ground that AGL counts from, MSL. */
export function height(height_m: number, units: Units, ground_m: number): string {
  const value = lengthUp(units.height === 'AGL' ? height_m - ground_m : height_m, units);
  return value === MISSING ? MISSING : `${value} ${units.height}`;
}

/**
 * A distance over the ground: to 10 m below a kilometre, then 0.1 km, then whole kilometres; feet, then nautical miles.
 */
export function distance(distance_m: number, units: Units): string {
  if (!Number.isFinite(distance_m)) return MISSING;
  if (units.length === 'ft') {
    const nauticalMiles = distance_m / M_PER_NM;
    if (nauticalMiles < 0.5) return quantity(rounded(distance_m / M_PER_FT, 50), 'ft');
    return quantity(nauticalMiles, 'NM', nauticalMiles < 100 ? 1 : 0);
  }
  if (rounded(distance_m, 10) < 1000) return quantity(rounded(distance_m, 10), 'm');
  return quantity(distance_m / 1000, 'km', distance_m < 99_950 ? 1 : 0);
}

/** Knots and km/h to the whole unit, m/s to a tenth: what wind reports are good for. `decimals` where more is meant. */
export function speed(speed_mps: number, units: Units, decimals?: number): string {
  switch (units.speed) {
    case 'm/s':
      return quantity(speed_mps, 'm/s', decimals ?? 1);
    case 'kt':
      return quantity(speed_mps / MPS_PER_KT, 'kt', decimals ?? 0);
    case 'km/h':
      return quantity(speed_mps / MPS_PER_KMH, 'km/h', decimals ?? 0);
    default:
      return never(units.speed);
  }
}

/** Three digits and a degree sign, 001° to 360° as winds are said: north is 360°, which a calm's 000 is not. */
export function direction(angle_deg: number): string {
  return Number.isFinite(angle_deg) ? threeDigits(angle_deg) : MISSING;
}

export function directionWords(angle_deg: number): string {
  return Number.isFinite(angle_deg) ? `${direction(angle_deg)} (${octant(angle_deg)})` : MISSING;
}

/** Below this a wind is called calm, as in surface reports (WMO-No. 306, FM 15: under 1 kt). */
export const CALM_MPS = 0.5;

/** A wind in words, both ends said. `toward`: a landmark on the side that it blows to, or null. */
export function windWords(from_deg: number, speed_mps: number, units: Units, toward: string | null): string {
  if (!(speed_mps >= CALM_MPS)) return Number.isFinite(speed_mps) ? 'calm' : MISSING;
  const to = toward === null ? directionWords(from_deg + 180) : toward;
  return `from ${directionWords(from_deg)}, ${speed(speed_mps, units)}, blowing toward ${to}`;
}

const pad = (n: number): string => String(n).padStart(2, '0');

/** hh:mm:ss with Z, or the local clock of an IANA zone with the word local. `time_ms`: since 1970-01-01T00:00:00Z. */
export function clock(time_ms: number, units: Units, timeZone: string | undefined): string {
  return units.time === 'UTC' || timeZone === undefined ? clockUtc(time_ms) : clockLocal(time_ms, timeZone);
}

export function clockUtc(time_ms: number): string {
  if (!Number.isFinite(time_ms)) return MISSING;
  const at = new Date(time_ms);
  return `${pad(at.getUTCHours())}:${pad(at.getUTCMinutes())}:${pad(at.getUTCSeconds())}Z`;
}

/** The local clock; where the runtime does not know the zone, UTC, which is marked as such and therefore safe. */
export function clockLocal(time_ms: number, timeZone: string): string {
  if (!Number.isFinite(time_ms)) return MISSING;
  if (!knowsZone(timeZone)) return clockUtc(time_ms);
  const parts = { hour: '2-digit', minute: '2-digit', second: '2-digit', hourCycle: 'h23', timeZone } as const;
  return `${new Intl.DateTimeFormat('en-GB', parts).format(time_ms)} local`;
}

export function knowsZone(timeZone: string): boolean {
  try {
    return new Intl.DateTimeFormat('en-GB', { timeZone }).resolvedOptions().timeZone !== '';
  } catch {
    return false;
  }
}

const months = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec'] as const;

/** 14 Mar 2026, by UTC. */
export function dateUtc(time_ms: number): string {
  if (!Number.isFinite(time_ms)) return MISSING;
  const at = new Date(time_ms);
  return `${at.getUTCDate()} ${months[at.getUTCMonth()] ?? ''} ${at.getUTCFullYear()}`;
}

/** A length of time in its two largest parts: `42 s`, `4 min 05 s`, `2 h 05 min`, `3 d 4 h`. */
export function duration(time_s: number): string {
  if (!Number.isFinite(time_s)) return MISSING;
  const s = Math.round(Math.abs(time_s));
  const sign = time_s < 0 && s > 0 ? MINUS : '';
  const part = (n: number, unit: string): string => `${n}${THIN}${unit}`;
  if (s < 60) return sign + part(s, 's');
  if (s < 3600) return `${sign}${part(Math.floor(s / 60), 'min')} ${pad(s % 60)}${THIN}s`;
  if (s < 86_400) return `${sign}${part(Math.floor(s / 3600), 'h')} ${pad(Math.floor((s % 3600) / 60))}${THIN}min`;
  return `${sign}${part(Math.floor(s / 86_400), 'd')} ${Math.floor((s % 86_400) / 3600)}${THIN}h`;
}

/** How old something is: `now`, `3 min`, `2 h 10 min`, `5 d`; what is still to come is `in 3 min`. */
export function age(age_s: number): string {
  if (!Number.isFinite(age_s)) return MISSING;
  const s = Math.abs(age_s);
  if (s < 30) return 'now';
  const minutes = Math.round(s / 60);
  const text =
    minutes < 60
      ? `${Math.max(1, minutes)}${THIN}min`
      : minutes < 1440
        ? `${Math.floor(minutes / 60)}${THIN}h${minutes % 60 === 0 ? '' : ` ${pad(minutes % 60)}${THIN}min`}`
        : `${Math.round(minutes / 1440)}${THIN}d`;
  return age_s < 0 ? `in ${text}` : text;
}

/** Kelvin as whole degrees Celsius. */
export function celsius(temperature_K: number): string {
  return quantity(temperature_K - 273.15, '°C');
}

/** What a typed length is in metres, by the switch in force. */
export const metresFrom = (value: number, unit: Units['length']): number => (unit === 'ft' ? value * M_PER_FT : value);
export const metresTo = (value_m: number, unit: Units['length']): number =>
  unit === 'ft' ? value_m / M_PER_FT : value_m;

const perUnit: Readonly<Record<Units['speed'], number>> = { 'm/s': 1, kt: MPS_PER_KT, 'km/h': MPS_PER_KMH };
export const mpsFrom = (value: number, unit: Units['speed']): number => value * perUnit[unit];
export const mpsTo = (value_mps: number, unit: Units['speed']): number => value_mps / perUnit[unit];

/** Local time minus UTC in a zone at a moment, seconds; 0 where the runtime does not know the zone. */
export function offsetOf_s(time_ms: number, timeZone: string): number {
  if (!Number.isFinite(time_ms) || !knowsZone(timeZone)) return 0;
  const parts = new Intl.DateTimeFormat('en-GB', { timeZone, timeZoneName: 'longOffset' }).formatToParts(time_ms);
  const text = parts.find((part) => part.type === 'timeZoneName')?.value ?? '';
  const found = /([+-])(\d{2}):?(\d{2})?/.exec(text);
  if (found === null) return 0;
  return (found[1] === '-' ? -1 : 1) * (Number(found[2]) * 3600 + Number(found[3] ?? 0) * 60);
}
