// What an error of the wind at each height does to the landing, to first order: Δ = ∫ K(h) δw(h) dh (MODEL.md §8). K
// comes from one backward pass of the adjoint of the motion along one flight; nothing is flown again layer by layer.
// Metres of landing, east and north, for 1 m/s of wind, east and north.
//
// A canopy that homes on a target undoes what the wind did as long as it can. What the wind decides is then the middle
// of what the canopy can reach: K is that of the drift landing for the policies "to target", "pattern" and "random".
import { nth } from '../base/nth.ts';
import { RAD_PER_DEG } from '../base/units.ts';
import type { WindOffset } from '../winds/field.ts';
import { meridianRadius, primeVerticalRadius } from '../earth/gravity.ts';
import {
  STEER_DRIFT,
  STEER_HOLD,
  STEER_INTO_WIND,
  TRIGGER_AGL,
  TRIGGER_MACH,
  TRIGGER_NONE,
  TRIGGER_TIME,
  type CompiledBody,
} from './body.ts';
import type { CanopyFlight } from './canopyFlight.ts';
import { Flight, LANDED, type FlightWatcher } from './flight.ts';
import { Motion } from './motion.ts';
import { worldSamplerOf, type Scenario } from './scenario.ts';
import { WorldSampler } from './worldSampler.ts';

/** K as quadrature points: a wind error δw(h) moves the landing by Σ weight(h_q) δw(h_q). */
export interface WindSensitivity {
  /** In the order of the flight, falling. */
  readonly heights_m: Float64Array;
  /** m of landing per m/s: east by east wind, east by north wind, north by east wind, north by north wind. */
  readonly ee: Float64Array;
  readonly en: Float64Array;
  readonly ne: Float64Array;
  readonly nn: Float64Array;
}

/** A step of the falling body as it was flown, with what the body was then. */
interface Segment {
  readonly t0: number;
  readonly t1: number;
  readonly y0: Float64Array;
  readonly y1: Float64Array;
  readonly f0: Float64Array;
  readonly f1: Float64Array;
  readonly dragArea_m2: number;
  readonly machCurve: Float64Array;
  readonly fullArea_m2: number;
  readonly fill_s: number;
  readonly fillStart_s: number;
  readonly fillExponent: number;
  /** On the first step of a stage: the trigger that began it (`body.ts`); TRIGGER_NONE elsewhere. */
  readonly begins: number;
}

interface Glide {
  readonly h_m: number;
  readonly groundE_mps: number;
  readonly groundN_mps: number;
  readonly sink_mps: number;
  readonly windE_mps: number;
  readonly windN_mps: number;
  /** What the ground leaves of the wind there. */
  readonly factor: number;
}

/**
 * Steps of the backward pass: fine against the relaxation time V/g of about 5 s; while filling, a fortieth of the
 * filling time.
 */
const STEP_S = 0.5;
const FINE_GLIDE_M = 20;

class Recorder implements FlightWatcher {
  readonly segments: Segment[] = [];
  readonly glides: Glide[] = [];
  readonly #around: WorldSampler;
  readonly #triggers: readonly number[];
  #stages = 0;
  #begins = TRIGGER_NONE;

  constructor(around: WorldSampler, body: CompiledBody) {
    this.#around = around;
    this.#triggers = body.stages.map((stage) => stage.trigger);
  }

  stageBegan(): void {
    this.#begins = this.#triggers[this.#stages - 1] ?? TRIGGER_NONE;
    this.#stages += 1;
  }

  fell(motion: Motion): void {
    const { tBefore: t0, t: t1, dragArea_m2, machCurve, fullArea_m2, fill_s, fillStart_s, fillExponent } = motion;
    this.segments.push({
      t0,
      t1,
      y0: motion.yBefore.slice(),
      y1: motion.y.slice(),
      f0: motion.fBefore.slice(),
      f1: motion.f.slice(),
      dragArea_m2,
      machCurve,
      fullArea_m2,
      fill_s,
      fillStart_s,
      fillExponent,
      begins: this.#begins,
    });
    this.#begins = TRIGGER_NONE;
  }

