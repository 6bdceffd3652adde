// Times of netCDF files: "hours since 1900-01-01 00:00:00.0" and its many spellings, to seconds since 1970.
// Source: CF conventions §4.4 and the UDUNITS-2 grammar; calendars: CF §4.4.1.

const UNIT_S: readonly (readonly [RegExp, number])[] = [
  [/^(microseconds?|us)$/, 1e-6],
  [/^(milliseconds?|msecs?|ms)$/, 1e-3],
  [/^(seconds?|secs?|s)$/, 1],
  [/^(minutes?|mins?)$/, 60],
  [/^(hours?|hrs?|hr|h)$/, 3600],
  [/^(days?|d)$/, 86_400],
  [/^(weeks?)$/, 604_800],
];

export interface TimeUnit {
  readonly origin_s: number;
  readonly step_s: number;
}

/**
 * year-month-day, then perhaps hour:minute:second and a zone: "Z", "UTC", "+01:00", "0:00" (ARM writes the zone without
 * a sign).
 */
const PATTERN =
  /^\s*(\S+)\s+since\s+(-?\d{1,4})-(\d{1,2})-(\d{1,2})(?:[T\s]+(\d{1,2}):(\d{1,2})(?::(\d{1,2}(?:\.\d*)?))?)?\s*(Z|UTC|GMT|[+-]?\d{1,2}(?::?\d{2})?)?\s*$/i;

/** The unit of a time variable; a sentence where it is not read. */
export function timeUnit(units: string, calendar: string): TimeUnit | string {
  const match = PATTERN.exec(units);
  if (match === null) return `time unit "${units}"; expected such as "hours since 1970-01-01 00:00:00"`;
  const [, unit = '', year = '', month = '', day = '', hour = '0', minute = '0', second = '0', zone = ''] = match;
  const step_s = UNIT_S.find(([pattern]) => pattern.test(unit.toLowerCase()))?.[1];
  if (step_s === undefined) return `time unit "${unit}"; expected seconds, minutes, hours or days`;
  const kind = calendar.toLowerCase();
  const gregorian = kind === 'proleptic_gregorian';
  if (!gregorian && !['', 'standard', 'gregorian'].includes(kind))
    return `calendar "${calendar}"; expected standard or proleptic_gregorian`;
  const day_s = 86_400 * dayNumber(Number(year), Number(month), Number(day), gregorian);
  const clock_s = Number(hour) * 3600 + Number(minute) * 60 + Number(second);
  if (!Number.isFinite(day_s) || Number(hour) > 24 || Number(minute) > 59)
    return `time origin "${units}" is not a date`;
  return { origin_s: day_s + clock_s - zoneOffset(zone), step_s };
}

/**
 * Days since 1970-01-01. In the standard calendar, dates before 15 October 1582 are Julian: files that count from year
 * 1 rely on it.
 */
function dayNumber(year: number, month: number, day: number, proleptic: boolean): number {
  if (!(month >= 1 && month <= 12 && day >= 1 && day <= 31)) return NaN;
  const gregorian = proleptic || year * 10_000 + month * 100 + day >= 15_821_015;
  // Years from March, so that the leap day ends the year (Fliegel & Van Flandern, Comm. ACM 11 (1968) 657).
  const y = month > 2 ? year : year - 1;
  const m = (month + 9) % 12;
  const julian = 365 * y + Math.floor(y / 4) + Math.floor((153 * m + 2) / 5) + day - 1;
  // 719 468: days from 1 March of year 0 to 1970-01-01 in the Gregorian calendar; 719 470 in the Julian count of the
  // same day.
  return gregorian ? julian - Math.floor(y / 100) + Math.floor(y / 400) - 719_468 : julian - 719_470;
}

function zoneOffset(zone: string): number {
  const match = /^([+-]?)(\d{1,2}):?(\d{2})?$/.exec(zone);
  if (match === null) return 0;
  const [, sign = '', hours = '0', minutes = '0'] = match;
  return (sign === '-' ? -1 : 1) * (Number(hours) * 3600 + Number(minutes) * 60);
}
