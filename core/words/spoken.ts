// Numbers, times, places and names as they are said on the radio. ref: radio.md §1; source: ICAO Annex 10 vol. II
// 5.2.1.4, Doc 9432 and FAA AIM 4-2-8 to 4-2-12, mark F. Digits are said one by one; a decimal mark is "decimal"; 9 is
// "niner".
import { isCalm } from './winds.ts';
import { formatMgrs, sexagesimal } from './positions.ts';
import type { UnitChoice } from './numbers.ts';
import { assert, never } from '../base/problem.ts';
import { M_PER_FT, MPS_PER_KMH, MPS_PER_KT, wrap180, wrap360, type LonLat } from '../base/units.ts';

const DIGITS = ['zero', 'one', 'two', 'three', 'four', 'five', 'six', 'seven', 'eight', 'niner'] as const;

/** The ICAO spelling alphabet (Annex 10 vol. II, 5.2.1.3). */
const LETTERS: Readonly<Record<string, string>> = {
  A: 'Alfa', B: 'Bravo', C: 'Charlie', D: 'Delta', E: 'Echo', F: 'Foxtrot', G: 'Golf', H: 'Hotel', I: 'India', J: 'Juliett', K: 'Kilo',
  L: 'Lima', M: 'Mike', N: 'November', O: 'Oscar', P: 'Papa', Q: 'Quebec', R: 'Romeo', S: 'Sierra', T: 'Tango', U: 'Uniform', V: 'Victor',
  W: 'Whiskey', X: 'X-ray', Y: 'Yankee', Z: 'Zulu',
}; // prettier-ignore

/** "3.40" is "three decimal four zero"; a minus sign is "minus". What is neither digit nor mark is left out. */
export function sayDigits(text: string): string {
  const words: string[] = [];
  for (const sign of text) {
    const digit = DIGITS[Number(sign)];
    if (/\d/.test(sign) && digit !== undefined) words.push(digit);
    else if (sign === '.') words.push('decimal');
    else if (sign === '-' || sign === '−') words.push('minus');
  }
  return words.join(' ');
}

/** A number to so many decimals, digit by digit, without zeros at the end of its decimals. */
export function sayNumber(x: number, decimals = 0): string {
  assert(Number.isFinite(x), 'a number that is said is one');
  return sayDigits(String(Number(x.toFixed(decimals))));
}

/** Three digits, north as 360: "zero eight zero". */
export function sayDirection(angle_deg: number): string {
  const whole = Math.round(wrap360(angle_deg));
  return sayDigits(String(whole === 0 ? 360 : whole).padStart(3, '0'));
}

/** Every spoken direction says true or magnetic, because it may be heard alone. */
export type North = 'true' | 'magnetic';

export const sayHeading = (angle_deg: number, north: North): string =>
  `heading ${sayDirection(angle_deg)} degrees ${north}`;

/** "wind FROM one six zero degrees magnetic, one eight knots, gusting three zero knots". A calm: "wind calm". */
export function sayWind(from_deg: number, speed_mps: number, north: North, gust_mps?: number): string {
  const kt = Math.round(speed_mps / MPS_PER_KT);
  if (isCalm(speed_mps)) return 'wind calm';
  const gust = gust_mps === undefined ? '' : `, gusting ${sayNumber(gust_mps / MPS_PER_KT)} knots`;
  return (
    `wind FROM ${sayDirection(from_deg)} degrees ${north}, ${sayDigits(String(kt))} ` +
    `${kt === 1 ? 'knot' : 'knots'}${gust}`
  );
}

/** A wind whose direction swings all round has no side to be said: "wind variable, four knots, gusting niner knots". */
export function sayVariableWind(speed_mps: number, gust_mps?: number): string {
  if (isCalm(speed_mps)) return 'wind calm';
  const gust = gust_mps === undefined ? '' : `, gusting ${sayNumber(gust_mps / MPS_PER_KT)} knots`;
  const kt = Math.round(speed_mps / MPS_PER_KT);
  return `wind variable, ${sayNumber(kt)} ${kt === 1 ? 'knot' : 'knots'}${gust}`;
}

/** "One two thousand four hundred": digits of the thousands, then hundreds. Other numbers are said digit by digit. */
function sayHundreds(whole: number): string {
  if (whole === 0 || whole % 100 !== 0) return sayNumber(whole);
  const thousands = Math.floor(whole / 1000);
  const hundreds = (whole % 1000) / 100;
  return [
    ...(thousands === 0 ? [] : [`${sayNumber(thousands)} thousand`]),
    ...(hundreds === 0 ? [] : [`${sayNumber(hundreds)} hundred`]),
  ].join(' ');
}

/**
 * A height to 100 from 1000 up, below that to 10: "three thousand four hundred metres", "eight five zero feet". What it
 * is counted from is said by the caller, always.
 */
export function sayHeight(height_m: number, length: UnitChoice['length']): string {
  const value = length === 'ft' ? height_m / M_PER_FT : height_m;
  const step = Math.abs(value) >= 995 ? 100 : 10;
  const whole = step * Math.round(value / step);
  return `${whole < 0 ? 'minus ' : ''}${sayHundreds(Math.abs(whole))} ${length === 'ft' ? 'feet' : 'metres'}`;
}

