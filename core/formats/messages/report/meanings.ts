// What the patterns of `grammar.ts` mean: each function puts what one pattern found into the parts of the line.
import type { DirectionPart, HeightPart, Parts, Sense, SpeedPart, TimePart } from './parts.ts';
import { textOf, type Line, type Meaning, type Said } from './said.ts';
import {
  AGES_S,
  BEAUFORT_MPS,
  compassWord,
  LETTER_O,
  pointOf,
  SOURCES,
  STRENGTHS,
  TIME_UNITS_S,
  type SpeedUnit,
} from './vocabulary.ts';

// Groups of the weather format: reference/wind-reports.md §2.

const METAR = /^(vrb|\d{3}|\/\/\/)(p?)(\d{2,3}|\/\/)(?:g(p?)(\d{2,3}|\/\/))?(kt|mps|kmh)$/;
const METAR_UNITS: Readonly<Record<string, SpeedUnit>> = { kt: 'kt', mps: 'm/s', kmh: 'km/h' };

/** The largest number that the format has: P99KT, P49MPS, P199KMH (reference/wind-reports.md §2). */
const LAST_OF: Readonly<Record<string, string>> = { kt: '99', mps: '49', kmh: '199' };

/** "09007G12KT", "VRB03KT". */
export function weatherGroup(text: string, parts: Parts): void {
  const [, from = '', p = '', speedDigits = '', gp = '', gustDigits, unit = 'kt'] = METAR.exec(text) ?? [];
  const of = (digits: string, more: boolean): SpeedPart => {
    // P99KT is 100 kt or more: the format ends one below. Any other number behind a P is a slip.
    if (more && digits !== LAST_OF[unit]) parts.leftOver.push(text);
    const value = Number(digits) + (more ? 1 : 0);
    return { low: value, high: value, unit: METAR_UNITS[unit] ?? null, orMore: more };
  };
  parts.weatherFormat = true;
  if (speedDigits === '//' || from === '///') parts.missing = true;
  else {
    parts.speeds.push(of(speedDigits, p !== ''));
    if (from === 'vrb') parts.variable = true;
    else parts.directions.push(degreesPart(from, 'from', 'true', false));
  }
  if (gustDigits !== undefined && gustDigits !== '//') parts.gusts.push(of(gustDigits, gp !== ''));
}
export const swingOf = (text: string): readonly [number, number] => [Number(text.slice(0, 3)), Number(text.slice(4))];
export function dayTimeOf(digits: string): TimePart {
  const of_s = Number(digits.slice(2, 4)) * 3600 + Number(digits.slice(4, 6)) * 60;
  return { kind: 'clock', ofDay_s: of_s, zone: 'UTC', day: Number(digits.slice(0, 2)) };
}
export const metar: Meaning = (said, { parts }) => weatherGroup(said.text('metar'), parts);
export const swing: Meaning = (said, { parts }) => {
  parts.swing = swingOf(said.text('swing'));
};
export const dayAndTime: Meaning = (said, { parts }) => {
  parts.times.push(dayTimeOf(said.text('dayTime')));
};

// Times.

/** Seconds of the day of "13:45", "1345z" or "13:45:20"; NaN where there is no such time. */
export function ofDay_s(text: string): number {
  const digits = text.replace(/\D/g, '').padStart(4, '0');
  const [hours, minutes, seconds] =
    digits.length > 4
      ? [Number(digits.slice(0, -4)), Number(digits.slice(-4, -2)), Number(digits.slice(-2))]
      : [Number(digits.slice(0, 2)), Number(digits.slice(2)), 0];
  return hours < 24 && minutes < 60 && seconds < 60 ? hours * 3600 + minutes * 60 + seconds : NaN;
}
function timeAt(said: Said, text: string): TimePart {
  const zone = said.has('zone') || text.endsWith('z') ? 'UTC' : said.has('local') ? 'local' : null;
  return { kind: 'clock', ofDay_s: ofDay_s(text), zone, day: null };
}
export const ago: Meaning = (said, { parts }) => {
  const unit_s = TIME_UNITS_S.get(said.text('timeUnit') || 's') ?? NaN;
  parts.times.push({ kind: 'ago', ago_s: Number(said.numbers[0]?.text) * unit_s });
};
export const ageSaid: Meaning = (said, { parts }) => {
  parts.times.push({ kind: 'ago', ago_s: AGES_S.get(said.text('age')) ?? NaN });
};
export const clockSaid: Meaning = (said, { parts }) => {
  parts.times.push(timeAt(said, said.text('clock')));
};
export const fourDigits: Meaning = (said, { parts }) => {
  const text = said.text('number');
  if (!/^\d{4}$/.test(text)) return false;
  parts.times.push(timeAt(said, text));
  return true;
};

