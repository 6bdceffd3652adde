// One descent from exit to the ground: body stages, opening, canopy, in that order (MODEL.md §4 to §6). Made once for a
// scenario and flown many times: an ensemble sets the draws of a member and calls `fly`. Results stay in the fields
// until the next flight.
import { nth } from '../base/nth.ts';
import { G0 } from '../air/air.ts';
import { RAD_PER_DEG } from '../base/units.ts';
import { Random } from '../base/random.ts';
import type { WindOffset } from '../winds/field.ts';
import {
  STEER_HOLD,
  STEER_INTO_WIND,
  TRIGGER_AGL,
  TRIGGER_MACH,
  TRIGGER_MSL,
  TRIGGER_TIME,
  type CompiledBody,
  type CompiledStage,
} from './body.ts';
import { CanopyFlight } from './canopyFlight.ts';
import { Motion } from './motion.ts';
import type { WorldSampler } from './worldSampler.ts';

/**
 * Where and how a body leaves its carrier. Velocity [east, north, up] m/s over the ground; null: the wind's at exit (a
 * balloon).
 */
export interface ExitState {
  readonly lon_deg: number;
  readonly lat_deg: number;
  readonly height_m: number;
  /** Seconds since 1970. */
  readonly time_s: number;
  readonly velocity_mps: readonly [number, number, number] | null;
}

/** What differs from the plan in one member of an ensemble. Zeros and ones: the plan itself. */
export class Draws {
  mass_kg = 0;
  dragArea = 1;
  canopySink = 1;
  canopyAirspeed = 1;
  fill_s = 0;
  fillDistance = 1;
  exitEast_m = 0;
  exitNorth_m = 0;
  exitTime_s = 0;
  triggerHeight_m = 0;
  /** The height of an opening by hand, on top. */
  handOpening_m = 0;
  /** Across per metre down while nothing holds the body, and what spinning does to its drag area. */
  glideEast = 0;
  glideNorth = 0;
  spin = 1;
  /** Of the airspeed under canopy. */
  turnLoss = 0;
  /** Of the air under canopy where it moves most, up positive. */
  verticalAir_mps = 0;
  heading_rad = 0;
  aimEast_m = 0;
  aimNorth_m = 0;
  /** Stream of the random headings. */
  seed = 1;
  stream = 0;
}

export const LANDED = 1;
export const TIME_RAN_OUT = 2;
export const COULD_NOT_STEP = 3;

/** A falling body that has not met the ground after this long is given up, s. */
const FALL_S_MAX = 6 * 3600;
const TIME_STEP_S_MAX = 20;
const EVENT_HEIGHT_M = 1e-4;
const EVENT_MACH = 1e-7;

export interface FlightWatcher {
  /** After each accepted step of the falling body: `motion` holds the state and slope at both ends of the step. */
  fell(motion: Motion): void;
  /** After each step under canopy. */
  glided(canopy: CanopyFlight): void;
  stageBegan(name: string, t_s: number, height_m: number): void;
}

export class Flight {
  readonly around: WorldSampler;
  readonly body: CompiledBody;
  readonly draws = new Draws();
  readonly motion: Motion;
  readonly canopyFlight: CanopyFlight;
  readonly #turns = new Random(1, 0);
  #known: WindOffset | null = null;
  /** Steps while the canopy fills, at least: the peak force is read from them, to some 0.3 % with these. */
  fillSteps = 16;
  outcome = 0;
  landingLat_rad = 0;
  landingLon_rad = 0;
  landingHeight_m = 0;
  landing_s = 0;
  landingGround_mps = 0;
  landingSink_mps = 0;
  /** NaN where no canopy opened. */
  opening_s = NaN;
  openingLat_rad = NaN;
  openingLon_rad = NaN;
  openingHeight_m = NaN;
  shock_mps2 = NaN;
  /** Airspeed over sink, which does not change with height, times the height lost under the open canopy, m. */
  reach_m = 0;
  peakSpeed_mps = 0;
  peak_s = 0;
  peakHeight_m = 0;
  /** The end of the step in which the fastest moment lay, and when that was, s. */
  readonly #peakEnd = new Float64Array(6);
  #peakEnd_s = 0;

