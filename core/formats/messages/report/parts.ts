// What stands in a line: direction, speed, gust, height, time, who and where, each as it was said, nothing converted
// and nothing supplied. Every token is used by one part or it is a filler; what is left over was not understood.
import type { ReportSource } from '../../../log/events.ts';
import { isThreeDigits, type Token } from './tokens.ts';
import {
  AT,
  BEAUFORT_MPS,
  CALM,
  compassWord,
  DEGREES,
  FILLERS,
  FROM,
  GUST,
  HEIGHT_REFERENCES,
  HEIGHT_UNITS,
  LIGHT_VARIABLE,
  MAGNETIC,
  MOVING,
  SOURCES,
  SPEED_UNITS,
  SURFACE_WORDS,
  TIME_UNITS_S,
  TOWARD,
  TRUE_NORTH,
  VARIABLE,
  VOICE,
  type HeightUnit,
  type SpeedUnit,
} from './vocabulary.ts';

export type Sense = 'from' | 'toward' | null;

export type DirectionPart =
  | {
      readonly kind: 'degrees';
      readonly value: number;
      readonly digits: string;
      readonly sense: Sense;
      readonly north: 'true' | 'magnetic' | null;
      readonly spoken: boolean;
    }
  | { readonly kind: 'compass'; readonly value: number; readonly step_deg: number; readonly sense: Sense }
  | { readonly kind: 'name'; readonly names: readonly string[]; readonly sense: Sense };

export interface SpeedPart {
  readonly low: number;
  readonly high: number;
  readonly unit: SpeedUnit | null;
  /** The P of METAR: that much or more. */
  readonly orMore: boolean;
}

export type HeightPart =
  | { readonly kind: 'surface' }
  | { readonly kind: 'flight level'; readonly level: number }
  | {
      readonly kind: 'height';
      readonly value: number;
      readonly unit: HeightUnit | null;
      readonly reference: 'MSL' | 'AGL' | null;
    };

export type TimePart =
  | { readonly kind: 'ago'; readonly ago_s: number }
  | {
      readonly kind: 'clock';
      readonly ofDay_s: number;
      readonly zone: 'UTC' | 'local' | null;
      readonly day: number | null;
    };

export interface Parts {
  directions: DirectionPart[];
  speeds: SpeedPart[];
  gusts: SpeedPart[];
  heights: HeightPart[];
  times: TimePart[];
  swing: readonly [number, number] | null;
  calm: boolean;
  variable: boolean;
  lightVariable: boolean;
  /** A METAR group whose wind is slashes. */
  missing: boolean;
  weatherFormat: boolean;
  source: ReportSource | null;
  /** Names of teams or places that tell who or where, in the order of the line. */
  mentions: { readonly names: readonly string[]; readonly at: boolean }[];
  /** A word of movement without "to": nobody can know whether a direction beside it is from or toward. */
  moving: boolean;
  voice: boolean;
  unknownCrew: string | null;
  leftOver: string[];
}

/** A speed of nothing, whatever the unit: a calm. */
export const isCalm = (parts: Parts): boolean => parts.speeds[0]?.high === 0;

/** The parts of a line of tokens (changed: marked as used). `teams`: the names that are people, and no direction. */
export function partsOf(line: readonly Token[], teams: ReadonlySet<string>): Parts {
  const parts: Parts = {
    directions: [],
    speeds: [],
    gusts: [],
    heights: [],
    times: [],
    swing: null,
    calm: false,
    variable: false,
    lightVariable: false,
    missing: false,
    weatherFormat: false,
    source: null,
    mentions: [],
    moving: false,
    voice: line.some((one) => VOICE.has(one.text)),
    unknownCrew: null,
    leftOver: [],
  };
  const tokens = line.filter((one) => !(one.kind === 'word' && FILLERS.has(one.text)));
  takeWeatherGroups(tokens, parts);
  // A whole METAR: its other groups are weather, and "22/10" is a temperature.
  if (parts.weatherFormat && parts.times.length > 0) return parts;
  takeCrewNumber(tokens, parts);
  takeTimes(tokens, parts);
  takePairs(tokens, parts);
  takeHeights(tokens, parts);
  takeGusts(tokens, parts);
  takeSpeeds(tokens, parts);
  takeDirections(tokens, parts);
  takeWords(tokens, parts);
  takeNames(tokens, parts, teams);
  takeBareNumbers(tokens, parts);
  parts.leftOver = tokens.filter((one) => !one.used && !AT.has(one.text) && one.text !== 'and').map((one) => one.text);
  return parts;
}

