// Errors shrink at the promised order when the step halves: measured on a smooth fall and a smooth glide, against the
// same method at a step a hundred times finer, so that only the method's own error is left.
import { describe, expect, it } from 'vitest';
import { Air } from '../../core/air/air.ts';
import { CanopyFlight } from '../../core/descent/canopyFlight.ts';
import { STEER_HOLD, type CompiledCanopy } from '../../core/descent/body.ts';
import { Motion } from '../../core/descent/motion.ts';
import { WorldSampler } from '../../core/descent/worldSampler.ts';
import { Ground } from '../../core/earth/ground.ts';
import { Random } from '../../core/base/random.ts';
import { WindField } from '../../core/winds/field.ts';
import { odex } from '../odex.ts';

const AIR = new Air();
/** One straight shear from the ground up: no break of the wind anywhere near. */
const shear = (from_deg: number): WindField =>
  WindField.ofColumns([
    {
      source: '',
      time_s: 0,
      levels: [
        { height_m: 0, from_deg, speed_mps: 2 },
        { height_m: 60_000, from_deg, speed_mps: 90 },
      ],
    },
  ]);

const SHEAR = shear(250);

/** Falling through 30 km, inside one layer of the standard's temperature. */
function falling(byLines: boolean): Motion {
  const motion = new Motion(new WorldSampler(AIR, SHEAR, new Ground(0)));
  motion.around.start(0, null);
  motion.mass_kg = 110;
  motion.dragArea_m2 = 0.8;
  motion.byLines = byLines;
  motion.y.set([0.7, 0.2, 29_990, 10, -5, -210]);
  motion.restart(0);
  return motion;
}

/** The state after `span` seconds in `steps` equal steps of `trial`. */
function after(span: number, steps: number, byLines = false): Float64Array {
  const motion = falling(byLines);
  for (let i = 0; i < steps; i++) {
    motion.yBefore.set(motion.y);
    motion.fBefore.set(motion.f);
    motion.tBefore = motion.t;
    motion.trial(span / steps);
  }
  return motion.y;
}

/** The error in velocity, m/s, which is what the forces act on. */
const velocityError = (y: Float64Array, truth: ArrayLike<number>): number =>
  Math.hypot(...[3, 4, 5].map((i) => (y[i] ?? NaN) - (truth[i] ?? NaN)));

const orders = (errors: readonly number[]): number[] =>
  errors.slice(1).map((error, i) => Math.log2((errors[i] ?? NaN) / error));

describe('the pair of Dormand and Prince', () => {
  it('is the derivative that odex integrates: the whole fall within 1e-8 m/s', () => {
    const motion = falling(false);
    const out = new Float64Array(6);
    // The figure of the earth is held through a step; over 2 s and 400 m that is below 1e-9 of every term.
    const y = odex(
      (t, state) => {
        motion.derivative(t, Float64Array.from(state), out);
        return Array.from(out);
      },
      0,
      Array.from(motion.y),
      2,
      1e-13,
    );
    expect(velocityError(after(2, 64), y)).toBeLessThan(1e-8);
  });

  // Shorter steps err below the rounding of the tabulated air, longer ones are not yet in the limit.
  it('has local order 6', () => {
    const errors = [4, 2].map((span) => velocityError(after(span, 1), after(span, 400)));
    const [order = NaN] = orders(errors);
    expect(Math.abs(order - 6)).toBeLessThan(0.7);
  });

  it('has global order 5', () => {
    const truth = after(32, 800);
    const found = orders([8, 16, 32].map((steps) => velocityError(after(32, steps), truth)));
    expect(found.length).toBe(2);
    for (const order of found) expect(Math.abs(order - 5)).toBeLessThan(0.5);
  });

  it('an adaptive fall comes nearer as its tolerance falls', () => {
    const truth = after(32, 800);
    const errors = [1e-2, 1e-3, 1e-4, 1e-5].map((tolerance) => {
      const motion = falling(false);
      motion.tolerance = tolerance;
      for (let n = 0; motion.t < 32 - 1e-9 && n < 1000; n++) expect(motion.advance(32 - motion.t)).toBe(true);
      return velocityError(motion.y, truth);
    });
    errors.slice(1).forEach((error, i) => expect(error).toBeLessThan((errors[i] ?? NaN) / 3));
    expect(errors.at(-1)).toBeLessThan(1e-5);
  });
});

describe('the classical step by a line', () => {
  it('has global order 4, and in a straight wind the same limit as the pair', () => {
    const truth = after(32, 800);
    const errors = [4, 8, 16].map((steps) => velocityError(after(32, steps, true), truth));
    for (const order of orders(errors)) {
      expect(order).toBeGreaterThan(3.6);
      expect(order).toBeLessThan(4.8);
    }
    expect(velocityError(after(32, 200, true), truth)).toBeLessThan(1e-6);
  });
});

describe('the open canopy', () => {
  const canopy: CompiledCanopy = {
    setting: 'full drive',
    referenceMass_kg: 110,
    airspeed_mps: 11,
    sink_mps: 4.5,
    fill_s: 0,
    fillDistance_m: 0,
    fillExponent: 2,
    dragArea_m2: 80,
    policy: STEER_HOLD,
    heading_rad: Math.PI / 2,
    every_s: Infinity,
    targetLat_rad: NaN,
    targetLon_rad: NaN,
    legs_agl_m: [0, 0, 0],
    legs_rad: [0, 0, 0],
  };

  /** Metres on the ground, and seconds, after 8 km in equal steps, in a wind from the west or another. */
  function landing(steps: number, from_deg = 270): [number, number, number] {
    const flight = new CanopyFlight(new WorldSampler(AIR, shear(from_deg), new Ground(2000)));
    flight.around.start(0, null);
    flight.step_m_max = 8000 / steps;
    flight.place(0.7, 0.2, 10_000, 0);
    flight.start(canopy, {
      mass_kg: 100,
      airspeedScale: 1,
      sinkScale: 1,
      verticalAir_mps: 0,
      headingError_rad: 0,
      known: null,
      aimEast_m: 0,
      aimNorth_m: 0,
    });
    expect(flight.land(new Random(1), null)).toBe(true);
    return [flight.lat_rad * 6.37e6, flight.lon_rad * 6.37e6 * Math.cos(0.7), flight.t_s];
  }

  // Along a parallel: the figure of the earth, which is held through a step, is then the same at both its ends.
  it('has global order 4 in place and time', () => {
    const truth = landing(640);
    const off = (at: readonly number[], k: readonly number[]): number =>
      Math.hypot(...k.map((i) => (at[i] ?? NaN) - (truth[i] ?? NaN)));
    const found = [1, 2, 4].map((steps) => landing(steps));
    for (const of of [[1], [2]]) {
      for (const order of orders(found.map((at) => off(at, of)))) {
        expect(order).toBeGreaterThan(3.5);
        expect(order).toBeLessThan(4.8);
      }
    }
  });

  it('loses less than 2 mm of 14 km to holding the figure of the earth through the steps that are flown', () => {
    const truth = landing(3200, 200);
    const at = landing(134, 200);
    expect(Math.hypot(at[0] - truth[0], at[1] - truth[1])).toBeLessThan(2e-3);
  });
});
