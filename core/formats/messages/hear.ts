// Lines as the entry line hears them, each as plain data: for scripts, feeds and tests (`plumbline hear`).
import type { ReportSource } from '../../log/events.ts';
import { readReport, type Question, type ReportContext } from './report.ts';

export interface Heard {
  readonly line: string;
  readonly kind: 'wind' | 'calm' | 'asked' | 'refused' | 'not a wind';
  readonly from_deg?: number;
  readonly speed_mps?: number;
  readonly gust_mps?: number;
  readonly agl_m?: number;
  readonly height_m?: number;
  /** The direction swings all round, and `from_deg` says nothing. */
  readonly variable?: true;
  readonly source?: ReportSource;
  readonly by?: string;
  readonly place?: string;
  readonly observedAt?: string;
  /** What is asked first, with its keys in words, and the keys by themselves. */
  readonly question?: string;
  readonly keys?: readonly { readonly key: string; readonly meaning: string }[];
  readonly why?: string;
  /** What the line is taken for, in words; where something is asked, what is understood so far. */
  readonly readBack?: string;
}

/** Lines that begin with these words are about something else, and the entry line does something else with them. */
const OTHERS: readonly (readonly [RegExp, string])[] = [
  [/^note\b/i, 'a note for the log'],
  [/^called\b/i, 'a call of the descent'],
  [/^fix\b/i, 'a fix of a position'],
  [/^(go|exit)\b/i, 'a place or a height of the plan'],
  [/^level\b/i, 'a level of the forecast'],
  [/^what\s+if\b/i, 'a question about the plan'],
  [/^(correct(ed|ion)?|withdraw|confirm)\b/i, 'about a report in the log; the entry line takes it'],
  [/^i\s+am\b/i, 'who sits here'],
];

/** "knots or m/s? K knots, M m/s". */
export const questionWords = ({ about, keys }: Question): string =>
  `${about}? ${keys.map(({ key, meaning }) => `${key.toUpperCase()} ${meaning}`).join(', ')}`;

/** Hears one line. Nothing is asked twice: who hears for a machine gets the question as it stands. */
export function hear(line: string, context: ReportContext): Heard {
  if (line.trim() === '') return { line, kind: 'not a wind', why: 'an empty line' };
  const other = OTHERS.find(([words]) => words.test(line.trim()));
  if (other !== undefined) return { line, kind: 'not a wind', why: other[1] };
  const reading = readReport(line, context);
  if (reading.kind === 'refused')
    return { line, kind: reading.notWind === true ? 'not a wind' : 'refused', why: reading.why };
  if (reading.kind === 'ask') {
    const [question] = reading.questions;
    if (question === undefined) return { line, kind: 'refused', why: reading.words };
    const keys = question.keys.map(({ key, meaning }) => ({ key, meaning }));
    return { line, kind: 'asked', question: questionWords(question), keys, readBack: reading.words };
  }
  const { speed_mps, gust_mps, agl_m, height_m, source, by, place, observedAt, variable } = reading.event;
  return {
    line,
    kind: speed_mps === 0 && gust_mps === undefined ? 'calm' : 'wind',
    ...(reading.from_deg === null ? {} : { from_deg: reading.event.from_deg }),
    speed_mps,
    ...(gust_mps === undefined ? {} : { gust_mps }),
    ...(agl_m === undefined ? {} : { agl_m }),
    ...(height_m === undefined ? {} : { height_m }),
    ...(variable === true ? { variable } : {}),
    source,
    ...(by === undefined ? {} : { by }),
    ...(place === undefined ? {} : { place }),
    observedAt,
    readBack: reading.words,
  };
}
