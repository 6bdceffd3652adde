// How long what is shown has waited for a word: from the oldest change that no answer knows yet.

/** After this the last word no longer counts, ms. */
export const LATE_MS = 3000;

export interface Lateness<Q> {
  readonly asked: (question: Q) => void;
  /** An answer came: all that was asked up to its question is known to it. */
  readonly answered: (question: Q) => void;
  /** Nothing is asked any more. */
  readonly nothing: () => void;
}

export function lateness<Q>(say: (late: boolean) => void): Lateness<Q> {
  let waiting: { readonly question: Q; readonly since_ms: number }[] = [];
  let timer: ReturnType<typeof setTimeout> | undefined;
  const look = (): void => {
    clearTimeout(timer);
    const [oldest] = waiting;
    const left_ms = oldest === undefined ? Infinity : oldest.since_ms + LATE_MS - performance.now();
    say(left_ms <= 0);
    if (left_ms > 0 && left_ms < Infinity) timer = setTimeout(look, left_ms);
  };
  return {
    asked(question) {
      waiting.push({ question, since_ms: performance.now() });
      look();
    },
    answered(question) {
      const index = waiting.findIndex((one) => one.question === question);
      waiting = waiting.slice(index + 1);
      look();
    },
    nothing() {
      waiting = [];
      look();
    },
  };
}
