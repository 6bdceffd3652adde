// A typed or spoken line cut into tokens: words, numbers (spoken ones turned into digits), weather-format groups, names
// of the mission.
import { compassWord, DECIMAL, DIGITS, isVocabulary, MAGNITUDES, PHRASES, TEENS, TENS } from './vocabulary.ts';

export type TokenKind = 'word' | 'number' | 'symbol' | 'metar' | 'swing' | 'dayTime' | 'clock' | 'name';

export interface Token {
  readonly kind: TokenKind;
  /** Lower case; of a number its digits as written or spoken ("090"). */
  readonly text: string;
  /** Of a number. */
  readonly value: number;
  readonly spoken: boolean;
  /** Of a name: which names it may mean, one where it is clear. */
  readonly names: readonly string[];
  used: boolean;
}

const token = (
  kind: TokenKind,
  text: string,
  more: Partial<Pick<Token, 'value' | 'spoken' | 'names'>> = {},
): Token => ({
  kind,
  text,
  value: more.value ?? NaN,
  spoken: more.spoken ?? false,
  names: more.names ?? [],
  used: false,
});

/** Longer lines are no report. */
export const LONGEST_LINE = 400;

// Weather-format groups first, then units with a slash, then numbers and words; any other character is a symbol of its
// own.
const PATTERN = new RegExp(
  [
    String.raw`(?<metar>(?:vrb|\d{3}|///)(?:p?\d{2,3}|//)(?:g(?:p?\d{2,3}|//))?(?:kt|mps|kmh)\b)`,
    String.raw`(?<swing>\b\d{3}v\d{3}\b)`,
    String.raw`(?<dayTime>\b\d{6}z\b)`,
    String.raw`(?<clock>\b\d{1,2}:\d{2}(?::\d{2})?\s?z?\b|\b\d{4}z\b)`,
    String.raw`(?<unit>\b(?:m/sec|m/s|km/h|mi/h)\b)`,
    String.raw`(?<number>\d+(?:\.\d+)?)`,
    String.raw`(?<word>\p{L}+)`,
    String.raw`(?<symbol>[^\s,.:!?])`,
  ].join('|'),
  'gu',
);

/**
 * The line in one spelling: small letters, plain dashes, "deg" and "ft" for their signs, no thousands commas, letters
 * apart from digits.
 */
