// What is called and seen of a descent, in one line: "called exit", "called canopy open 0743:10Z at 2400 m msl", "fix
// 30.08 S 22.40 E 12000 m msl". Read, or asked about with one key, or refused with the reason; a height whose foot
// nobody said is asked about.
import { isoOf } from '../../base/plainNumbers.ts';
import { clock } from '../../words/times.ts';
import { lengthUp } from '../../words/lengths.ts';
import { readPosition } from '../../earth/grid.ts';
import { formatDegrees } from '../../words/positions.ts';
import type { NewEvent } from '../../log/events.ts';
import { turnedToward } from '../../plan/places.ts';
import { M_PER_FT, type LonLat } from '../../base/units.ts';
import type { Answers, Question } from './report.ts';

export interface CalledContext {
  readonly now_s: number;
  /** Whose fixes can be given besides the jumper's: the teams of the mission. */
  readonly teams: readonly string[];
  /** Where the mission is: a place far from it whose figures fit the other way round is asked about. */
  readonly site: LonLat;
  /** Height of the ground at a place (null: at the site), m MSL. */
  readonly groundAt: (place: LonLat | null) => number;
}

export type CalledReading =
  | { readonly kind: 'called'; readonly event: NewEvent; readonly words: string }
  | { readonly kind: 'asked'; readonly question: Question; readonly words: string }
  | { readonly kind: 'unknown'; readonly why: string };

/** The words of the radio brief, and the mark that each sets in the log. */
const MARKS: readonly (readonly [RegExp, string])[] = [
  [/^(?:canopy\s+open|opening|opened|open)\b/i, 'opening'],
  [/^(?:gondola\s+released?|released?)\b/i, 'release'],
  [/^(?:exit(?:ed)?|out)\b/i, 'exit'],
  [/^(?:touch\s?down|landed)\b/i, 'touchdown'],
  [/^launch(?:ed)?\b/i, 'launch'],
];
const RIGHT_MARK =
  'expected “called exit”, “called canopy open”, “called release”, “called touchdown” or “called launch”';
const RIGHT_FIX =
  'expected “fix”, whose (left out: the jumper’s), a place and a height: “fix 30.08 S 22.40 E 12000 m msl”';

const AGO = /\b(\d{1,4})\s*(s|sec|seconds?|min|minutes?)\s+ago\s*$/i;
/** A time is known by its colon or its Z: bare digits at the end may belong to a place. */
const CLOCK = /(?:^|\s)(?:(\d{1,2}):(\d{2})(?::(\d{2}))?|(\d{2})(\d{2})(?::?(\d{2}))?(?=\s*z))\s*z?\s*$/i;
const LEVEL = /\bFL\s?(\d{2,3})\b/i;
const HEIGHT =
  /(?:^|\s)(?:at\s+)?(\d{1,3}(?:[\s,\u2009\u202f]\d{3})+|\d+(?:\.\d+)?)\s*(m|ft|km)\b\s*(msl|agl|above\s+sea(?:\s+level)?|above\s+(?:the\s+)?ground)?/i;
/** A call may lie this far back; later than now it cannot be. */
const OLDEST_S = 12 * 3600;
const DAY_S = 86_400;

/**
 * Legal    "called exit"  "called exit 0742:05Z"  "called canopy open 2400 m msl"  "called touchdown at 30.09 S 22.42
 *          E, 3 min ago"
 *          "fix 30.08 S 22.40 E 12000 m msl"  "fix gondola 34J FM 2623 9812 41000 ft msl 07:43:10"  "fix Kite 30.1 S
 *          22.5 E"
 * Asked    "fix 30.08 S 22.40 E 1200 m" (MSL or AGL)
 * Not      "called" "called tea" "fix" "fix 12000 m msl" "called exit 25:00" "called exit 0742:05Z" at 05:00Z
 * Null     the line is about neither.
 */
export function readCalled(text: string, context: CalledContext, answers: Answers = {}): CalledReading | null {
  const [, verb = '', rest = ''] = /^(called|fix)(?:\s+(.*))?$/is.exec(text.trim()) ?? [];
  if (verb === '') return null;
  return verb.toLowerCase() === 'called' ? readMark(rest, context, answers) : readFix(rest, context, answers);
}

