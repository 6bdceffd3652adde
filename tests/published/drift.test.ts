// Drift, opening and descent under canopy against handbook arithmetic and closed forms.
// ref: drift-handbook.md §1 to §3, freefall.md §5, parachutes.md §2 to §4, geodesy.md §6; marks as said at each.
import { describe, expect, it } from 'vitest';
import { Air, standardAir } from '../../core/air/air.ts';
import { compileBody, TRIGGER_MSL, TRIGGER_NONE, type CompiledBody } from '../../core/descent/body.ts';
import { Flight, LANDED } from '../../core/descent/flight.ts';
import { WorldSampler } from '../../core/descent/worldSampler.ts';
import { Ground } from '../../core/earth/ground.ts';
import { normalGravity } from '../../core/earth/gravity.ts';
import { localFrame } from '../../core/earth/geodesic.ts';
import type { Body } from '../../core/plan/schema.ts';
import { DEG_PER_RAD, M_PER_FT, M_PER_NM, MPS_PER_KT, toward_deg, windVector } from '../../core/base/units.ts';
import { WindField } from '../../core/winds/field.ts';

const standard = new Air();
/** Air that hardly changes over the heights of a test: handbooks reckon with one density. */
const constant = new Air([
  { height_m: 0, temperature_K: 288.15, pressure_Pa: 101_325 },
  { height_m: 40_000, temperature_K: 288.15, pressure_Pa: 101_324.9 },
]);
const NO_CURVE = new Float64Array(0);
const NO_GOAL = { target: null, surfaceFrom_deg: null };

type Level = readonly [height_m: number, from_deg: number, speed_mps: number];
const windOf = (levels: readonly Level[]): WindField =>
  WindField.ofColumns([
    {
      source: 'a test',
      time_s: 0,
      levels: levels.map(([height_m, from_deg, speed_mps]) => ({ height_m, from_deg, speed_mps })),
    },
  ]);

/** A canopy opened at once at a height: [east, north] of its landing, m, and the time, s. */
function glide(
  canopy: NonNullable<Body['canopy']>,
  from_m: number,
  wind: WindField,
  air: Air,
  mass_kg = 100,
  lat_deg = 40,
) {
  const body = compileBody(
    { mass_kg, stages: [{ name: 'none', dragArea_m2: 1, until: { msl_m: from_m + 1 } }], canopy },
    NO_GOAL,
  );
  const flight = new Flight(new WorldSampler(air, wind, new Ground(0)), body);
  flight.fly({ lon_deg: 10, lat_deg, height_m: from_m, time_s: 0, velocity_mps: [0, 0, 0] }, null);
  expect(flight.outcome).toBe(LANDED);
  const [east, north] = localFrame([10, lat_deg]).toLocal([
    flight.landingLon_rad * DEG_PER_RAD,
    flight.landingLat_rad * DEG_PER_RAD,
  ]);
  return { east, north, time_s: flight.landing_s };
}

const round = (sink_mps: number): NonNullable<Body['canopy']> => ({
  referenceMass_kg: 100,
  fill_s: 0,
  settings: [{ name: 'round', airspeed_mps: 0, sink_mps }],
});

