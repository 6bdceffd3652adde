// One prediction: a flight with its recorder. Deterministic; a descent from 39 km takes well under a millisecond.
import { nth } from '../base/nth.ts';
import { DEG_PER_RAD, type LonLat } from '../base/units.ts';
import type { WindOffset } from '../winds/field.ts';
import type { CanopyFlight } from './canopyFlight.ts';
import { COULD_NOT_STEP, Flight, LANDED, TIME_RAN_OUT, type Draws, type FlightWatcher } from './flight.ts';
import type { Motion } from './motion.ts';
import type { Prediction, StageResult } from './prediction.ts';
import { worldSamplerOf, type Scenario } from './scenario.ts';
import { warningsOf } from './warnings.ts';

const TRACK_EVERY_S = 1;
/** A single prediction can afford finer steps than a member of an ensemble: its landing is good to centimetres. */
const TRACK_STEP_M = 10;
const TRACK_TOLERANCE = 2e-5;
const TRACK_FILL_STEPS = 80;

class Recorder implements FlightWatcher {
  readonly track: [number, number, number, number][] = [];
  readonly stages: { name: string; start_s: number; end_s: number; startHeight_m: number; endHeight_m: number }[] = [];
  #next_s = 0;

  stageBegan(name: string, t_s: number, height_m: number): void {
    this.#endStage(t_s, height_m);
    this.stages.push({ name, start_s: t_s, end_s: t_s, startHeight_m: height_m, endHeight_m: height_m });
  }

  #endStage(t_s: number, height_m: number): void {
    const last = this.stages[this.stages.length - 1];
    if (last === undefined) return;
    last.end_s = t_s;
    last.endHeight_m = height_m;
  }

  /** A track point each whole second, by a cubic through both ends of the step. */
  fell(motion: Motion): void {
    const { tBefore, t, y } = motion;
    const dt = t - tBefore;
    while (this.#next_s <= t) {
      const x = dt > 0 ? (this.#next_s - tBefore) / dt : 1;
      if (x >= 0) this.#add(this.#next_s, hermite(motion, x, 1), hermite(motion, x, 0), hermite(motion, x, 2));
      this.#next_s += TRACK_EVERY_S;
    }
    this.end(t, y[1] ?? NaN, y[0] ?? NaN, y[2] ?? NaN, false);
  }

  glided(canopy: CanopyFlight): void {
    this.end(canopy.t_s, canopy.lon_rad, canopy.lat_rad, canopy.h_m, false);
    if (canopy.t_s < this.#next_s) return;
    this.#add(canopy.t_s, canopy.lon_rad, canopy.lat_rad, canopy.h_m);
    this.#next_s = canopy.t_s + TRACK_EVERY_S;
  }

  /** The latest moment, which ends the stage; `final` puts it on the track. */
  end(t_s: number, lon_rad: number, lat_rad: number, h_m: number, final: boolean): void {
    this.#endStage(t_s, h_m);
    if (final && (this.track[this.track.length - 1]?.[0] ?? -1) < t_s) this.#add(t_s, lon_rad, lat_rad, h_m);
  }

  #add(t_s: number, lon_rad: number, lat_rad: number, h_m: number): void {
    this.track.push([t_s, lon_rad * DEG_PER_RAD, lat_rad * DEG_PER_RAD, h_m]);
  }
}

/** Component i of the cubic through both ends of the last step, `x` of the way from its start. */
function hermite({ tBefore, t, yBefore, y, fBefore, f }: Motion, x: number, i: number): number {
  const a = nth(yBefore, i);
  const b = nth(y, i);
  const s = nth(fBefore, i) * (t - tBefore);
  const e = nth(f, i) * (t - tBefore);
  return a + x * (s + x * (3 * (b - a) - 2 * s - e + x * (2 * (a - b) + s + e)));
}

/** A descent that is not the plan's: what differs in it, and what its pilot knows of the wind in place of all. */
interface FlownOtherwise {
  readonly draw: (draws: Draws) => void;
  readonly known: WindOffset | null;
}

/**
 * Predicts one descent. `offset` is added to the forecast: what the reports make of it (`outlookOf`). `otherwise`:
 * flies that one in place of the plan's, with the same steps and track.
 *
 * Error  landing within 1 m and 0.05 s of the same model integrated by a general ODE library at 1e-12, over 200 random
 *        missions (`tests/descent/accuracy.test.ts` prints the table)
 */
export function predict(
  scenario: Scenario,
  offset: WindOffset | null = null,
  otherwise: FlownOtherwise | null = null,
): Prediction {
  const flight = new Flight(worldSamplerOf(scenario.world), scenario.body);
  flight.canopyFlight.step_m_max = TRACK_STEP_M;
  flight.motion.tolerance = TRACK_TOLERANCE;
  flight.fillSteps = TRACK_FILL_STEPS;
  const recorder = new Recorder();
  otherwise?.draw(flight.draws);
  flight.fly(scenario.exit, offset, recorder, otherwise === null ? offset : otherwise.known);
  const place = (lon_rad: number, lat_rad: number): LonLat => [lon_rad * DEG_PER_RAD, lat_rad * DEG_PER_RAD];
  const landed = flight.outcome === LANDED;
  if (landed)
    recorder.end(flight.landing_s, flight.landingLon_rad, flight.landingLat_rad, flight.landingHeight_m, true);
  const opened = flight.opening_s === flight.opening_s;
  const stages: readonly StageResult[] = recorder.stages;
  const ending =
    flight.outcome === TIME_RAN_OUT
      ? ['The fall did not reach the ground within 6 hours: no landing is given.']
      : flight.outcome === COULD_NOT_STEP
        ? [
            'The descent could not be computed to the ground: no landing is given. Check drag areas, mass ' +
              'and winds for extreme values.',
          ]
        : [];
  return {
    stages,
    peak: {
      speed_mps: flight.peakSpeed_mps,
      mach: flight.peakMach,
      time_s: flight.peak_s,
      height_m: flight.peakHeight_m,
    },
    opening: opened
      ? {
          time_s: flight.opening_s,
          position: place(flight.openingLon_rad, flight.openingLat_rad),
          height_m: flight.openingHeight_m,
          shock_g: flight.shock_g,
        }
      : null,
    landing: landed
      ? {
          time_s: flight.landing_s,
          position: place(flight.landingLon_rad, flight.landingLat_rad),
          elevation_m: flight.landingHeight_m,
          groundSpeed_mps: flight.landingGround_mps,
          sink_mps: flight.landingSink_mps,
        }
      : null,
    track: recorder.track,
    warnings: [...ending, ...warningsOf(scenario, recorder.track, opened)],
  };
}