type Tokens = readonly Token[];

/** The token at i where no part has it yet. */
const free = (tokens: Tokens, i: number): Token | undefined => (tokens[i]?.used === false ? tokens[i] : undefined);
/** The word at i. A name is none: "Ground Two" is a crew, and no word for the surface. */
const word = (tokens: Tokens, i: number): string =>
  free(tokens, i)?.kind === 'name' ? '' : (free(tokens, i)?.text ?? '');
const number = (tokens: Tokens, i: number): Token | undefined =>
  free(tokens, i)?.kind === 'number' ? tokens[i] : undefined;

function use(tokens: Tokens, from: number, to: number): void {
  for (let i = from; i < to; i++) {
    const one = tokens[i];
    if (one !== undefined) one.used = true;
  }
}

const METAR = /^(vrb|\d{3}|\/\/\/)(p?)(\d{2,3}|\/\/)(?:g(p?)(\d{2,3}|\/\/))?(kt|mps|kmh)$/;

/** "09007G12KT", "VRB03KT", "230V290", "211255Z": reference/wind-reports.md §2. */
function takeWeatherGroups(tokens: Tokens, parts: Parts): void {
  for (const one of tokens) {
    if (one.kind === 'metar') {
      const [, from = '', p = '', speed = '', gp = '', gust, unit = 'kt'] = METAR.exec(one.text) ?? [];
      one.used = true;
      parts.weatherFormat = true;
      const of = (digits: string, more: boolean): SpeedPart => {
        // P99KT is 100 kt or more: the format ends one below.
        const value = Number(digits) + (more ? 1 : 0);
        return { low: value, high: value, unit: unit === 'mps' ? 'm/s' : unit === 'kmh' ? 'km/h' : 'kt', orMore: more };
      };
      if (speed === '//' || from === '///') parts.missing = true;
      else {
        parts.speeds.push(of(speed, p !== ''));
        if (from === 'vrb') parts.variable = true;
        else
          parts.directions.push({
            kind: 'degrees',
            value: Number(from),
            digits: from,
            sense: 'from',
            north: 'true',
            spoken: false,
          });
      }
      if (gust !== undefined && gust !== '//') parts.gusts.push(of(gust, gp !== ''));
    } else if (one.kind === 'swing') {
      parts.swing = [Number(one.text.slice(0, 3)), Number(one.text.slice(4))];
      one.used = true;
    } else if (one.kind === 'dayTime') {
      const digits = one.text;
      const ofDay_s = Number(digits.slice(2, 4)) * 3600 + Number(digits.slice(4, 6)) * 60;
      parts.times.push({ kind: 'clock', ofDay_s, zone: 'UTC', day: Number(digits.slice(0, 2)) });
      one.used = true;
    }
  }
}

/** "team 5", where no team of the mission is called so: not a speed of 5. */
function takeCrewNumber(tokens: Tokens, parts: Parts): void {
  for (let i = 0; i + 1 < tokens.length; i++) {
    const isCrew = word(tokens, i) === 'team' || word(tokens, i) === 'crew';
    const name = number(tokens, i + 1);
    const after = word(tokens, i + 2);
    if (
      !isCrew ||
      name === undefined ||
      isThreeDigits(name) ||
      SPEED_UNITS.has(after) ||
      after === '-' ||
      TIME_UNITS_S.has(after)
    )
      continue;
    parts.unknownCrew = `${word(tokens, i)} ${name.text}`;
    use(tokens, i, i + 2);
  }
}

