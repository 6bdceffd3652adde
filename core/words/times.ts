// Times as a person reads them: UTC with Z or the site's own clock, dates, lengths of time, ages, and T, the time since
// the exit. Takes seconds since 1970 and IANA names of zones; pure, so the moment is always an argument.
import { MINUS, MISSING, number, PAPER_UNITS, quantity, THIN, type Units } from './numbers.ts';

const TIME_S_MAX = 8.64e12;
const isTime = (time_s: number): boolean => Math.abs(time_s) < TIME_S_MAX;
/** "2026-03-14T06:05:09Z", to the second; '' for an invalid time. */
const iso = (time_s: number): string =>
  isTime(time_s) ? `${new Date(Math.round(time_s) * 1000).toISOString().slice(0, 19)}Z` : '';
const pad = (n: number): string => String(n).padStart(2, '0');

/** The zone by its IANA name; null where the runtime does not know it. */
export function knownZone(timeZone: string | undefined): string | null {
  if (timeZone === undefined) return null;
  try {
    return new Intl.DateTimeFormat('en-GB', { timeZone }).resolvedOptions().timeZone;
  } catch {
    return null;
  }
}

/**
 * Local time minus UTC, s; null without a known zone.
 *
 * Method  the runtime's own calendar fields read back as if they were UTC: the same in Node and in Chromium, which
 *         share their tables
 */
export function offset_s(time_s: number, timeZone: string | undefined): number | null {
  const known = knownZone(timeZone);
  if (known === null || !isTime(time_s)) return null;
  const whole_ms = Math.round(time_s) * 1000;
  const fields = new Intl.DateTimeFormat('en-GB', {
    timeZone: known,
    year: 'numeric',
    month: '2-digit',
    day: '2-digit',
    hour: '2-digit',
    minute: '2-digit',
    second: '2-digit',
    hourCycle: 'h23',
  }).formatToParts(whole_ms);
  const of = (type: Intl.DateTimeFormatPartTypes): number =>
    Number(fields.find((field) => field.type === type)?.value ?? NaN);
  const local_ms = Date.UTC(of('year'), of('month') - 1, of('day'), of('hour'), of('minute'), of('second'));
  return Number.isFinite(local_ms) ? (local_ms - whole_ms) / 1000 : null;
}

/** Local time minus UTC where the units ask for local times and the zone is known; else null. */
const shiftOf = (time_s: number, { time, timeZone }: Units): number | null =>
  time === 'UTC' ? null : offset_s(time_s, timeZone);

/**
 * hh:mm:ss with Z, or the local clock with the word local; UTC where the zone is not known. On another day than today's
 * the day comes first: "15 Mar 06:05:09Z", of another year "23 Feb 2023 12:00:00Z".
 */
export function clock(time_s: number, units: Units = PAPER_UNITS): string {
  if (!isTime(time_s)) return MISSING;
  const shift = shiftOf(time_s, units);
  const shown = time_s + (shift ?? 0);
  const on = dayShown(time_s, units);
  const { today = on } = units;
  const day = today === on ? '' : `${today.slice(0, 4) === on.slice(0, 4) ? dayAndMonth(shown) : date(shown)} `;
  return `${day}${iso(shown).slice(11, 19)}${shift === null ? 'Z' : ' local'}`;
}

/** "14:02:10 to 14:05:40Z". */
export const clockRange = (from_s: number, to_s: number, units: Units = PAPER_UNITS): string =>
  `${clock(from_s, units).replace(/Z$| local$/, '')} to ${clock(to_s, units)}`;

/** The day that a moment lies in, by the clock that is shown: "2026-03-14". */
export const dayShown = (time_s: number, units: Units): string =>
  iso(time_s + (shiftOf(time_s, units) ?? 0)).slice(0, 10);

/**
 * "07:42Z": for what is not meant to the second. `to`: the nearest minute, the next whole one ("done by"), or the one
 * that has begun ("complete up to").
 */
export function clockMinute(time_s: number, to: 'nearest' | 'up' | 'down' = 'nearest'): string {
  const minutes = time_s / 60;
  const whole = to === 'up' ? Math.ceil(minutes - 1e-9) : to === 'down' ? Math.floor(minutes) : Math.round(minutes);
  return isTime(time_s) ? `${iso(60 * whole).slice(11, 16)}Z` : MISSING;
}

/** "07:42:00Z (09:42:00 local)", and UTC alone without a zone. */
export function bothClocks(time_s: number, timeZone: string | undefined): string {
  const utc = clock(time_s);
  const local = clock(time_s, { ...PAPER_UNITS, time: 'local', timeZone });
  return local === utc ? utc : `${utc} (${local})`;
}

