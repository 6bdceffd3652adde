// What was typed on the entry line: a wind, a note, a place to go to, an exit, a command by its word. Pure; what it
// means is said back in words while typing, and done on Enter. A wind that can be understood in two ways is asked
// about, never guessed.
import { never } from '../../core/base/problem.ts';
import { readPosition } from '../../core/earth/grid.ts';
import { formatDegrees } from '../../core/words/positions.ts';
import { readReport, type Answers, type NewReport, type ReportContext } from '../../core/formats/messages/report.ts';
import type { LonLat } from '../../core/base/units.ts';
import { questionWords } from '../../core/formats/messages/hear.ts';
import { orderQuestion, placeMeant, readCalled, type CalledContext } from '../../core/formats/messages/called.ts';
import type { NewEvent } from '../../core/log/events.ts';
import { height } from '../../core/words/lengths.ts';
import type { Units } from '../../core/words/numbers.ts';
import { parseNumber } from '../parts/typed.ts';
import type { Command } from '../state/acting/commands.ts';
import { readWhatIf, type WhatIfEntry } from './whatIfWords.ts';
import { readAboutReport, type ReportEntry, type ReportLookup } from './reportWords.ts';

export type Entry =
  | { readonly kind: 'nothing' }
  | { readonly kind: 'note'; readonly text: string }
  | { readonly kind: 'go'; readonly position: LonLat }
  | { readonly kind: 'exit'; readonly position: LonLat }
  | { readonly kind: 'exit height'; readonly altitude_m: number }
  | {
      readonly kind: 'wind' | 'level';
      readonly report: NewReport;
      readonly words: string;
      readonly from_deg: number | null;
    }
  | { readonly kind: 'operator'; readonly name: string }
  | ReportEntry
  | WhatIfEntry
  | { readonly kind: 'called'; readonly event: NewEvent; readonly words: string }
  | { readonly kind: 'command'; readonly command: Command };

export interface EntryContext {
  readonly units: Units;
  readonly ground_m: number;
  readonly commands: readonly Command[];
  /** What reports are read with; null while no mission is open. */
  readonly report: ReportContext | null;
  /** What calls and fixes are read with; left out: they are not read. */
  readonly called?: CalledContext;
  /** The reports that a correction, a withdrawal or a confirmation may name; left out: none. */
  readonly reports?: ReportLookup;
}

const NO_LOOKUP: ReportLookup = { find: () => null, held: [], newest: [] };

export const EXAMPLES =
  'a wind as it was said “Ground One 090/7 kt”, “correct w5 …”, “called exit”, “fix 30.08 S 22.40 E 12000 m ' +
  'msl”, “note …”, “what if surface +4”, or a command such as “save”';

/**
 * Legal: "", "note dust lifting", "level 090/7 kt at 1500 m agl", "correct w5 from 125", "withdraw w5 wrong field", "i
 * am winds desk", "what if surface +4", "go 34J FL 2623 9812", "exit 30.0748 S 22.3574 E", "exit 38000 m", "called
 * exit", "fix 30.08 S 22.40 E 12000 m msl", "090/7 kt at 1500 m agl", "save", "ft" Asked: "090/7" (knots or m/s?), and
 * whatever else the report reader asks
 * Not:   "note" without a sentence, "go" without a place, anything else
 */
export function readEntry(text: string, context: EntryContext, answers: Answers = {}): Entry {
  const trimmed = text.trim();
  if (trimmed === '') return { kind: 'nothing' };
  const lower = trimmed.toLowerCase();
  const command = context.commands.find((one) => one.words.includes(lower));
  const [first = '', ...rest] = trimmed.split(/\s+/);
  const after = rest.join(' ');
  switch (first.toLowerCase().replace(/:$/, '')) {
    case 'note':
      return after === ''
        ? { kind: 'unknown', why: 'A note needs a sentence after the word.' }
        : { kind: 'note', text: after };
    case 'go':
      return placeEntry(after, 'go', context, answers);
    case 'exit':
      return after === '' && command !== undefined ? { kind: 'command', command } : exitEntry(after, context, answers);
    case 'level':
      return windEntry(after, context, answers, 'level');
    case 'i':
      if (/^am\s/i.test(after)) return { kind: 'operator', name: after.replace(/^am\s+/i, '').slice(0, 60) };
      break;
    case 'called':
    case 'fix':
      return context.called === undefined ? NO_MISSION : (readCalled(trimmed, context.called, answers) ?? NO_MISSION);
    case 'what':
      return readWhatIf(trimmed) ?? windEntry(trimmed, context, answers, 'wind');
    default:
  }
  const about =
    context.report === null ? null : readAboutReport(trimmed, context.report, context.reports ?? NO_LOOKUP, answers);
  if (about !== null) return about;
  if (command !== undefined) return { kind: 'command', command };
  return windEntry(trimmed, context, answers, 'wind');
}

