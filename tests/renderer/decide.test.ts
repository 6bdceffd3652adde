// The tables of the decision as pure functions: a typed limit answers at once, units turn by their exact factors (NIST
// SP 811 §B.8), a weight re-ranks, edits of the plan keep what they do not name, and the line about the winds that
// decide says what the core found.
import { describe, expect, it } from 'vitest';
import { judgeLimit, defaultLimits, type Judged, type LimitName } from '../../core/advice/limits.ts';
import type { FitPart, ZoneFit } from '../../core/advice/zoneFit.ts';
import type { WindSensitivity } from '../../core/descent/sensitivity.ts';
import type { Mission } from '../../core/plan/schema.ts';
import { judgedNow, typedLimit } from '../../renderer/panels/Limits.tsx';
import { shareWords } from '../../renderer/panels/Spread.tsx';
import { rankedNow } from '../../renderer/panels/Zones.tsx';
import { defaultLimit, setLimit, setWindKnot } from '../../renderer/state/stored/decideEdits.ts';
import type { Units } from '../../core/words/numbers.ts';
import { barsOf, decidesWords, layerWords } from '../../renderer/winds/decides.ts';

const metric: Units = { length: 'm', speed: 'm/s', height: 'MSL', time: 'UTC' };
const knots: Units = { ...metric, speed: 'kt', length: 'ft' };

/** What the tables read of a mission. */
const missionWith = (parts: Pick<Mission, 'limits' | 'zoneWeights'>): Mission =>
  ({ jumper: { mass_kg: 100, stages: [], experience: 'licensed' }, ...parts }) as unknown as Mission;

const known = (name: LimitName, value: number): Judged => {
  const limit = defaultLimits('licensed').find((one) => one.name === name);
  if (limit === undefined) throw new Error(`no limit ${name}`);
  return judgeLimit(limit, { kind: 'known', value, how: 'by the test' });
};

describe('limits', () => {
  it('answer a new number at once with the value that is known', () => {
    const advised = [known('surfaceWind_mps', 5)];
    const stateAt = (limit: number): string | undefined =>
      judgedNow(missionWith({ limits: { surfaceWind_mps: limit } }), advised).find(
        (one) => one.limit.name === 'surfaceWind_mps',
      )?.state;
    expect(stateAt(8)).toBe('kept');
    // Closer than a tenth of the limit.
    expect(stateAt(5.4)).toBe('close');
    expect(stateAt(4.9)).toBe('broken');
    expect(judgedNow(missionWith({}), []).every((one) => one.state === 'not given')).toBe(true);
  });

  it('are typed in the switches’ units and kept in the plan’s', () => {
    const wind = typedLimit('m/s', knots);
    expect(wind.unit).toBe('kt');
    // 1 kt = 1852/3600 m/s.
    expect(wind.toPlan(18)).toBeCloseTo((18 * 1852) / 3600, 12);
    expect(wind.words((10 * 1852) / 3600)).toBe('10\u202fkt');
    expect(typedLimit('m/s', metric).words(8)).toBe('8.0\u202fm/s');
    const share = typedLimit('share', metric);
    expect(share.toPlan(80)).toBeCloseTo(0.8, 12);
    expect(share.words(0.8)).toBe('80\u202f%');
    expect(typedLimit('s', metric).toPlan(30)).toBe(1800);
    // 1 ft = 0.3048 m.
    expect(typedLimit('m', knots).toPlan(1000)).toBeCloseTo(304.8, 9);
    for (const unit of ['m/s', 'share', 's', 'g', 'm'] as const) {
      const { toPlan, fromPlan } = typedLimit(unit, knots);
      expect(toPlan(fromPlan(7.25))).toBeCloseTo(7.25, 9);
    }
  });

  it('keep their source and unknown keys when the number changes, and fall back to the default', () => {
    const plan = { limits: { gust_mps: { value: 9, source: 'show rules', ours: [1] }, other: 3 }, name: 'x' };
    expect(setLimit(plan, 'gust_mps', 7.5)).toEqual({
      ...plan,
      limits: { ...plan.limits, gust_mps: { value: 7.5, source: 'show rules', ours: [1] } },
    });
    expect(setLimit(plan, 'daylight_s', 3600)).toEqual({ ...plan, limits: { ...plan.limits, daylight_s: 3600 } });
    expect(defaultLimit(plan, 'gust_mps')).toEqual({ ...plan, limits: { other: 3 } });
  });
});

