// Undo and redo as plain data: what was, what is, what was undone. Edits with one `merge` name in a row (the steps of
// one drag, the digits of one number) are one step.
import type { Json } from './json.ts';

export interface Step {
  readonly plan: Json;
  /** What was done to arrive at this plan, as a person would say it: "exit moved". */
  readonly label: string;
}

export interface History {
  readonly past: readonly Step[];
  readonly present: Step;
  readonly future: readonly Step[];
  /** The name under which the next edit would still belong to the present step; null when the step is closed. */
  readonly merge: string | null;
}

/** Steps kept; older ones are forgotten. Plans share their unchanged parts, so a step costs what it changed. */
const KEPT = 500;

export const opened = (plan: Json): History => ({
  past: [],
  present: { plan, label: 'opened' },
  future: [],
  merge: null,
});

export function edited(history: History, plan: Json, label: string, merge: string | null = null): History {
  if (plan === history.present.plan) return history;
  if (merge !== null && merge === history.merge) return { ...history, present: { plan, label }, future: [] };
  return { past: [...history.past, history.present].slice(-KEPT), present: { plan, label }, future: [], merge };
}

/** Closes the present step, so that the next edit of the same name is a step of its own. */
export const closed = (history: History): History => (history.merge === null ? history : { ...history, merge: null });

/**
 * Takes the open step back as if it had never been: what was typed into a field and then given up. Of a closed step
 * nothing.
 */
export function cancelled(history: History): History {
  const before = history.past.at(-1);
  if (history.merge === null || before === undefined) return history;
  return { past: history.past.slice(0, -1), present: before, future: [], merge: null };
}

export function undone(history: History): History {
  const before = history.past.at(-1);
  if (before === undefined) return history;
  return {
    past: history.past.slice(0, -1),
    present: before,
    future: [history.present, ...history.future],
    merge: null,
  };
}

export function redone(history: History): History {
  const [next, ...rest] = history.future;
  if (next === undefined) return history;
  return { past: [...history.past, history.present], present: next, future: rest, merge: null };
}