const NO_MISSION = { kind: 'unknown', why: 'Open a mission first; a wind, a call or a fix belongs to one.' } as const;

function windEntry(text: string, { report }: EntryContext, answers: Answers, kind: 'wind' | 'level'): Entry {
  if (report === null) return NO_MISSION;
  const reading = readReport(text, report, answers);
  switch (reading.kind) {
    case 'read':
      return { kind, report: reading.event, words: reading.words, from_deg: reading.from_deg };
    case 'ask': {
      const [question] = reading.questions;
      if (question === undefined) return { kind: 'unknown', why: reading.words };
      return { kind: 'asked', question, words: reading.words };
    }
    case 'refused':
      return {
        kind: 'unknown',
        why: /\d/.test(text) || reading.why.startsWith('no ') ? reading.why : `Not understood; expected ${EXAMPLES}.`,
      };
    default:
      return never(reading);
  }
}

function placeEntry(text: string, kind: 'go' | 'exit', { report }: EntryContext, answers: Answers): Entry {
  const read = readPosition(text);
  if (read.value !== null) {
    const site = report?.site.position ?? read.value;
    const position = placeMeant(read.value, site, answers);
    if (position === null) return { kind: 'asked', question: orderQuestion(read.value, site), words: text };
    return { kind, position };
  }
  return {
    kind: 'unknown',
    why: `${kind === 'go' ? 'Go to' : 'Exit at'} where? ${read.problems[0]?.text ?? 'expected a position'}.`,
  };
}

const LENGTH = /^([-−+]?[\d\s.,]+)\s*(m|ft)?\s*(msl|agl)?$/i;

function exitEntry(text: string, context: EntryContext, answers: Answers): Entry {
  const { units, ground_m } = context;
  const found = LENGTH.exec(text);
  // "30.07 22.35" is a place and "38000" a height: a height is one number of at least three digits, or says its unit.
  const isHeight =
    found !== null && (found[2] !== undefined || found[3] !== undefined || /^\d{3,6}$/.test(text.trim()));
  if (!isHeight) return placeEntry(text, 'exit', context, answers);
  const unit = (found[2]?.toLowerCase() ?? units.length) === 'ft' ? 'ft' : 'm';
  const agl = (found[3]?.toUpperCase() ?? units.height) === 'AGL';
  const scale = unit === 'ft' ? 0.3048 : 1;
  const zero = agl ? ground_m : 0;
  const parsed = parseNumber(
    found[1] ?? '',
    // An exit below the ground is a typing error, or a height above ground that was taken for one above the sea.
    { min: ground_m, max: 85_000, above: true },
    unit,
    (x) => x * scale + zero,
    (x) => (x - zero) / scale,
  );
  return parsed.ok ? { kind: 'exit height', altitude_m: parsed.value } : { kind: 'unknown', why: parsed.why };
}

/** The level that a report makes in the column: its own height, or its height above the site's ground. */
export function heightOf(report: NewReport, ground_m: number): number {
  return report.height_m ?? ground_m + (report.agl_m ?? 10);
}

/** What Enter will do, in words. */
export function readingBack(entry: Entry, context: EntryContext): string {
  const { units, ground_m } = context;
  switch (entry.kind) {
    case 'nothing':
      return '';
    case 'note':
      return `Enter writes this note into the log, for good: “${entry.text}”`;
    case 'go':
      return `Enter shows ${formatDegrees(entry.position, 4)} on the map`;
    case 'exit':
      return `Enter moves the exit to ${formatDegrees(entry.position, 4)}`;
    case 'exit height':
      return `Enter sets the exit height to ${height(entry.altitude_m, units, ground_m)}`;
    case 'wind':
      return `Enter logs ${entry.report.id}: ${entry.words}`;
    case 'level':
      return `Enter puts this level into the wind column: ${entry.words}`;
    case 'correction':
    case 'withdrawal':
    case 'confirmation':
    case 'annulment':
      return `Enter ${entry.words}`;
    case 'called':
    case 'what if':
      return `Enter ${entry.words}`;
    case 'operator':
      return `Enter: what is entered here from now on is written as by ${entry.name}`;
    case 'asked':
      return `${entry.words}. Enter, then one key: ${questionWords(entry.question)}`;
    case 'command':
      return `Enter: ${entry.command.what.charAt(0).toLowerCase()}${entry.command.what.slice(1)}`;
    case 'unknown':
      return entry.why;
    default:
      return never(entry);
  }
}
