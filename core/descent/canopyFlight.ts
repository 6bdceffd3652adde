// Flight under an open canopy (MODEL.md §6): quasi-steady, so that height takes the place of time: d(lat, lon, t)/dh in
// classical Runge–Kutta steps that end on every break of the wind. State [lat rad, lon rad, t s, h m MSL]. Allocates
// nothing: numbers that pass between functions stand in arrays, since a number handed over is a number put on the heap.
import { nth } from '../base/nth.ts';
import { RHO0 } from '../air/air.ts';
import { WGS84_A, WGS84_E2 } from '../earth/gravity.ts';
import type { Random } from '../base/random.ts';
import type { WindOffset } from '../winds/field.ts';
import { LOG_LAYER_M } from '../winds/nearGround.ts';
import type { WindLines } from '../winds/lines.ts';
import {
  STEER_DRIFT,
  STEER_INTO_WIND,
  STEER_PATTERN,
  STEER_RANDOM,
  STEER_TARGET,
  type CompiledCanopy,
} from './body.ts';
import { leftInTheMean, MIXED_DEPTH_M, thermalShape } from './thermals.ts';
import { approach_agl_m, LandingPlan, legHeading } from './landingPlan.ts';
import type { WorldSampler } from './worldSampler.ts';

/**
 * Where the landing that lies ahead is nearer to the aim than this, a canopy drives toward it in proportion, not at all
 * once it is there.
 */
export const HOLD_RADIUS_M = 50;
/** The longest step while the canopy flies without feedback, m. */
const STEP_M_MAX = 250;
/** The longest step by a line: in 150 m the air's density, and with it the sink, bends little. */
const STEP_LINE_M = 150;
/** A homing canopy's steps end where its drive begins to fade, `HOLD_RADIUS_M` from the aim, to this height, m. */
const STEP_CLOSING_M = 4;
/**
 * What of its airspeed a pilot gives to mending the pattern, by turn points and brakes: what half brakes take off the
 * speed of the library's canopies. Common practice.
 */
const MENDING_SHARE = 0.3;
/**
 * Facing the wind, a canopy turns about where the wind changes its sign: a step spans this share of the height over
 * which the wind there would fade to nothing, and at least the least step. Landings of 55 random missions: 2 cm in the
 * mean, 6 cm at worst.
 */
const SHARE_OF_FADING = 0.2;
const STEP_FACING_M_MIN = 0.1;
/** Vertical air fades toward the ground as the cube root of height: steps are no longer than half of it, or this, m. */
const STEP_FADING_M = 25;
/** With terrain: step while ground may be met, m. */
const STEP_TERRAIN_M = 25;
const LANDED_M = 1e-4;
const STEPS_MAX = 200_000;
/** Places in a state; the slope of the first three by the fourth stands in the same places. */
const LAT = 0;
const LON = 1;
const TIME = 2;
const HEIGHT = 3;
/** Places in `#figure`. */
const LAT_0 = 0;
const SIN = 1;
const COS = 2;
const PRIME = 3;
const MERIDIAN = 4;

/** An element that is there. */
const at = (x: Float64Array, i: number): number => nth(x, i);

/** One member's canopy and pilot. Scales and errors are the ensemble's draws. */
export interface CanopyStart {
  readonly mass_kg: number;
  readonly airspeedScale: number;
  readonly sinkScale: number;
  /** Of the air where it moves most, up positive, m/s. */
  readonly verticalAir_mps: number;
  /** Of a heading that is held. */
  readonly headingError_rad: number;
  /** What the pilot knows of the wind beyond the forecast (`LandingPlan`). */
  readonly known: WindOffset | null;
  /** By how much the pilot's aim is off the target, m. */
  readonly aimEast_m: number;
  readonly aimNorth_m: number;
}

