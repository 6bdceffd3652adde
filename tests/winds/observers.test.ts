// An observer who is wrong throughout: all reports of one balloon or mast given the same wrong way. Truths and errors
// here are drawn without core/winds: a wind with a shear, and normal errors with the sizes of the sources' table.
import { describe, expect, it } from 'vitest';
import { Random } from '../../core/base/random.ts';
import { windFrom, windVector } from '../../core/base/units.ts';
import type { LogEvent, ReportSource } from '../../core/log/events.ts';
import { missionAt } from '../../core/log/fold.ts';
import { assemble } from '../../core/mission/load.ts';
import { windsAt } from '../../core/mission/situation.ts';
import { mission as missionSchema } from '../../core/plan/schema.ts';
import type { WindsNow } from '../../core/winds/now.ts';

const T0 = Date.parse('2026-03-14T08:00:00Z') / 1000;
const iso = (s: number): string => new Date(Math.round(s) * 1000).toISOString();
const SITE = [141.5, -31.9] as const;
const HEIGHTS = Array.from({ length: 12 }, (_, i) => 500 + 500 * i);
const plan = missionSchema.parse({
  format: 'plumbline/mission',
  version: 1,
  name: 'observers',
  site: { name: 'Home', position: SITE, elevation_m: 120 },
  exit: { position: SITE, altitude_m: 8000, time: iso(T0) },
  jumper: { mass_kg: 100, stages: [{ name: 'freefall', dragArea_m2: 0.8 }] },
  winds: {
    forecast: [
      {
        source: 'model',
        validTime: iso(T0),
        levels: [120, 2000, 4000, 8000].map((height_m) => ({ height_m, from_deg: 240, speed_mps: 8 })),
      },
    ],
  },
});
const { world } = assemble(plan, { windSources: [], terrain: null });
let seq = 0;
const report = (
  source: ReportSource,
  by: string,
  change: Partial<Extract<LogEvent, { kind: 'wind-report' }>>,
): LogEvent => {
  seq += 1;
  return {
    seq,
    at: iso(T0 - 600),
    kind: 'wind-report',
    id: `w${seq}`,
    source,
    by,
    observedAt: iso(T0 - 900),
    position: SITE,
    from_deg: 240,
    speed_mps: 8,
    ...change,
  };
};
const now = (log: readonly LogEvent[]): WindsNow => windsAt(plan, missionAt(plan, log, T0 - 300), world);

