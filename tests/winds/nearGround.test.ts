// The wind below the lowest level (MODEL.md §3) against the ratios of confidence.md §5 (C: neutral logarithmic law),
// and what lies in the ground.
import { describe, expect, it } from 'vitest';
import { shareBelow } from '../../core/winds/nearGround.ts';
import { assemble } from '../../core/mission/load.ts';
import { windsOf } from '../../core/mission/winds.ts';
import { predict } from '../../core/descent/predict.ts';
import { scenarioOf, surfaceWind } from '../../core/descent/scenario.ts';
import { mission as missionSchema, type Mission } from '../../core/plan/schema.ts';

const SITE = [141.5, -31.9] as const;
const EXIT = '2026-03-14T08:00:00Z';
const missionWith = (levels: readonly (readonly [height_m: number, speed_mps: number])[], elevation_m = 200): Mission =>
  missionSchema.parse({
    format: 'plumbline/mission',
    version: 1,
    name: 'near the ground',
    site: { name: 'Home', position: SITE, elevation_m },
    exit: { position: SITE, altitude_m: 4000, time: EXIT },
    jumper: {
      mass_kg: 100,
      stages: [{ name: 'freefall', dragArea_m2: 0.8, until: { agl_m: 1500 } }],
      canopy: { referenceMass_kg: 100, fill_s: 3, settings: [{ name: 'full', airspeed_mps: 10, sink_mps: 5 }] },
    },
    winds: {
      forecast: [
        {
          source: 'model',
          validTime: EXIT,
          levels: levels.map(([height_m, speed_mps]) => ({ height_m, from_deg: 240, speed_mps })),
        },
      ],
    },
  });
const worldOf = (mission: Mission) => assemble(mission, { windSources: [], terrain: null }).world;
const surfaceOf = (mission: Mission) => surfaceWind(worldOf(mission), SITE, Date.parse(EXIT) / 1000);

describe('below the lowest level', () => {
  it('the wind follows the logarithmic profile from 200 m or less', () => {
    // U10/U100 by Davenport's classes: sea, smooth, open, roughly open, rough, very rough.
    for (const [z0, ratio] of [
      [0.0002, 0.82],
      [0.005, 0.77],
      [0.03, 0.72],
      [0.1, 0.67],
      [0.25, 0.62],
      [0.5, 0.57],
    ] as const)
      expect(shareBelow(10, 100, z0), `z0 ${z0}`).toBeCloseTo(ratio, 1.7);
    expect(shareBelow(100, 100, 0.03)).toBe(1);
    expect(shareBelow(300, 100, 0.03)).toBe(1);
  });

  it('and a power law of 1/7 down to 200 m from a higher one', () => {
    expect(shareBelow(450, 900, 0.03)).toBeCloseTo(0.5 ** (1 / 7), 12);
    expect(shareBelow(10, 900, 0.03)).toBeCloseTo(
      (200 / 900) ** (1 / 7) * (Math.log(10 / 0.03) / Math.log(200 / 0.03)),
      12,
    );
  });

  it('a forecast from 900 m on no longer gives its whole wind to the ground', () => {
    // 10 m/s at 900 m: the profile leaves 5.3; held down it was 10, a false NO-GO (true there: 5.2).
    const wind = surfaceOf(
      missionWith([
        [1100, 10],
        [5000, 15],
      ]),
    );
    expect(wind.from_deg).toBeCloseTo(240, 6);
    expect(wind.speed_mps).toBeCloseTo(10 * shareBelow(10, 900, 0.03), 6);
    expect(wind.speed_mps).toBeGreaterThan(5);
    expect(wind.speed_mps).toBeLessThan(5.6);
  });

  it('is said as extrapolated with its error, from 11 m above ground on', () => {
    const warned = (bottom_m: number): string[] => {
      const mission = missionWith([
        [bottom_m, 6],
        [5000, 15],
      ]);
      return predict(scenarioOf(mission, worldOf(mission))).warnings.filter((one) => one.includes('brought down'));
    };
    expect(warned(210)).toEqual([]);
    expect(warned(212)).toHaveLength(1);
    expect(warned(240)).toHaveLength(1);
    // 300 m above ground: 2.0 m/s with 5 m/s aloft, here 6 (confidence.md §5).
    expect(warned(500)[0]).toContain('2.4\u202fm/s off');
  });

  it('has a larger error than the level it comes from', () => {
    const mission = missionWith([
      [1100, 5],
      [5000, 15],
    ]);
    const { errors } = worldOf(mission);
    const at_s = Date.parse(EXIT) / 1000;
    // 1.6 of the forecast at the ground, and 2.8 of the profile from 900 m.
    expect(errors.std_mps(210, at_s)).toBeCloseTo(Math.hypot(1.6, 2.8), 6);
    expect(errors.std_mps(1100, at_s)).toBeCloseTo(1.6, 6);
  });
});

describe('what lies in the ground', () => {
  it('is no wind: the level is left out and that is said', () => {
    const mission = missionWith([
      [-73, 25],
      [210, 4],
      [5000, 15],
    ]);
    expect(surfaceOf(mission).speed_mps).toBeCloseTo(4, 9);
    const { problems } = windsOf(mission, []);
    expect(problems.join(' ')).toContain('A level of "model" lies below the site\'s ground');
  });

  it('a column all in the ground leaves no wind, not a wind of its own', () => {
    const mission = missionWith([
      [-73, 25],
      [100, 12],
    ]);
    const { wind, problems } = windsOf(mission, []);
    expect(wind.isAssumedCalm).toBe(true);
    expect(problems.join(' ')).toContain('2 levels of "model" lie below');
  });
});