export class CanopyFlight {
  readonly around: WorldSampler;
  canopy: CompiledCanopy | null = null;
  /** Longest step, m; a prediction that draws its track takes shorter ones. */
  step_m_max = STEP_M_MAX;
  /**
   * Whether each step follows a line through its wind where there is one (`winds/lines.ts`); else steps end on every
   * break of the wind.
   */
  byLines = false;
  /** Where and when the canopy is. */
  readonly state = new Float64Array(4);
  /** Speed over the ground and sink of the last evaluation, m/s. */
  groundE_mps = 0;
  groundN_mps = 0;
  sink_mps = 0;
  #speedScale = 1;
  #airspeed = 0;
  #sink = 1;
  #headingError = 0;
  /** Vertical air where it moves most, up positive, and the height from which its layer is measured. */
  #up_mps = 0;
  #below_m = 0;
  /** The heading that is flown, error included, as a direction east and north. */
  #headE = 0;
  #headN = 1;
  #nextTurn_s = Infinity;
  #line: WindLines | null = null;
  readonly #plan: LandingPlan;
  #aimEast_m = 0;
  #aimNorth_m = 0;
  /** From the landing that lies ahead to the aim, at the last evaluation, m. */
  #toAim_m = 0;
  /** Where a step begins: whether the approach has begun, and the heading of its leg. */
  #approaching = false;
  #leg_rad = 0;
  readonly #figure = new Float64Array(5);
  readonly #k = Array.from({ length: 4 }, () => new Float64Array(3));
  readonly #trial = new Float64Array(4);
  readonly #start = new Float64Array(4);

  constructor(around: WorldSampler) {
    this.around = around;
    this.#plan = new LandingPlan(around);
  }

  get lat_rad(): number {
    return at(this.state, LAT);
  }

  get lon_rad(): number {
    return at(this.state, LON);
  }

  get t_s(): number {
    return at(this.state, TIME);
  }

  get h_m(): number {
    return at(this.state, HEIGHT);
  }

  /** Puts the canopy somewhere at a time. */
  place(lat_rad: number, lon_rad: number, h_m: number, t_s: number): void {
    this.state[LAT] = lat_rad;
    this.state[LON] = lon_rad;
    this.state[HEIGHT] = h_m;
    this.state[TIME] = t_s;
  }