export const unknownCrew: Meaning = (said, { parts }) => {
  parts.refusal ??= `"${textOf(said)}" is not a crew of this mission`;
};

// Heights.

export const flightLevel: Meaning = (said, { parts }) => {
  parts.heights.push({ kind: 'flight level', level: said.range()?.low ?? NaN });
};
export const heightSaid: Meaning = (said, { parts }) => {
  const [one] = said.numbers;
  // A bare m after a number is metres, unless a leading zero says that the number is a direction: "090M".
  const isDirection = one?.class === 'ddd' && one.text.startsWith('0') && said.has('m') && !said.has('level', 'at');
  if (one === undefined || isDirection) return false;
  const { heightUnit: unit, reference } = said;
  parts.heights.push({ kind: 'height', value: Number(one.text), digits: one.text, unit, reference });
  return true;
};
export const headHeight: Meaning = (_, { parts }) => {
  parts.heights.push({ kind: 'height', value: 2, digits: '2', unit: 'm', reference: 'AGL' });
};
export const surface: Meaning = (_, { parts }) => {
  parts.heights.push({ kind: 'surface' });
};
export const whichHeight: Meaning = (_, { parts }) => {
  parts.refusal ??= 'a height is named, but not which; such as: at 1500 ft agl';
};

// Speeds.

const pushSpeed = (parts: Parts, range: { low: number; high: number }, unit: SpeedUnit | null): void =>
  void parts.speeds.push({ ...range, unit, orMore: false });

/** Forces `low` to `high` of the Beaufort scale. */
function pushForces(parts: Parts, low: number, high: number): boolean {
  const [lowest] = BEAUFORT_MPS[low] ?? [];
  const [, highest] = BEAUFORT_MPS[high] ?? [];
  if (lowest === undefined || highest === undefined) return false;
  pushSpeed(parts, { low: lowest, high: highest }, 'm/s');
  return true;
}
export const beaufort: Meaning = (said, { parts }) => {
  const range = said.range();
  return range !== null && pushForces(parts, range.low, range.high);
};
export const strength: Meaning = (said, line) => {
  line.strengths.push(said);
};
export const gust: Meaning = (said, { parts }) => {
  const range = said.range();
  if (range === null) return false;
  parts.gusts.push({ low: range.high, high: range.high, unit: said.speedUnit, orMore: false });
  return true;
};
export const bound: Meaning = (said, { parts }) => {
  parts.refusal ??= `"${textOf(said)}" is a bound and no speed; expected a speed or a range, such as 20 to 25 kt`;
};
export const speedSaid: Meaning = (said, { parts }) => {
  const range = said.range();
  if (range === null) return false;
  pushSpeed(parts, range, said.speedUnit);
  return true;
};

// Directions, and pairs of direction and speed.

const degreesPart = (
  digits: string,
  sense: Sense,
  north: 'true' | 'magnetic' | null,
  spoken: boolean,
): DirectionPart => ({ kind: 'degrees', value: Number(digits), digits, sense, north, spoken });

