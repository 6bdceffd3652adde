// The winds by height as a table: against the wind that the physics samples and the error that the analysis leaves,
// asked at each height by itself, and against the log's own times. Foot: NIST SP 811, exactly 0.3048 m.
import { beforeAll, describe, expect, it } from 'vitest';
import { RAD_PER_DEG, windFrom } from '../../core/base/units.ts';
import type { Situation } from '../../core/mission/situation.ts';
import { evaluate, incrementAt, pointsOf } from '../../core/winds/analysis.ts';
import { WindSampler } from '../../core/winds/field.ts';
import { THIN, type Units } from '../../core/words/numbers.ts';
import { reportTableOf } from '../../renderer/state/derived/reports.ts';
import { profileOf } from '../../renderer/state/derived/winds.ts';
import { errorsAt } from '../../renderer/winds/reportData.ts';
import { agedReports, errorAt, tableHeights, windRows } from '../../renderer/winds/tableRows.ts';
import { demo } from '../demo.ts';

const METRIC: Units = { length: 'm', speed: 'm/s', height: 'MSL', time: 'UTC' };

let situation: Situation;
beforeAll(async () => {
  ({ situation } = await demo('salt-plain'));
});

describe('the heights of the wind table', () => {
  it('are the top, the multiples above the sea or above the ground, and the ground', () => {
    expect(tableHeights(951, 3000, 1000, METRIC)).toEqual([3000, 2000, 1000, 951]);
    expect(tableHeights(951, 3200, 1000, { ...METRIC, height: 'AGL' })).toEqual([3200, 2951, 1951, 951]);
    const feet = tableHeights(0, 3000, 3000 * 0.3048, { ...METRIC, length: 'ft' });
    expect(feet).toEqual([3000, 3 * 914.4, 2 * 914.4, 914.4, 0].map((height_m) => expect.closeTo(height_m, 9)));
  });
});

describe('a row of the wind table', () => {
  const shown = () => {
    const { mission, world, state } = situation;
    const time_s = Date.parse(mission.exit.time) / 1000;
    const top_m = mission.exit.altitude_m;
    const ground_m = mission.site.elevation_m;
    const winds = {
      time_s,
      profile: profileOf(mission, world, top_m, { time_s }),
      errors: errorsAt(mission, world, time_s, top_m),
    };
    const ages = agedReports(situation, reportTableOf(situation), time_s);
    return { winds, ground_m, top_m, step: 'coarse', units: METRIC, ages, mission, world, state, time_s } as const;
  };

  it('says the wind that the physics samples there, and the error that the analysis leaves there', () => {
    const of = shown();
    const { world, mission, time_s, winds } = of;
    const { analysis } = world;
    if (analysis === null) throw new Error('the demo has reports');
    const [lon, lat] = mission.site.position;
    const sampler = new WindSampler(world.wind);
    sampler.start(time_s, incrementAt(analysis, mission.site.position, time_s));
    const rows = windRows(of);
    expect(rows.length).toBe(40);
    for (const row of rows) {
      sampler.sample(lat * RAD_PER_DEG, lon * RAD_PER_DEG, row.height_m, 0);
      const { from_deg, speed_mps } = windFrom(sampler.out[0] ?? NaN, sampler.out[1] ?? NaN);
      // The profile is drawn straight between points some 300 m apart: within a quarter of a metre a second, as two
      // winds that nobody tells apart, and the direction within what that is at this speed, with half a degree of
      // rounding.
      expect(Math.abs(Number.parseFloat(row.speed) - speed_mps)).toBeLessThan(0.3);
      const off_deg = Math.abs(((Number.parseFloat(row.from) - from_deg + 540) % 360) - 180);
      expect(off_deg).toBeLessThan(0.5 + (0.25 / speed_mps) * 57.3);
      const at = pointsOf([{ height_m: row.height_m, time_s, position: mission.site.position }], analysis.errors);
      const std_mps = Math.sqrt(evaluate(analysis.solved, at).covariance[0] ?? NaN);
      expect(errorAt(winds.errors, row.height_m) / std_mps).toBeCloseTo(1, 1);
    }
  });

  it('says how old the report is that weighs most, and the forecast where none does', () => {
    const of = shown();
    const rows = windRows(of);
    const newest = [...of.state.reports].sort((a, b) => b.observed_s - a.observed_s)[0];
    const minutes = Math.round((of.state.at_s - (newest?.observed_s ?? NaN)) / 60);
    expect(rows.at(-1)?.age).toBe(`${minutes}${THIN}min, ${newest?.id}`);
    expect(rows[0]?.age).toBe('forecast');
  });

  it('is the same wind in other units', () => {
    const of = shown();
    const metric = windRows({ ...of, step: 'fine' });
    const knots = windRows({ ...of, step: 'fine', units: { ...METRIC, speed: 'kt' } });
    metric.forEach((row, i) => {
      // One knot is 1852 m in 3600 s.
      expect(
        Math.abs(Number.parseFloat(row.speed) - (Number.parseFloat(knots[i]?.speed ?? '') * 1852) / 3600),
      ).toBeLessThan(0.31);
      expect(knots[i]?.from).toBe(row.from);
    });
  });
});
