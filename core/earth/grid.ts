// Places as people type them: decimal degrees, degrees and minutes, degrees minutes seconds, UTM and MGRS. Positions
// inside are [longitude, latitude]; people say the latitude first (`core/words/positions.ts` writes them so).
import type { Read } from '../base/problem.ts';
import type { LonLat } from '../base/units.ts';
import { fromMgrs, fromUtm } from './utm.ts';
import type { Mgrs, Utm } from './utm.ts';

/**
 * A place as it was typed: any of the forms above, with or without signs, colons, degree marks or spaces.
 *
 * legal    -30.7431, 22.3187      30.7431S 22.3187E       S30 44.586 E022 19.122    30°44'35.2"S 22°19'7.3"E
 *          22:19:07E 30:44:35S
 *          3044.586S 02219.122E   34JFL2623298125         34J FL 26232 98125        34J 626232 6598125            34
 *                                 south 626232 6598125
 * refused  95 10 (latitude)       30.7 (one number)       22.3E 21.0E (two longitudes)   30 75 S (minutes)
 *          34JAA1234 (no such square)
 *          34S 300000 3700000 (band S or southern hemisphere?)
 * Without letters the latitude comes first (common practice). An MGRS text is read as the middle of its square.
 */
export function readPosition(text: string): Read<LonLat | null> {
  const clean = normalise(text);
  if (clean === '') return refuse('nothing typed; expected a position such as 30.7431S 22.3187E or 34J FL 26232 98125');
  if (clean.length > 120) return refuse(`${clean.length} characters; expected one position`);
  const answer = readMgrs(clean) ?? readUtm(clean, /\bsouth\b/i.test(text)) ?? readAngles(clean);
  return typeof answer === 'string' ? refuse(answer) : { value: answer, problems: [] };
}

const refuse = (text: string): Read<null> => ({ value: null, problems: [{ line: 1, text }] });

