// Numbers as a person reads them: value, narrow no-break space, unit; an en dash where there is no value. Everything
// that a person reads is formatted in this folder and nowhere else (`tests/words/oneVoice.test.ts`). Takes SI, degrees
// and seconds since 1970, answers text.
import { M_PER_FT, MPS_PER_KMH, MPS_PER_KT } from '../base/units.ts';

/** What a person can switch. */
export interface UnitChoice {
  readonly length: 'm' | 'ft';
  readonly speed: 'm/s' | 'kt' | 'km/h';
  readonly height: 'MSL' | 'AGL';
  readonly time: 'UTC' | 'local';
}

/** How a person reads numbers. Every function that shows one takes them; left out they are the paper's. */
export interface Units extends UnitChoice {
  /** The site's zone, IANA: for local times. */
  readonly timeZone?: string | undefined;
  /** The day of the moment that is looked at (`dayShown`): a time on another day carries its date. */
  readonly today?: string;
  /** A second speed in brackets, for readers whose instruments' unit is not known. */
  readonly alsoSpeed?: 'kt';
}

/** What is printed, sent or said by the core for people with instruments of either kind. */
export const PAPER_UNITS: Units = { length: 'm', speed: 'm/s', height: 'MSL', time: 'UTC', alsoSpeed: 'kt' };

/** U+202F: thin, and a line never breaks between a value and its unit. */
export const THIN = '\u202f';
export const MINUS = '\u2212';
export const MISSING = '\u2013';

/** A number with the true minus sign and thin spaces between thousands, from five digits on: 1500 stays one word. */
export function number(value: number, decimals = 0): string {
  if (!Number.isFinite(value)) return MISSING;
  const fixed = Math.abs(value).toFixed(decimals);
  const [whole = '', part] = fixed.split('.');
  const grouped = whole.length > 4 ? whole.replace(/\B(?=(\d{3})+$)/g, THIN) : whole;
  const isZero = Number(fixed) === 0;
  return `${value < 0 && !isZero ? MINUS : ''}${grouped}${part === undefined ? '' : `.${part}`}`;
}

/** A number to at most so many decimals, without zeros at their end. */
export const trimmed = (value: number, decimals: number): string =>
  number(value, decimals)
    .replace(/(\.\d*?)0+$/, '$1')
    .replace(/\.$/, '');

/** The shortest writing of a number that keeps `decimals` of it, for a field or a line that is read again. */
export const plain = (value: number, decimals: number): string => String(Number(value.toFixed(decimals)));

/** Value, thin space, unit. Not a number: the en dash alone; the caller says why. */
export function quantity(value: number, unit: string, decimals = 0): string {
  return Number.isFinite(value) ? `${number(value, decimals)}${THIN}${unit}` : MISSING;
}

/** An angle that is not a direction: "30°". */
export const angle = (angle_deg: number, decimals = 0): string =>
  Number.isFinite(angle_deg) ? `${trimmed(angle_deg, decimals)}°` : MISSING;

/** A share of something counted whole: "33 %". For an estimated probability see `chanceWords`. */
export const percent = (share: number, decimals = 0): string => quantity(100 * share, '%', decimals);

/** What "nearly all" means where times and sizes of drawn descents are said. */
export const NEARLY_ALL = percent(0.95);

/** A probability, estimated from a sample or a model, so neither 0 nor 1: "87 %", "over 99 %", "under 1 %". */
export function chanceWords(p: number, decimals = 0): string {
  if (p > 0.99) return `over 99${THIN}%`;
  return p < 0.01 ? `under 1${THIN}%` : percent(p, decimals);
}

/** The same with the standard error of its sample, where that shows in whole per cent: "83 % ± 1". */
export function sampledChance(p: number, error: number): string {
  const off = Math.round(100 * error);
  return p > 0.99 || p < 0.01 || !(off >= 1) ? chanceWords(p) : `${chanceWords(p)} ± ${off}`;
}

export const rounded = (value: number, step: number): number => Math.round(value / step) * step;

/** The text with a capital first letter. */
export const capital = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);

/** A typed length in metres, by the chosen unit. */
export const metresFrom = (value: number, unit: Units['length']): number => (unit === 'ft' ? value * M_PER_FT : value);
export const metresTo = (value_m: number, unit: Units['length']): number =>
  unit === 'ft' ? value_m / M_PER_FT : value_m;

const MPS_PER: Readonly<Record<Units['speed'], number>> = { 'm/s': 1, kt: MPS_PER_KT, 'km/h': MPS_PER_KMH };
export const mpsFrom = (value: number, unit: Units['speed']): number => value * MPS_PER[unit];
export const mpsTo = (value_mps: number, unit: Units['speed']): number => value_mps / MPS_PER[unit];