/** "5 min ago", "13:45Z", "1345Z", "1345 UTC", "13:45 local". */
function takeTimes(tokens: Tokens, parts: Parts): void {
  for (let i = 0; i < tokens.length; i++) {
    const one = free(tokens, i);
    if (one === undefined) continue;
    const unit_s = TIME_UNITS_S.get(word(tokens, i + 1));
    const old = word(tokens, i + 2);
    if (one.kind === 'number' && unit_s !== undefined && (old === 'ago' || old === 'old' || old === 'back')) {
      parts.times.push({ kind: 'ago', ago_s: one.value * unit_s });
      use(tokens, i, i + 3);
      continue;
    }
    const zoneWord = word(tokens, i + 1);
    const zone = ['utc', 'zulu', 'z', 'gmt'].includes(zoneWord)
      ? 'UTC'
      : zoneWord === 'local' || zoneWord === 'lt'
        ? 'local'
        : null;
    const isClock = one.kind === 'clock';
    if (!isClock && !(one.kind === 'number' && /^\d{4}$/.test(one.text) && zone !== null)) continue;
    const digits = one.text.replace(/\D/g, '').padStart(4, '0');
    const seconds = digits.length > 4 ? Number(digits.slice(-2)) : 0;
    const hm = digits.length > 4 ? digits.slice(0, -2).padStart(4, '0') : digits;
    const [hours, minutes] = [Number(hm.slice(0, 2)), Number(hm.slice(2))];
    const ofDay_s = hours < 24 && minutes < 60 && seconds < 60 ? hours * 3600 + minutes * 60 + seconds : NaN;
    parts.times.push({ kind: 'clock', ofDay_s, zone: one.text.endsWith('z') ? 'UTC' : zone, day: null });
    use(tokens, i, i + (zone === null ? 1 : 2));
  }
}

/** How far a direction in degrees reaches from i: its sign, and which north. */
function degreesAt(
  tokens: Tokens,
  i: number,
): { end: number; north: 'true' | 'magnetic' | null; sign: boolean } | null {
  if (number(tokens, i) === undefined) return null;
  let end = i + 1;
  const sign = DEGREES.has(word(tokens, end));
  if (sign) end += 1;
  const next = word(tokens, end);
  const leadingZero = tokens[i]?.text.startsWith('0') === true && isThreeDigits(tokens[i]);
  // A bare m after a number is metres, unless a degree sign or a leading zero says that the number is a direction.
  const m = next === 'm' && (sign || leadingZero);
  const north = MAGNETIC.has(next) || m ? 'magnetic' : TRUE_NORTH.has(next) ? 'true' : null;
  return { end: north === null ? end : end + 1, north, sign };
}

function pushDegrees(parts: Parts, one: Token, sense: Sense, north: 'true' | 'magnetic' | null): void {
  parts.directions.push({ kind: 'degrees', value: one.value, digits: one.text, sense, north, spoken: one.spoken });
}

/** A preposition just before i that gives a direction its sense, past "direction" words. */
function senseBefore(tokens: Tokens, i: number): { sense: Sense; start: number } {
  const before = word(tokens, i - 1);
  if (FROM.has(before)) return { sense: 'from', start: i - 1 };
  if (TOWARD.has(before)) return { sense: 'toward', start: i - 1 };
  return { sense: null, start: i };
}

/** "090/7", "090/7-10", "240-10", and "09007" without a unit: direction and speed in one. */
function takePairs(tokens: Tokens, parts: Parts): void {
  for (let i = 0; i < tokens.length; i++) {
    const one = number(tokens, i);
    if (one === undefined || HEIGHT_UNITS.has(word(tokens, i + 1))) continue;
    const { sense, start } = senseBefore(tokens, i);
    if (/^\d{5,6}$/.test(one.text) && parts.directions.length === 0) {
      const speed = Number(one.text.slice(3));
      const unit = SPEED_UNITS.get(word(tokens, i + 1)) ?? null;
      if (Number(one.text.slice(0, 3)) > 360) continue;
      parts.directions.push({
        kind: 'degrees',
        value: Number(one.text.slice(0, 3)),
        digits: one.text.slice(0, 3),
        sense,
        north: null,
        spoken: one.spoken,
      });
      parts.speeds.push({ low: speed, high: speed, unit, orMore: false });
      use(tokens, start, i + (unit === null ? 1 : 2));
      continue;
    }
    const degrees = degreesAt(tokens, i);
    if (degrees === null) continue;
    const between = word(tokens, degrees.end);
    const speed = number(tokens, degrees.end + 1);
    if (speed === undefined || !(between === '/' || (between === '-' && isThreeDigits(one) && speed.text.length <= 2)))
      continue;
    const range = rangeAt(tokens, degrees.end + 1);
    const unit = SPEED_UNITS.get(word(tokens, range.end)) ?? null;
    pushDegrees(parts, one, sense, degrees.north);
    parts.speeds.push({ low: range.low, high: range.high, unit, orMore: false });
    use(tokens, start, range.end + (unit === null ? 0 : 1));
  }
}

