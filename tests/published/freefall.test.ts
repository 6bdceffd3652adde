// Falls with published or independently computed answers. ref: freefall.md; values and marks as there.
import { describe, expect, it } from 'vitest';
import { Air, standardAir } from '../../core/air/air.ts';
import { Ground } from '../../core/earth/ground.ts';
import { Flight, LANDED } from '../../core/descent/flight.ts';
import { WorldSampler } from '../../core/descent/worldSampler.ts';
import { compileCanopy, TRIGGER_MSL, TRIGGER_NONE, TRIGGER_TIME, type CompiledBody } from '../../core/descent/body.ts';
import { WindField } from '../../core/winds/field.ts';

const NO_CURVE = new Float64Array(0);
const air = new Air();

/**
 * A body of CdA/m = k that falls from rest, no wind, earth at rest, at a latitude where gravity is the standard
 * atmosphere's.
 */
function fall(k: number, from_m: number, to_m: number, curve: Float64Array = NO_CURVE) {
  const body: CompiledBody = {
    mass_kg: 100,
    stages: [
      { name: 'fall', dragArea_m2: 100 * k, machCurve: curve, trigger: TRIGGER_MSL, triggerAt: to_m },
      { name: 'rest', dragArea_m2: 100 * k, machCurve: curve, trigger: TRIGGER_NONE, triggerAt: 0 },
    ],
    canopy: null,
  };
  const flight = new Flight(new WorldSampler(air, WindField.calm(), new Ground(0), { earthRate_radps: 0 }), body);
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

/**
 * ref: freefall.md §4, row Cd/Cd(0) as printed (mark C); source: McCoy, Modern Exterior Ballistics, function GS (mark
 * F).
 */
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
    expect(Math.abs(got.peak_mps - 335.98)).toBeLessThan(0.05);
    expect(Math.abs(got.peakMach - 1.112)).toBeLessThan(0.001);
    // Half a unit of the printed ratios' last digit, over the whole curve, is worth this much time: the row is met
    // within it (276.25 s).
    const up = fall(
      0.0055,
      40_000,
      1500,
      SPHERE_RISE.map((x, i) => (i % 2 === 1 ? x + 0.0005 : x)),
    );
    const down = fall(
      0.0055,
      40_000,
      1500,
      SPHERE_RISE.map((x, i) => (i % 2 === 1 ? x - 0.0005 : x)),
    );
    expect(276.25 + 0.02).toBeGreaterThan(down.end_s);
    expect(276.25 - 0.02).toBeLessThan(up.end_s);
  });
});

describe("stable fall from low altitude (ref: freefall.md §1; source: jumpers' table of 2010; mark F)", () => {
  it('from 2 000 m MSL at a terminal speed of 176 ft/s: within 3 % from 6 to 12 s, within 4 ft from 1 to 3 s', () => {
    const FT = [16, 62, 138, 242, 366, 504, 652, 808, 971, 1138, 1309, 1483];
    // Terminal at the height of the fall: k from v² = 2 g / (ρ k).
    const rho = standardAir(1900).density_kgpm3;
    const k = (2 * 9.8) / (rho * (178 * 0.3048) ** 2);
    const heights = heightsAt(k, 2000, 12);
    FT.forEach((feet, i) => {
      const fallen = (2000 - (heights[i + 1] ?? NaN)) / 0.3048;
      if (i + 1 <= 3) expect(Math.abs(fallen - feet), `${i + 1} s`).toBeLessThan(4);
      if (i + 1 >= 6) expect(Math.abs(fallen / feet - 1), `${i + 1} s`).toBeLessThan(0.03);
    });
  });
});

/** Height after each whole second. */
function heightsAt(k: number, from_m: number, seconds: number): number[] {
  const stage = { dragArea_m2: 100 * k, machCurve: NO_CURVE };
  const heights = [from_m];
  const stages = Array.from({ length: seconds + 1 }, (_, i) => ({
    ...stage,
    name: String(i),
    trigger: TRIGGER_TIME,
    triggerAt: i + 1,
  }));
  const body: CompiledBody = {
    mass_kg: 100,
    stages: [...stages, { ...stage, name: 'rest', trigger: TRIGGER_NONE, triggerAt: 0 }],
    canopy: null,
  };
  const flight = new Flight(new WorldSampler(air, WindField.calm(), new Ground(0), { earthRate_radps: 0 }), body);
  flight.fly({ lon_deg: 0, lat_deg: 45, height_m: from_m, time_s: 0, velocity_mps: [0, 0, 0] }, null, {
    fell: () => {},
    glided: () => {},
    stageBegan: (name, _t, height_m) => {
      if (Number(name) > 0) heights[Number(name)] = height_m;
    },
  });
  return heights;
}

