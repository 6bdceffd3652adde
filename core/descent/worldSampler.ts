// The world along one body's descent: air, wind and ground at a place, height and time. One per body in the air.
import { nth } from '../base/nth.ts';
import type { Air } from '../air/air.ts';
import { EARTH_RATE_RADPS } from '../earth/gravity.ts';
import type { Ground } from '../earth/ground.ts';
import { WindSampler, type WindField, type WindOffset } from '../winds/field.ts';
import { DEFAULT_ROUGHNESS_M, LOG_LAYER_M } from '../winds/nearGround.ts';
import { WindLines } from '../winds/lines.ts';

/** A factor that is as good as nothing, but keeps a direction. */
const STILL = 1e-12;

export interface WorldSamplerOptions {
  readonly roughness_m?: number;
  /** rad/s; 0 switches Coriolis off, for tests of symmetry. */
  readonly earthRate_radps?: number;
}

export class WorldSampler {
  readonly air: Air;
  readonly ground: Ground;
  readonly sampler: WindSampler;
  readonly earthRate_radps: number;
  readonly roughness_m: number;
  /** Fits a step's wind; null where the wind is not the same everywhere. */
  readonly lines: WindLines | null;
  /**
   * Whether the levels of the winds that count at the start reach the ground: then there is no logarithmic layer below
   * them (MODEL.md §3).
   */
  surfaceWindGiven: boolean;
  /** When the flight began, s since 1970. */
  start_s = 0;
  readonly #logScale: number;

  constructor(air: Air, wind: WindField, ground: Ground, options: WorldSamplerOptions = {}) {
    this.air = air;
    this.ground = ground;
    this.sampler = new WindSampler(wind);
    this.earthRate_radps = options.earthRate_radps ?? EARTH_RATE_RADPS;
    this.roughness_m = options.roughness_m ?? DEFAULT_ROUGHNESS_M;
    this.lines = WindLines.fits(wind) ? new WindLines(wind) : null;
    this.surfaceWindGiven = false;
    this.#logScale = 1 / Math.log(LOG_LAYER_M / this.roughness_m);
  }

  /** Starts a flight: its t = 0 in seconds since 1970, and what is added to the wind. */
  start(start_s: number, offset: WindOffset | null): void {
    this.start_s = start_s;
    this.sampler.start(start_s, offset);
    if (this.lines !== null) this.lines.start(start_s, offset);
    this.surfaceWindGiven = this.sampler.field.levelled(start_s, start_s).bottom_m <= this.ground.site_m + LOG_LAYER_M;
  }

  /**
   * The line to follow through a step between two heights, half-way at a time, passed in `passing_s`; null where only
   * the wind itself will do.
   */
  line(low_m: number, high_m: number, t_s: number, passing_s: number): WindLines | null {
    const { lines } = this;
    if (lines === null || !(this.surfaceWindGiven || low_m > this.ground.top_m + LOG_LAYER_M)) return null;
    lines.fit(low_m, high_m, t_s, passing_s);
    return lines;
  }

  /**
   * Writes the wind into `sampler.out`: the field's, times the logarithmic profile in the last 10 m above ground where
   * none was given there.
   */
  wind(lat_rad: number, lon_rad: number, height_m: number, t_s: number): void {
    this.sampler.sample(lat_rad, lon_rad, height_m, t_s);
    if (this.surfaceWindGiven || height_m > this.ground.top_m + LOG_LAYER_M) return;
    const factor = this.logFactor(height_m - this.ground.heightAt(lat_rad, lon_rad));
    const out = this.sampler.out;
    out[0] = nth(out, 0) * factor;
    out[1] = nth(out, 1) * factor;
  }

  /**
   * What the ground leaves of the wind at a height above it; 1 from 10 m up, and throughout where a surface wind is
   * given.
   */
  logFactor(agl_m: number): number {
    if (this.surfaceWindGiven || !(agl_m < LOG_LAYER_M)) return 1;
    // Within the roughness the wind is still, but keeps its direction: a canopy that flies into the wind goes on facing
    // it.
    return agl_m > this.roughness_m ? Math.max(Math.log(agl_m / this.roughness_m) * this.#logScale, STILL) : STILL;
  }
}
