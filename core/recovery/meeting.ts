// How near two bodies come: exact for ways that run straight between their knots, over height and on the plane. Metres,
// seconds.

import { nth } from '../base/nth.ts';

export interface Passing {
  readonly time_s: number;
  readonly distance_m: number;
  readonly horizontal_m: number;
  /** The other body above the jumper; negative below. */
  readonly above_m: number;
}

/** A body's way: knots of a path straight between them. */
export interface BodyPath {
  readonly t: Float64Array;
  readonly east: Float64Array;
  readonly north: Float64Array;
  readonly up: Float64Array;
}

class Walker {
  readonly #track: BodyPath;
  #i = 0;
  constructor(track: BodyPath) {
    this.#track = track;
  }
  /** Position at a time within the track; times must not fall. */
  at(time_s: number): readonly [east: number, north: number, up: number] {
    const { t, east, north, up } = this.#track;
    while (this.#i + 2 < t.length && nth(t, this.#i + 1) <= time_s) this.#i += 1;
    const i = this.#i;
    const span = nth(t, i + 1) - nth(t, i);
    const x = span > 0 ? Math.min(Math.max((time_s - nth(t, i)) / span, 0), 1) : 0;
    const mix = (row: Float64Array): number => nth(row, i) + x * ((row[i + 1] ?? nth(row, i)) - nth(row, i));
    return [mix(east), mix(north), mix(up)];
  }
}

const NONE: Passing = { time_s: NaN, distance_m: Infinity, horizontal_m: Infinity, above_m: NaN };

/** `underCanopy`: from when the first body's canopy is open; `series`: every 10 s. */
interface Met {
  readonly closest: Passing;
  readonly horizontal: Passing;
  readonly underCanopy: Passing | null;
  readonly series: readonly Passing[];
}

/**
 * Nearest moments of two ways between two times at which both are known. `opened_s`: when the first body's canopy
 * opens, or Infinity.
 */
export function meetingOf(a: BodyPath, b: BodyPath, from_s: number, to_s: number, opened_s: number): Met {
  const knots = [...a.t, ...b.t, from_s, to_s, ...(opened_s > from_s && opened_s < to_s ? [opened_s] : [])]
    .filter((t) => t >= from_s && t <= to_s)
    .sort((x, y) => x - y);
  const [one, two] = [new Walker(a), new Walker(b)];
  const between = (t: number): readonly [number, number, number] => {
    const p = one.at(t);
    const q = two.at(t);
    return [q[0] - p[0], q[1] - p[1], q[2] - p[2]];
  };
  let closest = NONE;
  let horizontal = NONE;
  let underCanopy = NONE;
  const series: Passing[] = [];
  let before = between(from_s);
  let t0 = from_s;
  let next = from_s;
  for (const t1 of knots) {
    const now = between(t1);
    for (; next <= t1; next += 10) series.push(nearest(t0, t1, before, now, t1 > t0 ? (next - t0) / (t1 - t0) : 0));
    const here = nearest(t0, t1, before, now, foot(before, now, 3));
    if (here.distance_m < closest.distance_m) closest = here;
    if (t0 >= opened_s && here.distance_m < underCanopy.distance_m) underCanopy = here;
    const level = nearest(t0, t1, before, now, foot(before, now, 2));
    if (level.horizontal_m < horizontal.horizontal_m) horizontal = level;
    before = now;
    t0 = t1;
  }
  return { closest, horizontal, underCanopy: underCanopy.distance_m < Infinity ? underCanopy : null, series };
}

/** Where on the way from one difference to the next it is smallest, 0 to 1, in so many of its components. */
export function foot(
  p: readonly [number, number, number],
  q: readonly [number, number, number],
  dimensions: 2 | 3,
): number {
  let dot = 0;
  let square = 0;
  for (let k = 0; k < dimensions; k++) {
    const d = (q[k] ?? 0) - (p[k] ?? 0);
    dot -= (p[k] ?? 0) * d;
    square += d * d;
  }
  return square > 0 ? Math.min(Math.max(dot / square, 0), 1) : 0;
}

export function nearest(
  t0: number,
  t1: number,
  p: readonly [number, number, number],
  q: readonly [number, number, number],
  x: number,
): Passing {
  const [e, n, u] = [p[0] + x * (q[0] - p[0]), p[1] + x * (q[1] - p[1]), p[2] + x * (q[2] - p[2])];
  return { time_s: t0 + x * (t1 - t0), distance_m: Math.hypot(e, n, u), horizontal_m: Math.hypot(e, n), above_m: u };
}