/** "090/7", "090/7-10", "27/10", "40/270". */
export const pair: Meaning = (said, { parts }) => {
  const [one, two] = said.numbers;
  const range = said.range(1);
  if (one === undefined || two === undefined || range === null || !/^\d{1,3}$/.test(one.text)) return false;
  // "5/10 kt" beside a direction is a range of speeds.
  if (one.class === 'number' && parts.directions.length > 0) return false;
  parts.directions.push(degreesPart(one.text, said.sense, said.north, one.spoken));
  pushSpeed(parts, range, said.speedUnit);
  if (two.class === 'ddd' && Number(two.text) <= 360) parts.order = { digits: two.text };
  return true;
};
/** "09007", "27015 kt", and spoken "zero niner zero seven knots", where only the unit tells it from a time. */
export const runTogether: Meaning = (said, { parts }) => {
  const [one] = said.numbers;
  const unit = said.speedUnit;
  if (one === undefined || parts.directions.length > 0) return false;
  if (!(/^\d{5,6}$/.test(one.text) || (one.spoken && unit !== null && /^\d{4}$/.test(one.text)))) return false;
  // A written speed of three digits is 100 or more: "270010" is a slip.
  if (!one.spoken && /^\d{3}0\d\d$/.test(one.text)) return false;
  const [from, kt] = [one.text.slice(0, 3), Number(one.text.slice(3))];
  // "12000" is a height or a mistake, and no calm from 120°.
  if (Number(from) > 360 || (kt === 0 && Number(from) > 0)) return false;
  parts.directions.push(degreesPart(from, said.sense, null, one.spoken));
  pushSpeed(parts, { low: kt, high: kt }, unit);
  return true;
};
export const degrees: Meaning = (said, { parts }) => {
  const [one] = said.numbers;
  if (one === undefined || (one.text.includes('.') && !said.has('degree'))) return false;
  // Spoken directions have three digits: "seven zero" may be the end of 270.
  if (one.spoken && one.class === 'number' && !said.has('degree')) return false;
  parts.directions.push(degreesPart(one.text, said.sense, said.north, one.spoken));
  return true;
};
export const eachDegrees: Meaning = (said, { parts }) => {
  for (const { text, spoken } of said.numbers) parts.directions.push(degreesPart(text, said.sense, null, spoken));
};
export const compass: Meaning = (said, { parts }) => {
  const found = compassWord(said.text('compass') || 's');
  if (found === undefined) return false;
  const { sense: ending, ...point } = found;
  parts.directions.push({ kind: 'compass', point, sense: said.sense, ending, other: null, doubtful: false });
  return true;
};
/** "est" is east in French and an estimate in English; "sur" south in Spanish and "on" in French. */
export const doubtfulCompass: Meaning = (said, { parts }) => {
  const point = pointOf(said.text('est') === 'sur' ? 's' : 'e');
  parts.directions.push({ kind: 'compass', point, sense: said.sense, ending: null, other: null, doubtful: true });
};
export const letterO: Meaning = (said, { parts }) => {
  const [east = '', west = ''] = LETTER_O.get(said.text('letterO') || said.text('no')) ?? [];
  const [point, other] = [pointOf(west), pointOf(east)];
  parts.directions.push({ kind: 'compass', point, sense: said.sense, ending: null, other, doubtful: false });
};

// Words.

export const name: Meaning = (said, line) => {
  line.names.push(said);
  if (said.has('voice')) line.parts.voice = true;
};
export const northAlone: Meaning = (said, line) => {
  line.norths.push(said);
};
export const referenceAlone: Meaning = (said, line) => {
  line.references.push(said);
};
export const crew: Meaning = (_, { parts }) => {
  parts.source ??= 'crew';
};
export const source: Meaning = (said, { parts }) => {
  const word = said.text('source');
  parts.source ??= SOURCES.get(word) ?? null;
  // Smoke shows where the air goes, and is told of by where it comes from.
  if (word.endsWith('smoke')) parts.moving = true;
  if (word === 'tower' || word === 'atis') parts.voice = true;
};
export const calm: Meaning = (_, { parts }) => {
  parts.calm = true;
};
export const variable: Meaning = (_, { parts }) => {
  parts.variable = true;
};
export const lightVariable: Meaning = (_, { parts }) => {
  parts.lightVariable = true;
};
export const moving: Meaning = (_, { parts }) => {
  parts.moving = true;
};
export const turning: Meaning = (_, { parts }) => {
  parts.turning = true;
};
export const voice: Meaning = (_, { parts }) => {
  parts.voice = true;
};
export const nothing: Meaning = () => undefined;
export const bare: Meaning = (said, line) => {
  if (said.range() === null) return false;
  line.bare.push(said);
  return true;
};

