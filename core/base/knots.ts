// Piecewise linear functions as tables.
/** [height m MSL, value], heights rising: piecewise linear, the end values hold outside. */
export type Knots = readonly (readonly [number, number])[];

/** Value of a piecewise linear function; the end values hold outside; an empty one is 0. */
export function atKnots(knots: Knots, x: number): number {
  const first = knots[0];
  const last = knots[knots.length - 1];
  if (first === undefined || last === undefined) return 0;
  if (!(x > first[0])) return first[1];
  for (let i = 1; i < knots.length; i++) {
    const a = knots[i - 1] ?? first;
    const b = knots[i] ?? last;
    if (x < b[0]) return a[1] + ((x - a[0]) / (b[0] - a[0])) * (b[1] - a[1]);
  }
  return last[1];
}
