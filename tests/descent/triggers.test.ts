// What begins and ends each part of a descent: triggers by height, time and Mach number, opening, ground and terrain.
import { describe, expect, it } from 'vitest';
import { Air } from '../../core/air/air.ts';
import { compileBody } from '../../core/descent/body.ts';
import { predict } from '../../core/descent/predict.ts';
import type { Scenario } from '../../core/descent/scenario.ts';
import { Ground } from '../../core/earth/ground.ts';
import { TerrainGrid } from '../../core/earth/terrain.ts';
import type { Body, Canopy, Stage } from '../../core/plan/schema.ts';
import { backgroundErrors } from '../../core/winds/errors.ts';
import { WindField } from '../../core/winds/field.ts';

const air = new Air();
const wind = WindField.ofColumns([
  {
    source: 'a test',
    time_s: 0,
    levels: [
      { height_m: 0, from_deg: 270, speed_mps: 5 },
      { height_m: 12_000, from_deg: 250, speed_mps: 30 },
    ],
  },
]);
const canopy: Canopy = {
  referenceMass_kg: 100,
  fill_s: 3,
  settings: [{ name: 'full', airspeed_mps: 10, sink_mps: 5 }],
};

function scenario(
  stages: Stage[],
  more: {
    canopy?: Canopy | undefined;
    height_m?: number;
    ground?: Ground;
    velocity?: readonly [number, number, number];
  } = {},
): Scenario {
  const body: Body = {
    mass_kg: 100,
    stages,
    ...('canopy' in more && more.canopy === undefined ? {} : { canopy: more.canopy ?? canopy }),
  };
  return {
    world: {
      air,
      wind,
      ground: more.ground ?? new Ground(200),
      roughness_m: 0.03,
      errors: backgroundErrors(),
      analysis: null,
    },
    body: compileBody(body, { target: null, surfaceFrom_deg: null }),
    exit: {
      lon_deg: 20,
      lat_deg: -30,
      height_m: more.height_m ?? 30_000,
      time_s: 0,
      velocity_mps: more.velocity ?? [0, 0, 0],
    },
  };
}

const fall = (until: Stage['until'], name = 'fall', dragArea_m2 = 0.6): Stage => ({
  name,
  dragArea_m2,
  ...(until === undefined ? {} : { until }),
});

describe('triggers', () => {
  it('height above sea level and above ground are met to less than a centimetre', () => {
    const { stages, opening } = predict(scenario([fall({ msl_m: 12_345 }, 'high'), fall({ agl_m: 1500 }, 'low')]));
    expect(Math.abs((stages[0]?.endHeight_m ?? NaN) - 12_345)).toBeLessThan(0.01);
    expect(Math.abs((opening?.height_m ?? NaN) - 1700)).toBeLessThan(0.01);
  });

  it('a time is since the exit, whatever went before', () => {
    const { stages } = predict(
      scenario([fall({ msl_m: 29_000 }, 'first'), fall({ after_s: 40 }, 'second'), fall({ agl_m: 1500 }, 'third')]),
    );
    expect(stages[1]?.end_s).toBeCloseTo(40, 9);
  });

  it('a Mach number fires when it is fallen below, not while it is still to be reached', () => {
    const { stages, peak, track } = predict(
      scenario([fall({ machBelow: 0.6 }, 'fast'), fall({ agl_m: 1500 }, 'slow')]),
    );
    expect(peak.mach).toBeGreaterThan(0.7);
    expect(stages[0]?.end_s ?? 0).toBeGreaterThan(peak.time_s);
    // Speed there from the track, a second about: Mach 0.6 by the standard's speed of sound.
    const at = track.findIndex(([t]) => t > (stages[0]?.end_s ?? 0));
    const [a, b] = [track[at - 1], track[at]];
    const speed = ((a?.[3] ?? NaN) - (b?.[3] ?? NaN)) / ((b?.[0] ?? NaN) - (a?.[0] ?? NaN));
    expect(Math.abs(speed / air.exact(b?.[3] ?? 0).soundSpeed_mps - 0.6)).toBeLessThan(0.01);
  });

  it('one that is already past makes a stage of no length', () => {
    const { stages } = predict(
      scenario([
        fall({ msl_m: 31_000 }, 'never'),
        fall({ after_s: 10 }, 'a'),
        fall({ after_s: 5 }, 'past'),
        fall({ agl_m: 1500 }, 'b'),
      ]),
    );
    expect(stages.map((stage) => [stage.name, stage.end_s - stage.start_s === 0])).toEqual([
      ['never', true],
      ['a', false],
      ['past', true],
      ['b', false],
      ['opening', false],
      ['canopy', false],
    ]);
  });

  it('a drogue is a stage: with it the fall is slower', () => {
    const without = predict(scenario([fall({ agl_m: 1500 })]));
    const braked = predict(scenario([fall({ after_s: 20 }, 'fall'), fall({ agl_m: 1500 }, 'drogue', 2)]));
    expect(braked.opening?.time_s ?? 0).toBeGreaterThan((without.opening?.time_s ?? Infinity) + 30);
    expect(braked.opening?.shock_g ?? Infinity).toBeLessThan(without.opening?.shock_g ?? 0);
  });
});

