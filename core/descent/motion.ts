// The motion of a falling body as a point mass over the turning ellipsoid (MODEL.md §1, §4, §5), and its adaptive
// integrator. State [lat rad, lon rad, h m MSL, vE, vN, vU m/s] against t seconds since exit.
import { nth } from '../base/nth.ts';
import { G0 } from '../air/air.ts';
import { GAMMA_M, gravityFrom, meridianRadius, primeVerticalRadius, WGS84_A, WGS84_F } from '../earth/gravity.ts';
import type { WindLines } from '../winds/lines.ts';
import { ERROR_WEIGHTS, NODES, ROWS } from './dormandPrince.ts';
import type { WorldSampler } from './worldSampler.ts';

const N = 6;
const NO_CURVE = new Float64Array(0);
/** The second-order height term of normal gravity, 1/m². */
const GRAVITY_2 = 3 / (WGS84_A * WGS84_A);

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

/** The figure of the earth at a latitude: what gravity, Coriolis and the rates of the place need of it. */
interface Figure {
  readonly lat_rad: number;
  readonly perCos: number;
  readonly tan: number;
  readonly turnSin_radps: number;
  readonly turnCos_radps: number;
  readonly prime_m: number;
  readonly meridian_m: number;
  readonly gravity_mps2: number;
  readonly gravitySlope_perM: number;
}

export class Motion {
  readonly around: WorldSampler;
  /** The state now, and at the start of the last step; the slopes at both. */
  readonly y = new Float64Array(N);
  readonly yBefore = new Float64Array(N);
  readonly f = new Float64Array(N);
  readonly fBefore = new Float64Array(N);
  t = 0;
  tBefore = 0;
  tolerance = STEP_TOLERANCE;
  /** Whether a step follows a line through its wind where there is one (`winds/lines.ts`), not the wind itself. */
  byLines = false;
  /** Body: mass, drag area before the Mach factor, its Mach curve (empty: factor 1). */
  mass_kg = 1;
  dragArea_m2 = 1;
  machCurve: Float64Array = NO_CURVE;
  /** How the air's force is tilted: a falling body goes so far across, east and north, for each metre down. */
  glideEast = 0;
  glideNorth = 0;
  /** Filling: drag area grows from `dragArea_m2` to `fullArea_m2` over `fill_s` from `fillStart_s`; 0: no filling. */
  fullArea_m2 = 0;
  fill_s = 0;
  fillStart_s = 0;
  fillExponent = 2;
  /** |f| of the last evaluation, m/s². */
  drag_mps2 = 0;
  readonly #k = Array.from({ length: 5 }, () => new Float64Array(N));
  /** Those of the pair: the first is the last step's last, and its own last is the next step's first. */
  readonly #slopes = [this.fBefore, ...this.#k, this.f];
  readonly #trial = new Float64Array(N);
  #step = 0.05;
  #lineBegin_m = NaN;
  #lineEnd_m = NaN;
  #figure: Figure;
  #perCos = 1;

  constructor(around: WorldSampler) {
    this.around = around;
    this.#figure = this.#figureAt(0);
  }

  /** Starts from a state already written into `y`: evaluates its slope and takes a small first step. */
  restart(t: number): void {
    this.t = t;
    this.tBefore = t;
    this.#step = 0.05;
    this.#lineEnd_m = NaN;
    // No trace of an earlier flight: a member is the same whatever was flown before it.
    this.#figure = this.#figureAt(nth(this.y, 0));
    this.#perCos = this.#figure.perCos;
    this.derivative(t, this.y, this.f);
  }