  /** Begins at an open canopy, where `place` has put it. */
  start(canopy: CompiledCanopy, pilot: CanopyStart): void {
    this.canopy = canopy;
    this.#speedScale = Math.sqrt((RHO0 * pilot.mass_kg) / canopy.referenceMass_kg);
    this.#airspeed = canopy.airspeed_mps * pilot.airspeedScale;
    this.#sink = canopy.sink_mps * pilot.sinkScale;
    this.#headingError = pilot.headingError_rad;
    this.#below_m = this.around.ground.heightAt(this.lat_rad, this.lon_rad);
    const glide = canopy.policy === STEER_DRIFT ? 0 : this.#airspeed / this.#sink;
    this.#up_mps = pilot.verticalAir_mps * leftInTheMean(glide, this.h_m - this.#below_m);
    this.#head(canopy.heading_rad);
    this.#nextTurn_s = -Infinity;
    if (!this.#homes) return;
    this.#aimEast_m = pilot.aimEast_m;
    this.#aimNorth_m = pilot.aimNorth_m;
    this.#toAim_m = Infinity;
    this.#plan.make({
      canopy,
      speedScale: this.#speedScale,
      height_m: this.h_m,
      t_s: this.t_s,
      exit_s: this.around.start_s,
      known: pilot.known,
    });
  }

  get #homes(): boolean {
    const policy = this.canopy?.policy;
    return policy === STEER_TARGET || policy === STEER_PATTERN;
  }

  #head(heading_rad: number): void {
    this.#headE = Math.sin(heading_rad + this.#headingError);
    this.#headN = Math.cos(heading_rad + this.#headingError);
  }

  /**
   * The figure of the earth where a step begins; within one the radii hold, and the cosine of the latitude is carried
   * on to first order.
   */
  #carry(): void {
    const g = this.#figure;
    const lat = at(this.state, LAT);
    const sin = Math.sin(lat);
    const w2 = 1 - WGS84_E2 * sin * sin;
    const prime = WGS84_A / Math.sqrt(w2);
    g[LAT_0] = lat;
    g[SIN] = sin;
    g[COS] = Math.cos(lat);
    g[PRIME] = prime;
    g[MERIDIAN] = (prime * (1 - WGS84_E2)) / w2;
  }

  /** Writes [dlat/dh, dlon/dh, dt/dh] at a state into out. */
  #slope(state: Float64Array, out: Float64Array): void {
    const lat = at(state, LAT);
    const lon = at(state, LON);
    const h = at(state, HEIGHT);
    const around = this.around;
    const canopy = this.canopy as CompiledCanopy;
    const scale = this.#speedScale / Math.sqrt(around.air.density(h));
    const sink = this.#up_mps === 0 ? this.#sink * scale : this.#sinkAt(h);
    const line = this.#line;
    let wE: number;
    let wN: number;
    if (line === null) {
      around.wind(lat, lon, h, at(state, TIME));
      const wind = around.sampler.out;
      wE = nth(wind, 0);
      wN = nth(wind, 1);
    } else {
      wE = line.u_mps + (h - line.middle_m) * line.uSlope;
      wN = line.v_mps + (h - line.middle_m) * line.vSlope;
    }
    let gE = wE;
    let gN = wN;
    const g = this.#figure;
    const rM = nth(g, MERIDIAN) + h;
    const rN = (nth(g, PRIME) + h) * (nth(g, COS) - (lat - nth(g, LAT_0)) * nth(g, SIN));
    const drive = this.#airspeed * scale;
    const policy = canopy.policy;
    if (policy === STEER_TARGET || policy === STEER_PATTERN) {
      this.#plan.from(h);
      this.#home(drive, wE, wN, wrapPi(canopy.targetLon_rad - lon) * rN, (canopy.targetLat_rad - lat) * rM);
      gE += this.#driveE;
      gN += this.#driveN;
    } else if (policy !== STEER_DRIFT && drive > 0) {
      if (policy === STEER_INTO_WIND) this.#head(Math.atan2(0 - wE, 0 - wN));
      gE += drive * this.#headE;
      gN += drive * this.#headN;
    }
    this.groundE_mps = gE;
    this.groundN_mps = gN;
    this.sink_mps = sink;
    out[0] = -gN / (rM * sink);
    out[1] = -gE / (rN * sink);
    out[2] = -1 / sink;
  }

  #driveE = 0;
  #driveN = 0;

  /**
   * The drive through the air: what the plan asks for, and toward the aim by where the landing ahead lies. In the
   * approach the plan comes first, and mending it gets a share; no sum is more than the canopy can do.
   */
  #home(drive: number, wE: number, wN: number, targetE_m: number, targetN_m: number): void {
    const toE = targetE_m + this.#aimEast_m - this.#plan.east_m;
    const toN = targetN_m + this.#aimNorth_m - this.#plan.north_m;
    const d = Math.sqrt(toE * toE + toN * toN);
    this.#toAim_m = d;
    const pattern = this.#approaching && this.canopy?.policy === STEER_PATTERN;
    const mending = d > 0 ? ((pattern ? MENDING_SHARE : 1) * drive * Math.min(1, d / HOLD_RADIUS_M)) / d : 0;
    let e = mending * toE;
    let n = mending * toN;
    if (pattern) {
      e += drive * Math.sin(this.#leg_rad);
      n += drive * Math.cos(this.#leg_rad);
    } else if (this.#approaching) {
      const wind = Math.sqrt(wE * wE + wN * wN);
      const facing = wind > drive ? drive / wind : 1;
      e -= facing * wE;
      n -= facing * wN;
    }
    const speed = Math.sqrt(e * e + n * n);
    const limit = speed > drive ? drive / speed : 1;
    this.#driveE = limit * e;
    this.#driveN = limit * n;
  }

  /** One step down by dz metres. */
  #step(dz: number): void {
    const [k1, k2, k3, k4] = this.#k as [Float64Array, Float64Array, Float64Array, Float64Array];
    const s = this.state;
    const z = this.#trial;
    const half = -dz / 2;
    const sixth = -dz / 6;
    this.#carry();
    if (this.#homes) this.#beginLeg();
    this.#line = this.#lined ? this.#lineOver(dz) : null;
    this.#slope(s, k1);
    for (let i = 0; i < HEIGHT; i++) z[i] = at(s, i) + half * at(k1, i);
    z[HEIGHT] = at(s, HEIGHT) + half;
    this.#slope(z, k2);
    for (let i = 0; i < HEIGHT; i++) z[i] = at(s, i) + half * at(k2, i);
    this.#slope(z, k3);
    for (let i = 0; i < HEIGHT; i++) z[i] = at(s, i) - dz * at(k3, i);
    z[HEIGHT] = at(s, HEIGHT) - dz;
    this.#slope(z, k4);
    for (let i = 0; i < HEIGHT; i++) s[i] = at(s, i) + sixth * (at(k1, i) + 2 * (at(k2, i) + at(k3, i)) + at(k4, i));
    s[HEIGHT] = at(z, HEIGHT);
  }

  /** A step keeps one leg: its last evaluation lies where the next one begins. */
  #beginLeg(): void {
    const { canopy } = this;
    if (canopy === null) return;
    const agl = this.h_m - this.around.ground.heightAt(this.lat_rad, this.lon_rad);
    this.#approaching = agl < approach_agl_m(canopy) + 1e-3;
    if (this.#approaching) this.#leg_rad = legHeading(canopy, agl);
  }

  /** A canopy that faces the wind goes by its direction, which a line through it does not keep. */
  get #lined(): boolean {
    return this.byLines && this.canopy?.policy !== STEER_INTO_WIND;
  }

  /** The line over the heights of a step, at the time when the canopy is half-way. */
  #lineOver(dz: number): WindLines | null {
    const h = this.h_m;
    const passing = dz / this.#sinkAt(h - dz / 2);
    return this.around.line(h - dz, h, this.t_s + passing / 2, passing);
  }

  /** Sink over the ground at a height. Rising air never holds a canopy up: a third of its sink is left. */
  #sinkAt(h: number): number {
    const own = (this.#sink * this.#speedScale) / Math.sqrt(this.around.air.density(h));
    return this.#up_mps === 0 ? own : Math.max(own - this.#up_mps * thermalShape(h - this.#below_m), own / 3);
  }

  #facingStep(): number {
    const { around, lat_rad, lon_rad, h_m, t_s } = this;
    const wind = around.sampler.out;
    around.wind(lat_rad, lon_rad, h_m - 1, t_s);
    const belowE = nth(wind, 0);
    const belowN = nth(wind, 1);
    around.wind(lat_rad, lon_rad, h_m, t_s);
    const e = nth(wind, 0);
    const n = nth(wind, 1);
    const change2 = (e - belowE) * (e - belowE) + (n - belowN) * (n - belowN);
    return Math.max(SHARE_OF_FADING * Math.sqrt((e * e + n * n) / Math.max(change2, 1e-12)), STEP_FACING_M_MIN);
  }

  /**
   * The longest step that ends on the next break below: a wind level, a pattern leg, the log layer, a turn, the
   * ground's neighbourhood.
   */
  #stepLength(agl: number): number {
    const canopy = this.canopy as CompiledCanopy;
    const around = this.around;
    const h = this.h_m;
    let dz = this.step_m_max;
    if (canopy.policy === STEER_INTO_WIND) dz = Math.min(dz, this.#facingStep());
    if (this.#homes) {
      dz = Math.min(dz, this.#plan.layerBelow(h));
      // It comes nearer by its own drive and by as much of a wind that it does not know, at most.
      const full_m = ((this.#toAim_m - HOLD_RADIUS_M) * this.#sink) / (2 * this.#airspeed);
      if (full_m > 0) dz = Math.min(dz, Math.max(full_m, STEP_CLOSING_M));
      const approach = approach_agl_m(canopy);
      if (agl > approach + 1e-3) dz = Math.min(dz, agl - approach);
    }
    const lined =
      this.#lined &&
      around.lines !== null &&
      (around.surfaceWindGiven || h - Math.min(dz, STEP_LINE_M) > around.ground.top_m + LOG_LAYER_M);
    dz = Math.min(dz, lined ? STEP_LINE_M : around.sampler.breakBelow(h));
    if (this.#up_mps !== 0) {
      const above_m = h - this.#below_m - MIXED_DEPTH_M;
      dz = Math.min(dz, above_m > 1e-3 ? above_m : Math.max(agl / 2, STEP_FADING_M));
    }
    if (around.ground.terrain !== null && h - dz < around.ground.top_m + STEP_TERRAIN_M)
      dz = Math.min(dz, STEP_TERRAIN_M);
    if (canopy.policy === STEER_PATTERN) {
      for (const leg of canopy.legs_agl_m) if (agl > leg + 1e-3) dz = Math.min(dz, agl - leg);
    }
    const time = Math.min(
      around.sampler.breakAfter(this.t_s),
      canopy.policy === STEER_RANDOM ? this.#nextTurn_s - this.t_s : Infinity,
    );
    if (time < Infinity) {
      dz = Math.min(dz, Math.max(this.#sinkAt(h) * time, 1e-3));
    }
    if (!around.surfaceWindGiven) {
      if (agl > LOG_LAYER_M + 1e-3) dz = Math.min(dz, agl - LOG_LAYER_M);
      else if (agl > 0.3) dz = Math.min(dz, agl / 2);
    }
    return Math.min(dz, agl);
  }

  /**
   * Flies from the present state to the ground.
   *
   * turns     draws the headings of an unsteered canopy
   * onStep    called after each step, for a track; null in an ensemble
   * returns   whether the ground was met within the limit of steps
   * Error     against steps a tenth as long: below 1 cm over the demo missions (`tests/descent/accuracy.test.ts`)
   */
  land(turns: Random, onStep: ((flight: CanopyFlight) => void) | null): boolean {
    const ground = this.around.ground;
    const canopy = this.canopy as CompiledCanopy;
    const here = this.state;
    let isAtWall = false;
    for (let n = 0; n < STEPS_MAX; n++) {
      const agl = at(here, HEIGHT) - ground.heightAt(at(here, LAT), at(here, LON));
      if (isAtWall || !(agl > LANDED_M)) {
        this.#line = null;
        this.#carry();
        this.#slope(this.state, this.#k[0] as Float64Array);
        return agl === agl;
      }
      if (canopy.policy === STEER_RANDOM && !(at(here, TIME) < this.#nextTurn_s - 1e-3)) {
        this.#head(2 * Math.PI * turns.uniform());
        this.#nextTurn_s = at(here, TIME) + canopy.every_s;
      }
      isAtWall = this.#stepToGround(this.#stepLength(agl), agl);
      if (onStep !== null) onStep(this);
    }
    return false;
  }

  /**
   * A step that does not pass below the ground: shortened by the secant rule until it ends on it. Answers whether the
   * ground stands before it as a wall (a cliff, the edge of the terrain): then such steps end ever nearer to it.
   */
  #stepToGround(dz: number, agl: number): boolean {
    const start = this.#start;
    start.set(this.state);
    let length = dz;
    for (let tries = 0; tries < 40; tries++) {
      this.#step(length);
      const below = this.around.ground.heightAt(at(this.state, LAT), at(this.state, LON)) - at(this.state, HEIGHT);
      if (!(below > LANDED_M)) return tries > 0 && length < LANDED_M;
      length *= agl / (agl + below);
      this.state.set(start);
    }
    this.#step(length);
    return false;
  }
}

function wrapPi(angle: number): number {
  return angle > Math.PI ? angle - 2 * Math.PI : angle < -Math.PI ? angle + 2 * Math.PI : angle;
}
