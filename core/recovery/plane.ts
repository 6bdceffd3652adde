// Geometry on the plane of a local frame, metres east and north: for crews, roads and regions within some tens of
// kilometres, where the frame's distances are good to a few parts in a hundred thousand (`earth/geodesic.ts`).

export type Point = readonly [east_m: number, north_m: number];

/** Square of the distance from a point to a stretch. */
export function square(px: number, py: number, ax: number, ay: number, bx: number, by: number): number {
  const dx = bx - ax;
  const dy = by - ay;
  const length2 = dx * dx + dy * dy;
  const f = length2 > 0 ? Math.min(Math.max(((px - ax) * dx + (py - ay) * dy) / length2, 0), 1) : 0;
  const ex = px - ax - f * dx;
  const ey = py - ay - f * dy;
  return ex * ex + ey * ey;
}

/** Distance from a point to a line of stretches; `closed` adds the one from the last point to the first. */
export function toLine(px: number, py: number, line: readonly Point[], closed: boolean): number {
  let least = Infinity;
  for (let i = 0; i < line.length; i++) {
    const a = line[i] as Point;
    const b = line[i + 1] ?? (closed ? line[0] : line.length === 1 ? a : undefined);
    if (b !== undefined) least = Math.min(least, square(px, py, a[0], a[1], b[0], b[1]));
  }
  return Math.sqrt(least);
}

/** Whether a point lies in a ring (even-odd rule). */
export function within(px: number, py: number, ring: readonly Point[]): boolean {
  let inside = false;
  for (let i = 0, j = ring.length - 1; i < ring.length; j = i++) {
    const [xi, yi] = ring[i] as Point;
    const [xj, yj] = ring[j] as Point;
    if (yi > py !== yj > py && px < xi + ((py - yi) / (yj - yi)) * (xj - xi)) inside = !inside;
  }
  return inside;
}

/** Twice the signed area of a triangle: above 0 where c lies left of the way from a to b. */
export const side = (ax: number, ay: number, bx: number, by: number, cx: number, cy: number): number =>
  (bx - ax) * (cy - ay) - (by - ay) * (cx - ax);

/**
 * Where on the way from a to b, 0 to 1, it crosses the stretch from c to d; NaN where it does not. A way that begins or
 * ends on the stretch crosses it; one that runs along it does not.
 */
export function crossingAt(
  ax: number,
  ay: number,
  bx: number,
  by: number,
  cx: number,
  cy: number,
  dx: number,
  dy: number,
): number {
  const a = side(cx, cy, dx, dy, ax, ay);
  const b = side(cx, cy, dx, dy, bx, by);
  if (a > 0 === b > 0 && a !== 0 && b !== 0) return NaN;
  if (a === b) return NaN;
  const c = side(ax, ay, bx, by, cx, cy);
  const d = side(ax, ay, bx, by, dx, dy);
  if (c > 0 === d > 0 && c !== 0 && d !== 0) return NaN;
  return a / (a - b);
}