  /**
   * The figure of the earth is held until the latitude has changed by 1e-4 rad (gravity and radii change by less than
   * 1e-6 of themselves meanwhile); the cosine of the latitude is carried on to first order. The comparison with the
   * reference integration includes it.
   */
  #place(lat_rad: number): void {
    if (!(Math.abs(lat_rad - this.#figure.lat_rad) < 1e-4)) this.#figure = this.#figureAt(lat_rad);
    const { perCos, tan, lat_rad: held } = this.#figure;
    this.#perCos = perCos * (1 + (lat_rad - held) * tan);
  }

  #figureAt(lat_rad: number): Figure {
    const sin = Math.sin(lat_rad);
    const cos = Math.cos(lat_rad);
    const sin2 = sin * sin;
    const turn = 2 * this.around.earthRate_radps;
    return {
      lat_rad,
      perCos: 1 / cos,
      tan: sin / cos,
      turnSin_radps: turn * sin,
      turnCos_radps: turn * cos,
      prime_m: primeVerticalRadius(sin2),
      meridian_m: meridianRadius(sin2),
      gravity_mps2: gravityFrom(sin2, 0),
      gravitySlope_perM: (2 * (1 + WGS84_F + GAMMA_M - 2 * WGS84_F * sin2)) / WGS84_A,
    };
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
    let i = 0;
    while (i + 2 < n && mach > nth(curve, i + 2)) i += 2;
    const m0 = nth(curve, i);
    const c0 = nth(curve, i + 1);
    if (i + 2 >= n || mach <= m0) return this.dragArea_m2 * c0;
    const slope = (nth(curve, i + 3) - c0) / (nth(curve, i + 2) - m0);
    return this.dragArea_m2 * (c0 + slope * (mach - m0));
  }

  /** dy/dt of MODEL.md §1 with the drag of §4 or §5, in the wind of a line; null: in the wind itself. */
  derivative(t: number, y: Float64Array, out: Float64Array, line: WindLines | null = null): void {
    const { around } = this;
    const { air } = around;
    const figure = this.#figure;
    const h = nth(y, 2);
    const vE = nth(y, 3);
    const vN = nth(y, 4);
    const vU = nth(y, 5);
    let windE: number;
    let windN: number;
    if (line === null) {
      around.wind(nth(y, 0), nth(y, 1), h, t);
      windE = nth(around.sampler.out, 0);
      windN = nth(around.sampler.out, 1);
    } else {
      windE = line.u_mps + (h - line.middle_m) * line.uSlope;
      windN = line.v_mps + (h - line.middle_m) * line.vSlope;
    }
    const aE = vE - windE;
    const aN = vN - windN;
    const speed = Math.sqrt(aE * aE + aN * aN + vU * vU);
    const mach = this.machCurve.length === 0 ? 0 : speed * air.slowness(h);
    const drag = (-0.5 / this.mass_kg) * air.density(h) * this.area(t, mach) * speed;
    this.drag_mps2 = -drag * speed;
    const { turnSin_radps, turnCos_radps } = figure;
    const eastRate = vE / (figure.prime_m + h);
    const northRate = vN / (figure.meridian_m + h);
    const curve = eastRate * figure.tan;
    const gravity = figure.gravity_mps2 * (1 - h * (figure.gravitySlope_perM - h * GRAVITY_2));
    out[0] = northRate;
    out[1] = eastRate * this.#perCos;
    out[2] = vU;
    out[3] = drag * (aE + this.glideEast * vU) + turnSin_radps * vN - turnCos_radps * vU + curve * vN - eastRate * vU;
    out[4] = drag * (aN + this.glideNorth * vU) - turnSin_radps * vE - curve * vE - northRate * vU;
    out[5] = drag * vU - gravity + turnCos_radps * vE + eastRate * vE + northRate * vN;
  }

  /**
   * One trial step from (tBefore, yBefore, fBefore) over dt: writes y and f at its end.
   *
   * returns  the step's error over the tolerance: accepted at 1 or less
   */
  trial(dt: number): number {
    const line = this.byLines ? this.#lineOver(dt) : null;
    this.t = this.tBefore + dt;
    return line === null ? this.#tryByWind(dt) : this.#tryByLine(dt, line);
  }

  /**
   * Dormand–Prince 5(4) in the wind itself.
   *
   * Error   local O(dt⁶) of the fifth-order result that is kept; `tests/descent/order.test.ts` measures the order
   * Source  Dormand & Prince, J. Comp. Appl. Math. 6 (1980) 19; Hairer, Nørsett & Wanner, Solving ODEs I (1993), table
   *         II.5.2
   */
  #tryByWind(dt: number): number {
    const { y, f, yBefore, tBefore } = this;
    const slopes = this.#slopes;
    for (let stage = 0; stage < ROWS.length; stage++) {
      const out = stage + 1 < ROWS.length ? this.#trial : y;
      const row = ROWS[stage] ?? NO_CURVE;
      for (let i = 0; i < N; i++) {
        let sum = 0;
        for (let j = 0; j <= stage; j++) sum += nth(row, j) * nth(slopes[j] ?? f, i);
        out[i] = nth(yBefore, i) + dt * sum;
      }
      this.derivative(tBefore + nth(NODES, stage) * dt, out, slopes[stage + 1] ?? f);
    }
    let worst = 0;
    for (let i = 0; i < N; i++) {
      let sum = 0;
      for (let j = 0; j < slopes.length; j++) sum += nth(ERROR_WEIGHTS, j) * nth(slopes[j] ?? f, i);
      const size = Math.abs(dt * sum * (i < 2 ? WGS84_A : 1));
      if (!(size <= worst)) worst = size;
    }
    return worst / this.tolerance;
  }

