// What a GRIB2 field is of: quantity, level, valid time, run and member; sections 1 and 4.
// Source: WMO-No. 306, vol. I.2, code tables 4.1, 4.2, 4.4, 4.5 and product definition templates 4.0, 4.1, 4.2, 4.8,
// 4.11, 4.12.
import type { FieldLevel, Quantity } from '../../../air/gridFields.ts';
import { G0 } from '../../../air/air.ts';
import type { Octets } from './octets.ts';
import type { RawField } from './messages.ts';

export interface Product {
  readonly template: number;
  readonly discipline: number;
  readonly category: number;
  readonly number: number;
  readonly centre: number;
  readonly process: number;
  /** Seconds since 1970; NaN where the file's date is invalid. */
  readonly run_s: number;
  readonly valid_s: number;
  /** Code table 4.5 and value of the first level; `layer` where a second one is given. */
  readonly levelType: number;
  readonly levelValue: number | null;
  readonly layer: boolean;
  /** "" for a single forecast, else which one: "member 3", "ensemble mean". */
  readonly member: string;
  /** A spread, extreme or probability of an ensemble: not itself a wind. */
  readonly statistic: boolean;
  /** Over a time interval (mean, accumulation, extreme), not at a moment. */
  readonly interval: boolean;
}

/**
 * Templates whose first 34 octets are those of 4.0; for each, where an ensemble part and the end of an interval stand.
 */
const TEMPLATES: Readonly<Record<number, { readonly member?: 'number' | 'derived'; readonly end?: number }>> = {
  0: {},
  1: { member: 'number' },
  2: { member: 'derived' },
  8: { end: 35 },
  11: { member: 'number', end: 38 },
  12: { member: 'derived', end: 37 },
};

/** The product of a field, or a sentence why it cannot be told. */
export function productOf(raw: RawField): Product | string {
  const { product, identification } = raw;
  const template = product.unsigned(8, 2);
  const layout = TEMPLATES[template];
  if (layout === undefined)
    return `product definition template 4.${template}; read are 4.0, 4.1, 4.2, 4.8, 4.11 and 4.12`;
  const shortest = layout.end === undefined ? (layout.member === undefined ? 34 : 36) : layout.end + 6;
  if (product.length < shortest)
    return `section 4 of ${product.length} bytes; template 4.${template} needs ${shortest}`;
  const run_s = dateAt(identification, 13);
  if (Number.isNaN(run_s)) return `reference time ${written(identification, 13)} is not a date`;
  const valid_s = layout.end === undefined ? forecastTime(run_s, product) : dateAt(product, layout.end);
  if (Number.isNaN(valid_s))
    return `valid time: unit ${product.octet(18)} of code table 4.4, or an end of interval that is not a date`;
  return {
    template,
    discipline: raw.discipline,
    category: product.octet(10),
    number: product.octet(11),
    centre: identification.unsigned(6, 2),
    process: product.octet(14),
    run_s,
    valid_s,
    levelType: product.octet(23),
    levelValue: product.scaled(24, 25),
    layer: product.octet(29) !== 255,
    member: layout.member === undefined ? '' : memberOf(product, layout.member),
    statistic: layout.member === 'derived' && product.octet(35) > 1,
    interval: layout.end !== undefined,
  };
}

/** Code table 4.6 (kind of member) and 4.7 (derived forecasts): a mean is a forecast of the wind, a spread is not. */
function memberOf(product: Octets, kind: 'number' | 'derived'): string {
  const type = product.octet(35);
  if (kind === 'number') return type <= 1 ? 'control' : `member ${type === 2 ? '-' : ''}${product.octet(36)}`;
  return type <= 1 ? 'ensemble mean' : `ensemble statistic ${type}`;
}

/** Year, month, day, hour, minute, second from octet n, seconds since 1970; NaN where they are not a date. */
function dateAt(octets: Octets, n: number): number {
  const [year, month, day] = [octets.unsigned(n, 2), octets.octet(n + 2), octets.octet(n + 3)];
  const [hour, minute, second] = [octets.octet(n + 4), octets.octet(n + 5), octets.octet(n + 6)];
  const fits = year >= 1600 && month >= 1 && month <= 12 && day >= 1 && hour < 24 && minute < 60 && second < 61;
  if (!fits || day > new Date(Date.UTC(year, month, 0)).getUTCDate()) return NaN;
  return Date.UTC(year, month - 1, day, hour, minute, second) / 1000;
}

const written = (octets: Octets, n: number): string =>
  [
    octets.unsigned(n, 2),
    octets.octet(n + 2),
    octets.octet(n + 3),
    octets.octet(n + 4),
    octets.octet(n + 5),
    octets.octet(n + 6),
  ].join('-');

/** Code table 4.4; the units of fixed length, s. */
const UNIT_S: Readonly<Record<number, number>> = {
  0: 60,
  1: 3600,
  2: 86_400,
  10: 10_800,
  11: 21_600,
  12: 43_200,
  13: 1,
};
/** Units that the calendar measures, in months. */
const UNIT_MONTHS: Readonly<Record<number, number>> = { 3: 1, 4: 12, 5: 120, 6: 360, 7: 1200 };

function forecastTime(run_s: number, product: Octets): number {
  const unit = product.octet(18);
  const ahead = product.signed(19, 4);
  const seconds = UNIT_S[unit];
  if (seconds !== undefined) return run_s + ahead * seconds;
  const months = UNIT_MONTHS[unit];
  if (months === undefined) return NaN;
  const run = new Date(run_s * 1000);
  return run.setUTCMonth(run.getUTCMonth() + ahead * months) / 1000;
}

/** The quantity of a product that winds are made of, with the factor to our unit; null for everything else. */
export function quantityOf(product: Product): { readonly quantity: Quantity; readonly factor: number } | null {
  const { discipline, category, number } = product;
  if (discipline === 2) return category === 0 && number === 7 ? { quantity: 'height_gpm', factor: 1 } : null;
  if (discipline !== 0) return null;
  switch (`${category}.${number}`) {
    case '2.2':
      return { quantity: 'u_mps', factor: 1 };
    case '2.3':
      return { quantity: 'v_mps', factor: 1 };
    case '0.0':
      return { quantity: 'temperature_K', factor: 1 };
    case '3.5':
      return { quantity: 'height_gpm', factor: 1 };
    case '3.4':
      return { quantity: 'height_gpm', factor: 1 / G0 };
    case '3.6':
      return { quantity: 'height_m', factor: 1 };
    default:
      return null;
  }
}

/** The level of a product that a column is made of; null for layers and for surfaces such as the tropopause. */
export function fieldLevelOf(product: Product): FieldLevel | null {
  const { levelType, levelValue, layer } = product;
  // Of the ground and the model's own levels some centres write a value or a second surface, which says nothing here.
  if (levelType === 1) return { kind: 'ground', value: 0 };
  if (levelValue === null || layer) return null;
  if (levelType === 100) return levelValue > 0 ? { kind: 'pressure', value: levelValue } : null;
  if (levelType === 102) return { kind: 'above sea', value: levelValue };
  if (levelType === 103) return { kind: 'above ground', value: levelValue };
  if (levelType === 105 || levelType === 118 || levelType === 119) return { kind: 'model', value: levelValue };
  return null;
}
