// Text as it arrives: bytes to characters, lines, and the list of what is wrong. Shared by the readers of wind files.
// Every reader answers `{ value, problems }`; `problems` holds all of them, each decoded source repeats those that
// concern it.
import { number } from '../../words/numbers.ts';
import { strFromU8 } from 'fflate';
import type { Problem, Read } from '../../base/problem.ts';
import type { DecodedWinds } from '../../air/levels.ts';

/**
 * A day of one station has under 0.1 MB, the longest single ascent here 0.3 MB; more than this is an archive, not a
 * wind file. The slowest reader (FB) takes half a second of processor a megabyte.
 */
export const TEXT_BYTES_MAX = 5_000_000;

/**
 * Where in a file something stands: the line, counted from 1 (0: the whole file), and a label where lines say nothing
 * (JSON).
 */
export interface TextPlace {
  readonly line: number;
  readonly label?: string;
}

const KEPT_OF_A_KIND = 10;

/**
 * Collects what is wrong. Of each kind the first ten are kept whole; the rest is counted and said in one sentence, so
 * that a file with a million bad lines gives a list that a person can read, and still nothing is dropped in silence.
 */
export class Findings {
  readonly #kept: Problem[] = [];
  readonly #counts = new Map<string, { more: number; last: number }>();

  /** `kind`: a plural noun phrase, for the sentence that counts the rest ("directions out of range"). */
  add(kind: string, place: TextPlace, text: string): void {
    const seen = this.#counts.get(kind) ?? { more: -KEPT_OF_A_KIND, last: 0 };
    seen.more += 1;
    seen.last = place.line;
    this.#counts.set(kind, seen);
    if (seen.more <= 0)
      this.#kept.push({ line: place.line, text: place.label === undefined ? text : `${place.label}: ${text}` });
  }

  /** In the order of lines; what concerns the whole file comes after them, and the counts of the rest last. */
  all(): Problem[] {
    const rank = (problem: Problem): number => (problem.line === 0 ? Infinity : problem.line);
    const problems = this.#kept.toSorted((a, b) => (rank(a) === rank(b) ? 0 : rank(a) - rank(b)));
    for (const [kind, { more, last }] of this.#counts) {
      if (more > 0)
        problems.push({ line: last, text: `${more} more ${kind}${last > 0 ? `, the last on line ${last}` : ''}` });
    }
    return problems;
  }
}

export const refused = <T>(line: number, text: string): Read<T[]> => ({ value: [], problems: [{ line, text }] });

/**
 * The answer of a reader: every source that has a level, and all problems once (a notice that concerns all sources is
 * one line).
 */
export function answer(sources: readonly DecodedWinds[], others: readonly Problem[] = []): Read<DecodedWinds[]> {
  const problems: Problem[] = [];
  const seen = new Set<string>();
  for (const problem of [...others, ...sources.flatMap((source) => source.problems)]) {
    const key = `${problem.line} ${problem.text}`;
    if (!seen.has(key)) problems.push(problem);
    seen.add(key);
  }
  return { value: sources.filter((source) => source.levels.length > 0), problems };
}

/**
 * One decoded source. Where it holds nothing that can be used, that is itself a problem.
 * `empty`: what to say when the file has no level at all.
 */
export function decodedWinds(what: Omit<DecodedWinds, 'problems'>, findings: Findings, empty: string): DecodedWinds {
  const place = { line: 0 };
  if (what.levels.length === 0) findings.add('empty sources', place, `${what.source}: ${empty}`);
  else if (!what.levels.some((level) => level.height_m !== null && level.speed_mps !== null)) {
    findings.add(
      'sources without wind',
      place,
      `${what.source}: no level has both a height and a wind; nothing here can be flown through`,
    );
  }
  return { ...what, problems: findings.all() };
}

/**
 * Control characters that text may hold: tab, the line ends, and the framing of telecommunication bulletins (SOH, STX,
 * ETX, RS, SUB).
 */
const HARMLESS = new Set([1, 2, 3, 9, 10, 11, 12, 13, 0x1a, 0x1b, 0x1c, 0x1d, 0x1e, 0x1f]);
const SAMPLE = 8192;

function utf16(bytes: Uint8Array, from: number, bigEndian: boolean): string {
  const parts: string[] = [];
  const codes: number[] = [];
  for (let i = from; i + 1 < bytes.length; i += 2) {
    const [high, low] = bigEndian ? [bytes[i] ?? 0, bytes[i + 1] ?? 0] : [bytes[i + 1] ?? 0, bytes[i] ?? 0];
    codes.push(high * 256 + low);
    if (codes.length === 4096) parts.push(String.fromCharCode(...codes.splice(0)));
  }
  return parts.join('') + String.fromCharCode(...codes);
}