const unknown = (why: string): CalledReading => ({ kind: 'unknown', why });

function readMark(text: string, context: CalledContext, answers: Answers): CalledReading {
  const found = MARKS.find(([word]) => word.test(text));
  if (found === undefined)
    return unknown(`${text === '' ? 'Called what?' : `“${text.slice(0, 40)}” is no call known here;`} ${RIGHT_MARK}.`);
  const [word, mark] = found;
  // After "at" bare digits are a time: "called exit at 0720". A fix may have digits of a grid there.
  const rest = text.replace(word, '').replace(/\bat\s+(\d{4}|\d{6})\s*(?:z|utc)?\s*$/i, '$1Z');
  const parts = partsOf(rest, context, answers);
  if ('kind' in parts) return parts;
  const { position, height_m, time_s } = parts;
  const event: NewEvent = { kind: 'mark', mark, ...placed(position, height_m), observedAt: isoOf(Math.round(time_s)) };
  return {
    kind: 'called',
    event,
    words: `logs ${mark}${placeWords(position, height_m)}, ${timeWords(time_s, context.now_s)}`,
  };
}

function readFix(text: string, context: CalledContext, answers: Answers): CalledReading {
  const names = ['jumper', 'gondola', ...context.teams].toSorted((a, b) => b.length - a.length);
  const lower = text.toLowerCase();
  const named = names.find((name) => lower === name.toLowerCase() || lower.startsWith(`${name.toLowerCase()} `));
  const body = named ?? 'jumper';
  const parts = partsOf(named === undefined ? text : text.slice(named.length), context, answers);
  if ('kind' in parts) return parts;
  const { position, height_m, time_s } = parts;
  if (position === null) return unknown(`A fix needs a place; ${RIGHT_FIX}.`);
  if (height_m === null && (body === 'jumper' || body === 'gondola'))
    return unknown(`A fix of the ${body} needs a height; ${RIGHT_FIX}.`);
  const event: NewEvent = {
    kind: 'fix',
    body,
    position,
    ...placed(null, height_m),
    observedAt: isoOf(Math.round(time_s)),
  };
  const whose = body === 'jumper' || body === 'gondola' ? `the ${body}` : body;
  return {
    kind: 'called',
    event,
    words: `logs a fix of ${whose}${placeWords(position, height_m)}, ${timeWords(time_s, context.now_s)}`,
  };
}

interface CalledParts {
  readonly position: LonLat | null;
  readonly height_m: number | null;
  readonly time_s: number;
}

function partsOf(text: string, context: CalledContext, answers: Answers): CalledParts | CalledReading {
  const timed = timeIn(text, context.now_s);
  if (typeof timed === 'string') return unknown(timed);
  const high = heightIn(timed.rest);
  const place = high.rest.replace(/^[\s,]+|[\s,]+$/g, '').replace(/^at\s+/i, '');
  let position: LonLat | null = null;
  if (place !== '') {
    const read = readPosition(place);
    if (read.value === null)
      return unknown(`“${place.slice(0, 60)}” is not a place: ${read.problems[0]?.text ?? 'expected a position'}.`);
    position = placeMeant(read.value, context.site, answers);
    if (position === null) return { kind: 'asked', words: place, question: orderQuestion(read.value, context.site) };
  }
  if (high.value_m === null) return { position, height_m: null, time_s: timed.time_s };
  const reference = high.reference ?? answers.reference ?? null;
  if (reference === null) return askReference(high.value_m);
  const height_m = high.value_m + (reference === 'AGL' ? context.groundAt(position) : 0);
  if (!(height_m >= -500 && height_m <= 85_000))
    return unknown(`${lengthUp(height_m)} MSL is out of bounds; expected −500 to 85 000 m.`);
  return { position, height_m, time_s: timed.time_s };
}

/** A place as it was meant; null where that has to be asked: it lies far off, and would not the other way round. */
export function placeMeant(typed: LonLat, site: LonLat, answers: Answers): LonLat | null {
  const turned = turnedToward(typed, site);
  if (turned === null) return typed;
  return answers.coordinates === undefined ? null : answers.coordinates === 'as typed' ? typed : turned;
}

