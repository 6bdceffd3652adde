// Times as a brief prints them: UTC with Z, the site's own clock beside it, and T, the time since the exit. Times s
// since 1970.
import { assert } from '../base/problem.ts';

/** What the site's clock is called; null where the plan names no zone or the runtime does not know it. */
export interface SiteClock {
  readonly timeZone: string | null;
}

/** The clock of a zone by its IANA name; a name that the runtime does not know gives a clock that shows UTC alone. */
export function siteClock(timeZone: string | undefined): SiteClock {
  if (timeZone === undefined) return { timeZone: null };
  try {
    return { timeZone: new Intl.DateTimeFormat('en-GB', { timeZone }).resolvedOptions().timeZone };
  } catch {
    return { timeZone: null };
  }
}

const TIME_S_MAX = 8.64e12;
const iso = (time_s: number): string => {
  assert(Math.abs(time_s) < TIME_S_MAX, 'a time of a brief is a time');
  return new Date(Math.round(time_s) * 1000).toISOString();
};

/**
 * Local time minus UTC, s; null without a zone.
 *
 * Method  the runtime's own calendar fields read back as if they were UTC: the same in Node and in Chromium, which
 *         share their tables
 */
export function offset_s({ timeZone }: SiteClock, time_s: number): number | null {
  if (timeZone === null || !(Math.abs(time_s) < TIME_S_MAX)) return null;
  const whole_ms = Math.round(time_s) * 1000;
  const fields = new Intl.DateTimeFormat('en-GB', {
    timeZone,
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

/** "07:42:00Z". */
export const utc = (time_s: number): string => `${iso(time_s).slice(11, 19)}Z`;
/** "07:42Z": for what is not meant to the second; `up`: the next whole minute, for what is true by then. */
export const utcMinuteUp = (time_s: number): string => utcMinute(60 * Math.ceil(time_s / 60 - 1e-9));
/** "07:42Z", the nearest minute. */
export const utcMinute = (time_s: number): string => `${iso(60 * Math.round(time_s / 60)).slice(11, 16)}Z`;

/** "09:42 local"; null without a zone. `seconds`: "09:42:00 local". */
export function local(clock: SiteClock, time_s: number, seconds = false): string | null {
  const shift = offset_s(clock, time_s);
  if (shift === null) return null;
  const at = seconds ? time_s + shift : 60 * Math.round((time_s + shift) / 60);
  return `${iso(at).slice(11, seconds ? 19 : 16)} local`;
}

/** "07:42:00Z (09:42:00 local)", and UTC alone without a zone. */
export function bothClocks(clock: SiteClock, time_s: number): string {
  const here = local(clock, time_s, true);
  return here === null ? utc(time_s) : `${utc(time_s)} (${here})`;
}

const MONTHS = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec'] as const;

/** "14 Apr 2027", by UTC. */
export function dateWords(time_s: number): string {
  const text = iso(time_s);
  return `${Number(text.slice(8, 10))} ${MONTHS[Number(text.slice(5, 7)) - 1] ?? ''} ${text.slice(0, 4)}`;
}

/** "UTC+2", "UTC+9:30"; null without a zone. */
export function zoneWords(clock: SiteClock, time_s: number): string | null {
  const shift = offset_s(clock, time_s);
  if (shift === null) return null;
  const minutes = Math.round(Math.abs(shift) / 60);
  const rest = minutes % 60;
  const sign = shift < 0 ? '−' : '+';
  return minutes === 0
    ? 'UTC'
    : `UTC${sign}${Math.floor(minutes / 60)}${rest === 0 ? '' : `:${String(rest).padStart(2, '0')}`}`;
}

/** "T+4:10", "T−15:00", and from an hour on "T+1:04:10". */
export function sinceExit(time_s: number): string {
  const s = Math.round(time_s);
  const of = Math.abs(s);
  const pad = (x: number): string => String(x).padStart(2, '0');
  const hours = Math.floor(of / 3600);
  const minutes = Math.floor((of % 3600) / 60);
  return `T${s < 0 ? '−' : '+'}${hours > 0 ? `${hours}:${pad(minutes)}` : minutes}:${pad(of % 60)}`;
}
