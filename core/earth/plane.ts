// Geometry on the plane of a local frame, metres east and north: for crews, roads, regions and what stands upwind,
// within some tens of kilometres, where the frame's distances are good to a few parts in a hundred thousand
// (`geodesic.ts`).

export type Point = readonly [east_m: number, north_m: number];

/**
 * The place on a line of stretches nearest to a point; `closed` adds the one from the last point to the first. Asked
 * millions of times for a crew with many hazards about it: it makes nothing but its answer.
 */
export function nearestOn([px, py]: Point, line: readonly Point[], closed: boolean): Point {
  let least2 = Infinity;
  let [x, y] = [Infinity, Infinity];
  const last = line.length - 1;
  for (let i = 0; i <= last; i++) {
    const a = line[i];
    const b = i < last ? line[i + 1] : closed || last === 0 ? line[0] : undefined;
    if (a === undefined || b === undefined) continue;
    const dx = b[0] - a[0];
    const dy = b[1] - a[1];
    const length2 = dx * dx + dy * dy;
    const f = length2 > 0 ? Math.min(Math.max(((px - a[0]) * dx + (py - a[1]) * dy) / length2, 0), 1) : 0;
    const tx = a[0] + f * dx;
    const ty = a[1] + f * dy;
    const far2 = (tx - px) * (tx - px) + (ty - py) * (ty - py);
    if (!(far2 < least2)) continue;
    least2 = far2;
    x = tx;
    y = ty;
  }
  return [x, y];
}

/** Distance from a point to such a line. */
export function toLine(point: Point, line: readonly Point[], closed: boolean): number {
  const [x, y] = nearestOn(point, line, closed);
  return Math.hypot(x - point[0], y - point[1]);
}

/** Whether a point lies in a ring (even-odd rule). */
export function within([px, py]: Point, ring: readonly Point[]): boolean {
  let inside = false;
  let before = ring.at(-1);
  for (const corner of ring) {
    const [[xi, yi], [xj, yj]] = [corner, before ?? corner];
    if (yi > py !== yj > py && px < xi + ((py - yi) / (yj - yi)) * (xj - xi)) inside = !inside;
    before = corner;
  }
  return inside;
}

/** West, south, east and north of some points; without a point it meets nothing. */
export type PlaneBox = readonly [west: number, south: number, east: number, north: number];

export function boxOf(points: readonly Point[]): PlaneBox {
  let [west, south, east, north] = [Infinity, Infinity, -Infinity, -Infinity];
  for (const [x, y] of points) {
    west = Math.min(west, x);
    south = Math.min(south, y);
    east = Math.max(east, x);
    north = Math.max(north, y);
  }
  return [west, south, east, north];
}

/** Whether the boxes about two sets of points meet, the second widened by a margin. */
export function boxesMeet(some: readonly Point[], others: readonly Point[], margin_m = 0): boolean {
  const [a, b] = [boxOf(some), boxOf(others)];
  return a[2] >= b[0] - margin_m && a[0] <= b[2] + margin_m && a[3] >= b[1] - margin_m && a[1] <= b[3] + margin_m;
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

/** The stretches of a line, its only point as one without length; `closed` adds the one from the last to the first. */
function stretches(line: readonly Point[], closed: boolean): (readonly [Point, Point])[] {
  const found = line.flatMap((a, i) => {
    const b = line[i + 1] ?? (closed ? line[0] : undefined);
    return b === undefined ? [] : [[a, b] as const];
  });
  const [only] = line;
  return found.length > 0 || only === undefined ? found : [[only, only]];
}

/**
 * Least distance between a way and a line, or a ring (`closed`): 0 where they cross, or where the way is within the
 * ring; infinite where one of them has no point.
 */
export function linesApart(way: readonly Point[], line: readonly Point[], closed: boolean): number {
  if (closed && way.some((point) => within(point, line))) return 0;
  const others = stretches(line, closed);
  if (stretches(way, false).some(([a, b]) => others.some(([c, d]) => !Number.isNaN(crossingAt(a, b, c, d))))) return 0;
  // Two stretches that do not cross are nearest at an end of one of them.
  const ends = (points: readonly Point[], to: readonly Point[], isRing: boolean): number =>
    points.reduce((least, point) => Math.min(least, toLine(point, to, isRing)), Infinity);
  return Math.min(ends(way, line, closed), ends(line, way, false));
}
