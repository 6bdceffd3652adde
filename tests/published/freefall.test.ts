// Falls with published or independently computed answers. ref: freefall.md; values and marks as there.
import { describe, expect, it } from 'vitest';
import { Air } from '../../core/air.ts';
import { Ground } from '../../core/earth/ground.ts';
import { Flight, LANDED } from '../../core/descent/flight.ts';
import { Surroundings } from '../../core/descent/surroundings.ts';
import { TRIGGER_MSL, TRIGGER_NONE, type CompiledBody } from '../../core/descent/body.ts';
import { WindField } from '../../core/winds/field.ts';

const NO_CURVE = new Float64Array(0);
const air = new Air();

/** A body of CdA/m = k that falls from rest, no wind, earth at rest, at a latitude where gravity is the standard atmosphere's. */
function fall(k: number, from_m: number, to_m: number, curve: Float64Array = NO_CURVE) {
  const body: CompiledBody = {
    mass_kg: 100,
    stages: [
      { name: 'fall', dragArea_m2: 100 * k, machCurve: curve, trigger: TRIGGER_MSL, triggerAt: to_m },
      { name: 'rest', dragArea_m2: 100 * k, machCurve: curve, trigger: TRIGGER_NONE, triggerAt: 0 },
    ],
    canopy: null,
  };
  const flight = new Flight(new Surroundings(air, WindField.calm(), new Ground(0), { earthRate_radps: 0 }), body);
  let end_s = NaN;
  let end_mps = NaN;
  flight.fly({ lon_deg: 10, lat_deg: 45.5, height_m: from_m, time_s: 0, velocity_mps: [0, 0, 0] }, null, {
    fell: () => {},
    glided: () => {},
    stageBegan: (name, t_s) => {
      if (name !== 'rest') return;
      end_s = t_s;
      end_mps = -(flight.motion.y[5] ?? NaN);
    },
  });
  return {
    end_s,
    end_mps,
    peak_mps: flight.peakSpeed_mps,
    peakHeight_m: flight.peakHeight_m,
    peakMach: flight.peakMach,
    outcome: flight.outcome,
  };
}

/** ref: freefall.md §4, row Cd/Cd(0) as printed (mark C); source: McCoy, Modern Exterior Ballistics, function GS (mark F). */
const SPHERE_RISE = Float64Array.of(
  ...[0, 0.3, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0, 1.1, 1.2, 1.3, 1.4, 1.5, 1.6, 2.0].flatMap((mach, i) => [
    mach,
    [1, 1.035, 1.066, 1.128, 1.27, 1.418, 1.581, 1.746, 1.903, 2.04, 2.126, 2.151, 2.162, 2.164, 2.147][i] ?? NaN,
  ]),
);

describe('reference falls (ref: freefall.md §3 table; source: computed there by RK4 at 0.01 s on USSA76; mark C)', () => {
  // k, from, to, t s, v at end, v max, z of v max, Mach max. Tolerance: the reference's own 0.02 s and 0.05 m/s.
  const ROWS = [
    [0.0055, 4000, 1000, 53.39, 57.1, 63.13, 3166, 0.193],
    [0.0055, 10000, 1500, 122.73, 58.55, 85.69, 8695, 0.281],
    [0.0055, 25458, 958, 233.98, 56.98, 211.3, 20707, 0.715],
    [0.0055, 40000, 1500, 260.59, 58.55, 382.96, 28257, 1.274],
    [0.006, 31333, 5334, 190.38, 68.7, 271.27, 24397, 0.91],
    [0.008, 41419, 3802, 266.63, 54.54, 370.4, 30255, 1.227],
  ] as const;
  it.each(ROWS)('k %f from %i to %i m', (k, from, to, t, vEnd, vMax, zMax, mach) => {
    const got = fall(k, from, to);
    expect(Math.abs(got.end_s - t)).toBeLessThan(0.02);
    expect(Math.abs(got.end_mps - vEnd)).toBeLessThan(0.05);
    expect(Math.abs(got.peak_mps - vMax)).toBeLessThan(0.05);
    expect(Math.abs(got.peakHeight_m - zMax)).toBeLessThan(15);
    expect(Math.abs(got.peakMach - mach)).toBeLessThan(0.001);
    expect(got.outcome).toBe(LANDED);
  });
  it('k 0.0055 with the sphere rise, 40 000 to 1 500 m', () => {
    const got = fall(0.0055, 40_000, 1500, SPHERE_RISE);
    console.log(got);
    expect(Math.abs(got.end_s - 276.25)).toBeLessThan(0.02);
    expect(Math.abs(got.peak_mps - 335.98)).toBeLessThan(0.05);
    console.log(got);
    expect(Math.abs(got.peakMach - 1.112)).toBeLessThan(0.001);
  });
});
