// Starts what the workers do for the window.
import type { Judged } from '../../core/advice/limits.ts';
import type { AdviceAnswer } from '../../core/work/work.ts';
import { PLAN } from '../state/derived/moves.ts';
import type { Move } from '../state/stored/reportsView.ts';
import type { Store } from '../state/derived/store.ts';
import type { Found } from '../state/stored/decision.ts';
import { watchCrews } from './crews.ts';
import { watchHours } from './hours.ts';
import { watchSpread } from './spread.ts';
import { webWorker } from './webWorker.ts';
import { watchWord } from './word.ts';

/** Answers its own end. */
export function startWork(store: Store): () => void {
  const endWord = watchWord(store, webWorker, noteChanges(store));
  const endCrews = watchCrews(store, webWorker);
  const endSpread = watchSpread(store, webWorker);
  const endHours = watchHours(store, webWorker);
  return () => {
    endHours();
    endSpread();
    endCrews();
    endWord();
  };
}

/**
 * Writes what the advice made of a change to the move that it belongs to: the one that came since the advice before. A
 * change that moved no landing (a limit, a zone's edge) and yet changed an answer gets a line of its own; time that
 * goes on is not a change.
 */
function noteChanges(store: Store): (before: Found | null, now: Found) => void {
  let seen = { moves: store.reports.moves.peek(), plan: store.plan.peek() };
  return (before, now) => {
    const was = seen;
    const { moves } = store.reports;
    seen = { moves: moves.peek(), plan: store.plan.peek() };
    if (before === null) return;
    const limits = limitChanges(before.answer, now.answer);
    const last = moves.peek().at(-1);
    if (limits.length === 0) return;
    if (last !== undefined && last !== was.moves.at(-1))
      moves.value = [...moves.peek().slice(0, -1), { ...last, limits }];
    else if (was.plan !== null && was.plan !== seen.plan) moves.value = [...moves.peek(), stillMove(store, limits)];
    seen = { ...seen, moves: moves.peek() };
  };
}

/** A change of the plan that left the landing where it was and changed what limits say. */
function stillMove(store: Store, limits: readonly string[]): Move {
  const landing = store.prediction.peek()?.landing?.position ?? null;
  const where = store.where.peek();
  return {
    at_s: store.live_s.peek(),
    seq: null,
    from: landing,
    to: landing,
    because: `${PLAN}${store.history.peek()?.present.label ?? 'edited'}`,
    where: { before: where, after: where },
    limits,
    again: false,
  };
}

/** "the word is now HOLD, was GO", "gust is now broken". */
export function limitChanges(before: AdviceAnswer, now: AdviceAnswer): string[] {
  const word =
    before.advice.word === now.advice.word ? [] : [`the word is now ${now.advice.word}, was ${before.advice.word}`];
  const was = new Map(before.advice.limits.map((one) => [one.limit.name, one.state]));
  const phrase = ({ limit, state }: Judged): string => `${limit.label} is now ${state}`;
  const crossed = now.advice.limits.filter((one) => {
    const old = was.get(one.limit.name);
    return old !== undefined && old !== one.state && (old === 'broken' || one.state === 'broken');
  });
  return [...word, ...crossed.map(phrase)];
}