/** Gives what waited its meaning, now that the whole line is known. */
export function finish(line: Line): void {
  const { parts } = line;
  finishEndings(line);
  line.bare.forEach((said, i) => finishNumber(line, said, i));
  for (const said of line.strengths) {
    const [low, high] = STRENGTHS.get(said.text('strength')) ?? [NaN, NaN];
    // A number beside it says more.
    if (parts.speeds.length === 0) pushForces(parts, low, high);
  }
  const isMeasured = (one: HeightPart): boolean => one.kind !== 'surface';
  // "surface, 2 m agl" names one height.
  if (parts.heights.some(isMeasured)) parts.heights = parts.heights.filter(isMeasured);
  finishNames(line);
}

/** "one eighty at ten knots true", "1500 ft 270/10 kt msl": a word that belongs to a number further up. */
function finishEndings({ parts, norths, references }: Line): void {
  for (const said of norths) {
    const [first] = parts.directions;
    if (first?.kind === 'degrees' && first.north === null) parts.directions[0] = { ...first, north: said.north };
    else parts.leftOver.push(textOf(said));
  }
  for (const said of references) {
    const [first] = parts.heights;
    if (first?.kind === 'height' && first.reference === null)
      parts.heights[0] = { ...first, reference: said.reference };
    else parts.leftOver.push(textOf(said));
  }
}

/** A number by itself: the first is the speed where none is known, one after "at" then a height. */
function finishNumber({ parts, bare: all }: Line, said: Said, i: number): void {
  const range = said.range();
  const [first] = said.numbers;
  if (first === undefined || range === null) return;
  const nextIsNumber = all[i + 1]?.start === said.start + said.tokens.length;
  const isTwoDigits = /^\d{1,2}$/.test(first.text) && said.numbers.length === 1 && !first.spoken;
  const isAt = said.has('at');
  if (parts.directions.length === 0 && isTwoDigits && !isAt && (parts.speeds.length > 0 || nextIsNumber))
    parts.directions.push(degreesPart(first.text, null, null, false));
  else if (parts.speeds.length === 0) pushSpeed(parts, range, null);
  else if (isAt && parts.directions.length === 0 && first.class === 'ddd')
    parts.directions.push(degreesPart(first.text, null, null, first.spoken));
  else if (isAt && parts.heights.length === 0)
    parts.heights.push({ kind: 'height', value: range.low, digits: first.text, unit: null, reference: null });
  else parts.leftOver.push(textOf(said));
}

/**
 * "toward the ridge" is a direction whatever stands before it; a name by itself only where there is no other. Of two
 * crews the one that is called adds nothing: "Ground One to Kite", "Kite, this is Ground One".
 */
function finishNames({ parts, names, isTeam }: Line): void {
  const isCrew = (said: Said | undefined): boolean => said !== undefined && isTeam(said.names);
  const called = names.filter(
    (said, i) =>
      isCrew(said) &&
      ((said.has('to') && isCrew(names[i - 1])) || (isCrew(names[i + 1]) && names[i + 1]?.text('voice') === 'this is')),
  );
  const rest = names.filter((said) => !called.includes(said));
  const isToward = (said: Said): boolean => said.has('toward', 'to', 'into');
  for (const said of rest.filter(isToward))
    parts.directions.push({ kind: 'name', names: said.names, sense: said.sense });
  for (const said of rest.filter((one) => !isToward(one))) {
    const still = parts.calm || parts.variable || parts.lightVariable;
    const isPlain = !said.has('at', 'over', 'crew', 'voice') && !isTeam(said.names);
    const isDirection = parts.directions.length === 0 && !still && (said.has('from') || isPlain);
    if (isDirection) parts.directions.push({ kind: 'name', names: said.names, sense: said.sense });
    else parts.mentions.push({ names: said.names, at: said.has('at', 'over') });
  }
}
