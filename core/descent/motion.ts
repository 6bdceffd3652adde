// The motion of a falling body as a point mass over the turning ellipsoid (MODEL.md §1, §4, §5), and its adaptive
// integrator. State [lat rad, lon rad, h m MSL, vE, vN, vU m/s] against t seconds since exit. Nothing is allocated
// while it runs.
import { G0 } from '../air/air.ts';
import { GAMMA_M, gravityFrom, meridianRadius, primeVerticalRadius, WGS84_A, WGS84_F } from '../earth/gravity.ts';
import type { WindLines } from '../winds/lines.ts';
import type { Surroundings } from './surroundings.ts';
import {
  A21,
  A31,
  A32,
  A41,
  A42,
  A43,
  A51,
  A52,
  A53,
  A54,
  A61,
  A62,
  A63,
  A64,
  A65,
  B1,
  B3,
  B4,
  B5,
  B6,
  C2,
  C3,
  C4,
  C5,
  E1,
  E3,
  E4,
  E5,
  E6,
  E7,
} from './dormandPrince.ts';

const N = 6;
/** Places in `#figure`. */
const BASE = 0;
const PER_COS = 1;
const TAN = 2;
const TURN_SIN = 3;
const TURN_COS = 4;
const PER_PRIME = 5;
const PER_MERIDIAN = 6;
const GRAVITY = 7;
const GRAVITY_1 = 8;
const HALF_PER_MASS = 9;
const LAT = 10;
const PER_COS_0 = 11;
const PRIME = 12;
const MERIDIAN = 13;
const GRAVITY_2 = 3 / (WGS84_A * WGS84_A);

/** An element that is there: indices here are constants within fixed lengths. */
const at = (x: Float64Array, i: number): number => x[i] as number;

/**
 * Scaled error of one step that is accepted: this many metres and metres a second. Measured in
 * `tests/descent/accuracy.test.ts`.
 */
export const STEP_TOLERANCE = 2e-4;

/**
 * Steps by lines: an error of the vertical speed counts three times one across, because it also changes when each wind
 * is met. Weights, tolerance (m/s) and the two shares below were set on 60 members of the balloon demo: landings within
 * 1 cm of the reference in the mean and 2 cm at worst (`npm run bench`).
 */
const LINE_WEIGHT_ACROSS = 0.3;
const LINE_TOLERANCE = 0.08;
/** No step by a line is longer than this share of the time in which the air brakes a velocity, v/(2 a) … */
const SHARE_OF_RELAXATION = 1.6;
/** … nor than this share of the time in which the air gets e times as dense, nor than 5 s. */
const SHARE_OF_THICKENING = 0.15;
const THICKENING_M = 7000;
const LINE_STEP_S_MAX = 5;

export class Motion {
  readonly around: Surroundings;
  /** The state now, and at the start of the last step; the slopes at both. */
  readonly y = new Float64Array(N);
  readonly yBefore = new Float64Array(N);
  readonly f = new Float64Array(N);
  readonly fBefore = new Float64Array(N);
  t = 0;
  tBefore = 0;
  tolerance = STEP_TOLERANCE;
  /**
   * Whether each step follows a line through its wind where there is one (`winds/lines.ts`), not the wind itself at
   * each evaluation.
   */
  byLines = false;
  /** Body: mass, drag area before the Mach factor, its Mach curve (empty: factor 1). */
  mass_kg = 1;
  dragArea_m2 = 1;
  machCurve: Float64Array = new Float64Array(0);
  /**
   * Filling: drag area grows from `dragArea_m2` to `fullArea_m2` over `fill_s` from `fillStart_s`; `fill_s` 0 means no
   * filling.
   */
  fullArea_m2 = 0;
  fill_s = 0;
  fillStart_s = 0;
  fillExponent = 2;
  /** |f| of the last evaluation, m/s². */
  drag_mps2 = 0;
  readonly #k1 = new Float64Array(N);
  readonly #k2 = new Float64Array(N);
  readonly #k3 = new Float64Array(N);
  readonly #k4 = new Float64Array(N);
  readonly #k5 = new Float64Array(N);
  readonly #k6 = new Float64Array(N);
  readonly #figure = new Float64Array(14);
  readonly #trial = new Float64Array(N);
  /** The time of an evaluation, s: in an array, since a number handed to a function is a number put on the heap … */
  readonly #clock = new Float64Array(1);
  /**
   * … and so is one that it answers: the length of the present trial, its error, and the longest step that is asked
   * for.
   */
  #dt = 0;
  #error = 0;
  #longest_s = 0;
  #step = 0.05;
  #lineBegin_m = NaN;
  #lineEnd_m = NaN;