describe('opening and landing', () => {
  it('without filling time the shock is the whole canopy at the speed of the fall', () => {
    const { opening, stages } = predict(scenario([fall({ agl_m: 1500 })], { canopy: { ...canopy, fill_s: 0 } }));
    // Terminal fall: drag is weight at 0.6 m²; the canopy's area is 2 m g/(ρ0 w²).
    const area = (2 * 100 * 9.80665) / (1.225 * 25);
    expect(Math.abs((opening?.shock_g ?? NaN) / (area / 0.6) - 1)).toBeLessThan(0.03);
    expect(stages.find((stage) => stage.name === 'opening')?.end_s).toBe(opening?.time_s);
  });

  it('a body without a canopy falls to the ground, and it is said', () => {
    const { opening, landing, warnings } = predict(scenario([fall(undefined)], { canopy: undefined }));
    expect(opening).toBeNull();
    expect(Math.abs((landing?.elevation_m ?? NaN) - 200)).toBeLessThan(0.01);
    expect(landing?.sink_mps ?? 0).toBeGreaterThan(40);
    expect(warnings.join(' ')).toContain('impact');
  });

  it('a canopy that opens too low to fill meets the ground while it fills', () => {
    const { landing, stages } = predict(scenario([fall({ agl_m: 40 })]));
    expect(stages.at(-1)?.name).toBe('opening');
    expect(Math.abs((landing?.elevation_m ?? NaN) - 200)).toBeLessThan(0.01);
    expect(landing?.sink_mps ?? 0).toBeGreaterThan(10);
  });

  it('an exit below the opening height opens at once', () => {
    const { opening } = predict(scenario([fall({ agl_m: 1500 })], { height_m: 900 }));
    expect(opening?.time_s).toBe(0);
  });
});

describe('terrain', () => {
  // Ground that rises to the east: 1 m in 10, from 200 m at 20° E.
  const shape = { west_deg: 19.9, north_deg: -29.9, stepLon_deg: 0.001, stepLat_deg: 0.001, columns: 201, rows: 201 };
  const perColumn = 96.5;
  const slope = new TerrainGrid(
    shape,
    Float32Array.from({ length: 201 * 201 }, (_, i) => 200 + 0.1 * perColumn * ((i % 201) - 100)),
  );

  it('the landing lies on it, and heights above ground count from it', () => {
    const ground = new Ground(200, slope);
    const { landing, opening } = predict(scenario([fall({ agl_m: 800 })], { height_m: 4000, ground }));
    if (landing === null || opening === null) throw new Error('it lands');
    expect(Math.abs(landing.elevation_m - slope.heightAt(...landing.position))).toBeLessThan(0.01);
    expect(Math.abs(opening.height_m - slope.heightAt(...opening.position) - 800)).toBeLessThan(0.01);
    expect(landing.elevation_m).toBeGreaterThan(210);
  });

  it('a canopy that drifts against the edge of the terrain, 20 m above the site’s level before it, lands at that edge', () => {
    // Where the terrain ends the ground steps down to the site's elevation: seen from outside it is a wall.
    const plateau = new TerrainGrid(shape, new Float32Array(201 * 201).fill(220));
    const from = scenario([fall({ agl_m: 25 })], { height_m: 240, ground: new Ground(200, plateau) });
    const holding: Canopy = { ...canopy, fill_s: 0, steering: { policy: 'hold', heading_deg: 90 } };
    const body = compileBody({ mass_kg: 100, stages: [fall({ agl_m: 25 })], canopy: holding }, { target: null, surfaceFrom_deg: null }); // prettier-ignore
    // 60 m west of the edge; the wind and the drive take it there within the 25 m.
    const { landing } = predict({ ...from, body, exit: { ...from.exit, lon_deg: 19.9 - 60 / 96_500 } });
    if (landing === null) throw new Error('it lands');
    expect(landing.position[0]).toBeCloseTo(19.9, 6);
    expect(landing.elevation_m).toBeGreaterThan(200);
    expect(landing.elevation_m).toBeLessThan(220);
  });

  it('a ridge in the way of the canopy is not flown through', () => {
    // A wall 400 m high, two cells wide, a kilometre downwind of the opening; the canopy has 300 m above ground when it
    // comes there.
    const wall = new TerrainGrid(
      shape,
      Float32Array.from({ length: 201 * 201 }, (_, i) => (Math.abs((i % 201) - 112) <= 1 ? 600 : 200)),
    );
    const holding: Canopy = { ...canopy, steering: { policy: 'hold', heading_deg: 90 } };
    const open = predict(scenario([fall({ agl_m: 600 })], { height_m: 800, canopy: holding }));
    const stopped = predict(
      scenario([fall({ agl_m: 600 })], { height_m: 800, canopy: holding, ground: new Ground(200, wall) }),
    );
    const free = open.landing?.position[0] ?? NaN;
    expect(free).toBeGreaterThan(20.0135);
    expect(stopped.landing?.position[0] ?? NaN).toBeLessThan(20.0125);
    expect(stopped.landing?.elevation_m ?? 0).toBeGreaterThan(250);
  });
});
