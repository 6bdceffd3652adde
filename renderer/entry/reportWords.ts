// What can be typed about a report that is in the log: "correct w5 from 125", "withdraw w5 wrong field", "confirm w5",
// and about any event: "annul 12 wrong clock".
import { readCorrection, saysTurned, type NewCorrection } from '../../core/formats/messages/report/correction.ts';
import type { Answers, Question, ReportContext } from '../../core/formats/messages/report.ts';
import type { ReportState } from '../../core/log/fold.ts';
import { isConfirmable } from '../../core/winds/meanings.ts';
import type { HeldReport } from '../../core/winds/now.ts';

/** The reports that a line may name. */
export interface ReportLookup {
  /** The report that an id means now; capitals do not matter. */
  find(id: string): ReportState | null;
  readonly held: readonly HeldReport[];
  /** Ids of the newest reports, newest first: said where an id is unknown. */
  readonly newest: readonly string[];
}

export type ReportEntry =
  | {
      readonly kind: 'correction';
      readonly event: NewCorrection;
      readonly words: string;
      readonly from_deg: number | null;
    }
  | { readonly kind: 'asked'; readonly question: Question; readonly words: string }
  | { readonly kind: 'withdrawal'; readonly of: string; readonly reason: string; readonly words: string }
  | { readonly kind: 'confirmation'; readonly of: string; readonly words: string }
  | { readonly kind: 'annulment'; readonly of: number; readonly reason: string; readonly words: string }
  | { readonly kind: 'unknown'; readonly why: string };

const unknown = (why: string): ReportEntry => ({ kind: 'unknown', why });

const shortWind = ({ event }: ReportState): string => event.text ?? `${event.by ?? event.source}’s wind`;

const VERB = /^(correct(?:ed|ion)?|withdraw|confirm(?:ed)?)\b\s*:?\s*(.*)$/is;

/**
 * Legal: "correct w5 from 125", "corrected: the other way round" (of the one report that is held back), "w6 reversed",
 *        "withdraw w5 wrong field", "confirm w6" of a report that is held back
 * Asked: "corrected: from 125" where several reports may be meant
 * Not:   an id that the log does not have, a withdrawal without a reason, a confirmation of what is not held back
 * returns null where the line is about no report
 */
export function readAboutReport(
  text: string,
  context: ReportContext,
  reports: ReportLookup,
  answers: Answers,
): ReportEntry | null {
  const [, annul, number = '', why = ''] = /^(annul)\b[:]?\s*(\S*)\s*(.*)$/is.exec(text) ?? [];
  if (annul !== undefined) return annulment(number, why);
  const [, turned = ''] = /^(\w+)[\s,:]+(.*)$/s.exec(text) ?? [];
  const isTurned = reports.find(turned) !== null && saysTurned(text.slice(turned.length).replace(/^[\s,:]+/, ''));
  const [, verb = '', after = ''] = VERB.exec(isTurned ? `correct ${text}` : text) ?? [];
  if (verb === '') return null;
  const word = verb.slice(0, 4).toLowerCase() === 'corr' ? 'correct' : verb.toLowerCase().replace(/ed$/, '');
  const [, id = '', rest = ''] = /^(\S*)[\s,:]*(.*)$/s.exec(after) ?? [];
  // "corrected: the other way round" names no report.
  const isId = reports.find(id) !== null || /^[a-z]\d+$/i.test(id) || word !== 'correct';
  if (id === '') return unknown(`${cap(word)} which report? ${idsOf(reports)}`);
  if (!isId) return correctionOfOne(after, context, reports, answers);
  const report = reports.find(id);
  if (report === null) return unknown(`The log has no report ${id}. ${idsOf(reports)}`);
  if (report.outcome.kind === 'struck') return unknown(`${report.id} was ${report.outcome.sentence}; name that one.`);
  if (report.outcome.kind === 'withdrawn' && word !== 'correct')
    return unknown(`${report.id} was ${report.outcome.sentence}`);
  switch (word) {
    case 'confirm':
      return confirmation(report, reports);
    case 'withdraw':
      return rest === ''
        ? unknown(`Withdraw ${report.id}: why? Type the reason behind it; it stays in the log.`)
        : {
            kind: 'withdrawal',
            of: report.id,
            reason: rest,
            words: `withdraws ${report.id} (${shortWind(report)}): ${rest}`,
          };
    default:
      return correctionOf(report, rest, context, answers);
  }
}

/** A correction that names no report: the only one that is held back is meant, or it is asked which. */
function correctionOfOne(text: string, context: ReportContext, reports: ReportLookup, answers: Answers): ReportEntry {
  const [held, more] = reports.held;
  const id = answers.report ?? (held !== undefined && more === undefined ? held.report.id : null);
  const report = id === null ? null : reports.find(id);
  if (report !== null) return correctionOf(report, text, context, answers);
  if (reports.newest.length === 0) return unknown('The log has no report that could be corrected.');
  const keys = reports.newest.slice(0, 4).map((one, i) => {
    const found = reports.find(one);
    const meaning = found === null ? one : `${one} (${shortWind(found)})`;
    return { key: String(i + 1), meaning, resolves: { report: one } };
  });
  return { kind: 'asked', question: { about: 'which report', keys }, words: `corrects: ${text}` };
}

function correctionOf(report: ReportState, text: string, context: ReportContext, answers: Answers): ReportEntry {
  const reading = readCorrection(text, report.event, context, answers);
  if (reading.kind === 'refused') return unknown(`Correct ${report.id}: ${reading.why}`);
  const [question] = reading.kind === 'ask' ? reading.questions : [];
  if (reading.kind === 'ask') {
    return question === undefined
      ? unknown(reading.words)
      : { kind: 'asked', question, words: `corrects ${report.id}: ${reading.words}` };
  }
  return {
    kind: 'correction',
    event: reading.event,
    words: `corrects ${report.id}: ${reading.words}`,
    from_deg: reading.from_deg,
  };
}

/** The log panel shows the numbers; whether there is such an event is the log's to say. */
function annulment(number: string, reason: string): ReportEntry {
  if (!/^\d{1,9}$/.test(number)) return unknown('Annul which event? Type its number, which stands in the log.');
  if (reason === '') return unknown(`Annul event ${number}: why? Type the reason behind it; it stays in the log.`);
  const of = Number(number);
  return { kind: 'annulment', of, reason, words: `annuls event ${of} of the log: ${reason}` };
}

function confirmation(report: ReportState, reports: ReportLookup): ReportEntry {
  const held = reports.held.find((one) => one.report.seq === report.seq);
  if (held !== undefined && !isConfirmable(held.kind)) return unknown(held.sentence);
  if (held === undefined) {
    const why = report.outcome.kind === 'counts' ? 'it counts already' : report.outcome.sentence;
    return unknown(`${report.id} is not held back: ${why}.`);
  }
  return {
    kind: 'confirmation',
    of: report.id,
    words: `confirms ${report.id} as it stands (${shortWind(report)}): it will count`,
  };
}

function idsOf({ newest }: ReportLookup): string {
  return newest.length === 0 ? 'It has none yet.' : `The newest are ${newest.slice(0, 4).join(', ')}.`;
}

const cap = (word: string): string => word.charAt(0).toUpperCase() + word.slice(1);