const MONTHS = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec'] as const;

/** "14 Mar", by UTC. */
export const dayAndMonth = (time_s: number): string => {
  const text = iso(time_s);
  return `${Number(text.slice(8, 10))} ${MONTHS[Number(text.slice(5, 7)) - 1] ?? ''}`;
};

/** "14 Mar 2026", by UTC. */
export const date = (time_s: number): string =>
  isTime(time_s) ? `${dayAndMonth(time_s)} ${iso(time_s).slice(0, 4)}` : MISSING;

/** "UTC+2", "UTC+9:30"; null without a zone. */
export function zoneName(time_s: number, timeZone: string | undefined): string | null {
  const shift = offset_s(time_s, timeZone);
  return shift === null ? null : offsetName(shift);
}

/** The same of a zone's difference from UTC, s. */
export function offsetName(shift: number): string {
  const minutes = Math.round(Math.abs(shift) / 60);
  const rest = minutes % 60;
  if (minutes === 0) return 'UTC';
  return `UTC${shift < 0 ? MINUS : '+'}${Math.floor(minutes / 60)}${rest === 0 ? '' : `:${pad(rest)}`}`;
}

/** "T+4:10", "T−15:00", and from an hour on "T+1:04:10". */
export const sinceExit = (time_s: number): string => `T${Math.round(time_s) < 0 ? MINUS : '+'}${timer(time_s)}`;

/** A length of time as a running clock shows it: "4:10", from an hour on "1:04:10". */
export function timer(time_s: number): string {
  if (!Number.isFinite(time_s)) return MISSING;
  const s = Math.round(Math.abs(time_s));
  const hours = Math.floor(s / 3600);
  const minutes = Math.floor((s % 3600) / 60);
  return `${hours > 0 ? `${hours}:${pad(minutes)}` : minutes}:${pad(s % 60)}`;
}

/** Two parts of a length of time, the second left out where it is 0. */
const twoParts = (a: number, unit: string, b: number, unitB: string): string =>
  `${a}${THIN}${unit}${b === 0 ? '' : `${THIN}${pad(b)}${THIN}${unitB}`}`;

/** A length of time to the second, in its two largest parts: `42 s`, `4 min 05 s`, `2 h 05 min`, `3 d 04 h`. */
export function duration(time_s: number): string {
  if (!Number.isFinite(time_s)) return MISSING;
  const s = Math.round(Math.abs(time_s));
  const sign = time_s < 0 && s > 0 ? MINUS : '';
  if (s < 60) return `${sign}${quantity(s, 's')}`;
  if (s < 3600) return sign + twoParts(Math.floor(s / 60), 'min', s % 60, 's');
  if (s < 86_400) return sign + twoParts(Math.floor(s / 3600), 'h', Math.floor((s % 3600) / 60), 'min');
  return sign + twoParts(Math.floor(s / 86_400), 'd', Math.floor((s % 86_400) / 3600), 'h');
}

/**
 * A length of time as people plan with it: to the second below 90 s, then to the minute, from two days on in days. The
 * sign is left out: the sentence says before or after.
 */
export function roughDuration(time_s: number): string {
  if (!Number.isFinite(time_s)) return MISSING;
  const s = Math.abs(time_s);
  if (s < 89.5) return quantity(s, 's');
  const minutes = Math.round(s / 60);
  if (minutes < 60) return quantity(minutes, 'min');
  return minutes < 2880
    ? twoParts(Math.floor(minutes / 60), 'h', minutes % 60, 'min')
    : `${number(minutes / 1440)} days`;
}

/** How old something is: `now`, `3 min`, `2 h 10 min`, `5 days`; the future is `in 3 min`. */
export function age(age_s: number): string {
  if (!Number.isFinite(age_s)) return MISSING;
  if (Math.abs(age_s) < 30) return 'now';
  const text = Math.abs(age_s) < 89.5 ? quantity(1, 'min') : roughDuration(age_s);
  return age_s < 0 ? `in ${text}` : text;
}

/** "at 13:45:00Z" on the day of another moment, "on 23 Feb 2023 at 12:00:00Z" on any other. */
export function dayClock(time_s: number, today_s: number): string {
  if (!Number.isFinite(time_s)) return 'at an unreadable time';
  const same = Math.floor(time_s / 86_400) === Math.floor(today_s / 86_400);
  return same ? `at ${clock(time_s)}` : `on ${date(time_s)} at ${clock(time_s)}`;
}
