// Memory for what is worked out many times a second and given to nobody: made once and used again, because the browser
// collects all of a page's garbage, for a fifth of a second at its worst, as soon as some megabytes of such arrays have
// piled up.

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
