// The winds of a mission at a moment, from the lines of a log: what counts, what is held, what is said. How long it
// takes: `npm run bench`.
import { backgroundErrors } from '../../core/winds/errors.ts';
import { describe, expect, it } from 'vitest';
import { readLog } from '../../core/log/read.ts';
import { missionAt } from '../../core/log/fold.ts';
import { mission as missionSchema } from '../../core/plan/schema.ts';
import type { LogEvent, WindReport } from '../../core/log/events.ts';
import { Random } from '../../core/base/random.ts';
import { windFrom, windVector, type LonLat } from '../../core/base/units.ts';
import { windsNow, type WindsNow } from '../../core/winds/now.ts';
import { manyReports, trueWind } from './manyReports.ts';

const site: LonLat = [141.5, -31.9];
const plan = missionSchema.parse({
  format: 'plumbline/mission',
  version: 1,
  name: 'test',
  site: { name: 'Home', position: site, elevation_m: 120 },
  exit: { position: site, altitude_m: 36_000, time: '2026-03-14T08:00:00Z' },
  jumper: { mass_kg: 118, stages: [{ name: 'freefall', dragArea_m2: 0.8 }] },
  teams: [{ name: 'Team 2', kind: 'vehicle', position: [141.55, -31.95], speed_mps: 15 }],
});
const T0 = Date.parse('2026-03-14T06:00:00Z') / 1000;
const iso = (s: number): string => new Date((T0 + s) * 1000).toISOString();
const report = (seq: number, change: Partial<WindReport> = {}): WindReport => ({
  seq,
  at: iso(seq * 60),
  kind: 'wind-report',
  id: `w${seq}`,
  source: 'crew',
  by: 'Team 2',
  observedAt: iso(seq * 60),
  agl_m: 2,
  from_deg: 90,
  speed_mps: 5,
  ...change,
});
const winds = (log: readonly LogEvent[], at_s = T0 + 3600, forecast = true): WindsNow =>
  windsNow({
    mission: plan,
    errors: backgroundErrors({ calm: !forecast, ground_m: plan.site.elevation_m }),
    top_m: plan.exit.altitude_m + 1000,
    state: missionAt(plan, log, at_s),
    background: forecast ? (z) => windVector(90, 7 + z / 2000) : null,
    valid_s: at_s + 600,
    declination_deg: 8,
  });