  glided(canopy: CanopyFlight): void {
    const { sampler, ground } = this.#around;
    const wind = sampler.out;
    const agl_m = canopy.h_m - ground.heightAt(canopy.lat_rad, canopy.lon_rad);
    this.glides.push({
      factor: this.#around.logFactor(agl_m),
      h_m: canopy.h_m,
      groundE_mps: canopy.groundE_mps,
      groundN_mps: canopy.groundN_mps,
      sink_mps: canopy.sink_mps,
      windE_mps: wind[0] ?? 0,
      windN_mps: wind[1] ?? 0,
    });
  }
}

/** The body whose landing K is about: homing and random steering replaced by drift. */
function drifting(body: CompiledBody): CompiledBody {
  const canopy = body.canopy;
  if (canopy === null || canopy.policy === STEER_HOLD || canopy.policy === STEER_INTO_WIND) return body;
  return { ...body, canopy: { ...canopy, policy: STEER_DRIFT } };
}

/**
 * offset   the analysed correction of the forecast, as the prediction flies it; null without one
 * returns  null where the flight does not reach the ground
 * Error    it predicts the wind's part of an ensemble's covariance within 10 % (`tests/descent/sensitivity.test.ts`)
 * Left out the horizontal gradient of the forecast, and what a wind error does to the air's density
 */
export function windSensitivity(scenario: Scenario, offset: WindOffset | null): WindSensitivity | null {
  const around = worldSamplerOf(scenario.world);
  const flight = new Flight(around, drifting(scenario.body));
  flight.canopyFlight.step_m_max = FINE_GLIDE_M;
  const recorder = new Recorder(around, flight.body);
  flight.fly(scenario.exit, offset, recorder);
  if (flight.outcome !== LANDED) return null;
  const rows: number[][] = [];
  const canopy = flight.body.canopy;
  if (canopy !== null)
    glideWeights(
      recorder.glides,
      canopy.policy === STEER_INTO_WIND ? canopy.airspeed_mps : 0,
      recorder.segments.at(-1)?.y1[H] ?? flight.openingHeight_m,
      rows,
    );
  const adjoint = new Adjoint(scenario, offset, flight.landingLat_rad);
  adjoint.end(recorder, rows.length > 0 ? (recorder.glides[0] ?? null) : null);
  for (let i = recorder.segments.length - 1; i >= 0; i--) {
    const segment = recorder.segments[i];
    if (segment === undefined) continue;
    adjoint.back(segment, rows);
    adjoint.atEvent(segment.begins, segment.t0, segment.y0, recorder.segments[i - 1]?.f1 ?? segment.f0);
  }
  if (scenario.exit.velocity_mps === null) adjoint.atExit(scenario.exit.height_m, rows);
  rows.sort((a, b) => (b[0] ?? 0) - (a[0] ?? 0));
  const column = (k: number): Float64Array => Float64Array.from(rows, (row) => row[k] ?? 0);
  return { heights_m: column(0), ee: column(1), en: column(2), ne: column(3), nn: column(4) };
}

/** Under canopy the wind carries for 1/sink seconds a metre; facing the wind, its turning also swings the drive. */
function glideWeights(glides: readonly Glide[], drive_mps: number, from_m: number, rows: number[][]): void {
  let above = from_m;
  let factorAbove = 1;
  glides.forEach((glide) => {
    const dh = above - glide.h_m;
    const height = (above + glide.h_m) / 2;
    const factor = (factorAbove + glide.factor) / 2;
    above = glide.h_m;
    factorAbove = glide.factor;
    if (!(dh > 0)) return;
    const t = (dh / glide.sink_mps) * factor;
    const speed = Math.max(Math.hypot(glide.windE_mps, glide.windN_mps), 2);
    const turn = drive_mps / speed;
    const e = glide.windE_mps / speed;
    const n = glide.windN_mps / speed;
    rows.push([height, t * (1 - turn * n * n), t * turn * e * n, t * turn * e * n, t * (1 - turn * e * e)]);
  });
}