describe('drift under canopy', () => {
  it('three layers (ref: drift-handbook.md §3; mark C): 1215.59 m toward 085.81° from 900 m at 5 m/s', () => {
    const e = 0.005;
    const layers = windOf([
      [1, 240, 4],
      [300 - e, 240, 4],
      [300 + e, 260, 7],
      [600 - e, 260, 7],
      [600 + e, 280, 10],
      [900, 280, 10],
    ]);
    const { east, north } = glide(round(5), 900, layers, constant, 100, 0);
    // Positions scale with (R + h)/R over 900 m of height: 0.01 %.
    expect(Math.abs(Math.hypot(east, north) - 1215.59)).toBeLessThan(0.2);
    expect(Math.abs(toward_deg(east, north) - 85.81)).toBeLessThan(0.01);
    expect(Math.abs(east - 1212.35)).toBeLessThan(0.2);
    expect(Math.abs(north - 88.74)).toBeLessThan(0.05);
  });

  it('D = K A V (ref: drift-handbook.md §1; the identity C, K a table entry from memory M): metres per knot per 1000 ft = 0.514444 × seconds per 1000 ft', () => {
    // 25 m per kn per 1000 ft means 48.6 s per 1000 ft: 2 500 ft in 12 kn drift 750 m.
    const sink = (1000 * M_PER_FT) / (25 / MPS_PER_KT);
    expect(Math.abs((1000 * M_PER_FT) / sink - 48.6)).toBeLessThan(0.05);
    const { east } = glide(round(sink), 2500 * M_PER_FT, windOf([[1, 270, 12 * MPS_PER_KT]]), constant);
    expect(Math.abs(east - 750)).toBeLessThan(0.2);
  });

  it('high opening, gliding with the wind (ref: drift-handbook.md §2; arithmetic C from constants M): 15.875 NM, 9.533 NM, 2.25 NM', () => {
    // 48 means 75 s per 1000 ft; 20.8 kn forward.
    const canopy = (): NonNullable<Body['canopy']> => ({
      referenceMass_kg: 100,
      fill_s: 0,
      settings: [{ name: 'full', airspeed_mps: 20.8 * MPS_PER_KT, sink_mps: (1000 * M_PER_FT) / 75 }],
      steering: { policy: 'hold', heading_deg: 90 },
    });
    for (const [A, SF, V, miles] of [
      [18, 3, 30, 15.875],
      [25, 3, 0, 9.5333],
      [12, 2, -10, 2.25],
      [1, 0, 0, 0.43333],
    ] as const) {
      const wind = windOf([[1, V < 0 ? 90 : 270, Math.abs(V) * MPS_PER_KT]]);
      const { east } = glide(canopy(), (A - SF) * 1000 * M_PER_FT, wind, constant);
      // Height stretches the parallel by h/R: 0.05 % at most here.
      expect(Math.abs(east / M_PER_NM / miles - 1)).toBeLessThan(0.0012);
    }
  });

  it('a glide in still air does not change with height or mass (ref: parachutes.md §4; mark C): V/w times the height', () => {
    const canopy: NonNullable<Body['canopy']> = {
      referenceMass_kg: 100,
      fill_s: 0,
      settings: [{ name: 'full', airspeed_mps: 11, sink_mps: 4 }],
      steering: { policy: 'hold', heading_deg: 0 },
    };
    for (const [from, mass] of [
      [1000, 100],
      [9000, 100],
      [9000, 160],
      [20_000, 80],
    ] as const) {
      const { north } = glide(canopy, from, WindField.calm(), standard, mass);
      expect(Math.abs(north / ((11 / 4) * from) - 1)).toBeLessThan(0.0017);
    }
    // What is left is the height's own stretch, h/2R: 0.16 % from 20 km.
  });

  it.each([
    [113.4, 0.775, 16.8],
    [136.1, 0.775, 18.4],
    [163.3, 0.8, 19.84],
  ])(
    'steady descent (ref: parachutes.md §3; mark C): %f kg under 89.38 m², CD %f sinks at %f ft/s',
    (mass, cd, fts) => {
      const body: CompiledBody = {
        mass_kg: mass,
        stages: [{ name: 'open', dragArea_m2: 89.38 * cd, machCurve: NO_CURVE, trigger: TRIGGER_NONE, triggerAt: 0 }],
        canopy: null,
      };
      const flight = new Flight(
        new WorldSampler(constant, WindField.calm(), new Ground(0), { earthRate_radps: 0 }),
        body,
      );
      flight.fly({ lon_deg: 0, lat_deg: 45, height_m: 300, time_s: 0, velocity_mps: [0, 0, 0] }, null);
      expect(Math.abs(flight.landingSink_mps / M_PER_FT - fts)).toBeLessThan(0.01);
    },
  );

  it('an infinite-mass opening of 1.37 m² at 60 m/s: ½ρv²S (ref: parachutes.md §2: 3021 N before the overshoot; mark C)', () => {
    const sink = Math.sqrt((2 * 1e6 * 9.80665) / (1.225 * 1.37));
    const body = compileBody(
      {
        mass_kg: 1e6,
        stages: [{ name: 'fall', dragArea_m2: 1e-6, until: { after_s: 0.001 } }],
        canopy: { referenceMass_kg: 1e6, fill_s: 0.4, settings: [{ name: 'small', airspeed_mps: 0, sink_mps: sink }] },
      },
      NO_GOAL,
    );
    const flight = new Flight(
      new WorldSampler(constant, WindField.calm(), new Ground(0), { earthRate_radps: 0 }),
      body,
    );
    flight.fly({ lon_deg: 0, lat_deg: 45, height_m: 400, time_s: 0, velocity_mps: [0, 0, -60] }, null);
    // In the 0.4 s of filling a body that hardly feels its canopy gains g·0.4 s.
    const expected = 0.5 * 1.225 * 1.37 * (60 + 9.8 * 0.4) ** 2;
    expect(Math.abs((flight.shock_mps2 * 1e6) / expected - 1)).toBeLessThan(0.005);
    expect(0.5 * 1.225 * 1.37 * 60 ** 2).toBeCloseTo(3021, 0);
  });
});