  /**
   * Classical Runge–Kutta in the wind of a line. Its error is how far the two slopes in the middle of the step are from
   * each other, in velocity, over the tolerance. It grows with the cube of the step and with how hard the air brakes:
   * in thin air a step may be long, and errs little.
   */
  #tryByLine(dt: number, line: WindLines): number {
    const { y, f, yBefore, tBefore } = this;
    const [k1, k2, k3] = this.#k;
    if (k1 === undefined || k2 === undefined || k3 === undefined) return NaN;
    const z = this.#trial;
    const half = dt / 2;
    this.derivative(tBefore, yBefore, k1, line);
    for (let i = 0; i < N; i++) z[i] = nth(yBefore, i) + half * nth(k1, i);
    this.derivative(tBefore + half, z, k2, line);
    for (let i = 0; i < N; i++) z[i] = nth(yBefore, i) + half * nth(k2, i);
    this.derivative(tBefore + half, z, k3, line);
    for (let i = 0; i < N; i++) z[i] = nth(yBefore, i) + dt * nth(k3, i);
    this.derivative(tBefore + dt, z, f, line);
    for (let i = 0; i < N; i++)
      y[i] = nth(yBefore, i) + (dt / 6) * (nth(k1, i) + nth(f, i) + 2 * (nth(k2, i) + nth(k3, i)));
    const east = Math.abs(nth(k2, 3) - nth(k3, 3));
    const north = Math.abs(nth(k2, 4) - nth(k3, 4));
    const up = Math.abs(nth(k2, 5) - nth(k3, 5));
    return (dt * Math.max(LINE_WEIGHT_ACROSS * east, LINE_WEIGHT_ACROSS * north, up)) / LINE_TOLERANCE;
  }

  /**
   * The line over the heights that a trial will pass, as far as its beginning tells. It begins where the last step's
   * line ended, so that no stretch of wind is counted twice or left out.
   */
  #lineOver(dt: number): WindLines | null {
    const h = nth(this.yBefore, 2);
    const end = h + dt * (nth(this.yBefore, 5) + (dt / 2) * nth(this.fBefore, 5));
    this.#lineEnd_m = end;
    const begin = Math.abs(this.#lineBegin_m - h) < 0.1 * (h - end) ? this.#lineBegin_m : h;
    return this.around.line(Math.min(begin, end), Math.max(begin, end), this.tBefore + dt / 2, end < begin ? dt : -dt);
  }

  /** No step by a line is longer than the state allows: longer ones would be rejected, or ring. */
  #longestByState(): number {
    const { yBefore: y, fBefore: f } = this;
    const v = Math.sqrt(nth(y, 3) ** 2 + nth(y, 4) ** 2 + nth(y, 5) ** 2) + 1;
    const drag = Math.sqrt(nth(f, 3) ** 2 + nth(f, 4) ** 2 + (nth(f, 5) + G0) ** 2) + 0.1;
    return Math.min((SHARE_OF_RELAXATION * v) / (2 * drag), (SHARE_OF_THICKENING * THICKENING_M) / v, LINE_STEP_S_MAX);
  }

  /**
   * Takes one accepted step of at most `dt_max` s. Answers false where none could be taken (not a number, or steps
   * below 1 µs).
   */
  advance(dt_max: number): boolean {
    for (let i = 0; i < N; i++) {
      this.yBefore[i] = nth(this.y, i);
      this.fBefore[i] = nth(this.f, i);
    }
    this.tBefore = this.t;
    this.#lineBegin_m = this.#lineEnd_m;
    this.#place(nth(this.y, 0));
    const longest = this.byLines ? Math.min(dt_max, this.#longestByState()) : dt_max;
    for (let tries = 0; tries < 60; tries++) {
      const dt = Math.min(this.#step, longest);
      const error = this.trial(dt);
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

  /** By how much the next step may differ from one of this error: its fifth root for the pair, its third for a line. */
  #stepFactor(error: number): number {
    return 0.9 / (this.byLines ? Math.cbrt(error) : Math.pow(error, 1 / 5));
  }
}