const H = 2;
const N = 6;

/** The adjoint of the motion: how the landing, east and north, answers to a change of the state now. */
class Adjoint {
  readonly #motion: Motion;
  readonly #east = new Float64Array(N);
  readonly #north = new Float64Array(N);
  readonly #jacobian = new Float64Array(N * N);
  readonly #plus = new Float64Array(N);
  readonly #minus = new Float64Array(N);
  readonly #y = new Float64Array(N);

  constructor(scenario: Scenario, offset: WindOffset | null, landingLat_rad: number) {
    const { air, wind, ground, roughness_m } = scenario.world;
    this.#motion = new Motion(new WorldSampler(air, wind, ground, { roughness_m, earthRate_radps: 0 }));
    this.#motion.around.start(scenario.exit.time_s, offset);
    this.#motion.mass_kg = scenario.body.mass_kg;
    const sin2 = Math.sin(landingLat_rad) ** 2;
    this.#east[1] = primeVerticalRadius(sin2) * Math.cos(landingLat_rad);
    this.#north[0] = meridianRadius(sin2);
    this.#motion.y[0] = scenario.exit.lat_deg * RAD_PER_DEG;
    this.#motion.restart(0);
  }

  /** At the end of the fall: height still in hand is distance under canopy; without a canopy the ground is an event. */
  end(recorder: Recorder, glide: Glide | null): void {
    const last = recorder.segments[recorder.segments.length - 1];
    if (glide !== null) {
      this.#east[H] = glide.groundE_mps / glide.sink_mps;
      this.#north[H] = glide.groundN_mps / glide.sink_mps;
    } else if (last !== undefined) this.atEvent(TRIGGER_AGL, last.t1, last.y1, last.f1);
  }

  /**
   * Flights of different winds are compared when each reaches the event, not at one time: λ⁻ = λ⁺ − ∇g (f·λ⁺)/(∇g·f),
   * with g the height or the Mach number that triggers. A trigger by time needs nothing.
   */
  atEvent(trigger: number, t: number, y: Float64Array, f: Float64Array): void {
    if (trigger === TRIGGER_NONE || trigger === TRIGGER_TIME) return;
    const gradient = this.#plus.fill(0);
    if (trigger === TRIGGER_MACH) this.#machGradient(t, y, gradient);
    else gradient[H] = 1;
    let rate = 0;
    for (let i = 0; i < N; i++) rate += nth(gradient, i) * nth(f, i);
    for (const lambda of [this.#east, this.#north]) {
      let dot = 0;
      for (let i = 0; i < N; i++) dot += nth(f, i) * nth(lambda, i);
      for (let i = 0; i < N; i++) lambda[i] = nth(lambda, i) - (nth(gradient, i) * dot) / rate;
    }
  }

  #machGradient(t: number, y: Float64Array, out: Float64Array): void {
    const around = this.#motion.around;
    const h = nth(y, H);
    around.wind(nth(y, 0), nth(y, 1), h, t);
    const a = [nth(y, 3) - nth(around.sampler.out, 0), nth(y, 4) - nth(around.sampler.out, 1), nth(y, 5)];
    const speed = Math.hypot(...a);
    const c = around.air.soundSpeed(h);
    a.forEach((component, k) => (out[3 + k] = component / (speed * c)));
    out[H] = (-speed * (around.air.soundSpeed(h + 50) - around.air.soundSpeed(h - 50))) / (100 * c * c);
  }