  constructor(around: WorldSampler, body: CompiledBody) {
    this.around = around;
    this.body = body;
    this.motion = new Motion(around);
    this.canopyFlight = new CanopyFlight(around);
  }

  /**
   * From now on steps follow lines through the wind (`winds/lines.ts`) where the wind is the same everywhere, and are
   * longer: a third of the work of steps that meet every break of the wind, and a landing that is nearer to the truth
   * (`npm run bench` measures both).
   */
  followLines(): void {
    if (this.around.lines === null) return;
    this.motion.byLines = true;
    this.canopyFlight.byLines = true;
  }

  /** Flies one descent with the present draws. `offset` is added to the wind, `known` to what the pilot knows of it. */
  fly(
    exit: ExitState,
    offset: WindOffset | null,
    watcher: FlightWatcher | null = null,
    known: WindOffset | null = offset,
  ): void {
    this.#known = known;
    this.#begin(exit, offset);
    const body = this.body;
    const motion = this.motion;
    for (const stage of body.stages) {
      motion.dragArea_m2 = stage.dragArea_m2 * this.draws.dragArea * (stage.isHeld === true ? 1 : this.draws.spin);
      motion.glideEast = stage.isHeld === true ? 0 : this.draws.glideEast;
      motion.glideNorth = stage.isHeld === true ? 0 : this.draws.glideNorth;
      motion.machCurve = stage.machCurve;
      motion.breakAt();
      if (watcher !== null) watcher.stageBegan(stage.name, motion.t, nth(motion.y, 2));
      if (this.#fall(stage, watcher)) return;
    }
    const canopy = body.canopy;
    if (canopy === null) return;
    if (this.#open(watcher)) return;
    this.#glide(watcher);
  }

  #begin(exit: ExitState, offset: WindOffset | null): void {
    const { around, draws, motion } = this;
    this.outcome = 0;
    this.opening_s = NaN;
    this.openingLat_rad = NaN;
    this.openingLon_rad = NaN;
    this.openingHeight_m = NaN;
    this.shock_mps2 = NaN;
    this.reach_m = 0;
    around.start(exit.time_s + draws.exitTime_s, offset);
    const lat = exit.lat_deg * RAD_PER_DEG;
    const lon = exit.lon_deg * RAD_PER_DEG;
    const y = motion.y;
    if (exit.velocity_mps === null) {
      around.wind(lat, lon, exit.height_m, 0);
      y[3] = nth(around.sampler.out, 0);
      y[4] = nth(around.sampler.out, 1);
      y[5] = 0;
    } else {
      y[3] = exit.velocity_mps[0];
      y[4] = exit.velocity_mps[1];
      y[5] = exit.velocity_mps[2];
    }
    // Whoever leaves later leaves further along the carrier's line. Metres to radians on the mean sphere: the draw is a
    // scatter of some hundred metres, not a survey.
    const late_s = draws.exitTime_s;
    y[0] = lat + (draws.exitNorth_m + late_s * nth(y, 4)) / 6_371_009;
    y[1] = lon + (draws.exitEast_m + late_s * nth(y, 3)) / (6_371_009 * Math.cos(lat));
    y[2] = exit.height_m + late_s * nth(y, 5);
    motion.mass_kg = this.body.mass_kg + draws.mass_kg;
    motion.fill_s = 0;
    motion.glideEast = 0;
    motion.glideNorth = 0;
    motion.dragArea_m2 = this.body.stages[0]?.dragArea_m2 ?? 1;
    motion.machCurve = this.body.stages[0]?.machCurve ?? motion.machCurve;
    motion.restart(0);
    // The exit itself can be the fastest moment: a slow canopy out of a fast aircraft.
    this.peakSpeed_mps = norm3(y);
    this.peak_s = 0;
    this.peakHeight_m = exit.height_m;
    this.#peakEnd.set(y);
    this.#peakEnd_s = 0;
  }

  /** One stage to its trigger. Answers true when the descent has ended (ground, time, no step possible). */
  #fall(stage: CompiledStage, watcher: FlightWatcher | null): boolean {
    const motion = this.motion;
    const at =
      stage.trigger === TRIGGER_AGL || stage.trigger === TRIGGER_MSL
        ? stage.triggerAt + this.draws.triggerHeight_m + (this.#opensAfter(stage) ? this.draws.handOpening_m : 0)
        : stage.triggerAt;
    if (stage.trigger !== TRIGGER_MACH && this.#trigger(stage.trigger, at) <= 0) return false;
    while (motion.t < FALL_S_MAX) {
      const before = this.#trigger(stage.trigger, at);
      const limit = stage.trigger === TRIGGER_TIME ? Math.min(TIME_STEP_S_MAX, at - motion.t) : TIME_STEP_S_MAX;
      if (!motion.advance(limit)) {
        this.outcome = COULD_NOT_STEP;
        return true;
      }
      const after = this.#trigger(stage.trigger, at);
      const fired = before > 0 && after <= 0;
      if (fired && stage.trigger !== TRIGGER_TIME) this.#locate(stage.trigger, at, before, after);
      if (this.#metGround()) {
        this.#finishFall(watcher);
        return true;
      }
      this.#watchPeak();
      if (watcher !== null) watcher.fell(motion);
      if (fired || (stage.trigger === TRIGGER_TIME && motion.t >= at - 1e-9)) return false;
    }
    this.outcome = TIME_RAN_OUT;
    return true;
  }

  #opensAfter(stage: CompiledStage): boolean {
    return this.body.canopy !== null && stage === this.body.stages.at(-1);
  }

  /** Positive before a trigger fires, zero or less after. */
  #trigger(kind: number, at: number): number {
    const { motion, around } = this;
    const y = motion.y;
    const h = nth(y, 2);
    if (kind === TRIGGER_MSL) return h - at;
    if (kind === TRIGGER_AGL) {
      // Clear of the highest ground it cannot have fired: the ground below need not be looked up.
      const clear = h - around.ground.top_m - at;
      return clear > 0 ? clear : h - around.ground.heightAt(nth(y, 0), nth(y, 1)) - at;
    }
    if (kind === TRIGGER_TIME) return at - motion.t;
    if (kind === TRIGGER_MACH) return this.#mach() - at;
    return 1;
  }

