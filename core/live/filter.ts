// One body followed from fix to fix: where it is and how it moves, and which fixes cannot be its own. Heights m MSL,
// times s since 1970, motion m/s east, north, up on the plane that touches the earth at the first fix.
//
// Method  a Kalman filter with constant velocity and white acceleration, an axis by itself (Bar-Shalom, Li and
//         Kirubarajan 2001, chapter 6.2); a fix whose innovation is beyond the gate is left out, unless three in a row
//         agree with each other: then the body is where they say, and the filter begins again there.
import { localFrame, type LocalFrame } from '../earth/geodesic.ts';
import type { LonLat } from '../base/units.ts';

export interface LiveFix {
  readonly time_s: number;
  readonly position: LonLat;
  readonly height_m: number;
}

/** A fix that was taken, on the plane. */
export interface Taken {
  readonly time_s: number;
  readonly east_m: number;
  readonly north_m: number;
  readonly height_m: number;
}

/** One standard deviation of a fix by satellite receiver, m per axis. Common practice for a moving receiver. */
export const FIX_M = 10;
/** Spectral density of the acceleration, m²/s³: an opening takes 50 m/s in 4 s, a shear some 10 m/s in as many. */
const ACCELERATION = { horizontal: 30, vertical: 150 } as const;
/** Innovations beyond so many standard deviations are not the body's. */
const GATE = 5;
/** So many in a row that agree with each other are the body after all. */
const AGREEING = 3;
/** How far two of them may be from what a body can move in their time, m/s. */
const FASTEST_MPS = 450;
const KEPT = 400;

/** Position and velocity of one axis. */
class Axis {
  x = 0;
  v = 0;
  xx: number;
  xv = 0;
  vv: number;
  readonly #density: number;

  constructor(x: number, density: number) {
    this.x = x;
    this.#density = density;
    this.xx = FIX_M ** 2;
    // Nothing is known of the motion before the second fix.
    this.vv = 100 ** 2;
  }
  ahead(dt: number): void {
    this.x += this.v * dt;
    this.xx += dt * (2 * this.xv + dt * this.vv) + (this.#density * dt ** 3) / 3;
    this.xv += dt * this.vv + (this.#density * dt ** 2) / 2;
    this.vv += this.#density * dt;
  }
  isNear(x: number): boolean {
    return Math.abs(x - this.x) <= GATE * Math.sqrt(this.xx + FIX_M ** 2);
  }
  take(x: number): void {
    const s = this.xx + FIX_M ** 2;
    const [gainX, gainV] = [this.xx / s, this.xv / s];
    const innovation = x - this.x;
    this.x += gainX * innovation;
    this.v += gainV * innovation;
    this.vv -= gainV * this.xv;
    this.xv -= gainX * this.xv;
    this.xx -= gainX * this.xx;
  }
}

export class BodyFilter {
  #frame: LocalFrame | null = null;
  #axes: readonly [Axis, Axis, Axis] | null = null;
  #time_s = NaN;
  #left: Taken[] = [];
  /** Fixes that were taken, oldest first, the last few minutes of them. */
  readonly taken: Taken[] = [];
  /** How many fixes were left out. */
  leftOut = 0;

  /** Whether the fix was taken. Fixes that are not newer than the last one are not. */
  add(fix: LiveFix): boolean {
    this.#frame ??= localFrame(fix.position);
    const [east_m, north_m] = this.#frame.toLocal(fix.position);
    const one = { time_s: fix.time_s, east_m, north_m, height_m: fix.height_m };
    if (this.#axes === null) return this.#begin([one]);
    const dt = one.time_s - this.#time_s;
    if (!(dt > 0)) return false;
    for (const axis of this.#axes) axis.ahead(dt);
    this.#time_s = one.time_s;
    const [e, n, u] = this.#axes;
    if (!(e.isNear(one.east_m) && n.isNear(one.north_m) && u.isNear(one.height_m))) return this.#leave(one);
    e.take(one.east_m);
    n.take(one.north_m);
    u.take(one.height_m);
    this.#left = [];
    this.#keep(one);
    return true;
  }

  #keep(one: Taken): void {
    // What passed the gate after a gap, and the next fix denies, is taken back.
    const [before, last] = this.taken.slice(-2);
    if (before !== undefined && last !== undefined && !liesBetween(before, last, one)) this.#takeBack();
    this.taken.push(one);
    if (this.taken.length > KEPT) this.taken.shift();
  }

  #takeBack(): void {
    this.taken.pop();
    this.leftOut += 1;
  }

  #begin(fixes: readonly Taken[]): boolean {
    const first = fixes[0];
    if (first === undefined) return false;
    for (let last = this.taken.at(-1); last !== undefined && !canBeOne(last, first); last = this.taken.at(-1))
      this.#takeBack();
    this.#axes = [
      new Axis(first.east_m, ACCELERATION.horizontal),
      new Axis(first.north_m, ACCELERATION.horizontal),
      new Axis(first.height_m, ACCELERATION.vertical),
    ];
    this.#time_s = first.time_s;
    this.#left = [];
    this.#keep(first);
    for (const one of fixes.slice(1)) {
      const dt = one.time_s - this.#time_s;
      for (const axis of this.#axes) axis.ahead(dt);
      this.#time_s = one.time_s;
      this.#axes[0].take(one.east_m);
      this.#axes[1].take(one.north_m);
      this.#axes[2].take(one.height_m);
      this.#keep(one);
    }
    return true;
  }

  #leave(one: Taken): boolean {
    this.leftOut += 1;
    const before = this.#left.at(-1);
    const agrees = before !== undefined && canBeOne(before, one);
    this.#left = agrees ? [...this.#left, one] : [one];
    return this.#left.length >= AGREEING && this.#begin(this.#left);
  }