describe('closed forms of the fall', () => {
  it('constant density: height and speed after 8 s are (Vt²/g) ln cosh(gt/Vt) and Vt tanh(gt/Vt)', () => {
    const g = normalGravity(Math.PI / 4, 850);
    const Vt = 50;
    const area = (2 * 100 * g) / (1.225 * Vt * Vt);
    const body: CompiledBody = {
      mass_kg: 100,
      stages: [
        { name: 'fall', dragArea_m2: area, machCurve: NO_CURVE, trigger: TRIGGER_MSL, triggerAt: 700 },
        { name: 'rest', dragArea_m2: area, machCurve: NO_CURVE, trigger: TRIGGER_NONE, triggerAt: 0 },
      ],
      canopy: null,
    };
    const flight = new Flight(
      new WorldSampler(constant, WindField.calm(), new Ground(0), { earthRate_radps: 0 }),
      body,
    );
    let t = NaN;
    let v = NaN;
    flight.fly({ lon_deg: 0, lat_deg: 45, height_m: 1000, time_s: 0, velocity_mps: [0, 0, 0] }, null, {
      fell: () => {},
      glided: () => {},
      stageBegan: (name, t_s) => {
        if (name !== 'rest') return;
        t = t_s;
        v = -(flight.motion.y[5] ?? NaN);
      },
    });
    // The density of the made air is 1.225 to 1e-6; gravity over 300 m changes by 1e-4.
    expect(Math.abs(((Vt * Vt) / g) * Math.log(Math.cosh((g * t) / Vt)) - 300)).toBeLessThan(0.03);
    expect(Math.abs(v - Vt * Math.tanh((g * t) / Vt))).toBeLessThan(0.005);
  });

  it.each([
    [1000, 0.491],
    [4000, 3.927],
    [10_000, 15.52],
    [40_000, 124.2],
  ])(
    'free of drag from %i m at 45° a body lands %f m east (ref: geodesy.md §6; Kibble & Berkshire; mark C)',
    (h, east_m) => {
      const body: CompiledBody = {
        mass_kg: 1e12,
        stages: [{ name: 'fall', dragArea_m2: 1e-9, machCurve: NO_CURVE, trigger: TRIGGER_NONE, triggerAt: 0 }],
        canopy: null,
      };
      const flight = new Flight(new WorldSampler(standard, WindField.calm(), new Ground(0)), body);
      flight.fly({ lon_deg: 10, lat_deg: 45, height_m: h, time_s: 0, velocity_mps: [0, 0, 0] }, null);
      const [east] = localFrame([10, 45]).toLocal([
        flight.landingLon_rad * DEG_PER_RAD,
        flight.landingLat_rad * DEG_PER_RAD,
      ]);
      // The closed form holds g and the frame constant: a body from 40 km falls in 0.6 % less gravity, for longer.
      expect(Math.abs(east / east_m - 1)).toBeLessThan(h > 20_000 ? 0.012 : 0.004);
    },
  );

  it('a steady fall drifts east at 2 ω cos φ V²/g (ref: geodesy.md §6; mark C): 0.0302 m/s at 53.6 m/s and 45°', () => {
    const g = 9.806;
    const area = (2 * 100 * g) / (1.225 * 53.6 ** 2);
    const body: CompiledBody = {
      mass_kg: 100,
      stages: [{ name: 'fall', dragArea_m2: area, machCurve: NO_CURVE, trigger: TRIGGER_NONE, triggerAt: 0 }],
      canopy: null,
    };
    const flight = new Flight(new WorldSampler(constant, WindField.calm(), new Ground(0)), body);
    flight.fly({ lon_deg: 10, lat_deg: 45, height_m: 5000, time_s: 0, velocity_mps: [0, 0, -53.6] }, null);
    expect(Math.abs((flight.motion.y[3] ?? NaN) - 0.0302)).toBeLessThan(0.0003);
  });

  it('through a linear shear at terminal speed the body lags by the wind of Vt²/g higher up (ref: freefall.md §5, time constant Vt/g; mark C)', () => {
    const g = 9.806;
    const Vt = 53.64;
    const area = (2 * 100 * g) / (1.225 * Vt * Vt);
    const shear = 0.001;
    const wind = windOf([
      [0, 270, 0],
      [10_000, 270, 10],
    ]);
    const body: CompiledBody = {
      mass_kg: 100,
      stages: [{ name: 'fall', dragArea_m2: area, machCurve: NO_CURVE, trigger: TRIGGER_NONE, triggerAt: 0 }],
      canopy: null,
    };
    const flight = new Flight(new WorldSampler(constant, wind, new Ground(0), { earthRate_radps: 0 }), body);
    const [u] = windVector(270, 5);
    flight.fly({ lon_deg: 10, lat_deg: 45, height_m: 5000, time_s: 0, velocity_mps: [u, 0, -Vt] }, null);
    // du/dt = −(g/Vt)(u − w), w = shear · h: after many time constants u = w + shear · Vt · (Vt/g).
    expect(Math.abs((flight.motion.y[3] ?? NaN) - shear * Vt * (Vt / g))).toBeLessThan(0.002);
  });

  it('forward throw from 2 000 m without wind until 0.5 m/s is left (ref: freefall.md §5; mark C): 310, 366, 415, 480 m from 80, 100, 120, 150 kn', () => {
    for (const [kn, metres] of [
      [80, 310],
      [100, 366],
      [120, 415],
      [150, 480],
    ] as const) {
      const body: CompiledBody = {
        mass_kg: 100,
        stages: [{ name: 'fall', dragArea_m2: 0.557, machCurve: NO_CURVE, trigger: TRIGGER_NONE, triggerAt: 0 }],
        canopy: null,
      };
      const flight = new Flight(
        new WorldSampler(standard, WindField.calm(), new Ground(0), { earthRate_radps: 0 }),
        body,
      );
      let thrown = NaN;
      flight.fly({ lon_deg: 10, lat_deg: 45, height_m: 2000, time_s: 0, velocity_mps: [kn * MPS_PER_KT, 0, 0] }, null, {
        fell: (motion) => {
          const before = motion.yBefore[3] ?? NaN;
          const after = motion.y[3] ?? NaN;
          if (!(before > 0.5 && after <= 0.5)) return;
          const x = (before - 0.5) / (before - after);
          const lon = (motion.yBefore[1] ?? NaN) + x * ((motion.y[1] ?? NaN) - (motion.yBefore[1] ?? NaN));
          thrown = localFrame([10, 45]).toLocal([lon * DEG_PER_RAD, 45])[0];
        },
        glided: () => {},
        stageBegan: () => {},
      });
      expect(Math.abs(thrown - metres), `${kn} kn`).toBeLessThan(2);
    }
  });

  it('the standard air is what the tests think it is', () => {
    expect(constant.density(500)).toBeCloseTo(1.225, 3);
    expect(standard.density(0)).toBeCloseTo(standardAir(0).density_kgpm3, 9);
  });
});
