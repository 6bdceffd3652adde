// Arrays for results that are computed many times a second and never handed out: allocated once and reused, because
// some megabytes of garbage make the browser stop the page for up to a fifth of a second.

interface Numbers<T> {
  readonly length: number;
  subarray(from: number, to: number): T;
  fill(value: number): T;
}

/**
 * Answers an array of zeros of the length asked for. It is the same memory each time: what it held before is gone.
 * `make`: a new array.
 */
export function scratchOf<T extends Numbers<T>>(make: (length: number) => T): (length: number) => T {
  let held = make(0);
  return (length) => {
    if (held.length < length) held = make(Math.ceil(1.5 * length));
    return held.subarray(0, length).fill(0);
  };
}

export const scratch = (): ((length: number) => Float64Array) =>
  scratchOf<Float64Array>((length) => new Float64Array(length));