  /** Mach number of the body now. */
  #mach(): number {
    const { motion, around } = this;
    return this.#airspeed(motion.y, motion.t) / around.air.soundSpeed(nth(motion.y, 2));
  }

  /** Speed through the air of a state at a time, m/s. */
  #airspeed(y: Float64Array, t: number): number {
    const { around } = this;
    around.wind(nth(y, 0), nth(y, 1), nth(y, 2), t);
    const wind = around.sampler.out;
    const aE = nth(y, 3) - nth(wind, 0);
    const aN = nth(y, 4) - nth(wind, 1);
    const vU = nth(y, 5);
    return Math.sqrt(aE * aE + aN * aN + vU * vU);
  }

  /**
   * Shortens the last step until it ends on the trigger: regula falsi with the Illinois correction, each trial a whole
   * step.
   */
  #locate(kind: number, at: number, before: number, after: number): void {
    const motion = this.motion;
    const close = kind === TRIGGER_MACH ? EVENT_MACH : EVENT_HEIGHT_M;
    let low = 0;
    let high = motion.t - motion.tBefore;
    let gLow = before;
    let gHigh = after;
    let kept = 0;
    for (let tries = 0; tries < 60 && Math.abs(gHigh) > close && high - low > 1e-12; tries++) {
      const dt = low + ((high - low) * gLow) / (gLow - gHigh);
      motion.trial(dt);
      const g = this.#trigger(kind, at);
      if (Math.abs(g) <= close) return;
      // An end that is kept a second time counts half, or the secants would creep toward the other.
      if (g > 0) {
        low = dt;
        gLow = g;
        if (kept > 0) gHigh /= 2;
        kept = 1;
      } else {
        high = dt;
        gHigh = g;
        if (kept < 0) gLow /= 2;
        kept = -1;
      }
    }
    motion.trial(high);
  }

  /** Whether the step passed below the ground; then its end is brought onto the ground. */
  #metGround(): boolean {
    const { motion, around } = this;
    const h = nth(motion.y, 2);
    if (h > around.ground.top_m) return false;
    const after = this.#trigger(TRIGGER_AGL, 0);
    if (after > 0) return false;
    const before = nth(motion.yBefore, 2) - around.ground.heightAt(nth(motion.yBefore, 0), nth(motion.yBefore, 1));
    if (before > 0 && motion.t > motion.tBefore) this.#locate(TRIGGER_AGL, 0, before, after);
    return true;
  }

  #finishFall(watcher: FlightWatcher | null): void {
    const motion = this.motion;
    this.#watchPeak();
    if (watcher !== null) watcher.fell(motion);
    const y = motion.y;
    this.outcome = LANDED;
    this.landingLat_rad = nth(y, 0);
    this.landingLon_rad = nth(y, 1);
    this.landingHeight_m = nth(y, 2);
    this.landing_s = motion.t;
    this.landingGround_mps = Math.hypot(nth(y, 3), nth(y, 4));
    this.landingSink_mps = -nth(y, 5);
  }

  /** The fastest moment: where the slope of the speed changes sign within a step, by a cubic through its ends. */
  #watchPeak(): void {
    const { motion } = this;
    const y = motion.y;
    const v1 = norm3(y);
    const grew = dot3(motion.yBefore, motion.fBefore);
    if (!(grew > 0) && v1 <= this.peakSpeed_mps) return;
    const v0 = norm3(motion.yBefore);
    const dt = motion.t - motion.tBefore;
    const s0 = v0 > 0 ? grew / v0 : 0;
    const s1 = v1 > 0 ? dot3(y, motion.f) / v1 : 0;
    let best = v1;
    let x = 1;
    if (s0 > 0 && s1 < 0) {
      const a = 3 * (dt * (s0 + s1) + 2 * (v0 - v1));
      const b = 6 * (v1 - v0) - dt * (4 * s0 + 2 * s1);
      const c = dt * s0;
      const root = Math.sqrt(Math.max(b * b - 4 * a * c, 0));
      x = Math.min(Math.max((2 * c) / (-b + root), 0), 1);
      best = v0 + x * (c + x * (b / 2 + (x * a) / 3));
    }
    if (best > this.peakSpeed_mps) {
      this.peakSpeed_mps = best;
      this.peak_s = motion.tBefore + x * dt;
      this.peakHeight_m = nth(motion.yBefore, 2) + x * (nth(y, 2) - nth(motion.yBefore, 2));
      this.#peakEnd_s = motion.t;
      for (let i = 0; i < y.length; i++) this.#peakEnd[i] = nth(y, i);
    }
  }

  /** Mach number at the fastest moment. Worked out when it is asked for: an ensemble does not ask. */
  get peakMach(): number {
    if (!(this.peakSpeed_mps > 0)) return 0;
    const end = this.#peakEnd;
    // The difference of the speeds through the air and over the ground changes by centimetres a second within a step.
    const speed = this.peakSpeed_mps + this.#airspeed(end, this.#peakEnd_s) - norm3(end);
    return speed / this.around.air.soundSpeed(this.peakHeight_m);
  }

  /** Deployment and filling (MODEL.md §5). Answers true when the ground was met meanwhile. */
  #open(watcher: FlightWatcher | null): boolean {
    const { motion, draws } = this;
    const canopy = this.body.canopy;
    if (canopy === null) return true;
    const y = motion.y;
    this.opening_s = motion.t;
    this.openingLat_rad = nth(y, 0);
    this.openingLon_rad = nth(y, 1);
    this.openingHeight_m = nth(y, 2);
    const start = motion.area(motion.t, motion.machCurve.length === 0 ? 0 : this.#mach());
    motion.dragArea_m2 = start;
    motion.machCurve = NO_CURVE;
    motion.glideEast = 0;
    motion.glideNorth = 0;
    motion.fullArea_m2 = canopy.dragArea_m2 / (draws.canopySink * draws.canopySink);
    motion.fillExponent = canopy.fillExponent;
    motion.fillStart_s = motion.t;
    // A canopy that opens at rest fills as at its own sink: it has gathered that speed before it is full.
    const fill =
      canopy.fillDistance_m > 0
        ? (canopy.fillDistance_m * draws.fillDistance) / Math.max(this.#airspeed(y, motion.t), canopy.sink_mps)
        : Math.max(0, canopy.fill_s + draws.fill_s);
    if (watcher !== null) watcher.stageBegan('opening', motion.t, nth(y, 2));
    if (!(fill > 0)) {
      motion.dragArea_m2 = motion.fullArea_m2;
      motion.breakAt();
      this.shock_mps2 = motion.drag_mps2;
      return false;
    }
    motion.fill_s = fill;
    motion.breakAt();
    this.shock_mps2 = motion.drag_mps2;
    const end = motion.fillStart_s + fill;
    // The peak of |f| by a parabola through three neighbouring steps.
    let t0 = motion.t;
    let f0 = motion.drag_mps2;
    let t1 = t0;
    let f1 = f0;
    while (motion.t < end - 1e-9) {
      if (!motion.advance(Math.min(fill / this.fillSteps, end - motion.t))) {
        this.outcome = COULD_NOT_STEP;
        return true;
      }
      if (this.#metGround()) {
        this.#finishFall(watcher);
        return true;
      }
      this.#watchPeak();
      // The last slope of a step is at its end, or as near to it as the step's own error.
      const f2 = motion.drag_mps2;
      if (f2 > this.shock_mps2) this.shock_mps2 = f2;
      if (f1 > f0 && f1 >= f2 && t1 > t0)
        this.shock_mps2 = Math.max(this.shock_mps2, parabolaTop([t0, f0], [t1, f1], [motion.t, f2]));
      t0 = t1;
      f0 = f1;
      t1 = motion.t;
      f1 = f2;
      if (watcher !== null) watcher.fell(motion);
    }
    return false;
  }

  #glide(watcher: FlightWatcher | null): void {
    const { motion, canopyFlight, draws } = this;
    const canopy = this.body.canopy;
    if (canopy === null) return;
    const y = motion.y;
    if (watcher !== null) watcher.stageBegan('canopy', motion.t, nth(y, 2));
    canopyFlight.place(nth(y, 0), nth(y, 1), nth(y, 2), motion.t);
    // One heading that is held, or the wind's, costs no turns.
    const kept = canopy.policy === STEER_HOLD || canopy.policy === STEER_INTO_WIND ? 1 : 1 - draws.turnLoss;
    canopyFlight.start(canopy, {
      mass_kg: motion.mass_kg,
      airspeedScale: draws.canopyAirspeed * kept,
      sinkScale: draws.canopySink,
      verticalAir_mps: draws.verticalAir_mps,
      headingError_rad: draws.heading_rad,
      known: this.#known,
      aimEast_m: draws.aimEast_m,
      aimNorth_m: draws.aimNorth_m,
    });
    this.#turns.restart(draws.seed, draws.stream);
    const landed = canopyFlight.land(this.#turns, watcher === null ? null : (flight) => watcher.glided(flight));
    this.outcome = landed ? LANDED : COULD_NOT_STEP;
    const glide = (canopy.airspeed_mps * draws.canopyAirspeed * kept) / (canopy.sink_mps * draws.canopySink);
    this.reach_m = glide * (nth(y, 2) - canopyFlight.h_m);
    this.landingLat_rad = canopyFlight.lat_rad;
    this.landingLon_rad = canopyFlight.lon_rad;
    this.landingHeight_m = canopyFlight.h_m;
    this.landing_s = canopyFlight.t_s;
    this.landingGround_mps = Math.hypot(canopyFlight.groundE_mps, canopyFlight.groundN_mps);
    this.landingSink_mps = canopyFlight.sink_mps;
  }

  /** Opening shock in units of standard gravity; NaN where nothing opened. */
  get shock_g(): number {
    return this.shock_mps2 / G0;
  }
}

const NO_CURVE = new Float64Array(0);

const norm3 = (y: Float64Array): number =>
  Math.sqrt(nth(y, 3) * nth(y, 3) + nth(y, 4) * nth(y, 4) + nth(y, 5) * nth(y, 5));

const dot3 = (y: Float64Array, f: Float64Array): number =>
  nth(y, 3) * nth(f, 3) + nth(y, 4) * nth(f, 4) + nth(y, 5) * nth(f, 5);

type Point = readonly [x: number, y: number];

/** The top of the parabola through three points. */
function parabolaTop([x0, y0]: Point, [x1, y1]: Point, [x2, y2]: Point): number {
  const d01 = (y1 - y0) / (x1 - x0);
  const d12 = (y2 - y1) / (x2 - x1);
  const a = (d12 - d01) / (x2 - x0);
  if (!(a < 0)) return y1;
  const slope = d01 + a * (x1 - x0);
  return y1 - (slope * slope) / (4 * a);
}
