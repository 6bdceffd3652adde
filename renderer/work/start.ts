// Starts what the workers do for the window.
import type { Judged } from '../../core/advice/limits.ts';
import type { AdviceAnswer } from '../../core/work.ts';
import type { Store } from '../state/store.ts';
import { watchAdvice } from './adviceRun.ts';
import { watchSpread } from './spreadRun.ts';
import { webWorker } from './webWorker.ts';

/** Answers its own end. */
export function startWork(store: Store): () => void {
  const advice = watchAdvice(store, webWorker, (before, now) => noteChanges(store, before, now));
  const endSpread = watchSpread(store, webWorker, advice.pictured);
  return () => {
    endSpread();
    advice.end();
  };
}

/** Writes what the advice made of a change to the move that it belongs to: the newest, if it does not say so yet. */
function noteChanges(store: Store, before: AdviceAnswer | null, now: AdviceAnswer): void {
  if (before === null) return;
  const limits = limitChanges(before, now);
  const moves = store.reports.moves.peek();
  const last = moves.at(-1);
  if (limits.length === 0 || last === undefined || last.limits.length > 0 || now.advice.at_s - last.at_s > 120) return;
  store.reports.moves.value = [...moves.slice(0, -1), { ...last, limits }];
}

/** "the word is now HOLD, was GO", "gust is now broken". */
export function limitChanges(before: AdviceAnswer, now: AdviceAnswer): string[] {
  const word = before.advice.word === now.advice.word ? [] : [`the word is now ${now.advice.word}, was ${before.advice.word}`];
  const was = new Map(before.advice.limits.map((one) => [one.limit.name, one.state]));
  const phrase = ({ limit, state }: Judged): string => `${limit.label} is now ${state}`;
  const crossed = now.advice.limits.filter((one) => {
    const old = was.get(one.limit.name);
    return old !== undefined && old !== one.state && (old === 'broken' || one.state === 'broken');
  });
  return [...word, ...crossed.map(phrase)];
}