  constructor(around: Surroundings) {
    this.around = around;
  }

  /** Begins anew at a state already written into `y`: evaluates its slope and takes a small first step. */
  restart(t: number): void {
    this.t = t;
    this.tBefore = t;
    this.#step = 0.05;
    this.#lineEnd_m = NaN;
    this.#figure[LAT] = NaN;
    this.#figure[HALF_PER_MASS] = -0.5 / this.mass_kg;
    this.#place(at(this.y, 0), at(this.y, 2));
    this.derivative(t, this.y, this.f);
  }

  /**
   * The figure of the earth where a step begins, held through the step, and until the latitude has changed by 1e-4 rad:
   * gravity and radii change by less than 1e-6 of themselves meanwhile. The cosine of the latitude is carried on to
   * first order, and so is a radius's reciprocal over the heights of a step. The comparison with the reference
   * integration includes it.
   */
  #place(lat: number, height_m: number): void {
    const g = this.#figure;
    const north = lat - at(g, LAT);
    if (!(Math.abs(north) < 1e-4)) {
      this.#placeAnew(lat);
      this.#place(lat, height_m);
      return;
    }
    g[BASE] = height_m;
    g[PER_COS] = at(g, PER_COS_0) * (1 + north * at(g, TAN));
    g[PER_PRIME] = 1 / (at(g, PRIME) + height_m);
    g[PER_MERIDIAN] = 1 / (at(g, MERIDIAN) + height_m);
  }

  #placeAnew(lat: number): void {
    const g = this.#figure;
    const sin = Math.sin(lat);
    const cos = Math.cos(lat);
    const sin2 = sin * sin;
    g[LAT] = lat;
    g[PER_COS_0] = 1 / cos;
    g[TAN] = sin / cos;
    g[TURN_SIN] = 2 * this.around.earthRate_radps * sin;
    g[TURN_COS] = 2 * this.around.earthRate_radps * cos;
    g[PRIME] = primeVerticalRadius(sin2);
    g[MERIDIAN] = meridianRadius(sin2);
    g[GRAVITY] = gravityFrom(sin2, 0);
    g[GRAVITY_1] = (2 * (1 + WGS84_F + GAMMA_M - 2 * WGS84_F * sin2)) / WGS84_A;
  }

  /** Drag area at a time and Mach number, m². */
  area(t: number, mach: number): number {
    if (this.fill_s > 0) {
      const x = Math.min((t - this.fillStart_s) / this.fill_s, 1);
      const grown = this.fillExponent === 2 ? x * x : Math.pow(Math.max(x, 0), this.fillExponent);
      return this.dragArea_m2 + (this.fullArea_m2 - this.dragArea_m2) * grown;
    }
    const curve = this.machCurve;
    const n = curve.length;
    if (n === 0) return this.dragArea_m2;
    let at = 0;
    while (at + 2 < n && mach > (curve[at + 2] as number)) at += 2;
    const m0 = curve[at] as number;
    const c0 = curve[at + 1] as number;
    if (at + 2 >= n || mach <= m0) return this.dragArea_m2 * c0;
    const c1 = curve[at + 3] as number;
    // A level stretch, where most of a fall is flown, waits for no division.
    if (c1 === c0) return this.dragArea_m2 * c0;
    return this.dragArea_m2 * (c0 + ((c1 - c0) * (mach - m0)) / ((curve[at + 2] as number) - m0));
  }

  /** dy/dt of MODEL.md §1 with the drag of §4 or §5, in the wind itself. */
  derivative(t: number, y: Float64Array, out: Float64Array): void {
    this.#clock[0] = t;
    this.#slope(null, y, out);
  }

  /** dy/dt in the wind of a line (null: in the wind itself), at the time of the clock. */
  #slope(line: WindLines | null, y: Float64Array, out: Float64Array): void {
    const h = at(y, 2);
    const vE = at(y, 3);
    const vN = at(y, 4);
    const vU = at(y, 5);
    let windE: number;
    let windN: number;
    if (line === null) {
      const around = this.around;
      around.wind(at(y, 0), at(y, 1), h, at(this.#clock, 0));
      windE = at(around.sampler.out, 0);
      windN = at(around.sampler.out, 1);
    } else {
      const up = h - line.middle_m;
      windE = line.u_mps + up * line.uSlope;
      windN = line.v_mps + up * line.vSlope;
    }
    const { air } = this.around;
    const aE = vE - windE;
    const aN = vN - windN;
    const speed = Math.sqrt(aE * aE + aN * aN + vU * vU);
    const mach = this.machCurve.length === 0 ? 0 : speed * air.slowness(h);
    const drag = at(this.#figure, HALF_PER_MASS) * air.density(h) * this.area(at(this.#clock, 0), mach) * speed;
    this.drag_mps2 = -drag * speed;
    const g = this.#figure;
    const turnSin = at(g, TURN_SIN);
    const turnCos = at(g, TURN_COS);
    const up = h - at(g, BASE);
    const perN = at(g, PER_PRIME);
    const perM = at(g, PER_MERIDIAN);
    const eastRate = vE * perN * (1 - up * perN);
    const northRate = vN * perM * (1 - up * perM);
    const curve = eastRate * at(g, TAN);
    out[0] = northRate;
    out[1] = eastRate * at(g, PER_COS);
    out[2] = vU;
    out[3] = drag * aE + turnSin * vN - turnCos * vU + curve * vN - eastRate * vU;
    out[4] = drag * aN - turnSin * vE - curve * vE - northRate * vU;
    out[5] =
      drag * vU -
      at(g, GRAVITY) * (1 - h * (at(g, GRAVITY_1) - h * GRAVITY_2)) +
      turnCos * vE +
      eastRate * vE +
      northRate * vN;
  }

  /**
   * One Dormand–Prince 5(4) trial from (tBefore, yBefore, fBefore) over dt: writes y and f at its end.
   *
   * returns  the step's error over the tolerance: accepted at 1 or less
   * Error    local O(dt⁶) of the fifth-order result that is kept; `tests/descent/order.test.ts` measures the order
   * Source   Dormand & Prince, J. Comp. Appl. Math. 6 (1980) 19; Hairer, Nørsett & Wanner, Solving ODEs I (1993), table
   *          II.5.2
   * The sums are written out: as loops over a table the step takes half as long again (`npm run bench`).
   */
  trial(dt: number): number {
    this.#dt = dt;
    this.#try();
    return this.#error;
  }

  #try(): void {
    const { y, f, yBefore: y0, tBefore: t0 } = this;
    const dt = this.#dt;
    const line = this.byLines ? this.#lineOver() : null;
    if (line !== null) {
      this.#tryByLine(line);
      return;
    }
    const k1 = this.fBefore;
    const k2 = this.#k2;
    const k3 = this.#k3;
    const k4 = this.#k4;
    const k5 = this.#k5;
    const k6 = this.#k6;
    const z = this.#trial;
    for (let i = 0; i < N; i++) z[i] = at(y0, i) + dt * A21 * at(k1, i);
    this.derivative(t0 + C2 * dt, z, k2);
    for (let i = 0; i < N; i++) z[i] = at(y0, i) + dt * (A31 * at(k1, i) + A32 * at(k2, i));
    this.derivative(t0 + C3 * dt, z, k3);
    for (let i = 0; i < N; i++) z[i] = at(y0, i) + dt * (A41 * at(k1, i) + A42 * at(k2, i) + A43 * at(k3, i));
    this.derivative(t0 + C4 * dt, z, k4);
    for (let i = 0; i < N; i++)
      z[i] = at(y0, i) + dt * (A51 * at(k1, i) + A52 * at(k2, i) + A53 * at(k3, i) + A54 * at(k4, i));
    this.derivative(t0 + C5 * dt, z, k5);
    for (let i = 0; i < N; i++) {
      z[i] = at(y0, i) + dt * (A61 * at(k1, i) + A62 * at(k2, i) + A63 * at(k3, i) + A64 * at(k4, i) + A65 * at(k5, i));
    }
    this.derivative(t0 + dt, z, k6);
    for (let i = 0; i < N; i++) {
      y[i] = at(y0, i) + dt * (B1 * at(k1, i) + B3 * at(k3, i) + B4 * at(k4, i) + B5 * at(k5, i) + B6 * at(k6, i));
    }
    this.t = t0 + dt;
    this.derivative(this.t, y, f);
    let worst = 0;
    for (let i = 0; i < N; i++) {
      const e =
        dt * (E1 * at(k1, i) + E3 * at(k3, i) + E4 * at(k4, i) + E5 * at(k5, i) + E6 * at(k6, i) + E7 * at(f, i));
      const size = Math.abs(i < 2 ? e * WGS84_A : e);
      if (!(size <= worst)) worst = size;
    }
    this.#error = worst / this.tolerance;
  }

  /**
   * One classical Runge–Kutta trial in the wind of a line. No slope is kept for the next step, which has a line of its
   * own. Its error is how far the two slopes in the middle of the step are from each other, in velocity, over the
   * tolerance. It grows with the cube of the step and with how hard the air brakes: in thin air a step may be long, and
   * errs little. Written out without loops, here and where a step begins: a member of an ensemble takes a tenth less
   * time.
   */
  #tryByLine(line: WindLines): void {
    const { y, f, yBefore: y0, tBefore: t0 } = this;
    const dt = this.#dt;
    const k1 = this.#k1;
    const k2 = this.#k2;
    const k3 = this.#k3;
    const z = this.#trial;
    const half = dt / 2;
    const sixth = dt / 6;
    const clock = this.#clock;
    clock[0] = t0;
    this.#slope(line, y0, k1);
    z[0] = at(y0, 0) + half * at(k1, 0);
    z[1] = at(y0, 1) + half * at(k1, 1);
    z[2] = at(y0, 2) + half * at(k1, 2);
    z[3] = at(y0, 3) + half * at(k1, 3);
    z[4] = at(y0, 4) + half * at(k1, 4);
    z[5] = at(y0, 5) + half * at(k1, 5);
    clock[0] = t0 + half;
    this.#slope(line, z, k2);
    z[0] = at(y0, 0) + half * at(k2, 0);
    z[1] = at(y0, 1) + half * at(k2, 1);
    z[2] = at(y0, 2) + half * at(k2, 2);
    z[3] = at(y0, 3) + half * at(k2, 3);
    z[4] = at(y0, 4) + half * at(k2, 4);
    z[5] = at(y0, 5) + half * at(k2, 5);
    this.#slope(line, z, k3);
    z[0] = at(y0, 0) + dt * at(k3, 0);
    z[1] = at(y0, 1) + dt * at(k3, 1);
    z[2] = at(y0, 2) + dt * at(k3, 2);
    z[3] = at(y0, 3) + dt * at(k3, 3);
    z[4] = at(y0, 4) + dt * at(k3, 4);
    z[5] = at(y0, 5) + dt * at(k3, 5);
    clock[0] = t0 + dt;
    this.#slope(line, z, f);
    y[0] = at(y0, 0) + sixth * (at(k1, 0) + at(f, 0) + 2 * (at(k2, 0) + at(k3, 0)));
    y[1] = at(y0, 1) + sixth * (at(k1, 1) + at(f, 1) + 2 * (at(k2, 1) + at(k3, 1)));
    y[2] = at(y0, 2) + sixth * (at(k1, 2) + at(f, 2) + 2 * (at(k2, 2) + at(k3, 2)));
    y[3] = at(y0, 3) + sixth * (at(k1, 3) + at(f, 3) + 2 * (at(k2, 3) + at(k3, 3)));
    y[4] = at(y0, 4) + sixth * (at(k1, 4) + at(f, 4) + 2 * (at(k2, 4) + at(k3, 4)));
    y[5] = at(y0, 5) + sixth * (at(k1, 5) + at(f, 5) + 2 * (at(k2, 5) + at(k3, 5)));
    const east = Math.abs(at(k2, 3) - at(k3, 3));
    const north = Math.abs(at(k2, 4) - at(k3, 4));
    const up = Math.abs(at(k2, 5) - at(k3, 5));
    const worst = dt * Math.max(LINE_WEIGHT_ACROSS * east, LINE_WEIGHT_ACROSS * north, up);
    this.t = t0 + dt;
    this.#error = worst / LINE_TOLERANCE;
  }

  /**
   * The line over the heights that the present trial will pass, as far as its beginning tells. It begins where the last
   * step's line ended, so that no stretch of wind is counted twice or left out.
   */
  #lineOver(): WindLines | null {
    const dt = this.#dt;
    const h = at(this.yBefore, 2);
    const end = h + dt * (at(this.yBefore, 5) + (dt / 2) * at(this.fBefore, 5));
    this.#lineEnd_m = end;
    const begin = Math.abs(this.#lineBegin_m - h) < 0.1 * (h - end) ? this.#lineBegin_m : h;
    return this.around.line(Math.min(begin, end), Math.max(begin, end), this.tBefore + dt / 2, end < begin ? dt : -dt);
  }

  /** No step by a line is longer than the state allows: longer ones would be rejected, or ring. */
  #limitByState(): void {
    const y = this.yBefore;
    const f = this.fBefore;
    const v = Math.sqrt(at(y, 3) * at(y, 3) + at(y, 4) * at(y, 4) + at(y, 5) * at(y, 5)) + 1;
    const up = at(f, 5) + G0;
    const drag = Math.sqrt(at(f, 3) * at(f, 3) + at(f, 4) * at(f, 4) + up * up) + 0.1;
    const allowed = Math.min(
      (SHARE_OF_RELAXATION * v) / (2 * drag),
      (SHARE_OF_THICKENING * THICKENING_M) / v,
      LINE_STEP_S_MAX,
    );
    this.#longest_s = Math.min(this.#longest_s, allowed);
  }

  /**
   * Takes one accepted step of at most `dt_max` s. Answers false where none could be taken (not a number, or steps
   * below 1 µs).
   */
  advance(dt_max: number): boolean {
    this.#longest_s = dt_max;
    return this.#advance();
  }

  #advance(): boolean {
    const { y, f, yBefore, fBefore } = this;
    yBefore[0] = at(y, 0);
    yBefore[1] = at(y, 1);
    yBefore[2] = at(y, 2);
    yBefore[3] = at(y, 3);
    yBefore[4] = at(y, 4);
    yBefore[5] = at(y, 5);
    fBefore[0] = at(f, 0);
    fBefore[1] = at(f, 1);
    fBefore[2] = at(f, 2);
    fBefore[3] = at(f, 3);
    fBefore[4] = at(f, 4);
    fBefore[5] = at(f, 5);
    this.tBefore = this.t;
    this.#lineBegin_m = this.#lineEnd_m;
    this.#place(at(y, 0), at(y, 2));
    if (this.byLines) this.#limitByState();
    for (let tries = 0; tries < 60; tries++) {
      const dt = Math.min(this.#step, this.#longest_s);
      this.#dt = dt;
      this.#try();
      const error = this.#error;
      if (error <= 1) {
        const grow = Math.min(5, this.#stepFactor(Math.max(error, 1e-12)));
        // A step cut short says nothing against the longer one that was planned.
        if (dt === this.#step || grow < 1) this.#step = dt * Math.max(grow, 0.3);
        return true;
      }
      this.#step = dt * (error === error ? Math.max(0.2, this.#stepFactor(error)) : 0.1);
      if (!(this.#step > 1e-6)) return false;
    }
    return false;
  }

  /** Forgets the planned step length: after a break in the forces (a stage's end, deployment). */
  breakAt(): void {
    this.#step = Math.max(0.05, 0.3 * this.#step);
    this.derivative(this.t, this.y, this.f);
  }

  /**
   * By how much the next step may differ from one of this error: near enough its fifth root (3/16) for the pair, its
   * third (3/8) for the measure of a step by a line; by square roots, which cost a tenth of a power.
   */
  #stepFactor(error: number): number {
    const eighth = Math.sqrt(Math.sqrt(Math.sqrt(this.byLines ? error * error : error)));
    return 0.9 / (eighth * Math.sqrt(eighth));
  }
}
