// What a person types into a field, understood or refused with a sentence: numbers between bounds, times, directions.
// Legal numbers: "1500", "1 500", "-3.5", "−3,5", "39\u202f000". Not: "", "12 kg", "1e999", "1.2.3", and "39,000": a
// comma before three digits is 39 to one reader and 39 thousand to another.
import { isoOf } from '../../core/base/plainNumbers.ts';
import type { LonLat } from '../../core/base/units.ts';
import { turnedToward } from '../../core/plan/places.ts';
import { readPosition } from '../../core/earth/grid.ts';
import { formatDegrees, formatMgrs } from '../../core/words/positions.ts';
import { date, clock } from '../../core/words/times.ts';
import { number } from '../../core/words/numbers.ts';
import type { Parsed } from './Field.tsx';

export interface Bounds {
  readonly min: number;
  readonly max: number;
  /** The lower bound itself is not allowed. */
  readonly above?: boolean;
}

const NUMBER = /^[+-]?(\d+([.,]\d*)?|[.,]\d+)$/;
const AMBIGUOUS = /\d,\d{3}$/;

/** The number in a text, or null. Spaces between digits and a decimal comma are taken as people write them. */
export function readNumber(text: string): number | null {
  const plain = text
    .trim()
    .replaceAll('−', '-')
    .replace(/(?<=\d)\s(?=\d)/g, '');
  if (!NUMBER.test(plain) || AMBIGUOUS.test(plain)) return null;
  const value = Number(plain.replace(',', '.'));
  return Number.isFinite(value) ? value : null;
}

/**
 * A number between bounds that are given in the unit of the plan.
 *
 * toPlan    the typed unit to the plan's unit; the answer's value is in the plan's unit
 * fromPlan  back, for saying the bounds in the typed unit
 */
export function parseNumber(
  text: string,
  bounds: Bounds,
  unit: string,
  toPlan: (typed: number) => number = (x) => x,
  fromPlan: (value: number) => number = (x) => x,
): Parsed<number> {
  const typed = readNumber(text);
  const low = number(roundUp(fromPlan(bounds.min)));
  const high = number(Math.floor(fromPlan(bounds.max)));
  const right =
    bounds.above === true
      ? `expected more than ${low} and up to ${high} ${unit}`.trim()
      : `expected ${low} to ${high} ${unit}`.trim();
  if (typed === null && AMBIGUOUS.test(text.trim())) {
    return { ok: false, why: `“${text.trim()}” can be read in two ways; write it without the comma.` };
  }
  if (typed === null)
    return {
      ok: false,
      why: text.trim() === '' ? `Nothing typed; ${right}.` : `“${text.trim()}” is not a number; ${right}.`,
    };
  const value = toPlan(typed);
  const tooLow = bounds.above === true ? !(value > bounds.min) : !(value >= bounds.min);
  if (tooLow || !(value <= bounds.max)) return { ok: false, why: `${text.trim()} is out of bounds; ${right}.` };
  return { ok: true, value };
}

const roundUp = (x: number): number => (Math.abs(x) < 10 ? Math.round(x * 10) / 10 : Math.ceil(x));

/** How a time stands in a field: date and clock, UTC. */
export function timeText(iso: string): string {
  const time_ms = Date.parse(iso);
  return Number.isFinite(time_ms) ? isoOf(time_ms / 1000).replace('T', ' ') : iso;
}

const CLOCK = /^(\d{1,2}):?(\d{2})(?::?(\d{2}))?\s*z?$/i;
const FULL = /^(\d{4})-(\d{2})-(\d{2})[t\s]+(\d{1,2}):?(\d{2})(?::?(\d{2}))?\s*z?$/i;

/**
 * A time in UTC: `06:05`, `0605Z`, `06:05:30` on the day of `day_ms`, or with a date, `2026-03-14 06:05Z`. Answers ISO
 * 8601. Refused: hours over 23, 30 February, local times.
 */
export function parseTime(text: string, day_ms: number): Parsed<string> {
  const right = 'expected a time in UTC such as 06:05:00 or 2026-03-14 06:05:00';
  const trimmed = text.trim();
  const full = FULL.exec(trimmed);
  const short = CLOCK.exec(trimmed);
  const day = new Date(day_ms);
  const [y, mo, d, h, mi, s] =
    full !== null
      ? [full[1], full[2], full[3], full[4], full[5], full[6]].map((part) => Number(part ?? 0))
      : short !== null
        ? [
            day.getUTCFullYear(),
            day.getUTCMonth() + 1,
            day.getUTCDate(),
            Number(short[1]),
            Number(short[2]),
            Number(short[3] ?? 0),
          ]
        : [NaN, NaN, NaN, NaN, NaN, NaN];
  const time_ms = Date.UTC(y ?? NaN, (mo ?? NaN) - 1, d ?? NaN, h ?? NaN, mi ?? NaN, s ?? NaN);
  if (!Number.isFinite(time_ms))
    return { ok: false, why: trimmed === '' ? `Nothing typed; ${right}.` : `“${trimmed}” is not a time; ${right}.` };
  const back = new Date(time_ms);
  const same =
    back.getUTCMonth() === (mo ?? NaN) - 1 &&
    back.getUTCDate() === d &&
    back.getUTCHours() === h &&
    back.getUTCMinutes() === mi;
  if (!same || back.getUTCSeconds() !== s)
    return { ok: false, why: `“${trimmed}” is not a time of any day; ${right}.` };
  return { ok: true, value: isoOf(time_ms / 1000), readBack: `${date(time_ms / 1000)}, ${clock(time_ms / 1000)}` };
}

/** A place as it was understood: degrees and grid reference. */
export const placeReadBack = (place: LonLat): string => `${formatDegrees(place, 4)} · ${formatMgrs(place, 4)}`;

/** `site`: a place far from it whose figures fit the other way round is refused, as a field cannot ask. */
export function parsePlace(text: string, site?: LonLat): Parsed<LonLat> {
  const read = readPosition(text);
  const turned = read.value === null || site === undefined ? null : turnedToward(read.value, site);
  if (turned !== null)
    return {
      ok: false,
      why: `far from the site, and near it the other way round; expected such as ${formatDegrees(turned, 4)}`,
    };
  if (read.value !== null) return { ok: true, value: read.value, readBack: placeReadBack(read.value) };
  const why = read.problems[0]?.text ?? 'not a position';
  return { ok: false, why: `${why}; such as 30.0856 S 22.4125 E, 30 05.14 S 22 24.75 E or 34J FL 2623 9812` };
}

/** A name: some text, and none of those that are taken. */
export function parseName(text: string, taken: readonly string[] = []): Parsed<string> {
  const name = text.trim();
  if (name === '') return { ok: false, why: 'Nothing typed; expected a name.' };
  return taken.includes(name) ? { ok: false, why: `another is called ${name} already` } : { ok: true, value: name };
}
