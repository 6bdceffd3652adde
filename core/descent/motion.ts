// The motion of a falling body as a point mass over the turning ellipsoid (model.md §1, §4, §5), and its adaptive integrator.
// State [lat rad, lon rad, h m MSL, vE, vN, vU m/s] against t seconds since exit. Nothing is allocated while it runs.
import { GAMMA_M, gravityFrom, meridianRadius, primeVerticalRadius, WGS84_A, WGS84_F } from '../earth/gravity.ts';
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
const COS = 0;
const TAN = 1;
const TURN_SIN = 2;
const TURN_COS = 3;
const PRIME = 4;
const MERIDIAN = 5;
const GRAVITY = 6;
const GRAVITY_1 = 7;
const GRAVITY_2 = 3 / (WGS84_A * WGS84_A);

/** An element that is there: indices here are constants within fixed lengths. */
const at = (x: Float64Array, i: number): number => x[i] as number;

/** Scaled error of one step that is accepted: this many metres and metres a second. Measured in `tests/descent/accuracy.test.ts`. */
export const STEP_TOLERANCE = 2e-4;

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
  /** Body: mass, drag area before the Mach factor, its Mach curve (empty: factor 1). */
  mass_kg = 1;
  dragArea_m2 = 1;
  machCurve: Float64Array = new Float64Array(0);
  /** Filling: drag area grows from `dragArea_m2` to `fullArea_m2` over `fill_s` from `fillStart_s`; `fill_s` 0 means no filling. */
  fullArea_m2 = 0;
  fill_s = 0;
  fillStart_s = 0;
  fillExponent = 2;
  /** |f| of the last evaluation, m/s². */
  drag_mps2 = 0;
  readonly #k2 = new Float64Array(N);
  readonly #k3 = new Float64Array(N);
  readonly #k4 = new Float64Array(N);
  readonly #k5 = new Float64Array(N);
  readonly #k6 = new Float64Array(N);
  readonly #figure = new Float64Array(8);
  readonly #trial = new Float64Array(N);
  #step = 0.05;

  constructor(around: Surroundings) {
    this.around = around;
  }

  /** Begins anew at a state already written into `y`: evaluates its slope and takes a small first step. */
  restart(t: number): void {
    this.t = t;
    this.tBefore = t;
    this.#step = 0.05;
    this.#place(at(this.y, 0));
    this.derivative(t, this.y, this.f);
  }

  /**
   * The figure of the earth at the latitude where a step begins, held through the step: within one the latitude changes by some
   * 1e-5 rad, gravity and radii by less than 1e-7 of themselves. The comparison with the reference integration includes it.
   */
  #place(lat: number): void {
    const g = this.#figure;
    const sin = Math.sin(lat);
    const cos = Math.cos(lat);
    const sin2 = sin * sin;
    g[COS] = cos;
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
    const m1 = curve[at + 2] as number;
    return this.dragArea_m2 * (c0 + (((curve[at + 3] as number) - c0) * (mach - m0)) / (m1 - m0));
  }

  /** dy/dt of model.md §1 with the drag of §4 or §5. */
  derivative(t: number, y: Float64Array, out: Float64Array): void {
    const lat = y[0] as number;
    const h = y[2] as number;
    const vE = y[3] as number;
    const vN = y[4] as number;
    const vU = y[5] as number;
    const around = this.around;
    around.wind(lat, y[1] as number, h, t);
    const wind = around.sampler.out;
    const aE = vE - (wind[0] as number);
    const aN = vN - (wind[1] as number);
    const speed = Math.sqrt(aE * aE + aN * aN + vU * vU);
    const mach = this.machCurve.length === 0 ? 0 : speed / around.air.soundSpeed(h);
    const drag = (-0.5 * around.air.density(h) * this.area(t, mach) * speed) / this.mass_kg;
    this.drag_mps2 = -drag * speed;
    const g = this.#figure;
    const cos = at(g, COS);
    const turnSin = at(g, TURN_SIN);
    const turnCos = at(g, TURN_COS);
    const perN = 1 / (at(g, PRIME) + h);
    const perM = 1 / (at(g, MERIDIAN) + h);
    const eastRate = vE * perN;
    const northRate = vN * perM;
    const curve = eastRate * at(g, TAN);
    out[0] = northRate;
    out[1] = eastRate / cos;
    out[2] = vU;
    out[3] = drag * aE + turnSin * vN - turnCos * vU + curve * vN - eastRate * vU;
    out[4] = drag * aN - turnSin * vE - curve * vE - northRate * vU;
    out[5] = drag * vU - at(g, GRAVITY) * (1 - h * (at(g, GRAVITY_1) - h * GRAVITY_2)) + turnCos * vE + eastRate * vE + northRate * vN;
  }

  /**
   * One Dormand–Prince 5(4) trial from (tBefore, yBefore, fBefore) over dt: writes y and f at its end.
   *
   * returns  the step's error over the tolerance: accepted at 1 or less
   * Error    local O(dt⁶) of the fifth-order result that is kept; `tests/descent/order.test.ts` measures the order
   * Source   Dormand & Prince, J. Comp. Appl. Math. 6 (1980) 19; Hairer, Nørsett & Wanner, Solving ODEs I (1993), table II.5.2
   * The sums are written out: as loops over a table the step takes half as long again (`npm run bench`).
   */
  trial(dt: number): number {
    const { y, f, yBefore: y0, fBefore: k1, tBefore: t0 } = this;
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
    for (let i = 0; i < N; i++) z[i] = at(y0, i) + dt * (A51 * at(k1, i) + A52 * at(k2, i) + A53 * at(k3, i) + A54 * at(k4, i));
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
      const e = dt * (E1 * at(k1, i) + E3 * at(k3, i) + E4 * at(k4, i) + E5 * at(k5, i) + E6 * at(k6, i) + E7 * at(f, i));
      const size = Math.abs(i < 2 ? e * WGS84_A : e);
      if (!(size <= worst)) worst = size;
    }
    return worst / this.tolerance;
  }

  /** Takes one accepted step of at most `dt_max` s. Answers false where none could be taken (not a number, or steps below 1 µs). */
  advance(dt_max: number): boolean {
    this.yBefore.set(this.y);
    this.fBefore.set(this.f);
    this.tBefore = this.t;
    this.#place(at(this.y, 0));
    for (let tries = 0; tries < 60; tries++) {
      const dt = Math.min(this.#step, dt_max);
      const error = this.trial(dt);
      if (error <= 1) {
        const grow = Math.min(5, 0.85 / Math.sqrt(Math.sqrt(Math.max(error, 1e-12))));
        // A step cut short by `dt_max` says nothing against the longer one that was planned.
        if (dt === this.#step || grow < 1) this.#step = dt * Math.max(grow, 0.3);
        return true;
      }
      this.#step = dt * (error === error ? Math.max(0.2, 0.85 / Math.sqrt(Math.sqrt(error))) : 0.1);
      if (!(this.#step > 1e-6)) return false;
    }
    return false;
  }

  /** Forgets the planned step length: after a break in the forces (a stage's end, deployment). */
  breakAt(): void {
    this.#step = 0.05;
    this.derivative(this.t, this.y, this.f);
  }
}