describe('published flights, by report (ref: freefall.md §2)', () => {
  it('the balloon jump of 2014 (mark F): one number, k 0.0080, meets both 267 s and 367.5 m/s within 1 %', () => {
    const got = fall(0.008, 41_419, 3802);
    expect(Math.abs(got.end_s / 267 - 1)).toBeLessThan(0.01);
    expect(Math.abs(got.peak_mps / 367.5 - 1)).toBeLessThan(0.01);
    expect(Math.abs(got.end_s - 266.6)).toBeLessThan(0.05);
    expect(Math.abs(got.peak_mps - 370.4)).toBeLessThan(0.05);
  });
  it('the balloon jump of 2014 with a full sphere-like Mach rise: only 326 m/s and 281.6 s (mark C): too much for a person', () => {
    const got = fall(0.008, 41_419, 3802, SPHERE_RISE);
    expect(Math.abs(got.peak_mps - 326)).toBeLessThan(0.5);
    expect(Math.abs(got.end_s - 281.6)).toBeLessThan(0.15);
  });
  it('the balloon jump of 1962 (exit and opening F, computed C): k 0.0074, 0.0075, 0.0076 take 269.0, 270.7, 272.4 s; peak 190.8 m/s at 21.4 km', () => {
    for (const [k, t] of [
      [0.0074, 269.0],
      [0.0075, 270.7],
      [0.0076, 272.4],
    ] as const)
      expect(Math.abs(fall(k, 25_458, 958).end_s - t)).toBeLessThan(0.06);
    const got = fall(0.0075, 25_458, 958);
    expect(Math.abs(got.peak_mps - 190.8)).toBeLessThan(0.06);
    expect(Math.abs(got.peakHeight_m - 21_400)).toBeLessThan(60);
  });
  it('the balloon jump of 1960: free of drag 275.3 m/s are reached at 90 000 ft (mark C), so the published 274.5 m/s (mark F) leaves almost no drag above', () => {
    const free = fall(1e-9, 31_333, 27_432);
    expect(Math.abs(free.end_mps - 275.3)).toBeLessThan(0.6);
    expect(free.end_mps).toBeGreaterThan(274.5);
    const got = fall(0.006, 31_333, 5334);
    expect(Math.abs(got.peak_mps - 271.3)).toBeLessThan(0.06);
    expect(Math.abs(got.end_s - 190)).toBeLessThan(0.5);
  });
});

describe('equilibrium time I(z)/V0 (ref: freefall.md §3; mark C)', () => {
  const ROWS = [
    [1524, 1469.0],
    [3048, 2830.8],
    [6096, 5250.5],
    [9144, 7293.4],
    [12192, 8988.4],
    [18288, 11396.6],
    [24384, 12886.3],
    [25458, 13081.8],
    [31333, 13904.5],
    [41419, 14680.4],
  ] as const;
  it.each(ROWS)('a drift canopy of 6.1 m/s from %i m is down after I/6.1 s', (z, I) => {
    const canopy = compileCanopy(
      { referenceMass_kg: 100, fill_s: 0, settings: [{ name: 'round', airspeed_mps: 0, sink_mps: 6.1 }] },
      { target: null, surfaceFrom_deg: null },
    );
    const body: CompiledBody = {
      mass_kg: 100,
      stages: [{ name: 'none', dragArea_m2: 1, machCurve: NO_CURVE, trigger: TRIGGER_MSL, triggerAt: z + 1 }],
      canopy,
    };
    const flight = new Flight(new WorldSampler(air, WindField.calm(), new Ground(0)), body);
    flight.fly({ lon_deg: 0, lat_deg: 45, height_m: z, time_s: 0, velocity_mps: [0, 0, 0] }, null);
    expect(flight.outcome).toBe(LANDED);
    // The reference prints tenths of a metre of I.
    expect(Math.abs(flight.landing_s * 6.1 - I)).toBeLessThan(0.15);
  });
});
