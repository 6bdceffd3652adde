// Long work in steps, so that the caller can do something else between two steps or stop. A browser lets a terminated
// worker run on for two seconds; work in steps ends with the step.
export type Steps<T> = Generator<void, T, void>;

/** All steps at once. */
export function toEnd<T>(steps: Steps<T>): T {
  for (;;) {
    const step = steps.next();
    if (step.done === true) return step.value;
  }
}