  /** Where a place lies on the plane; nowhere before the first fix. */
  toPlane(place: LonLat): readonly [east_m: number, north_m: number] {
    return this.#frame?.toLocal(place) ?? [NaN, NaN];
  }

  placeOf(one: Pick<Taken, 'east_m' | 'north_m'>): LonLat {
    return this.#frame?.toLonLat(one.east_m, one.north_m) ?? [NaN, NaN];
  }
}

/** Whether one body can have been at both. */
function canBeOne(a: Taken, b: Taken): boolean {
  const far_m = Math.hypot(b.east_m - a.east_m, b.north_m - a.north_m, b.height_m - a.height_m);
  return far_m <= 6 * FIX_M + FASTEST_MPS * (b.time_s - a.time_s);
}

/** The hardest a body is slowed, m/s², and by how much altogether, m/s: an opening. */
const SLOWED = { mps2: 30, mps: 100 } as const;

/** Whether a body that was at a and at c can have been at b in between. */
function liesBetween(a: Taken, b: Taken, c: Taken): boolean {
  const [before, after] = [b.time_s - a.time_s, c.time_s - b.time_s];
  const share = before / (before + after);
  const bent_m = Math.min(0.5 * SLOWED.mps2 * before * after, SLOWED.mps * Math.min(before, after));
  return (['east_m', 'north_m', 'height_m'] as const).every(
    (axis) => Math.abs(b[axis] - a[axis] - share * (c[axis] - a[axis])) <= 6 * FIX_M + bent_m,
  );
}

/** A straight line through values over times: value and slope at `at_s`; null with fewer than two times. */
export function lineThrough(
  points: readonly (readonly [time_s: number, value: number])[],
  at_s: number,
): { readonly value: number; readonly slope: number; readonly squares: number } | null {
  const n = points.length;
  let [t, x] = [0, 0];
  for (const [time, value] of points) {
    t += (time - at_s) / n;
    x += value / n;
  }
  let [tt, tx] = [0, 0];
  for (const [time, value] of points) {
    tt += (time - at_s - t) ** 2;
    tx += (time - at_s - t) * (value - x);
  }
  if (!(tt > 0)) return null;
  const slope = tx / tt;
  let squares = 0;
  for (const [time, value] of points) squares += (value - x - slope * (time - at_s - t)) ** 2;
  return { value: x - slope * t, slope, squares };
}
