// Long work in steps: whoever drives it may do something else between two, or leave it there. A browser lets a worker
// that was told to end go on with what it is at for two seconds; work in steps ends with the step.
export type Steps<T> = Generator<void, T, void>;

/** All steps at once. */
export function toEnd<T>(steps: Steps<T>): T {
  for (;;) {
    const step = steps.next();
    if (step.done === true) return step.value;
  }
}
