// What a reader answers, and the three kinds of wrong: a Problem for bad input from outside, a union
// member for an expected absence, `assert` for a broken promise inside the program.

/**
 * One thing that is wrong in an input: `line` counts from 1 (0: the file as a whole); `text` says what was found and
 * what would be right.
 */
export interface Problem {
  readonly line: number;
  readonly text: string;
}

/** The answer of every reader. `value` holds all that could safely be used; what was left out stands in `problems`. */
export interface Read<T> {
  readonly value: T;
  readonly problems: readonly Problem[];
}

/** Throws when a promise of the program itself is broken. Never caught to carry on. */
export function assert(condition: unknown, why: string): asserts condition {
  if (condition !== true) throw new Error(`broken promise: ${why}`);
}

/** The end of a switch over a union: a new member that has no case will not compile. */
export function never(value: never): never {
  throw new Error(`broken promise: unexpected ${JSON.stringify(value)}`);
}