/** "5", "5-10", "5 to 10": the number at i and, where a greater one follows, the range of both. */
function rangeAt(tokens: Tokens, i: number): { low: number; high: number; end: number } {
  const low = number(tokens, i)?.value ?? NaN;
  const dash = word(tokens, i + 1);
  const high = number(tokens, i + 2);
  const joins = dash === '-' || dash === 'to' || dash === '/' || (dash === 'and' && word(tokens, i - 1) === 'between');
  if (joins && high !== undefined && high.value > low && !isThreeDigits(high)) {
    return { low, high: high.value, end: i + 3 };
  }
  return { low, high: low, end: i + 1 };
}

/** "FL390", "1500 ft", "2 m agl", "500 msl", "surface". */
function takeHeights(tokens: Tokens, parts: Parts): void {
  for (let i = 0; i < tokens.length; i++) {
    if (word(tokens, i) === 'fl' && number(tokens, i + 1) !== undefined) {
      parts.heights.push({ kind: 'flight level', level: number(tokens, i + 1)?.value ?? NaN });
      use(tokens, i, i + 2);
      continue;
    }
    const one = number(tokens, i);
    if (one === undefined) continue;
    const unit = HEIGHT_UNITS.get(word(tokens, i + 1)) ?? null;
    const reference = HEIGHT_REFERENCES.get(word(tokens, i + (unit === null ? 1 : 2))) ?? null;
    if (unit === null && reference === null) continue;
    const degrees = degreesAt(tokens, i);
    if (degrees?.north === 'magnetic') continue;
    parts.heights.push({ kind: 'height', value: one.value, unit, reference });
    use(
      tokens,
      AT.has(word(tokens, i - 1)) ? i - 1 : i,
      i + 1 + (unit === null ? 0 : 1) + (reference === null ? 0 : 1),
    );
  }
  for (let i = 0; i < tokens.length; i++) {
    if (!SURFACE_WORDS.has(word(tokens, i))) continue;
    use(tokens, i, i + 1);
    if (parts.heights.length === 0) parts.heights.push({ kind: 'surface' });
  }
}

/** "gusting 15", "G15", "gusts to 15 kt". */
function takeGusts(tokens: Tokens, parts: Parts): void {
  for (let i = 0; i < tokens.length; i++) {
    if (!GUST.has(word(tokens, i))) continue;
    let at = i + 1;
    while (GUST.has(word(tokens, at)) || TOWARD.has(word(tokens, at)) || word(tokens, at) === 'up') at += 1;
    const value = number(tokens, at);
    if (value === undefined) continue;
    const unit = SPEED_UNITS.get(word(tokens, at + 1)) ?? null;
    parts.gusts.push({ low: value.value, high: value.value, unit, orMore: false });
    use(tokens, i, at + (unit === null ? 1 : 2));
  }
}

/** Speeds with a unit: "7 kt", "5-10 kt", "between 5 and 10 knots"; "force 4". */
function takeSpeeds(tokens: Tokens, parts: Parts): void {
  for (let i = 0; i < tokens.length; i++) {
    const force =
      word(tokens, i) === 'force' || word(tokens, i) === 'beaufort' || word(tokens, i) === 'bft'
        ? number(tokens, i + 1)
        : undefined;
    const bounds = force === undefined ? undefined : BEAUFORT_MPS[force.value];
    if (bounds !== undefined) {
      parts.speeds.push({ low: bounds[0], high: bounds[1], unit: 'm/s', orMore: false });
      use(tokens, i, i + 2);
      continue;
    }
    if (number(tokens, i) === undefined) continue;
    const range = rangeAt(tokens, i);
    const unit = SPEED_UNITS.get(word(tokens, range.end));
    if (unit === undefined) continue;
    const start = word(tokens, i - 1) === 'between' || AT.has(word(tokens, i - 1)) ? i - 1 : i;
    parts.speeds.push({ low: range.low, high: range.high, unit, orMore: false });
    use(tokens, start, range.end + 1);
  }
}