describe('zones', () => {
  const fit = (name: string, scores: Partial<Record<FitPart, number>>): ZoneFit =>
    ({
      zone: { name, polygon: [] },
      score: 0,
      parts: Object.entries(scores).map(([part, score]) => ({ part, score, weight: 1, reason: '' })),
    }) as unknown as ZoneFit;

  it('are ranked by the weights of the plan: the mean of the parts by weight', () => {
    const fits = [fit('near', { chance: 0.2, access: 1 }), fit('sure', { chance: 1, access: 0 })];
    const even = rankedNow(fits, { chance: 1, access: 1 });
    expect(even.map((one) => one.score)).toEqual([0.6, 0.5]);
    expect(even[0]?.zone.name).toBe('near');
    const sure = rankedNow(fits, { chance: 3, access: 1 });
    expect(sure[0]?.zone.name).toBe('sure');
    expect(sure[0]?.score).toBeCloseTo(0.75, 12);
    // No weight at all is not a fit, not a division by nothing.
    expect(rankedNow(fits, { chance: 0, access: 0 }).map((one) => one.score)).toEqual([0, 0]);
  });
});

describe('uncertainties', () => {
  it('are put into the plan one by one; a knot of the wind’s error is written with its neighbours', () => {
    const rows = [
      [0, 1.5],
      [10_000, 3],
    ] as const;
    expect(setWindKnot({ uncertainty: { mass_kg: 2 } }, 'std_mps', rows, 1, 2.5)).toEqual({
      uncertainty: {
        mass_kg: 2,
        wind: {
          std_mps: [
            [0, 1.5],
            [10_000, 2.5],
          ],
        },
      },
    });
  });

  it('say a share with the error of the sample', () => {
    expect(shareWords({ p: 0.925, error: 0.0026 })).toBe('92.5\u202f% ± 0.3');
    expect(shareWords({ p: NaN, error: NaN })).toBe('–');
  });
});

describe('the winds that decide', () => {
  /** The same K at every metre, points in the middle of 100 m. */
  const even = (from_m: number, to_m: number, perMetre: number): WindSensitivity => {
    const count = Math.round((from_m - to_m) / 100);
    const heights_m = Float64Array.from({ length: count }, (_, i) => from_m - 50 - 100 * i);
    const full = new Float64Array(count).fill(100 * perMetre);
    const none = new Float64Array(count);
    return { heights_m, ee: full, en: none, ne: none, nn: full };
  };
  /**
   * Errors of 1 m/s at nodes every 1000 m that do not hang together, but for those from `from_m` to `to_m`, which are
   * ten times as large.
   */
  const errorWith = (top_m: number, from_m: number, to_m: number) => {
    const n = top_m / 1000 + 1;
    const heights_m = Float64Array.from({ length: n }, (_, i) => 1000 * i);
    const factor = new Float64Array(n * n);
    heights_m.forEach((h, i) => (factor[i * n + i] = h >= from_m && h <= to_m ? 10 : 1));
    return { heights_m, meanU_mps: new Float64Array(n), meanV_mps: new Float64Array(n), factor };
  };

  it('are those with the large errors, in the switches’ units', () => {
    const k = even(20_000, 0, 0.01);
    const words = decidesWords(k, errorWith(20_000, 9000, 12_000), metric, 0);
    // Four nodes with 100 and seventeen with 1: three of the four have 300 of 417, 72 %. A node stands for 500 m to
    // each side.
    expect(words).toBe(
      'The winds from 8500\u202fm to 11\u202f500\u202fm MSL decide 72\u202f% of the spread that wind makes',
    );
    expect(decidesWords(k, errorWith(20_000, 9000, 12_000), knots, 0)).toContain('ft MSL');
  });

  it('are absent where all heights err alike', () => {
    expect(decidesWords(even(20_000, 0, 0.01), errorWith(20_000, 1, 0), metric, 0)).toBe(
      'Winds at all heights make the spread; no layer decides it',
    );
    const none = errorWith(20_000, 1, 0);
    expect(decidesWords(even(20_000, 0, 0.01), { ...none, factor: none.factor.map(() => 0) }, metric, 0)).toBeNull();
  });

  it('have one bar per layer: metres of landing for 1 m/s are K times the layer’s thickness', () => {
    const bars = barsOf(even(20_000, 0, 0.01), 0);
    expect(bars.length).toBe(40);
    for (const bar of bars) expect(bar.metresPerMps).toBeCloseTo(5, 9);
    expect(layerWords(bars, 12_250, metric)).toBe('1\u202fm/s more in these 500\u202fm moves the landing 5\u202fm.');
    expect(layerWords(bars, 21_000, metric)).toBeNull();
  });
});
