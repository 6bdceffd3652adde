// Winds at the door: a file from far away, of other days, without a date or of several stations waits for a person.
import { describe, expect, it } from 'vitest';
import type { DecodedWinds } from '../../core/air/levels.ts';
import { atTheDoor } from '../../core/mission/door.ts';
import { windsOf } from '../../core/mission/winds.ts';
import { type WindSource } from '../../core/mission/windSource.ts';
import { mission as missionSchema, type Mission } from '../../core/plan/schema.ts';

const SITE = [22.4, -30.1] as const;
const planOf = (change: object = {}): Mission =>
  missionSchema.parse({
    format: 'plumbline/mission',
    version: 1,
    name: 'door',
    site: { name: 'Pan', position: SITE, elevation_m: 900 },
    exit: { position: SITE, altitude_m: 20_000, time: '2027-04-14T07:42:00Z' },
    jumper: { mass_kg: 100, stages: [{ name: 'freefall', dragArea_m2: 0.8 }] },
    ...change,
  });
const profile = (change: Partial<DecodedWinds> = {}): DecodedWinds => ({
  source: 'XAA',
  validTime: '2027-04-14T00:00:00Z',
  position: [22.5, -30.2],
  problems: [],
  levels: [1000, 20_000].map((height_m) => ({
    height_m,
    pressure_Pa: null,
    from_deg: 270,
    speed_mps: 20,
    temperature_K: null,
  })),
  ...change,
});
const file = (...decoded: DecodedWinds[]): WindSource => ({ file: 'winds/a.txt', decoded, grids: [], problems: [] });
const because = (source: WindSource, plan = planOf()): string => atTheDoor(plan, source).because.join('; ');

describe('a wind file at the door', () => {
  it('of the place and the day comes in', () => {
    const found = atTheDoor(planOf(), file(profile()));
    expect(found).toMatchObject({ comesIn: true, because: [], taken: null });
    expect(found.profiles[0]).toMatchObject({ levels: 2, top_m: 20_000, age_s: 7.7 * 3600 });
    expect(found.profiles[0]?.distance_m).toBeLessThan(16_000);
    expect(windsOf(planOf(), [file(profile())]).wind.isAssumedCalm).toBe(false);
  });

  it('from 8 700 km away is kept out and moves nothing', () => {
    const far = file(profile({ position: [-97.4, 35.2] }));
    expect(because(far)).toMatch(/from 1\d\u202f\d{3}\u202fkm away; the limit is 150\u202fkm/);
    const { wind, problems } = windsOf(planOf(), [far]);
    expect(wind.isAssumedCalm).toBe(true);
    expect(problems.join(' ')).toContain('winds/a.txt is kept out');
  });

  it('of another year is kept out, with its day said', () => {
    const old = file(profile({ validTime: '2023-02-23T12:00:00Z' }));
    expect(because(old)).toContain('valid on 23 Feb 2023 at 12:00:00Z');
    expect(windsOf(planOf(), [old]).wind.isAssumedCalm).toBe(true);
  });

  it('without a date is asked about, never taken as valid at the exit', () => {
    expect(because(file(profile({ validTime: null })))).toContain('it says no date');
    expect(windsOf(planOf(), [file(profile({ validTime: null }))]).wind.isAssumedCalm).toBe(true);
  });

  it('of several stations asks which, the nearest first, until the plan names one', () => {
    const two = file(profile({ source: 'XBB', position: [23.4, -30.1] }), profile({ source: 'XAA' }));
    expect(because(two)).toMatch(/holds 2 stations .* which one: XAA \(\d+\u202fkm\), XBB \(\d+\u202fkm\)\?/);
    expect(because(two, planOf({ winds: { station: 'xbb' } }))).toBe('');
  });

  it('comes in when a person takes it with a reason, and within limits of the mission’s own', () => {
    const far = file(profile({ position: [24.4, -30.1] }));
    expect(because(far)).toContain('\u202fkm away');
    const taken = planOf({ winds: { taken: [{ file: 'winds/a.txt', reason: 'the only ascent upwind' }] } });
    expect(atTheDoor(taken, far)).toMatchObject({ comesIn: true, taken: 'the only ascent upwind' });
    expect(windsOf(taken, [far]).wind.isAssumedCalm).toBe(false);
    expect(because(far, planOf({ limits: { windsDistance_m: 300_000 } }))).toBe('');
  });
});