/** "three six zero metres a second", "seven zero knots", "two five zero kilometres an hour". */
export function saySpeed(speed_mps: number, unit: UnitChoice['speed']): string {
  switch (unit) {
    case 'm/s':
      return `${sayNumber(speed_mps)} metres a second`;
    case 'kt':
      return `${sayNumber(speed_mps / MPS_PER_KT)} knots`;
    case 'km/h':
      return `${sayNumber(speed_mps / MPS_PER_KMH)} kilometres an hour`;
    default:
      return never(unit);
  }
}

const counted = (count: number, unit: string): string => `${sayNumber(count)} ${unit}${count === 1 ? '' : 's'}`;

/** A length of time to the second: "three minutes one zero seconds", "four two seconds". */
export function sayDuration(time_s: number): string {
  const s = Math.round(time_s);
  const minutes = Math.floor(s / 60);
  const seconds = s % 60;
  if (minutes === 0) return counted(seconds, 'second');
  return seconds === 0 ? counted(minutes, 'minute') : `${counted(minutes, 'minute')} ${counted(seconds, 'second')}`;
}

/** An age to the minute, as it stands on the window: "four minutes old", and at least one. */
export const sayAge = (age_s: number): string => `${counted(Math.max(1, Math.round(age_s / 60)), 'minute')} old`;

/** Hours and minutes of UTC: "zero seven four two Zulu". */
export function sayTime(time_s: number): string {
  const iso = new Date(60_000 * Math.round(time_s / 60)).toISOString();
  return `${sayDigits(iso.slice(11, 13) + iso.slice(14, 16))} Zulu`;
}

/**
 * Latitude and longitude in degrees and minutes, two phrases: what is said between two breaths. Two decimals are 19 m.
 */
export function sayDegreesMinutes([lon, lat]: LonLat, decimals = 2): readonly [string, string] {
  const east = wrap180(lon);
  const angle = (value: number, width: number, side: string): string => {
    const [degrees = 0, minutes = 0] = sexagesimal(Math.abs(value), 2, decimals);
    const text = minutes.toFixed(decimals).padStart(decimals > 0 ? decimals + 3 : 2, '0');
    return `${sayDigits(String(degrees).padStart(width, '0'))} degrees ${sayDigits(text)} ${side}`;
  };
  return [angle(lat, 2, lat < 0 ? 'south' : 'north'), angle(east, 3, east < 0 ? 'west' : 'east')];
}

/** A grid reference to 10 m: zone, band and square by letter, easting and northing digit by digit. */
export function sayMgrs(place: LonLat): readonly string[] {
  const [zone = '', square = '', easting = '', northing = ''] = formatMgrs(place, 4).split(' ');
  if (northing === '') return ['no grid reference here'];
  return [`grid ${sayLetters(zone)} ${sayLetters(square)}`, `${sayDigits(easting)}, ${sayDigits(northing)}`];
}

/** Letters by the spelling alphabet, digits singly. */
export function sayLetters(text: string): string {
  return Array.from(text.toUpperCase())
    .map((sign) => LETTERS[sign] ?? (/\d/.test(sign) ? sayDigits(sign) : ''))
    .filter((word) => word !== '')
    .join(' ');
}

/** A name with its digits said singly: "Team 2" is "Team two". Signs that are not spoken are left out. */
export function sayName(name: string): string {
  return name
    .replace(/\d+/g, (digits) => ` ${sayDigits(digits)} `)
    .replace(/[^\p{L}\p{N}\s'’-]/gu, ' ')
    .replace(/\s+/g, ' ')
    .trim();
}

/** Metres below a kilometre, else kilometres with a decimal: digit by digit. */
export function sayDistance(distance_m: number): string {
  if (distance_m < 995) return `${sayNumber(10 * Math.round(distance_m / 10))} metres`;
  return `${sayNumber(distance_m / 1000, distance_m < 9950 ? 1 : 0)} kilometres`;
}

export const WORDS_A_BREATH = 20;

/** Words as they are counted for the length of a breath. */
export const spokenWords = (text: string): number =>
  text.split(/\s+/).filter((word) => /[\p{L}\p{N}]/u.test(word)).length;

/**
 * Phrases put together to breaths of at most 20 words; a phrase that is longer by itself is cut between words. ref:
 * radio.md §2.
 */
export function breaths(phrases: readonly string[]): string[] {
  const out: string[] = [];
  let held = '';
  const end = (): void => {
    if (held !== '') out.push(held);
    held = '';
  };
  for (const phrase of phrases.flatMap(cut)) {
    if (held !== '' && spokenWords(held) + spokenWords(phrase) > WORDS_A_BREATH) end();
    held = held === '' ? phrase : `${held} ${phrase}`;
  }
  end();
  return out;
}

function cut(phrase: string): string[] {
  const words = phrase.split(/\s+/).filter((word) => word !== '');
  if (words.length <= WORDS_A_BREATH) return [words.join(' ')];
  const out: string[] = [];
  for (let k = 0; k < words.length; k += WORDS_A_BREATH) out.push(words.slice(k, k + WORDS_A_BREATH).join(' '));
  return out;
}