/** Which half of each pair is zero in plain English text as UTF-16 without a mark; null where it is not that. */
function unmarkedUtf16(bytes: Uint8Array): 'big' | 'little' | null {
  const pairs = Math.min(bytes.length, SAMPLE) >> 1;
  let evenZero = 0;
  let oddZero = 0;
  for (let i = 0; i < pairs; i++) {
    if (bytes[2 * i] === 0) evenZero += 1;
    if (bytes[2 * i + 1] === 0) oddZero += 1;
  }
  if (pairs >= 8 && oddZero > 0.9 * pairs && evenZero === 0) return 'little';
  return pairs >= 8 && evenZero > 0.9 * pairs && oddZero === 0 ? 'big' : null;
}

function looksBinary(bytes: Uint8Array): boolean {
  const length = Math.min(bytes.length, SAMPLE);
  let odd = 0;
  for (let i = 0; i < length; i++) {
    const byte = bytes[i] ?? 0;
    if (byte === 0) return true;
    if ((byte < 32 && !HARMLESS.has(byte)) || byte === 127) odd += 1;
  }
  return odd > 0.02 * length;
}

/**
 * The characters of a text file: UTF-8 or ASCII, UTF-16 by its mark or by its look, without the byte order mark.
 *
 * Legal       "FT  3000", EF BB BF then text, FF FE then UTF-16 text
 * Not legal   nothing at all; bytes that are not text; more than 20 MB: the value is then '' and the problem says why
 */
export function decodeText(bytes: Uint8Array): Read<string> {
  const no = (text: string): Read<string> => ({ value: '', problems: [{ line: 0, text }] });
  if (bytes.length === 0) return no('the file is empty; expected wind levels');
  if (bytes.length > TEXT_BYTES_MAX) {
    const size = number(bytes.length / 1e6, 1);
    return no(
      `${size} MB of text; a wind file has at most ${TEXT_BYTES_MAX / 1e6} MB: cut out the soundings that are needed`,
    );
  }
  const [a, b, c] = bytes;
  const yes = (value: string): Read<string> =>
    value.trim() === '' ? no('the file holds nothing but blanks; expected wind levels') : { value, problems: [] };
  if (a === 0xff && b === 0xfe) return yes(utf16(bytes, 2, false));
  if (a === 0xfe && b === 0xff) return yes(utf16(bytes, 2, true));
  const unmarked = unmarkedUtf16(bytes);
  if (unmarked !== null) return yes(utf16(bytes, 0, unmarked === 'big'));
  if (looksBinary(bytes)) return no('binary data of an unknown kind; expected GRIB2, netCDF, a zip, or text');
  const text = strFromU8(a === 0xef && b === 0xbb && c === 0xbf ? bytes.subarray(3) : bytes);
  return yes(text.includes('\uFFFD') && !isUtf8(bytes) ? windows1252(bytes) : text);
}

/** Every byte above 127 belongs to a sequence of the right length. */
function isUtf8(bytes: Uint8Array): boolean {
  for (let i = 0; i < bytes.length;) {
    const byte = bytes[i] ?? 0;
    const more = byte < 0x80 ? 0 : byte >= 0xf0 ? 3 : byte >= 0xe0 ? 2 : 1;
    if ((byte >= 0x80 && byte < 0xc2) || byte > 0xf4) return false;
    for (let k = 1; k <= more; k++) if (((bytes[i + k] ?? 0) & 0xc0) !== 0x80) return false;
    i += 1 + more;
  }
  return true;
}

/** Code page 1252 from 0x80 to 0x9f (Unicode's mapping table CP1252); its other bytes are those of Latin-1. */
const CP1252 = '€\u0081‚ƒ„…†‡ˆ‰Š‹Œ\u008dŽ\u008f\u0090‘’“”•–—˜™š›œ\u009džŸ';

function windows1252(bytes: Uint8Array): string {
  let text = '';
  for (const byte of bytes)
    text += byte >= 0x80 && byte < 0xa0 ? CP1252.charAt(byte - 0x80) : String.fromCharCode(byte);
  return text;
}

/**
 * Lines without their ends: LF, CR LF, CR CR LF (bulletins) and CR alone all end one line, so line numbers match an
 * editor's.
 */
export const linesOf = (text: string): string[] => text.replace(/^\uFEFF/, '').split(/\r*\n|\r/);

const NUMBER = /^[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d{1,3})?$/;

/** A plain decimal number; NaN for anything else (also for "", "0x10", "1,5", "Infinity"). */
export const numberOf = (text: string): number => (NUMBER.test(text) ? Number(text) : NaN);

/** The ways in which wind files write "not measured". A bare 999 is not among them: it is an impossible direction. */
const MISSING = /^(?:|[-–—]+|\/+|\*+|null|none|n\/a|na|m|-99\.990?|-9{3,5}(?:\.[09]+)?|-8888(?:\.0+)?)$/i;

export const isMissing = (text: string): boolean => MISSING.test(text);