/** Compass words, degrees, and places after from or toward. */
function takeDirections(tokens: Tokens, parts: Parts): void {
  for (let i = 0; i < tokens.length; i++) {
    const one = free(tokens, i);
    if (one === undefined) continue;
    const { sense, start } = senseBefore(tokens, i);
    const compass = one.kind === 'word' ? compassWord(one.text) : undefined;
    const degrees = degreesAt(tokens, i);
    if (compass !== undefined) {
      parts.directions.push({
        kind: 'compass',
        value: compass.direction_deg,
        step_deg: compass.step_deg,
        sense: compass.sense ?? sense,
      });
      use(tokens, start, i + 1);
    } else if (
      degrees !== null &&
      (isThreeDigits(one) ||
        degrees.sign ||
        (sense !== null && parts.directions.length === 0 && rangeAt(tokens, i).end === i + 1))
    ) {
      // "from the north 5 to 10" must not read "to 10" as a direction: only where none is known yet.
      pushDegrees(parts, one, sense, degrees.north);
      use(tokens, start, degrees.end);
    }
  }
  for (let i = 0; i < tokens.length; i++) {
    const one = free(tokens, i);
    const { sense, start } = senseBefore(tokens, i);
    // "from Team 2 090/7" tells who speaks; a place after toward is always a direction, after from only where there is
    // no other.
    if (one?.kind !== 'name' || sense === null || (sense === 'from' && parts.directions.length > 0)) continue;
    parts.directions.push({ kind: 'name', names: one.names, sense });
    use(tokens, start, i + 1);
  }
}

/** Names that are left: who reported, or where; after "at" it is where. */
function takeNames(tokens: Tokens, parts: Parts, teams: ReadonlySet<string>): void {
  for (let i = 0; i < tokens.length; i++) {
    const one = free(tokens, i);
    if (one?.kind !== 'name') continue;
    const before = word(tokens, i - 1);
    const isCrew = tokens[i - 1]?.text === 'crew' || tokens[i - 1]?.text === 'team';
    const still = parts.calm || parts.variable || parts.lightVariable;
    const bare =
      parts.directions.length === 0 &&
      !still &&
      !AT.has(before) &&
      !isCrew &&
      !one.names.some((name) => teams.has(name));
    if (bare) parts.directions.push({ kind: 'name', names: one.names, sense: null });
    else parts.mentions.push({ names: one.names, at: AT.has(before) });
    use(tokens, FROM.has(before) || AT.has(before) ? i - 1 : i, i + 1);
  }
}

function takeWords(tokens: Tokens, parts: Parts): void {
  tokens.forEach((one) => {
    if (one.used || one.kind !== 'word') return;
    const north = MAGNETIC.has(one.text) ? 'magnetic' : TRUE_NORTH.has(one.text) ? 'true' : null;
    const direction = parts.directions[0];
    if (north !== null && direction?.kind === 'degrees' && direction.north === null) {
      parts.directions[0] = { ...direction, north };
      one.used = true;
      return;
    }
    const reference = HEIGHT_REFERENCES.get(one.text);
    const height = parts.heights[0];
    if (reference !== undefined && height?.kind === 'height' && height.reference === null) {
      parts.heights[0] = { ...height, reference };
      one.used = true;
      return;
    }
    const source = SOURCES.get(one.text);
    if (MOVING.has(one.text)) parts.moving = true;
    if (source !== undefined) parts.source ??= source;
    if (CALM.has(one.text)) parts.calm = true;
    if (VARIABLE.has(one.text)) parts.variable = true;
    if (one.text === LIGHT_VARIABLE) parts.lightVariable = true;
    if (
      source !== undefined ||
      MOVING.has(one.text) ||
      CALM.has(one.text) ||
      VARIABLE.has(one.text) ||
      one.text === LIGHT_VARIABLE
    )
      one.used = true;
  });
}

/** Numbers without a unit: the first is the speed where none is known, one after "at" then a height. */
function takeBareNumbers(tokens: Tokens, parts: Parts): void {
  for (let i = 0; i < tokens.length; i++) {
    const one = number(tokens, i);
    if (one === undefined) continue;
    const after = AT.has(word(tokens, i - 1));
    const range = rangeAt(tokens, i);
    const start = after || word(tokens, i - 1) === 'between' ? i - 1 : i;
    const speedFollows = parts.speeds.length > 0 || free(tokens, i + 1)?.kind === 'number';
    if (parts.directions.length === 0 && /^\d{1,2}$/.test(one.text) && speedFollows) {
      pushDegrees(parts, one, null, null);
      use(tokens, i, i + 1);
    } else if (parts.speeds.length === 0) {
      parts.speeds.push({ low: range.low, high: range.high, unit: null, orMore: false });
      use(tokens, start, range.end);
    } else if (after && parts.heights.length === 0) {
      parts.heights.push({ kind: 'height', value: one.value, unit: null, reference: null });
      use(tokens, start, i + 1);
    }
  }
}