export const orderQuestion = (typed: LonLat, site: LonLat): Question => ({
  about: 'latitude or longitude first',
  keys: [
    { key: 't', meaning: `${formatDegrees(typed, 4)}, as typed`, resolves: { coordinates: 'as typed' } },
    {
      key: 'o',
      meaning: `${formatDegrees(turnedToward(typed, site) ?? typed, 4)}, the other way round`,
      resolves: { coordinates: 'the other way round' },
    },
  ],
});

const askReference = (value_m: number): CalledReading => ({
  kind: 'asked',
  words: `${lengthUp(value_m)} above what`,
  question: {
    about: 'MSL or AGL',
    keys: [
      { key: 's', meaning: 'above sea level', resolves: { reference: 'MSL' } },
      { key: 'g', meaning: 'above the ground there', resolves: { reference: 'AGL' } },
    ],
  },
});

interface HeightIn {
  readonly value_m: number | null;
  readonly reference: 'MSL' | 'AGL' | null;
  readonly rest: string;
}

function heightIn(text: string): HeightIn {
  const level = LEVEL.exec(text);
  // A flight level is a pressure height; within what a fix is known to, it is taken for one above sea level.
  if (level !== null)
    return { value_m: Number(level[1]) * 100 * M_PER_FT, reference: 'MSL', rest: text.replace(level[0], ' ') };
  const found = HEIGHT.exec(text);
  if (found === null) return { value_m: null, reference: null, rest: text };
  const [all, digits = '', unit = 'm', foot] = found;
  const scale = { m: 1, ft: M_PER_FT, km: 1000 }[unit.toLowerCase()] ?? 1;
  const reference = foot === undefined ? null : /sea|msl/i.test(foot) ? 'MSL' : 'AGL';
  return { value_m: Number(digits.replace(/[\s,\u2009\u202f]/g, '')) * scale, reference, rest: text.replace(all, ' ') };
}

/**
 * The time at the end of a line, the newest one that is not to come; a sentence without one. Left out:
 * now.
 */
function timeIn(text: string, now_s: number): { readonly time_s: number; readonly rest: string } | string {
  const ago = AGO.exec(text);
  if (ago !== null) {
    const [all, count = '0', unit = 's'] = ago;
    const age_s = Number(count) * (/^m/i.test(unit) ? 60 : 1);
    if (!(age_s <= OLDEST_S)) return 'That is more than 12 hours ago.';
    return { time_s: now_s - age_s, rest: text.replace(all, ' ') };
  }
  const found = CLOCK.exec(text);
  if (found === null) return { time_s: now_s, rest: text };
  const [all, h1, m1, s1, h2, m2, s2] = found;
  const [h, m, s] = [Number(h1 ?? h2), Number(m1 ?? m2), Number(s1 ?? s2 ?? 0)];
  if (!(h < 24 && m < 60 && s < 60))
    return `“${all.trim()}” is not a time of day; expected such as 07:42:05 or 0742Z, UTC.`;
  const today = Math.floor(now_s / DAY_S) * DAY_S + h * 3600 + m * 60 + s;
  const time_s = today > now_s + 60 ? today - DAY_S : today;
  if (!(now_s - time_s <= OLDEST_S)) return `${all.trim()} is still to come, or more than 12 hours ago.`;
  return { time_s, rest: text.replace(all, ' ') };
}

const placed = (position: LonLat | null, height_m: number | null): object => ({
  ...(position === null ? {} : { position }),
  ...(height_m === null ? {} : { height_m: Math.round(height_m * 10) / 10 }),
});

const placeWords = (position: LonLat | null, height_m: number | null): string =>
  `${position === null ? '' : ` at ${formatDegrees(position, 4)}`}${height_m === null ? '' : `, ${lengthUp(height_m)} MSL`}`;

const timeWords = (time_s: number, now_s: number): string =>
  now_s - time_s < 1 ? `now (${clock(time_s)})` : clock(time_s);
