// Geometry on the plane of a local frame, metres east and north: for crews, roads and regions within some tens of
// kilometres, where the frame's distances are good to a few parts in a hundred thousand (`earth/geodesic.ts`).

export type Point = readonly [east_m: number, north_m: number];

/** Distance from a point to the stretch from a to b. */
export function toStretch([px, py]: Point, [ax, ay]: Point, [bx, by]: Point): number {
  const dx = bx - ax;
  const dy = by - ay;
  const length2 = dx * dx + dy * dy;
  const f = length2 > 0 ? Math.min(Math.max(((px - ax) * dx + (py - ay) * dy) / length2, 0), 1) : 0;
  const ex = px - ax - f * dx;
  const ey = py - ay - f * dy;
  return Math.hypot(ex, ey);
}

/** Distance from a point to a line of stretches; `closed` adds the one from the last point to the first. */
export function toLine(point: Point, line: readonly Point[], closed: boolean): number {
  let least = Infinity;
  for (const [i, a] of line.entries()) {
    const b = line[i + 1] ?? (closed ? line[0] : line.length === 1 ? a : undefined);
    if (b !== undefined) least = Math.min(least, toStretch(point, a, b));
  }
  return least;
}

/** Whether a point lies in a ring (even-odd rule). */
export function within([px, py]: Point, ring: readonly Point[]): boolean {
  let inside = false;
  for (const [i, [xi, yi]] of ring.entries()) {
    const [xj, yj] = ring.at(i - 1) ?? [xi, yi];
    if (yi > py !== yj > py && px < xi + ((py - yi) / (yj - yi)) * (xj - xi)) inside = !inside;
  }
  return inside;
}

/** Twice the signed area of a triangle: above 0 where c lies left of the way from a to b. */
const side = (a: Point, b: Point, c: Point): number => (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);

/**
 * Where on the way from a to b, 0 to 1, it crosses the stretch from c to d; NaN where it does not. A way that begins or
 * ends on the stretch crosses it; one that runs along it does not.
 */
export function crossingAt(a: Point, b: Point, c: Point, d: Point): number {
  const from = side(c, d, a);
  const to = side(c, d, b);
  if (from > 0 === to > 0 && from !== 0 && to !== 0) return NaN;
  if (from === to) return NaN;
  const left = side(a, b, c);
  const right = side(a, b, d);
  if (left > 0 === right > 0 && left !== 0 && right !== 0) return NaN;
  return from / (from - to);
}