  /** A balloon's jumper starts with the wind at the exit. */
  atExit(height_m: number, rows: number[][]): void {
    const [e, n] = [this.#east, this.#north];
    rows.push([height_m, e[3] ?? 0, e[4] ?? 0, n[3] ?? 0, n[4] ?? 0]);
  }

  /**
   * One recorded step backward: dλ/dt = −Jᵀ λ by classical Runge–Kutta, and the wind's weights on the way by Simpson's
   * rule.
   */
  back(segment: Segment, rows: number[][]): void {
    const motion = this.#motion;
    motion.dragArea_m2 = segment.dragArea_m2;
    motion.machCurve = segment.machCurve;
    motion.fullArea_m2 = segment.fullArea_m2;
    motion.fill_s = segment.fill_s;
    motion.fillStart_s = segment.fillStart_s;
    motion.fillExponent = segment.fillExponent;
    const span = segment.t1 - segment.t0;
    const steps = Math.max(1, Math.ceil(span / (segment.fill_s > 0 ? segment.fill_s / 40 : STEP_S)));
    const dt = span / steps;
    for (let s = steps; s > 0; s--) {
      const x1 = s / steps;
      const x0 = (s - 1) / steps;
      const xm = (x0 + x1) / 2;
      this.#weigh(segment, x1, dt / 6, rows);
      const jacobianEnd = this.#jacobianAt(segment, x1).slice();
      const jacobianMiddle = this.#jacobianAt(segment, xm).slice();
      const jacobianStart = this.#jacobianAt(segment, x0);
      const before = [this.#east.slice(), this.#north.slice()];
      [this.#east, this.#north].forEach((lambda) => stepBack(lambda, jacobianEnd, jacobianMiddle, jacobianStart, dt));
      // Weights at the middle and the start: λ there is the mean of both ends to second order, and the end just
      // computed.
      const after = [this.#east.slice(), this.#north.slice()];
      const curveEast = middle(before[0], after[0], jacobianEnd, jacobianStart, dt);
      const curveNorth = middle(before[1], after[1], jacobianEnd, jacobianStart, dt);
      rows.push(this.#weighWith(segment, xm, (4 * dt) / 6, [curveEast, curveNorth], jacobianMiddle));
      this.#weigh(segment, x0, dt / 6, rows);
    }
  }

  #stateAt(segment: Segment, x: number): number {
    const { y0, y1, f0, f1, t0, t1 } = segment;
    const dt = t1 - t0;
    for (let i = 0; i < N; i++) {
      const a = nth(y0, i);
      const b = nth(y1, i);
      const s = nth(f0, i) * dt;
      const e = nth(f1, i) * dt;
      this.#y[i] = a + x * (s + x * (3 * (b - a) - 2 * s - e + x * (2 * (a - b) + s + e)));
    }
    return t0 + x * dt;
  }

  /** ∂f/∂y by central differences in height and velocity; the place itself does not act on the forces. */
  #jacobianAt(segment: Segment, x: number): Float64Array {
    const t = this.#stateAt(segment, x);
    const y = this.#y;
    for (let j = H; j < N; j++) {
      const d = j === H ? 1 : 0.05;
      const kept = nth(y, j);
      y[j] = kept + d;
      this.#motion.derivative(t, y, this.#plus);
      y[j] = kept - d;
      this.#motion.derivative(t, y, this.#minus);
      y[j] = kept;
      for (let i = 0; i < N; i++) this.#jacobian[i * N + j] = (nth(this.#plus, i) - nth(this.#minus, i)) / (2 * d);
    }
    return this.#jacobian;
  }

  #weigh(segment: Segment, x: number, dt: number, rows: number[][]): void {
    rows.push(this.#weighWith(segment, x, dt, [this.#east, this.#north], this.#jacobianAt(segment, x)));
  }

  /** Drag answers to the wind as to minus the velocity: the weight of δw over dt is −λ_v · ∂a/∂v. */
  #weighWith(
    segment: Segment,
    x: number,
    dt: number,
    [east, north]: readonly [Float64Array, Float64Array],
    jacobian: Float64Array,
  ): number[] {
    this.#stateAt(segment, x);
    const by = (lambda: Float64Array, j: number): number => {
      let sum = 0;
      for (let i = 3; i < N; i++) sum -= nth(lambda, i) * nth(jacobian, i * N + j);
      return sum * dt;
    };
    return [nth(this.#y, H), by(east, 3), by(east, 4), by(north, 3), by(north, 4)];
  }
}

/** out = Jᵀ λ. */
function transposed(jacobian: Float64Array, lambda: Float64Array): Float64Array {
  const out = new Float64Array(N);
  for (let i = 0; i < N; i++) {
    const l = nth(lambda, i);
    if (l === 0) continue;
    for (let j = H; j < N; j++) out[j] = nth(out, j) + nth(jacobian, i * N + j) * l;
  }
  return out;
}

/** λ(t) from λ(t + dt). */
function stepBack(
  lambda: Float64Array,
  end: Float64Array,
  middleJ: Float64Array,
  start: Float64Array,
  dt: number,
): void {
  const at = (k: Float64Array, share: number): Float64Array => lambda.map((l, i) => l + share * dt * nth(k, i));
  const k1 = transposed(end, lambda);
  const k2 = transposed(middleJ, at(k1, 0.5));
  const k3 = transposed(middleJ, at(k2, 0.5));
  const k4 = transposed(start, at(k3, 1));
  for (let i = 0; i < N; i++) {
    lambda[i] = nth(lambda, i) + (dt / 6) * (nth(k1, i) + 2 * nth(k2, i) + 2 * nth(k3, i) + nth(k4, i));
  }
}

/** λ in the middle of a step by the cubic through both ends and their slopes. */
function middle(
  end: Float64Array | undefined,
  start: Float64Array | undefined,
  jacobianEnd: Float64Array,
  jacobianStart: Float64Array,
  dt: number,
): Float64Array {
  const out = new Float64Array(N);
  if (end === undefined || start === undefined) return out;
  const slopeEnd = transposed(jacobianEnd, end);
  const slopeStart = transposed(jacobianStart, start);
  for (let i = 0; i < N; i++) {
    out[i] = (nth(end, i) + nth(start, i)) / 2 + (dt / 8) * (nth(slopeEnd, i) - nth(slopeStart, i));
  }
  return out;
}

/** A weight between two nodes, to each by how near it lies. */
function share(weight: number, onto: Float64Array, at: number, next: number, x: number): void {
  onto[at] = nth(onto, at) + (1 - x) * weight;
  onto[next] = nth(onto, next) + x * weight;
}

/** K as weights on the nodes of a piecewise linear wind error, n each: m of landing per m/s at the node. */
export interface NodeWeights {
  readonly ee: Float64Array;
  readonly en: Float64Array;
  readonly ne: Float64Array;
  readonly nn: Float64Array;
}

export function onNodes(k: WindSensitivity, nodes_m: Float64Array): NodeWeights {
  const n = nodes_m.length;
  const make = (): Float64Array => new Float64Array(n);
  const out = { ee: make(), en: make(), ne: make(), nn: make() };
  let at = Math.max(0, n - 2);
  for (let q = 0; q < k.heights_m.length; q++) {
    const h = nth(k.heights_m, q);
    while (at > 0 && h < nth(nodes_m, at)) at -= 1;
    const next = Math.min(at + 1, n - 1);
    const span = nth(nodes_m, next) - nth(nodes_m, at);
    const x = span > 0 ? Math.min(Math.max((h - nth(nodes_m, at)) / span, 0), 1) : 0;
    share(nth(k.ee, q), out.ee, at, next, x);
    share(nth(k.en, q), out.en, at, next, x);
    share(nth(k.ne, q), out.ne, at, next, x);
    share(nth(k.nn, q), out.nn, at, next, x);
  }
  return out;
}
