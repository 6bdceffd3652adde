// What a person does to the reports: each is an event of the log, written at once and not undone; one deliberate key
// each.
import { correctionText, type NewCorrection } from '../../../core/formats/messages/report/correction.ts';
import type { NewReport } from '../../../core/formats/messages/report.ts';
import type { NewEvent } from '../../../core/log/events.ts';
import { nextReportId } from '../../../core/log/fold.ts';
import { eventsOf, heldIn, type AnswerKey } from '../../../core/winds/answers.ts';
import type { WindQuestion } from '../../../core/winds/now.ts';
import { append, say } from './actions.ts';
import { focusWhenDrawn } from './focus.ts';
import { markEntered } from './reportMarks.ts';
import type { ReportRow } from '../derived/reports.ts';
import type { Store } from '../derived/store.ts';

/** Who sits here, where they said so. */
function entering(store: Store): { readonly enteredBy?: string } {
  const name = store.view.operator.peek();
  return name === '' ? {} : { enteredBy: name };
}

function by(store: Store): { readonly by?: string } {
  const name = store.view.operator.peek();
  return name === '' ? {} : { by: name };
}

/** What is entered is of now: who looks at the past sees now again. Answers whether it is on the disk. */
async function enter(store: Store, event: Parameters<typeof append>[1]): Promise<boolean> {
  markEntered();
  const done = await append(store, event);
  if (done) store.moment_ms.value = null;
  return done;
}

/** A new report or a correction; what came of it is said by what moved. */
export const logReport = (store: Store, event: NewReport | NewCorrection): Promise<boolean> =>
  enter(store, { ...event, ...entering(store) });

/** A call or a fix: it moves what is expected, and says so. */
export async function logCalled(store: Store, event: NewEvent, words: string): Promise<boolean> {
  const done = await enter(store, { ...event, ...entering(store) });
  if (store.notice.peek() === null)
    say(store, `${words.charAt(0).toUpperCase()}${words.slice(1).replace(/^ogs/, 'ogged')}.`);
  return done;
}

export const confirm = (store: Store, of: string): Promise<boolean> =>
  enter(store, { kind: 'confirmation', of, ...by(store) });

export const withdraw = (store: Store, of: string, reason: string): Promise<boolean> =>
  enter(store, { kind: 'withdrawal', of, reason, ...by(store) });

export const annul = (store: Store, of: number, reason: string): Promise<boolean> =>
  enter(store, { kind: 'annulment', of, reason, ...by(store) });

/** Answers a question about several reports at once: an event for each; stops where one could not be logged. */
export async function answerAll(store: Store, question: WindQuestion, key: AnswerKey): Promise<void> {
  const { state, winds } = store.situation.peek() ?? {};
  const held = heldIn(question, winds?.held ?? []);
  const first = Number(nextReportId(state?.reports ?? []).slice(1));
  const ids = held.map((_, i) => `w${first + i}`);
  for (const event of eventsOf(key, held, ids)) {
    const own = event.kind === 'correction' ? entering(store) : by(store);
    if (!(await enter(store, { ...event, ...own }))) return;
  }
}

/** Begins a line on the entry line: what it means is read back there, and nothing is done before Enter. */
export function beginLine(store: Store, text: string): void {
  store.entryText.value = text;
  focusWhenDrawn('#entry-line');
}

export function beginCorrection(store: Store, row: ReportRow): void {
  beginLine(store, `correct ${row.id} ${correctionText(row.report.event, row.held?.suggested ?? null)}`);
}

export const beginWithdrawal = (store: Store, row: ReportRow): void => beginLine(store, `withdraw ${row.id} `);