describe('the winds now', () => {
  it('without reports are the forecast, and say so', () => {
    const now = winds([]);
    expect(now.analysis.increment.u_mps.every((u) => u === 0)).toBe(true);
    expect(now.sentences).toEqual([
      'No report counts: the winds are the forecast alone.',
      'No surface wind has been reported.',
    ]);
    expect(winds([], T0, false).sentences[0]).toContain('No forecast');
    expect(winds([], T0, false).analysis.std_mps[0]).toBeGreaterThan(4);
  });

  it('a crew’s wind from 2 m counts at 10 m: 5 m/s there agree with a forecast of 7 m/s, and change little', () => {
    // 5 m/s × ln(10/0.03)/ln(2/0.03) = 6.916 m/s against 7.065 at 130 m.
    const now = winds([report(1)]);
    expect([...now.used]).toEqual(['w1']);
    expect(Math.abs(now.analysis.increment.u_mps[0] ?? NaN)).toBeLessThan(0.1);
    expect(now.newestSurface).toMatchObject({ report: { id: 'w1' }, age_s: 3540 });
    expect(now.sentences).toEqual(['The newest surface wind is 59\u202fmin old.']);
  });

  it('a reversed report changes nothing until it is confirmed or corrected', () => {
    const reversed = report(2, { from_deg: 272, speed_mps: 6, observedAt: iso(1800), at: iso(1800) });
    const held = winds([report(1), reversed]);
    expect(held.held.map((one) => [one.report.id, one.kind, one.suggested])).toEqual([
      ['w2', 'from and toward', { from_deg: 92 }],
    ]);
    expect(held.held[0]?.sentence).toContain('looks like a wind given TOWARD instead of FROM');
    expect([...held.used]).toEqual(['w1']);
    expect(held.logRatios.get('w2')).toBeGreaterThan(2.7);
    expect(held.logRatios.get('w1')).toBeLessThan(0);
    const alone = winds([report(1)]);
    expect(Array.from(held.analysis.increment.u_mps)).toEqual(Array.from(alone.analysis.increment.u_mps));
    const confirmed = winds([
      report(1),
      reversed,
      { seq: 3, at: iso(1900), kind: 'confirmation', of: 'w2', by: 'Lead' },
    ]);
    expect([...confirmed.used].toSorted()).toEqual(['w1', 'w2']);
    const corrected = winds([
      report(1),
      reversed,
      { ...reversed, kind: 'correction', seq: 3, id: 'w3', corrects: 'w2', from_deg: 92 },
    ]);
    expect([...corrected.used].toSorted()).toEqual(['w1', 'w3']);
    expect(corrected.held).toEqual([]);
  });

  it('two reports of one place and time that contradict each other are shown side by side', () => {
    const other = report(2, {
      from_deg: 180,
      speed_mps: 8,
      by: 'Lead',
      position: [141.55, -31.95],
      observedAt: iso(100),
    });
    const now = winds([report(1, { from_deg: 20, speed_mps: 8 }), other]);
    expect(now.contradictions[0]?.reports.map((one) => one.id)).toEqual(['w1', 'w2']);
    expect(now.contradictions[0]?.sentence).toContain('so at most one of them is right');
  });

  it('of the same log at the same moment are the same bytes, however often they are asked', () => {
    const random = new Random(3);
    const log = Array.from({ length: 60 }, (_, i) => {
      const height_m = 200 + 15_000 * random.uniform();
      const [u, v] = windVector(90, 7 + height_m / 2000);
      return report(i, {
        source: 'pilot-balloon',
        by: `b${i % 5}`,
        height_m,
        agl_m: undefined,
        ...windFrom(u + random.normal(), v + random.normal()),
      });
    });
    const a = winds(log, T0 + 5000).analysis;
    const b = winds(readLog(log.map((event) => `${JSON.stringify(event)}\n`).join('')).value, T0 + 5000).analysis;
    expect(b.covariance).toEqual(a.covariance);
    expect(b.increment).toEqual(a.increment);
    expect(a.observations.length).toBeGreaterThan(40);
  });

  it('of a log that was analysed before, over other ground, are those of the same log read again', () => {
    const log = Array.from({ length: 30 }, (_, i) =>
      report(i, { speed_mps: 3 + (i % 4), position: [141.5 + 0.01 * (i % 3), -31.9] }),
    );
    const over = (events: readonly LogEvent[], ground_m: number, roughness_m: number): WindsNow => {
      const mission = { ...plan, site: { ...plan.site, roughness_m } };
      const state = missionAt(mission, events, T0 + 3600);
      return windsNow({
        mission,
        errors: backgroundErrors({ ground_m: mission.site.elevation_m }),
        top_m: mission.exit.altitude_m + 1000,
        state,
        background: trueWind,
        valid_s: T0 + 4000,
        groundAt: () => ground_m,
        declination_deg: 8,
      });
    };
    const grounds = [
      [120, 0.03],
      [150, 0.03],
      [150, 0.3],
    ] as const;
    const speeds = grounds.map(([ground_m, roughness_m]) => {
      const again = over(log, ground_m, roughness_m).analysis;
      const fresh = over(structuredClone(log), ground_m, roughness_m).analysis;
      expect(again.observations).toEqual(fresh.observations);
      expect(again.u_mps).toEqual(fresh.u_mps);
      return again.u_mps[0];
    });
    expect(new Set(speeds).size).toBe(3);
  });

  it('with 10 000 reports in the log count what is left out, and hold what is reversed', () => {
    const { log, reversed } = manyReports(10_000, T0);
    const state = missionAt(plan, log, T0 + 30_500);
    expect(state.counting).toHaveLength(10_000);
    const now = windsNow({
      mission: plan,
      errors: backgroundErrors({ ground_m: plan.site.elevation_m }),
      top_m: plan.exit.altitude_m + 1000,
      state,
      background: trueWind,
      valid_s: T0 + 31_000,
      declination_deg: 8,
    });
    expect(reversed).toBeGreaterThan(70);
    expect(now.leftOut).toBeGreaterThan(500);
    expect(now.used.size + now.held.length).toBeGreaterThan(192);
    for (const one of now.held) expect(one.kind).toBe('from and toward');
    expect(now.sentences.some((one) => one.includes('older readings add nothing'))).toBe(true);
  });
});
