// A helicopter's way between two places that does not lead over a circle: straight, or along a tangent, the circle and
// a tangent, on the shorter side. Metres on the scene's plane, seconds in the wind of the crew's height.
import { RAD_PER_DEG, toward_deg } from '../base/units.ts';
import { madeGood, type Crew } from './crews.ts';
import { toStretch, type Point } from './plane.ts';
import type { Scene } from './scene.ts';

export interface Circle {
  readonly center: Point;
  readonly radius_m: number;
}

export interface PathLeg {
  readonly from: Point;
  readonly to: Point;
  readonly track_deg: number;
  readonly length_m: number;
  readonly speed_mps: number;
  readonly time_s: number;
}

/** Corners of an arc are this far apart, degrees; they lie outside the circle by 1 in 260. */
const ARC_DEG = 10;

/** Null where the wind does not let the crew hold a leg's track. `around` null: straight. */
export function approachPath(
  scene: Scene,
  crew: Crew,
  from: Point,
  to: Point,
  around: Circle | null,
): PathLeg[] | null {
  const [u, v] = scene.windOf(crew);
  const points = around === null ? [from, to] : roundCircle(from, to, around);
  const legs: PathLeg[] = [];
  for (const [i, b] of points.entries()) {
    const a = points[i - 1];
    if (a === undefined) continue;
    const length_m = Math.hypot(b[0] - a[0], b[1] - a[1]);
    if (!(length_m > 0)) continue;
    const track_deg = toward_deg(b[0] - a[0], b[1] - a[1]);
    const good = madeGood(crew.speed_mps, track_deg, u, v);
    if (good.kind === 'cannot') return null;
    legs.push({ from: a, to: b, track_deg, length_m, speed_mps: good.speed_mps, time_s: length_m / good.speed_mps });
  }
  return legs;
}

/**
 * Corners of the shortest way outside a circle. An end inside it is first left, or last entered, straight away from the
 * middle.
 */
export function roundCircle(from: Point, to: Point, { center, radius_m }: Circle): Point[] {
  const [cx, cy] = center;
  const a = outside(from, center, radius_m);
  const b = outside(to, center, radius_m);
  const ends = (middle: Point[]): Point[] => [...(a === from ? [] : [from]), ...middle, ...(b === to ? [] : [to])];
  if (toStretch(center, a, b) >= radius_m * (1 - 1e-9)) return ends([a, b]);
  const angle = ([x, y]: Point): number => Math.atan2(x - cx, y - cy);
  const half = ([x, y]: Point): number => Math.acos(Math.min(1, radius_m / Math.hypot(x - cx, y - cy)));
  let best: Point[] = [];
  let least = Infinity;
  for (const way of [1, -1]) {
    // The way round: from a's touching point to b's, clockwise (1) or counter-clockwise (−1).
    const begin = angle(a) + way * half(a);
    const turn = positive(way * (angle(b) - way * half(b) - begin));
    const steps = Math.max(1, Math.ceil(turn / (ARC_DEG * RAD_PER_DEG)));
    // Corners of a polygon about the circle, so that no leg cuts into it.
    const out = radius_m / Math.cos(turn / steps / 2);
    const corner = (s: number, r: number): Point => [
      cx + r * Math.sin(begin + way * s),
      cy + r * Math.cos(begin + way * s),
    ];
    const arc = [corner(0, radius_m)];
    for (let k = 0; k < steps; k++) arc.push(corner(((k + 0.5) * turn) / steps, out));
    arc.push(corner(turn, radius_m));
    const points = [a, ...arc, b];
    const length = points.reduce((sum, point, i) => {
      const before = points[i - 1];
      return before === undefined ? 0 : sum + Math.hypot(point[0] - before[0], point[1] - before[1]);
    }, 0);
    if (length < least) [least, best] = [length, points];
  }
  return ends(best);
}

const positive = (angle: number): number => ((angle % (2 * Math.PI)) + 2 * Math.PI) % (2 * Math.PI);

function outside(point: Point, [cx, cy]: Point, radius_m: number): Point {
  const d = Math.hypot(point[0] - cx, point[1] - cy);
  if (d >= radius_m) return point;
  return d > 0 ? [cx + ((point[0] - cx) * radius_m) / d, cy + ((point[1] - cy) * radius_m) / d] : [cx, cy + radius_m];
}
