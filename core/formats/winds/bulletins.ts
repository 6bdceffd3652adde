// A stream of weather bulletins as a radio or a telex line gives it: TEMP, PILOT, METAR, SPECI and FB in any order,
// each message read once by the reader of its kind; forecasts (TAF) and bulletins of other codes are counted and said.
// Source of the framing: WMO-No. 386 part II. Line numbers are those of the whole stream.
import type { Problem, Read } from '../../base/problem.ts';
import type { DecodedWinds } from '../../air/levels.ts';
import { AERODROME, FRAME, HEADING, PART, beginsReport, bulletinWords } from './bulletin.ts';
import { FB_HEADER, closesTable, readFb } from './fb.ts';
import type { FbOptions } from './fb.ts';
import { aerodromeWinds } from './metar.ts';
import { shown } from '../text/shown.ts';
import { linesOf } from '../text/text.ts';
import { upperAirWinds } from './upperAir.ts';

/** A message of a code that is not read here: where it begins, and its first words. */
interface Other {
  readonly line: number;
  readonly words: string[];
}

/** Fewer words are a number of the stream, a station before its TEMP, an answer "NIL": no message. */
const FEWEST_WORDS = 3;
/** Heading, centre and time stand in one row; a mark such as RRA or COR may follow them. */
const HEADING_ROW = /^\s*[A-Z]{4}\d{2}\s+[A-Z]{4}\s+\d{6}(?:\s+[A-Z]{3})?/i;
const MESSAGE_WORD = /^[A-Z0-9/.,:;+()-]+$/;

/**
 * Finds the messages that no reader here takes: those under a heading or ended by "=". Prose between bulletins is
 * passed over.
 */
class OtherMessages {
  readonly found: Other[] = [];
  #open: Other | null = null;
  /** Inside a message of a kind that is read. */
  #inside: 'part' | 'report' | 'table' | null = null;
  #headed = false;
  #before = '';

  take(row: string, line: number): void {
    if (FB_HEADER.test(row)) {
      this.#begin('table');
      return;
    }
    if (this.#inside === 'table' && !closesTable(row)) return;
    if (this.#inside === 'table' || (this.#inside === 'report' && row.trim() === '')) this.#inside = null;
    const heading = HEADING_ROW.exec(row)?.[0] ?? '';
    if (heading !== '') this.#end(this.#headed);
    if (heading !== '') this.#headed = true;
    for (const word of bulletinWords(row.slice(heading.length))) this.#word(word, line);
  }

  /** The end of the stream. */
  finish(): readonly Other[] {
    this.#end(this.#headed);
    return this.found;
  }

  #word(word: string, line: number): void {
    if (word === '=' || word === FRAME || word === 'NNNN') {
      this.#end(word === '=' || this.#headed);
      if (word !== '=') this.#headed = false;
    } else if (HEADING.test(word)) this.#end(this.#headed);
    else if (PART.test(word)) this.#begin('part');
    else if (AERODROME.test(word) || beginsReport(this.#before, word)) this.#begin('report');
    else if (this.#inside === null) {
      this.#open ??= { line, words: [] };
      this.#open.words.push(word);
    }
    this.#before = word;
  }

  #begin(kind: 'part' | 'report' | 'table'): void {
    this.#open = null;
    this.#inside = kind;
  }

  #end(counts: boolean): void {
    const { words } = this.#open ?? { words: [] };
    if (this.#open !== null && counts && words.length >= FEWEST_WORDS && words.every((word) => MESSAGE_WORD.test(word)))
      this.found.push(this.#open);
    this.#open = null;
    this.#inside = null;
  }
}

function skipped(text: string, forecasts: number): Problem[] {
  const problems: Problem[] = [];
  if (forecasts > 0) {
    const what = forecasts === 1 ? '1 forecast (TAF) is' : `${forecasts} forecasts (TAF) are`;
    problems.push({ line: 0, text: `${what} not read: only what was measured, and FB winds` });
  }
  const others = new OtherMessages();
  linesOf(text).forEach((row, i) => others.take(row, i + 1));
  const found = others.finish();
  const first = found[0];
  if (first !== undefined) {
    const what = found.length === 1 ? '1 message of another code is' : `${found.length} messages of other codes are`;
    const which = `${found.length === 1 ? 'it' : 'the first'} begins ${shown(first.words.slice(0, 4).join(' '))}`;
    problems.push({ line: first.line, text: `${what} not read, ${which}; read are TEMP, PILOT, METAR, SPECI and FB` });
  }
  return problems;
}

/**
 * Every message of a stream that gives a wind: ascents (TEMP and PILOT parts of one station and time together) and FB
 * stations first, then surface reports, each in the order of the text.
 *
 * reference_s  Unix seconds near the messages, which name no month; without it their times are null
 * station      only this station of FB bulletins
 * legal        messages in any order, with or without headings, SOH, ETX, "="; a TEMP that ends where a METAR begins,
 *              and the reverse
 * not legal    messages of other codes (SYNOP, SIGMET, BUFR in text) and TAF: counted, said, left out
 */
export function readBulletins(text: string, options: FbOptions): Read<DecodedWinds[]> {
  const upper = upperAirWinds(text, options, () => true, null);
  const table = linesOf(text).some((row) => FB_HEADER.test(row)) ? readFb(text, options) : { value: [], problems: [] };
  const aerodromes = aerodromeWinds(text, options);
  const observed = (list: readonly DecodedWinds[]): DecodedWinds[] => list.map((one) => ({ ...one, kind: 'observed' }));
  const value = [...observed(upper.value), ...table.value, ...observed(aerodromes.value)];
  const problems = [
    ...upper.problems,
    ...table.problems,
    ...aerodromes.problems,
    ...skipped(text, aerodromes.forecasts),
  ];
  if (value.length === 0 && problems.length === 0) {
    problems.push({
      line: 0,
      text: 'no TEMP, PILOT, METAR or FB report here that has its station and time; expected "EDDW 011250Z" or "TTAA"',
    });
  }
  return { value, problems };
}
