// Random missions for the tests of accuracy: seeded, so that a case that failed once can be named.
import { Air } from '../../core/air/air.ts';
import { compileBody } from '../../core/descent/body.ts';
import type { Scenario } from '../../core/descent/scenario.ts';
import { Ground } from '../../core/earth/ground.ts';
import type { Body, Stage, Steering } from '../../core/plan/schema.ts';
import { Random } from '../../core/base/random.ts';
import { backgroundErrors } from '../../core/winds/errors.ts';
import { WindField } from '../../core/winds/field.ts';
import type { ReferenceCase } from './reference.ts';

const STANDARD = new Air();

/**
 * A random mission: 3 to 40 km, one to three body stages with any triggers, any of four ways of steering, one or two
 * wind columns.
 */
export function randomCase(seed: number): ReferenceCase {
  const random = new Random(seed, 77);
  const between = (low: number, high: number): number => low + (high - low) * random.uniform();
  const height_m = random.uniform() < 0.6 ? between(20_000, 40_000) : between(3000, 20_000);
  const ground_m = between(0, 1500);
  const lat = between(-70, 70);
  const lon = between(-170, 170);
  const column = () => {
    const levels: [number, number, number][] = [];
    let h = ground_m + (random.uniform() < 0.5 ? between(1, 10) : between(12, 400));
    let from = between(0, 360);
    while (h < between(0.8, 1.1) * height_m && levels.length < 60) {
      from = (from + between(-40, 40) + 360) % 360;
      const jet = 40 * Math.exp(-(((h - 11_000) / 3500) ** 2));
      levels.push([h, from, between(0, 12) + jet * random.uniform()]);
      h += between(80, 1500);
    }
    return levels;
  };
  const stages: Stage[] = [];
  const curve: [number, number][] | undefined =
    random.uniform() < 0.6
      ? [
          [0, 1],
          [0.6, 1],
          [1, between(0.7, 1.3)],
          [1.4, between(0.7, 1.4)],
          [5, 0.8],
        ]
      : undefined;
  const stage = (name: string, dragArea_m2: number, until: Stage['until']): Stage => ({
    name,
    dragArea_m2,
    ...(curve === undefined ? {} : { machFactor: curve }),
    ...(until === undefined ? {} : { until }),
  });
  const kind = Math.floor(between(0, 4));
  if (kind === 1) stages.push(stage('first seconds', between(0.3, 0.9), { after_s: between(3, 25) }));
  if (kind === 2) stages.push(stage('high', between(0.4, 0.9), { msl_m: between(0.5, 0.8) * height_m }));
  if (kind === 3 && height_m > 25_000) stages.push(stage('fast', between(0.4, 0.8), { machBelow: between(0.5, 0.7) }));
  stages.push(stage('fall', between(0.4, 1.2), { agl_m: between(800, 1800) }));
  const steering: Steering = [
    { policy: 'drift' as const },
    { policy: 'hold' as const, heading_deg: between(0, 360) },
    { policy: 'into wind' as const },
    { policy: 'to target' as const },
  ][Math.floor(between(0, 4))] ?? { policy: 'drift' };
  const mass_kg = between(80, 160);
  const body: Body = {
    mass_kg,
    stages,
    canopy: {
      referenceMass_kg: between(90, 130),
      fill_s: between(1.5, 5),
      settings: [{ name: 'full drive', airspeed_mps: between(6, 13), sink_mps: between(3.5, 6) }],
      steering,
    },
  };
  const target: [number, number] = [lon + between(-0.02, 0.02), lat + between(-0.02, 0.02)];
  const winds = [{ t_s: -600, levels: column() }];
  if (random.uniform() < 0.5) winds.push({ t_s: between(300, 3000), levels: column() });
  const velocity_mps = random.uniform() < 0.5 ? null : ([between(-60, 60), between(-60, 60), between(-3, 6)] as const);
  return {
    body,
    exit: { lon_deg: lon, lat_deg: lat, height_m, velocity_mps },
    winds,
    ground_m,
    roughness_m: between(0.01, 0.3),
    target,
  };
}

const START_S = 1_790_000_000;

/** The same mission for core/. */
export function scenarioFor(c: ReferenceCase): Scenario {
  const wind = WindField.ofColumns(
    c.winds.map(({ t_s, levels }, i) => ({
      source: `column ${i}`,
      time_s: START_S + t_s,
      levels: levels.map(([height_m, from_deg, speed_mps]) => ({ height_m, from_deg, speed_mps })),
    })),
  );
  return {
    world: {
      air: STANDARD,
      wind,
      ground: new Ground(c.ground_m),
      roughness_m: c.roughness_m,
      errors: backgroundErrors(),
      analysis: null,
    },
    body: compileBody(c.body, { target: c.target, surfaceFrom_deg: null }),
    exit: { ...c.exit, time_s: START_S },
  };
}
