// Times as wind files write them, turned into ISO 8601 UTC. There is no clock here: a day without its month needs a
// reference.
import { isoOf } from '../../base/plainNumbers.ts';

const DAY_S = 86_400;
const MONTHS = ['jan', 'feb', 'mar', 'apr', 'may', 'jun', 'jul', 'aug', 'sep', 'oct', 'nov', 'dec'];

/** 1 to 12 for a month's English name or its first three letters; NaN for another word. */
export function monthOf(name: string): number {
  const at = MONTHS.indexOf(name.slice(0, 3).toLowerCase());
  return at < 0 ? NaN : at + 1;
}

export type UtcDate = readonly [year: number, month: number, day: number];

/** Seconds since 1970 of a UTC date; null where there is no such date or time (31 April, 25 h). */
export function utcSeconds(date: UtcDate, hour = 0, minute = 0, second = 0): number | null {
  const [year, month, day] = date;
  if (![year, month, day, hour, minute].every((part) => Number.isInteger(part))) return null;
  if (!(
    year >= 1900 &&
    year <= 2200 &&
    hour >= 0 &&
    hour <= 24 &&
    minute >= 0 &&
    minute < 60 &&
    second >= 0 &&
    second < 60
  ))
    return null;
  const midnight_ms = Date.UTC(year, month - 1, day);
  const back = new Date(midnight_ms);
  if (back.getUTCFullYear() !== year || back.getUTCMonth() !== month - 1 || back.getUTCDate() !== day) return null;
  return midnight_ms / 1000 + 3600 * hour + 60 * minute + second;
}

/** `isoOf` of a UTC date, null where there is no such date. */
export function isoUtc(year: number, month: number, day: number, hour = 0, minute = 0): string | null {
  const time_s = utcSeconds([year, month, day], hour, minute);
  return time_s === null ? null : isoOf(time_s);
}

/**
 * A year of two digits: 50 to 99 is 1950 to 1999, 00 to 49 is 2000 to 2049 (upper-air listings go back to the 1950s).
 */
export const fullYear = (twoDigits: number): number => twoDigits + (twoDigits >= 50 ? 1900 : 2000);

const ISO = /^(\d{4})-(\d\d)-(\d\d)(?:[T ](\d\d):(\d\d)(?::(\d\d(?:\.\d+)?))?)?\s*(Z|UTC|[+-]\d\d:?\d\d)?$/i;

/** A written date and time to ISO 8601 UTC; without a zone it is UTC. Null if it is not a time. */
export function parseTime(text: string): string | null {
  const found = ISO.exec(text.trim());
  if (found === null) return null;
  const [, year, month, day, hour, minute, second, zone] = found;
  const date = [Number(year), Number(month), Number(day)] as const;
  const time_s = utcSeconds(date, Number(hour ?? 0), Number(minute ?? 0), Number(second ?? 0));
  if (time_s === null) return null;
  const offset = /^([+-])(\d\d):?(\d\d)$/.exec(zone ?? '');
  if (offset === null) return isoOf(time_s);
  const east_s = (offset[1] === '-' ? -1 : 1) * (3600 * Number(offset[2]) + 60 * Number(offset[3]));
  return isoOf(time_s - east_s);
}

/**
 * The time nearest to a reference that falls on this day of a month (bulletins give day, hour and minute only).
 * Null where no month about the reference has that day, or the hour is invalid.
 */
export function nearestDayTime(day: number, hour: number, minute: number, reference_s: number): string | null {
  const about = new Date(reference_s * 1000);
  if (!Number.isFinite(about.getTime())) return null;
  let best: number | null = null;
  for (let months = -2; months <= 2; months++) {
    const first = new Date(Date.UTC(about.getUTCFullYear(), about.getUTCMonth() + months, 1));
    const time_s = utcSeconds([first.getUTCFullYear(), first.getUTCMonth() + 1, day], hour, minute);
    if (time_s !== null && (best === null || Math.abs(time_s - reference_s) < Math.abs(best - reference_s)))
      best = time_s;
  }
  return best === null || Math.abs(best - reference_s) > 32 * DAY_S ? null : isoOf(best);
}