/** One kind of minus, comma, degree, minute and second mark; words for the four sides shortened to letters. */
function normalise(text: string): string {
  return text
    .toUpperCase()
    .replace(/[−–—]/g, '-')
    .replace(/[º˚]/g, '°')
    .replace(/(?:″|”|“|''|′′|’’)/g, '"')
    .replace(/[′’‘`]/g, "'")
    .replace(/\b(NORTH|SOUTH|EAST|WEST)\b/g, (word) => ` ${word[0] ?? ''} `)
    .replace(/\b(LATITUDE|LAT|LONGITUDE|LON|LONG|LNG|MGRS|UTM|ZONE|DEGREES|DEG)\b[:=.]?/g, ' ')
    .replace(/\s+/g, ' ')
    .trim();
}

function readMgrs(clean: string): LonLat | string | null {
  const match = /^(\d{1,2}) ?([A-Z]) ?([A-Z]{2}) ?(?:(\d+)(?: (\d+))?)?$/.exec(clean);
  if (match === null) return null;
  const [, zone = '', band = '', square = '', first = '', second] = match;
  if (second === undefined && first.length % 2 === 1)
    return `${first.length} digits after the square; expected as many for the north as for the east`;
  const easting = second === undefined ? first.slice(0, first.length / 2) : first;
  const northing = second ?? first.slice(first.length / 2);
  if (easting.length !== northing.length)
    return `${easting.length} and ${northing.length} digits; expected as many for the north as for the east`;
  if (easting.length > 5) return `${easting.length} digits per side; expected at most 5, which is 1 m`;
  const mgrs: Mgrs = { zone: Number(zone), band, square, easting, northing };
  const found = fromMgrs(mgrs);
  if (typeof found === 'string') return found;
  const half = found.side_m / 2;
  return fromUtm({
    ...found.corner,
    easting_m: found.corner.easting_m + half,
    northing_m: found.corner.northing_m + half,
  });
}

function readUtm(clean: string, southSaid: boolean): LonLat | string | null {
  const match = /^(\d{1,2}) ?([A-Z]) ?(\d{5,7}(?:\.\d+)?) ?M?E?[ ,]+(\d{1,8}(?:\.\d+)?) ?M?N?$/.exec(clean);
  if (match === null) return null;
  const [whole, zoneText = '', letter = '', eastText = '', northText = ''] = match;
  const zone = Number(zoneText);
  const easting_m = Number(eastText);
  const northing_m = Number(northText);
  if (!(zone >= 1 && zone <= 60)) return `zone ${zone}; expected 1 to 60`;
  if (!(easting_m >= 100_000 && easting_m <= 900_000)) return `easting ${eastText}; expected 100000 to 900000 m`;
  if (!(northing_m >= 0 && northing_m <= 10_000_000)) return `northing ${northText}; expected 0 to 10000000 m`;
  const at = (hemisphere: Utm['hemisphere']): LonLat => fromUtm({ zone, hemisphere, easting_m, northing_m });
  if (letter === 'N') return at('north');
  if (letter === 'S') {
    // Band S runs from 32° to 40° N; a whole metre of a northing that was rounded is not held against it.
    const north = at('north')[1];
    if (southSaid || !(north > 32 - 1e-5 && north < 40 + 1e-5)) return at('south');
    return (
      `"${whole}" may mean band S, which is north, or the southern hemisphere; write "south", or latitude and ` +
      'longitude'
    );
  }
  const band = 'CDEFGHJKLMNPQRSTUVWX'.indexOf(letter);
  if (band < 0) return `band "${letter}"; expected a letter C to X without I and O`;
  const place = at(band >= 10 ? 'north' : 'south');
  const low = band * 8 - 80;
  const high = letter === 'X' ? 84 : low + 8;
  if (place[1] >= low - 0.01 && place[1] <= high + 0.01) return place;
  return (
    `northing ${northText} lies at latitude ${Math.round(100 * place[1]) / 100}; band ${letter} reaches from ` +
    `${low} to ${high}`
  );
}

interface Angle {
  readonly degrees: number;
  readonly side: string;
}

/** Two angles, each with its letter before or after it, or both without letters. */
function readAngles(clean: string): LonLat | string {
  const halves = splitAngles(clean);
  if (typeof halves === 'string') return halves;
  const angles = halves.map((half) => readAngle(half));
  const wrong = angles.find((angle) => typeof angle === 'string');
  if (typeof wrong === 'string') return wrong;
  const [first, second] = angles.filter((angle): angle is Angle => typeof angle !== 'string');
  if (first === undefined || second === undefined) return `"${clean}"; expected a latitude and a longitude`;
  const isLon = (angle: Angle): boolean => angle.side === 'E' || angle.side === 'W';
  if ((first.side === '') !== (second.side === ''))
    return `a letter N, S, E or W at one number only; expected one at each, or none`;
  if (first.side !== '' && isLon(first) === isLon(second)) {
    return `two ${isLon(first) ? 'longitudes' : 'latitudes'}; expected a latitude (N or S) and a longitude (E or W)`;
  }
  const [lat, lon] = first.side !== '' && isLon(first) ? [second, first] : [first, second];
  if (!(Math.abs(lat.degrees) <= 90))
    return `latitude ${lat.degrees}; expected -90 to 90${first.side === '' ? ', the latitude first' : ''}`;
  if (!(Math.abs(lon.degrees) <= 180)) return `longitude ${lon.degrees}; expected -180 to 180`;
  return [lon.degrees, lat.degrees];
}

function splitAngles(clean: string): readonly [string, string] | string {
  const letters = [...clean.matchAll(/[NSEW]/g)].map((match) => match.index);
  const odd = /[^NSEW\d\s°'":.,;+-]/.exec(clean);
  if (odd !== null) return `"${odd[0]}" in a position; expected numbers, N S E W, ° ' " or a grid reference`;
  if (letters.length > 2) return `${letters.length} letters; expected one of N S E W at each number`;
  const [one = 0, two = 0] = letters;
  if (letters.length === 2) {
    // Letters before their numbers ("S30 E22") or after them ("30S 22E").
    const leads = !/\d/.test(clean.slice(0, one));
    return leads ? [clean.slice(0, two), clean.slice(two)] : [clean.slice(0, one + 1), clean.slice(one + 1)];
  }
  const separated = clean.split(/ ?[,;] ?/).filter((part) => part !== '');
  if (separated.length === 2) return [separated[0] ?? '', separated[1] ?? ''];
  const words = clean.split(/[\s,;]+/).filter((word) => word !== '');
  if (words.length % 2 === 1 || words.length > 6)
    return `${words.length} ${words.length === 1 ? 'number' : 'numbers'}; expected a latitude and a longitude`;
  return [words.slice(0, words.length / 2).join(' '), words.slice(words.length / 2).join(' ')];
}

function readAngle(half: string): Angle | string {
  const side = /[NSEW]/.exec(half)?.[0] ?? '';
  const body = half.replace(/[NSEW,;]/g, ' ').trim();
  const sign = body.startsWith('-') ? -1 : 1;
  const numbers = body
    .replace(/^[+-]\s*/, '')
    .split(/[\s°'":]+/)
    .filter((word) => word !== '');
  const bad = numbers.find((word) => !/^\d+(?:\.\d*)?$/.test(word));
  if (bad !== undefined) return `"${bad}"; expected a number`;
  if (numbers.length === 0) return `"${half.trim()}"; expected a number`;
  if (numbers.length > 3) return `${numbers.length} numbers for one angle; expected degrees, minutes and seconds`;
  if (sign < 0 && side !== '') return `both a minus sign and ${side}; expected one of the two`;
  const whole = numbers.slice(0, -1).find((word) => word.includes('.'));
  if (whole !== undefined) return `"${whole}"; a decimal point belongs to the last of degrees, minutes and seconds`;
  const values = numbers.length === 1 ? unpack(numbers[0] ?? '', side) : numbers.map(Number);
  const [degrees = 0, minutes = 0, seconds = 0] = values;
  if (!(minutes < 60)) return `${minutes} minutes; expected less than 60`;
  if (!(seconds < 60)) return `${seconds} seconds; expected less than 60`;
  const negative = sign < 0 || side === 'S' || side === 'W';
  const angle = degrees + minutes / 60 + seconds / 3600;
  return { degrees: negative ? -angle : angle, side };
}

/**
 * "3044.586" with a letter is 30° 44.586′, "0221907" is 022° 19′ 07″ (as receivers write them); anything else is
 * degrees.
 */
function unpack(word: string, side: string): number[] {
  const width = side === 'N' || side === 'S' ? 2 : side === '' ? 99 : 3;
  const [digits = '', decimals = ''] = word.split('.');
  const tail = decimals === '' ? '' : `.${decimals}`;
  if (digits.length === width + 2) return [Number(digits.slice(0, width)), Number(digits.slice(width) + tail)];
  if (digits.length === width + 4)
    return [
      Number(digits.slice(0, width)),
      Number(digits.slice(width, width + 2)),
      Number(digits.slice(width + 2) + tail),
    ];
  return [Number(word)];
}
