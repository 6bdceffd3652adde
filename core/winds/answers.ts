// The answers to a question about reports that are held back: one key for all of them, an event of the log for each.
import type { NewEvent } from '../log/events.ts';
import { isConfirmable } from './meanings.ts';
import type { HeldReport, WindQuestion } from './now.ts';
import type { SuggestedFields } from './suspect.ts';

export type AnswerKey = 'C' | 'R' | 'X';

export interface QuestionAnswer {
  readonly key: AnswerKey;
  readonly means: 'confirm' | 'reverse' | 'correct' | 'leave out';
}

/** The held reports that a question is about. */
export const heldIn = (question: WindQuestion, held: readonly HeldReport[]): HeldReport[] =>
  held.filter(({ report }) => question.ids.includes(report.id));

/** What may be answered: nothing is offered that would leave a wind that nobody knows. */
export function answersTo(question: WindQuestion, held: readonly HeldReport[]): QuestionAnswer[] {
  const { kind } = question;
  const isKnown = heldIn(question, held).every(({ suggested }) => suggested !== null);
  return [
    ...(isConfirmable(kind) ? [{ key: 'C', means: 'confirm' } as const] : []),
    ...(isKnown ? [{ key: 'R', means: kind === 'from and toward' ? 'reverse' : 'correct' } as const] : []),
    { key: 'X', means: 'leave out' },
  ];
}

/** The events of an answer, one for each report; `ids`: of the corrections, as many. */
export function eventsOf(key: AnswerKey, held: readonly HeldReport[], ids: readonly string[]): NewEvent[] {
  return held.flatMap(({ report, kind, suggested }, i): NewEvent[] => {
    const of = report.id;
    if (key === 'C') return [{ kind: 'confirmation', of }];
    if (key === 'X') return [{ kind: 'withdrawal', of, reason: `left out with all of its observer: ${kind}` }];
    const id = ids[i];
    return suggested === null || id === undefined ? [] : [corrected(report.event, suggested, id)];
  });
}

/** A report with what is suggested in place of what it says. */
function corrected(event: HeldReport['report']['event'], suggested: SuggestedFields, id: string): NewEvent {
  const { source, by, observedAt, position, place, agl_m, height_m, from_deg, speed_mps, gust_mps } = event;
  const { std_mps, spread_mps, variable } = event;
  const isElsewhere = suggested.agl_m !== undefined || suggested.height_m !== undefined;
  const height = isElsewhere ? {} : { agl_m, height_m };
  const fields = { by, position, place, gust_mps, std_mps, spread_mps, variable, ...height, ...suggested };
  return {
    kind: 'correction',
    corrects: event.id,
    id,
    source,
    observedAt,
    from_deg,
    speed_mps,
    ...Object.fromEntries(Object.entries(fields).filter(([, value]) => value !== undefined)),
  };
}