function normalised(text: string): string {
  const plain = text
    .normalize('NFKC')
    .toLowerCase()
    .replace(/[‐-―−]/g, '-')
    .replace(/[°˚º]/g, ' deg ')
    .replace(/(\d)\s*['’′](?![\p{L}\d])/gu, '$1 ft ')
    .replace(/(\d),(?=\d{3}(?!\d))/g, '$1')
    .replace(/(?<=\d)(m\/sec|m\/s|km\/h|mi\/h)/g, ' $1');
  return PHRASES.reduce((line, [phrase, word]) => line.replace(phrase, word), plain);
}

/** Tokens of a line; of a name, given as the words of a mission, likewise. */
export function tokensOf(text: string): Token[] {
  const tokens: Token[] = [];
  for (const match of normalised(text).matchAll(PATTERN)) {
    const groups = match.groups ?? {};
    const found = match[0];
    if (groups['metar'] !== undefined) tokens.push(token('metar', found));
    else if (groups['swing'] !== undefined) tokens.push(token('swing', found));
    else if (groups['dayTime'] !== undefined) tokens.push(token('dayTime', found));
    else if (groups['clock'] !== undefined) tokens.push(token('clock', found));
    else if (groups['number'] !== undefined) tokens.push(token('number', found, { value: Number(found) }));
    else if (groups['symbol'] !== undefined) tokens.push(token('symbol', found));
    else tokens.push(token('word', found));
  }
  return joinedCompass(spokenNumbers(tokens));
}

/** "north east", "north - east", "east north east" become one word each. */
function joinedCompass(tokens: readonly Token[]): Token[] {
  const out: Token[] = [];
  for (let i = 0; i < tokens.length;) {
    let end = i;
    let text = '';
    let best = 0;
    let joined = '';
    // A compass name has at most three words: "north north west".
    for (let words = 0; words < 3 && end < tokens.length; words++) {
      if (words > 0 && tokens[end]?.text === '-') end += 1;
      const word = tokens[end];
      if (word === undefined || word.kind !== 'word' || !/^(north|south|east|west)/.test(word.text)) break;
      text += word.text;
      end += 1;
      if (words > 0 && compassWord(text) !== undefined) {
        best = end - i;
        joined = text;
      }
    }
    const one = tokens[i];
    if (best > 0) out.push(token('word', joined));
    else if (one !== undefined) out.push(one);
    i += Math.max(best, 1);
  }
  return out;
}

/**
 * Runs of number words become number tokens: "zero niner zero" 090, "one two thousand" 12000, "twenty five" 25, "two
 * seventy" 270.
 */
function spokenNumbers(tokens: readonly Token[]): Token[] {
  const out: Token[] = [];
  for (let i = 0; i < tokens.length;) {
    const answer = spokenNumber(tokens, i);
    const one = tokens[i];
    if (answer === null) {
      if (one !== undefined) out.push(one);
      i += 1;
    } else {
      out.push(token('number', answer.digits, { value: Number(answer.digits), spoken: true }));
      i = answer.end;
    }
  }
  return out;
}

const textAt = (tokens: readonly Token[], i: number): string => {
  const one = tokens[i];
  return one?.kind === 'word' ? one.text : '';
};

/** One number beginning at a word, as the digits that it means; null where the word is no number. */
function spokenNumber(tokens: readonly Token[], start: number): { digits: string; end: number } | null {
  let i = start;
  let digits = '';
  while (DIGITS.has(textAt(tokens, i))) {
    digits += DIGITS.get(textAt(tokens, i)) ?? '';
    i += 1;
  }
  const cardinal = digits.length <= 1 ? belowHundred(tokens, i) : null;
  if (cardinal !== null) {
    // "two seventy" is 270, "zero ninety" 090; a ten by itself is itself.
    digits = digits === '' ? String(cardinal.value) : digits + String(cardinal.value).padStart(2, '0');
    i = cardinal.end;
  }
  if (digits === '') return null;
  if (DECIMAL.has(textAt(tokens, i)) && DIGITS.has(textAt(tokens, i + 1))) {
    digits += '.';
    for (i += 1; DIGITS.has(textAt(tokens, i)); i++) digits += DIGITS.get(textAt(tokens, i)) ?? '';
    return { digits, end: i };
  }
  const magnitude = MAGNITUDES.get(textAt(tokens, i));
  if (magnitude === undefined) return { digits, end: i };
  let value = Number(digits) * magnitude;
  i += 1;
  // "three thousand four hundred": hundreds may follow thousands.
  if (magnitude === 1000) {
    const hundreds = DIGITS.get(textAt(tokens, i));
    if (hundreds !== undefined && textAt(tokens, i + 1) === 'hundred') {
      value += Number(hundreds) * 100;
      i += 2;
    }
  }
  return { digits: String(value), end: i };
}

function belowHundred(tokens: readonly Token[], i: number): { value: number; end: number } | null {
  const teen = TEENS.get(textAt(tokens, i));
  if (teen !== undefined) return { value: teen, end: i + 1 };
  const ten = TENS.get(textAt(tokens, i));
  if (ten === undefined) return null;
  const unit = DIGITS.get(textAt(tokens, i + 1));
  return unit === undefined || unit === '0' ? { value: ten, end: i + 1 } : { value: ten + Number(unit), end: i + 2 };
}

/**
 * Replaces the words of known names by name tokens, the longest name first; then single words of a name ("ridge" for
 * Long Ridge), where the word has no meaning of its own and at least four letters. A word that several names share
 * keeps all of them.
 */
export function withNames(tokens: readonly Token[], names: readonly string[]): Token[] {
  const known = names
    .map((name) => ({ name, words: tokensOf(name).map((one) => one.text) }))
    .filter(({ words }) => words.some((word) => !isVocabulary(word) || words.length > 1))
    .sort((a, b) => b.words.length - a.words.length);
  const out: Token[] = [];
  for (let i = 0; i < tokens.length;) {
    const one = tokens[i] as Token;
    const whole = known.find(({ words }) => words.length > 0 && words.every((word, k) => tokens[i + k]?.text === word));
    const part = whole === undefined && one.kind === 'word' && one.text.length >= 4 && !isVocabulary(one.text);
    const sharing = part ? known.filter(({ words }) => words.includes(one.text)).map(({ name }) => name) : [];
    if (whole !== undefined) out.push(token('name', one.text, { names: [whole.name] }));
    else if (sharing.length > 0) out.push(token('name', one.text, { names: [...new Set(sharing)] }));
    else out.push({ ...one });
    i += whole?.words.length ?? 1;
  }
  return out;
}

/** A number that is written as a direction: three digits, at most 360. */
export const isThreeDigits = (one: Token | undefined): boolean => one?.kind === 'number' && /^\d{3}$/.test(one.text);