describe('an observer who is wrong throughout', () => {
  it('a balloon of twelve levels saying 060/8 where the forecast says 240/8 is asked about once, and none counts', () => {
    const log = HEIGHTS.map((height_m, i) =>
      report('pilot-balloon', 'Balloon 1', { height_m, from_deg: 60, observedAt: iso(T0 - 3600 + 100 * i) }),
    );
    const { held, used, questions } = now(log);
    expect(held).toHaveLength(12);
    expect(used.size).toBe(0);
    expect(questions).toHaveLength(1);
    expect(questions[0]?.ids).toHaveLength(12);
    expect(questions[0]?.sentence).toMatch(/^All 12 levels of Balloon 1 look given TOWARD/);
  });

  it('a mast saying 060/10 five times is held, and the good reports of others are not', () => {
    const mast = Array.from({ length: 5 }, (_, i) =>
      report('station', 'Mast', { agl_m: 10, from_deg: 60, speed_mps: 10, observedAt: iso(T0 - 600 - 1200 * i) }),
    );
    const crew = [
      report('crew', 'Team 1', { agl_m: 2, speed_mps: 6 }),
      report('smoke', 'Team 2', { agl_m: 5, speed_mps: 6 }),
    ];
    const { held, questions } = now([...mast, ...crew]);
    expect(held.map((one) => one.report.event.by)).toEqual(Array.from({ length: 5 }, () => 'Mast'));
    expect(questions[0]?.sentence).toMatch(/^All 5 reports of Mast look given TOWARD/);
    expect(questions[0]?.surface).toBe(true);
  });

  it.each([
    ['from a height on', (i: number) => i >= 24],
    ['up to a height', (i: number) => i < 12],
  ])('a balloon given TOWARD %s is asked about once, and the rest of it counts', (_, isTurned) => {
    const log = Array.from({ length: 36 }, (_unused, i) =>
      report('pilot-balloon', 'Balloon 1', {
        height_m: 400 + 200 * i,
        from_deg: isTurned(i) ? 60 : 240,
        observedAt: iso(T0 - 5000 + 40 * i),
      }),
    );
    const wrong = log.flatMap((event, i) => (event.kind === 'wind-report' && isTurned(i) ? [event.id] : []));
    const { held, used, questions } = now(log);
    expect(held.map((one) => one.report.id).toSorted()).toEqual(wrong.toSorted());
    expect(used.size).toBe(24);
    expect(questions).toHaveLength(1);
    expect(questions[0]?.sentence).toMatch(/^12 of 36 levels of Balloon 1 look given TOWARD/);
  });

  it('that a person confirmed is believed', () => {
    const log = HEIGHTS.map((height_m) => report('pilot-balloon', 'Balloon 1', { height_m, from_deg: 60 }));
    const confirmed = log.map((event): LogEvent => {
      seq += 1;
      return { seq, at: iso(T0 - 500), kind: 'confirmation', of: event.kind === 'wind-report' ? event.id : '' };
    });
    const { held, used } = now([...log, ...confirmed]);
    expect(held).toEqual([]);
    expect(used.size).toBe(12);
  });

  const TRIALS = 100;
  const drawn = (kind: 'good' | 'reversed' | 'feet' | 'knots', seed: number): LogEvent[] => {
    const random = new Random(11, seed);
    const off = 1.5;
    const [bu, bv] = [off * random.normal(), off * random.normal()];
    const wind = (z: number): [number, number] => {
      const [u, v] = windVector(240, 8);
      const wave = Math.sin(z / 900 + seed);
      return [u + bu + wave, v + bv - wave];
    };
    const said = (z: number, std: number, wrong: boolean) => {
      const [u, v] = wind(z);
      const { from_deg, speed_mps } = windFrom(u + std * random.normal(), v + std * random.normal());
      const turned = wrong && kind === 'reversed' ? (from_deg + 180) % 360 : from_deg;
      return {
        from_deg: 10 * Math.round(turned / 10),
        speed_mps: wrong && kind === 'knots' ? speed_mps / 0.514 : speed_mps,
      };
    };
    const balloon = HEIGHTS.map((z, i) =>
      report('pilot-balloon', 'Balloon 1', {
        height_m: z,
        observedAt: iso(T0 - 3600 + 100 * i),
        ...said(z, 1.2, true),
      }),
    );
    const crew = [1, 2, 3].map((i) =>
      report('crew', `Team ${i}`, { agl_m: 10, observedAt: iso(T0 - 1200 * i), ...said(130, 1.5, false) }),
    );
    return [...balloon, ...crew];
  };
  it.each([
    ['good', 0, 0.01],
    ['reversed', 0.95, 1],
    // A wind weaker than forecast, and doubled, looks like the forecast: nobody can tell those.
    ['knots', 0.85, 1],
  ] as const)(
    '%s: the balloon is held in %d to %d of 100 trials, and of the good reports at most 1',
    (kind, least, most) => {
      let balloons = 0;
      let good = 0;
      let alarms = 0;
      for (let seed = 0; seed < TRIALS; seed++) {
        const { held } = now(drawn(kind, seed));
        const ofBalloon = held.filter((one) => one.report.event.by === 'Balloon 1').length;
        if (ofBalloon > 6) balloons += 1;
        alarms += held.length - ofBalloon + (kind === 'good' ? ofBalloon : 0);
        good += kind === 'good' ? 15 : 3;
      }
      expect(balloons / TRIALS).toBeGreaterThanOrEqual(least);
      expect(balloons / TRIALS).toBeLessThanOrEqual(most);
      expect(alarms / good).toBeLessThanOrEqual(0.01);
    },
  );
});
