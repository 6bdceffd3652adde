// A typed or spoken line cut into tokens, each of one class: numbers (spoken ones turned into digits), names of the
// mission, groups of the weather format, and the words of the vocabulary. What is in no table has the class `unknown`.
import { zeroed } from '../../../base/plainNumbers.ts';
import {
  classOf,
  compassWord,
  DECIMAL,
  DIGITS,
  isVocabulary,
  LONGEST_PHRASE,
  MAGNITUDES,
  POINT_NAMES,
  TEENS,
  TENS,
  type WordClass,
} from './vocabulary.ts';

/** `ddd`: a number of three digits, as directions are written and said; `number`: any other. */
export type TokenClass =
  WordClass | 'ddd' | 'number' | 'compass' | 'name' | 'metar' | 'swing' | 'dayTime' | 'clock' | 'pause' | 'unknown';

export interface Token {
  readonly class: TokenClass;
  /** Lower case; of a number its digits as written or spoken ("090"). */
  readonly text: string;
  readonly spoken: boolean;
  /** Of a name: which names it may mean, one where it is clear. */
  readonly names: readonly string[];
}

/** Longer lines are not reports. */
export const LONGEST_LINE = 400;

/** What a line is cut into before any word is known: `kind` is the name of the group that matched. */
interface Piece {
  readonly kind: 'metar' | 'swing' | 'dayTime' | 'clock' | 'number' | 'word' | 'symbol' | 'pause' | 'name';
  readonly text: string;
  readonly names?: readonly string[];
}

const PIECES: readonly (readonly [kind: Piece['kind'], pattern: string])[] = [
  ['metar', String.raw`(?:vrb|\d{3}|///)(?:p?\d{2}|p?[1-9]\d{2}|//)(?:g(?:p?\d{2,3}|//))?(?:kt|mps|kmh)\b`],
  ['swing', String.raw`\b\d{3}v\d{3}\b`],
  ['dayTime', String.raw`\b\d{6}z\b`],
  ['clock', String.raw`\b\d{1,2}:\d{2}(?::\d{2})?\s?z?\b|\b\d{4}z\b`],
  ['word', String.raw`\b(?:m/sec|m/s|km/h|mi/h|l/v)\b`],
  ['number', String.raw`\d+(?:\.\d+)?`],
  ['word', String.raw`\b${POINT_NAMES}`],
  ['word', String.raw`\p{L}+(?:'\p{L}+)*`],
  ['pause', String.raw`[,.:!]+`],
  ['symbol', String.raw`\S`],
];
const PIECE = new RegExp(PIECES.map(([, pattern]) => `(${pattern})`).join('|'), 'gu');

/**
 * The line in one spelling: small letters, plain dashes, "deg" and "ft" for their signs, no thousands commas, a point
 * for a decimal comma, letters apart from digits and from each other's hyphens.
 */
