// Memory for what is worked out many times a second and given to nobody: made once and used again, because the browser collects all of a
// page's garbage, for a fifth of a second at its worst, as soon as some megabytes of such arrays have piled up.

/** Answers an array of zeros of the length asked for. It is the same memory each time: what it held before is gone. */
export function scratch(): (length: number) => Float64Array {
  let held = new Float64Array(0);
  return (length) => {
    if (held.length < length) held = new Float64Array(Math.ceil(1.5 * length));
    return held.subarray(0, length).fill(0);
  };
}
