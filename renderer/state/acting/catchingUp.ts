// What keeps the window whole when something behind it breaks: the events that came while the desk was out of reach,
// the log that another program cut, a leap of the computer's clock, and an error that nothing caught.
import { LOG_CHECK } from '../../../core/log/gaps.ts';
import { CLOCK_CHECK, leapWords } from '../derived/amiss.ts';
import type { Store } from '../derived/store.ts';
import { append, logged, say } from './actions.ts';

/** After the desk was out of reach: what was logged meanwhile, also by this window, is taken. */
export async function catchUp(store: Store): Promise<void> {
  const path = store.file.peek()?.path;
  if (path === undefined) return;
  try {
    const seq = store.log.peek().at(-1)?.seq ?? -1;
    const since = await store.desk.call('log/since', path, seq);
    if (store.file.peek()?.path !== path) return;
    if (since.ok) for (const event of since.value) logged(store, event);
    else store.decision.unlogged.value = `What was logged meanwhile could not be read: ${since.why}`;
  } catch (error) {
    // Out of reach once more: the next connection asks again.
    if (store.desk.state() === 'connected') store.decision.unlogged.value = String(error);
  }
}

/**
 * What another program did to the log holds the word until a person has seen it. Where it took events away, what this
 * window has is put into a file of its own.
 */
export async function takeLogTrouble(store: Store, why: string, lost: boolean): Promise<void> {
  const { logTroubles } = store.decision;
  logTroubles.value = [...logTroubles.peek(), { text: why, seen: false }];
  say(store, why, true);
  const path = store.file.peek()?.path;
  const log = store.log.peek();
  if (!lost || path === undefined || log.length === 0) return;
  const kept = await store.desk.call('log/keep', path, log);
  const text = `${why} ${kept.ok ? `All that this window has is kept as ${kept.value.path}.` : kept.why}`;
  logTroubles.value = logTroubles.peek().map((one) => (one.text === why ? { ...one, text } : one));
  say(store, text, true);
}

/** Only a log that takes this can be gone on with. */
export async function goOnWithLog(store: Store): Promise<void> {
  const { logTroubles } = store.decision;
  const seen = logTroubles.peek();
  if (!(await append(store, { kind: 'check', item: LOG_CHECK }))) return;
  logTroubles.value = logTroubles.peek().map((one) => (seen.includes(one) ? { ...one, seen: true } : one));
}

/** A clock that is set while the network slews it moves by milliseconds; what is more is a leap, ms. */
const LEAP_MS = 2000;

/** Compares the computer's clock with one that cannot be set. `look` answers the leap since the last look, ms, or 0. */
export function leapWatch(wall_ms: () => number, steady_ms: () => number): { readonly look: () => number } {
  let before = wall_ms() - steady_ms();
  return {
    look() {
      const now = wall_ms() - steady_ms();
      const leap = now - before;
      before = now;
      return Math.abs(leap) >= LEAP_MS ? leap : 0;
    },
  };
}

/** A computer that slept looks the same: its steady clock stood still. */
export async function noteLeap(store: Store, leap_ms: number): Promise<void> {
  if (store.file.peek() === null) return;
  const leap_s = Math.round(leap_ms / 1000);
  const slept = leap_s > 0 ? ', or the computer slept' : '';
  await append(store, { kind: 'note', text: `The computer’s clock went ${leapWords(leap_s)}${slept}.`, leap_s });
}

export const clockIsRight = (store: Store): Promise<boolean> => append(store, { kind: 'check', item: CLOCK_CHECK });

/** Says an error that nothing caught, and holds the word: nobody knows what was left undone. Returns its own end. */
export function watchFaults(page: Window, store: Store): () => void {
  const hold = (thrown: unknown): void => {
    const why = thrown instanceof Error ? thrown.message : String(thrown);
    store.decision.fault.value ??= `The window failed: ${why}. Load the page again (F5); what is logged is safe.`;
  };
  const onError = ({ error, message }: ErrorEvent): void => {
    // Layout that takes one more turn: the browser says it this way, and nothing failed.
    if (!message.startsWith('ResizeObserver loop')) hold(error ?? message);
  };
  const onRejection = ({ reason }: PromiseRejectionEvent): void => hold(reason);
  page.addEventListener('error', onError);
  page.addEventListener('unhandledrejection', onRejection);
  return () => {
    page.removeEventListener('error', onError);
    page.removeEventListener('unhandledrejection', onRejection);
  };
}