function normalised(text: string): string {
  return text
    .replace(/[°˚º]/g, ' deg ')
    .normalize('NFKC')
    .toLowerCase()
    .replace(/[‐-―−]/g, '-')
    .replace(/[’‘]/g, "'")
    .replace(/(\d)\s*['′](?![\p{L}\d])/gu, '$1 ft ')
    .replace(/(\d),(?=\d{3}(?!\d))/g, '$1')
    .replace(/(?<![\d/.] ?)(\d{1,2})\s(\d{3})(?=\s?(?:ft|feet|m|metres|meters)(?!\p{L}))/gu, '$1$2')
    .replace(/(?<![\d.,])(\d{1,2}),(\d)(?![\d,])/g, '$1.$2')
    .replace(/(?<=\d)(m\/sec|m\/s|km\/h|mi\/h)/g, ' $1')
    .replace(/(?<=[\p{L}\d])-(?=\p{L})/gu, ' ')
    .replace(/\b(nor|sou)'(?=\p{L})/gu, '$1 ')
    .replace(/\b(d|l)'(?=\p{L})/gu, '$1e ')
    .replace(/\ba (?=(?:hundred|thousand)\b)/g, 'one ');
}

function piecesOf(text: string): Piece[] {
  return [...normalised(text).matchAll(PIECE)].map((match) => {
    const kind = PIECES[match.slice(1).findIndex((group) => group !== undefined)]?.[0] ?? 'symbol';
    return { kind, text: match[0] };
  });
}

/**
 * The tokens of a line, without fillers and pauses.
 *
 * names  the places and crews of the mission
 * kinds  words that stand for one of several names: "the zone"
 */
export function tokensOf(
  text: string,
  names: readonly string[],
  kinds: ReadonlyMap<string, readonly string[]> = new Map(),
): Token[] {
  return classed(withNumbers(withNames(piecesOf(text), names, kinds))).filter(
    (one) => one.class !== 'pause' && one.class !== 'filler',
  );
}

const token = (cls: TokenClass, text: string, more: Partial<Pick<Token, 'spoken' | 'names'>> = {}): Token => ({
  class: cls,
  text,
  spoken: more.spoken ?? false,
  names: more.names ?? [],
});

/** A digit is the same written and spoken: "Team 2" is called "team two". */
const spelling = (one: Piece | undefined): string => (one === undefined ? '' : (DIGITS.get(one.text) ?? one.text));

/**
 * Replaces the words of known names, the longest name first; then single words of a name ("ridge" for Long Ridge),
 * where the word has no meaning of its own and at least four letters. A word that several names share keeps all of
 * them.
 */
function withNames(
  pieces: readonly Piece[],
  names: readonly string[],
  kinds: ReadonlyMap<string, readonly string[]>,
): Piece[] {
  const known = names
    .map((name) => ({ name, words: piecesOf(name).filter((one) => one.kind !== 'pause') }))
    .filter(({ words }) => words.some((word) => !isVocabulary(word.text)) || words.length > 1)
    .sort((a, b) => b.words.length - a.words.length);
  const out: Piece[] = [];
  for (let i = 0; i < pieces.length;) {
    const one = pieces[i];
    if (one === undefined) break;
    const whole = known.find(({ words }) => words.every((word, k) => spelling(pieces[i + k]) === spelling(word)));
    const part = whole === undefined && one.kind === 'word' && one.text.length >= 4 && !isVocabulary(one.text);
    const inName = known.filter(({ words }) => words.some((word) => word.text === one.text)).map(({ name }) => name);
    const sharing = !part ? [] : inName.length > 0 ? inName : (kinds.get(one.text) ?? []);
    if (whole !== undefined) out.push({ kind: 'name', text: one.text, names: [whole.name] });
    else if (sharing.length > 0) out.push({ kind: 'name', text: one.text, names: [...new Set(sharing)] });
    else out.push(one);
    i += whole?.words.length ?? 1;
  }
  return out;
}

interface Counted {
  readonly digits: string;
  readonly end: number;
  readonly spoken: boolean;
}

/** A piece, or a number with all its digits. */
type NumberedPiece = Piece & { readonly spoken?: boolean };

/** Spoken numbers, written digits apart ("2 7 0") and "12 thousand" become one number each. */
function withNumbers(pieces: readonly Piece[]): NumberedPiece[] {
  const apart = pieces.some((_, i) => [0, 1, 2].every((k) => isDigit(pieces[i + k])));
  const out: NumberedPiece[] = [];
  for (let i = 0; i < pieces.length;) {
    const one = pieces[i];
    const found = one?.kind === 'name' ? null : numberAt(pieces, i, apart);
    if (found !== null) out.push({ kind: 'number', text: found.digits, spoken: found.spoken });
    else if (one !== undefined) out.push(one);
    i = found?.end ?? i + 1;
  }
  return out;
}

const isDigit = (one: Piece | undefined): boolean => one?.kind === 'number' && /^\d$/.test(one.text);
const textAt = (pieces: readonly Piece[], i: number): string => (pieces[i]?.kind === 'word' ? pieces[i].text : '');

function numberAt(pieces: readonly Piece[], start: number, apart: boolean): Counted | null {
  const written = pieces[start]?.kind === 'number' && !(apart && isDigit(pieces[start]));
  const plain = written
    ? { digits: pieces[start]?.text ?? '', end: start + 1, spoken: false }
    : spokenDigits(pieces, start, apart);
  return plain === null ? null : withMagnitude(pieces, plain);
}

/** A run of digits one by one, with a ten or a teen at its end: "two seven zero", "two seventy", "twenty five". */
function spokenDigits(pieces: readonly Piece[], start: number, apart: boolean): Counted | null {
  let end = start;
  let digits = '';
  const digit = (i: number): string | undefined =>
    apart && isDigit(pieces[i]) ? pieces[i]?.text : DIGITS.get(textAt(pieces, i));
  for (let one = digit(end); one !== undefined; one = digit(end)) {
    digits += one;
    end += 1;
  }
  const below = digits.length <= 1 ? belowHundred(pieces, end) : null;
  if (below !== null) {
    // "two seventy" is 270, "zero ninety" 090; a ten by itself is itself.
    digits = digits === '' ? String(below.value) : digits + zeroed(below.value, 2);
    end = below.end;
  }
  if (digits === '') return null;
  if (DECIMAL.has(textAt(pieces, end)) && DIGITS.has(textAt(pieces, end + 1))) {
    digits += '.';
    for (end += 1; DIGITS.has(textAt(pieces, end)); end++) digits += DIGITS.get(textAt(pieces, end)) ?? '';
  }
  return { digits, end, spoken: true };
}

/** "eight hundred", "two hundred (and) forty", "three thousand four hundred", "12 thousand", "39k" before feet. */
function withMagnitude(pieces: readonly Piece[], of: Counted): Counted {
  const isK = textAt(pieces, of.end) === 'k' && classOf(textAt(pieces, of.end + 1)) === 'length';
  const magnitude = isK ? 1000 : MAGNITUDES.get(textAt(pieces, of.end));
  if (magnitude === undefined) return of;
  let value = Number(of.digits) * magnitude;
  let end = of.end + 1;
  const hundreds = DIGITS.get(textAt(pieces, end));
  if (magnitude === 1000 && hundreds !== undefined && textAt(pieces, end + 1) === 'hundred') {
    value += Number(hundreds) * 100;
    end += 2;
  } else if (magnitude === 100) {
    const after = textAt(pieces, end) === 'and' ? end + 1 : end;
    const rest = belowHundred(pieces, after);
    value += rest?.value ?? 0;
    end = rest?.end ?? end;
  }
  return { digits: String(value), end, spoken: true };
}

function belowHundred(pieces: readonly Piece[], i: number): { value: number; end: number } | null {
  const teen = TEENS.get(textAt(pieces, i));
  if (teen !== undefined) return { value: teen, end: i + 1 };
  const ten = TENS.get(textAt(pieces, i));
  if (ten === undefined) return null;
  const unit = DIGITS.get(textAt(pieces, i + 1));
  return unit === undefined || unit === '0' ? { value: ten, end: i + 1 } : { value: ten + Number(unit), end: i + 2 };
}

/** Gives each piece its class, the longest phrase first. */
function classed(pieces: readonly NumberedPiece[]): Token[] {
  const out: Token[] = [];
  for (let i = 0; i < pieces.length;) {
    const one = pieces[i];
    if (one === undefined) break;
    const { kind, text } = one;
    const phrase = kind === 'word' || kind === 'symbol' ? phraseAt(pieces, i) : null;
    if (phrase !== null) out.push(token(phrase.class, phrase.text));
    else if (kind === 'name') out.push(token('name', text, { names: one.names ?? [] }));
    else if (kind === 'number')
      out.push(token(/^\d{3}$/.test(text) ? 'ddd' : 'number', text, { spoken: one.spoken === true }));
    else if (kind === 'word' || kind === 'symbol')
      out.push(token(compassWord(text) === undefined ? 'unknown' : 'compass', text));
    else out.push(token(kind, text));
    i += phrase?.length ?? 1;
  }
  return out;
}

function phraseAt(
  pieces: readonly NumberedPiece[],
  start: number,
): { class: WordClass; text: string; length: number } | null {
  for (let length = LONGEST_PHRASE; length > 0; length--) {
    const run = pieces.slice(start, start + length);
    if (run.length < length || run.some((one) => one.kind !== 'word' && one.kind !== 'symbol')) continue;
    const text = run.map((one) => one.text).join(' ');
    const found = classOf(text);
    if (found !== undefined) return { class: found, text, length };
  }
  return null;
}
