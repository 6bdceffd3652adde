// Reports that look wrong. Truth: winds drawn from the very error model (MODEL.md §8), reports with their errors, one
// mistake each. The rates follow from theory: of a likelihood ratio test with threshold T between w and −w about a
// prediction p with error S, a good report is held with probability Φ(−(p/S + T S/2p)), a reversed one with Φ(p/S − T
// S/2p) (Neyman and Pearson 1933).
import { describe, expect, it } from 'vitest';
import { fc } from '../property.ts';
import { contradictions } from '../../core/winds/contradiction.ts';
import { backgroundErrors } from '../../core/winds/errors.ts';
import type { Observation } from '../../core/winds/analysis.ts';
import { analyse } from '../../core/winds/analysis.ts';
import { judge, REVERSAL_LOG_RATIO, type JudgeInput } from '../../core/winds/reversal.ts';
import { suggestedFields, suspicionSentence } from '../../core/winds/suspect.ts';
import type { WindReport } from '../../core/log/events.ts';
import { Random } from '../../core/base/random.ts';
import { windVector, type LonLat } from '../../core/base/units.ts';

const errors = backgroundErrors();
const site: LonLat = [141.5, -31.9];
const base: Omit<JudgeInput, 'observations'> = {
  background: (z) => windVector(90 + z / 200, 6 + z / 800),
  errors,
  site,
  siteElevation_m: 400,
  valid_s: 0,
  confirmed: new Set(),
  declination_deg: 12,
};
let next = 0;
function observed(height_m: number, from_deg: number, speed_mps: number, more: Partial<Observation> = {}): Observation {
  const [u_mps, v_mps] = windVector(from_deg, speed_mps);
  next += 1;
  return {
    id: `w${next}`,
    observer: `o${next}`,
    time_s: -600,
    position: site,
    height_m,
    u_mps,
    v_mps,
    std_mps: 1,
    ...more,
  };
}

describe('a report that looks wrong', () => {
  it.each([
    ['reversed', observed(5000, 295, 12.25), 'from and toward'],
    ['knots entered as m/s', observed(5000, 115, 12.25 / 0.514444), 'knots for m/s'],
    ['m/s entered as knots', observed(9000, 135, 17.25 * 0.514444), 'm/s for knots'],
    ['magnetic entered as true', observed(30_000, 240 - 12, 43.5, { std_mps: 0.5 }), 'magnetic for true'],
    ['of no meaning', observed(5000, 205, 40), 'misfit'],
  ] as const)('%s is held back as what it is', (_, observation, kind) => {
    // For the declination to show at all, the forecast must be good: a tenth of its usual error.
    const good = backgroundErrors({ wind: { std_mps: [[0, 0.8]] } });
    const { held, samples } = judge({ ...base, errors: good, observations: [observation] });
    expect(held.map((one) => one.kind)).toEqual([kind]);
    expect(samples).toEqual([]);
  });

  it('feet entered as metres, and above sea level for above ground, are told by the wind at the other height', () => {
    const good = backgroundErrors({ wind: { std_mps: [[0, 0.5]] } });
    const turning: JudgeInput['background'] = (z) => windVector(90 + z / 20, 10);
    const feet = judge({
      ...base,
      errors: good,
      background: turning,
      observations: [observed(5000, 90 + 1524 / 20, 10)],
    });
    expect(feet.held[0]?.kind).toBe('feet for metres');
    const agl = judge({
      ...base,
      errors: good,
      background: turning,
      observations: [observed(1600, 90 + 2000 / 20, 10, { std_mps: 0.4 })],
    });
    expect(agl.held[0]?.kind).toBe('AGL for MSL');
  });

  it('a good report is left alone, and a confirmed one counts whatever it looks like', () => {
    const reversed = observed(5000, 295, 12.25);
    expect(judge({ ...base, observations: [observed(5000, 118, 11.5), observed(9000, 130, 18)] }).held).toEqual([]);
    const confirmed = judge({ ...base, observations: [reversed], confirmed: new Set([reversed.id]) });
    expect(confirmed.held).toEqual([]);
    expect(confirmed.samples.flat()).toEqual([reversed]);
  });

  it('the one of three that is reversed is held, not the two that agree, even against the forecast', () => {
    const calm: JudgeInput['background'] = () => [0, 0];
    const two = [observed(600, 90, 9), observed(600, 95, 8.5)];
    const reversed = observed(600, 271, 9);
    const { held } = judge({
      ...base,
      background: calm,
      errors: backgroundErrors({ wind: { std_mps: [[0, 6]] } }),
      observations: [...two, reversed],
    });
    expect(held.map((one) => one.id)).toEqual([reversed.id]);
    expect(held[0]?.others).toBe(2);
  });

  it('a reversed reading among good ones of the same crew within minutes is held alone', () => {
    const crew = [0, 120, 240].map((s, i) => observed(500, i === 1 ? 272 : 92, 8, { observer: 'crew', time_s: -s }));
    const { held, samples } = judge({ ...base, observations: crew });
    expect(held.map((one) => one.id)).toEqual([crew[1]?.id]);
    expect(samples.flat()).toHaveLength(2);
  });

  it('is the same in any order of the reports', () => {
    const random = new Random(8);
    const list = Array.from({ length: 30 }, () => {
      const height_m = 400 + 9000 * random.uniform();
      return observed(
        height_m,
        90 + height_m / 200 + (random.uniform() < 0.2 ? 180 : 0),
        6 + height_m / 800 + random.normal(),
        {
          time_s: -7200 * random.uniform(),
        },
      );
    });
    const first = judge({ ...base, observations: list });
    expect(first.held.length).toBeGreaterThan(2);
    fc.assert(
      fc.property(fc.shuffledSubarray(list, { minLength: list.length }), (shuffled) => {
        expect(judge({ ...base, observations: shuffled })).toEqual(first);
      }),
      { numRuns: 20 },
    );
  });

  it('judges by what the others say without it: the leave-one-out analysis', () => {
    const observations = [observed(500, 100, 7), observed(900, 100, 8, { time_s: -1800 }), observed(700, 275, 7.5)];
    const { held } = judge({ ...base, observations });
    expect(held).toHaveLength(1);
    const without = analyse({
      ...base,
      nodes_m: Float64Array.from([700]),
      valid_s: -600,
      observations: observations.slice(0, 2),
    });
    expect(held[0]?.expected.speed_mps).toBeCloseTo(Math.hypot(without.u_mps[0] ?? NaN, without.v_mps[0] ?? NaN), 9);
    expect(held[0]?.expected.std_mps).toBeCloseTo(without.std_mps[0] ?? NaN, 9);
  });

  /** Φ by Abramowitz and Stegun 7.1.26, good to 1.5e-7. */
  const phi = (x: number): number => {
    const t = 1 / (1 + 0.3275911 * (Math.abs(x) / Math.SQRT2));
    const tail =
      t *
      (0.254829592 + t * (-0.284496736 + t * (1.421413741 + t * (-1.453152027 + t * 1.061405429)))) *
      Math.exp((-x * x) / 2);
    return x >= 0 ? 1 - tail / 2 : tail / 2;
  };

  it.each([3, 4, 6, 9])(
    'holds reversed and good reports as often as theory says, for a wind of %s m/s known to ±2.1 m/s',
    (speed) => {
      const random = new Random(speed);
      const plain = backgroundErrors({ wind: { std_mps: [[0, 1.5]] } });
      const trials = 4000;
      let hits = 0;
      let alarms = 0;
      for (let i = 0; i < trials; i++) {
        const truth = windVector(90, speed);
        const report = (sign: number): Observation => ({
          ...observed(410, 90, speed, { std_mps: 1.5 }),
          u_mps: sign * (truth[0] + 2.1213 * random.normal()),
          v_mps: sign * (truth[1] + 2.1213 * random.normal()),
        });
        // One component of background and report error together: √(1.5² + 1.5²) = 2.1213; drawn in the report, the
        // forecast stays put.
        const held = (observation: Observation): boolean => {
          const [first] = judge({ ...base, background: () => truth, errors: plain, observations: [observation] }).held;
          return first !== undefined && first.logRatio > 0 && first.kind === 'from and toward';
        };
        if (held(report(-1))) hits += 1;
        if (held(report(1))) alarms += 1;
      }
      const a = speed / 2.1213;
      const shift = REVERSAL_LOG_RATIO / (2 * a);
      // Three standard errors of 4000 trials, and 1 % for the misfits that theory does not count.
      expect(Math.abs(hits / trials - phi(a - shift))).toBeLessThan(3 * Math.sqrt(0.25 / trials) + 0.01);
      expect(alarms / trials).toBeLessThan(phi(-(a + shift)) + 0.01);
    },
  );
});

describe('what is said of it', () => {
  const event: WindReport = {
    seq: 1,
    at: '2026-03-14T06:00:00Z',
    kind: 'wind-report',
    id: 'w7',
    source: 'crew',
    by: 'Team 2',
    observedAt: '2026-03-14T06:00:00Z',
    agl_m: 2,
    from_deg: 270,
    speed_mps: 5.144,
    gust_mps: 7,
  };
  const expected = { from_deg: 95, speed_mps: 4.6, std_mps: 0.9 };
  const suspicion = {
    id: 'w7',
    kind: 'from and toward',
    whole: null,
    outOf: 1,
    logRatio: 5,
    misfit: 20,
    expected,
    others: 3,
  } as const;

  it('names what it looks like, what all else says, and the two keys', () => {
    expect(suspicionSentence(event, suspicion, 12)).toBe(
      'Team 2’s wind from 270° (west), 5.1\u202fm/s (10\u202fkt) looks like a wind given TOWARD instead of FROM: the forecast and 3 other reports say ' +
        'from 095° (east), 4.6\u202fm/s (9\u202fkt), give or take 0.9\u202fm/s. Confirm it as it stands, or correct it to from 090° (east).',
    );
    expect(suspicionSentence(event, { ...suspicion, kind: 'misfit', others: 0 }, 12)).toContain(
      'fits nothing known: the forecast says',
    );
  });

  it('a correction holds the report in its own terms', () => {
    expect(suggestedFields(event, 'from and toward', 12)).toEqual({ from_deg: 90 });
    expect(suggestedFields(event, 'magnetic for true', 12)).toEqual({ from_deg: 282 });
    expect(suggestedFields(event, 'knots for m/s', 12)).toEqual({ speed_mps: 2.646, gust_mps: 3.601 });
    expect(suggestedFields(event, 'm/s for knots', 12)).toEqual({ speed_mps: 9.999, gust_mps: 13.607 });
    expect(suggestedFields({ ...event, agl_m: 1000 }, 'feet for metres', 12)).toEqual({ agl_m: 304.8 });
    expect(suggestedFields({ ...event, agl_m: 500 }, 'MSL for AGL', 12)).toEqual({ height_m: 500 });
    expect(suggestedFields(event, 'misfit', 12)).toBeNull();
  });
});

describe('contradictions', () => {
  it('pairs two winds of one place, height and time that cannot both be right, the newest first', () => {
    const a = observed(410, 90, 8);
    const b = observed(410, 270, 8, { time_s: -300 });
    const c = observed(410, 100, 7.5, { time_s: -200 });
    const pairs = contradictions([a, b, c], errors);
    expect(pairs.map((pair) => pair.ids)).toEqual([
      [b.id, c.id],
      [a.id, b.id],
    ]);
    expect(pairs[1]?.apart_mps).toBeCloseTo(16, 9);
  });

  it('does not pair winds of other heights, places or times', () => {
    const a = observed(410, 90, 8);
    const elsewhere = [
      observed(2000, 270, 8),
      observed(410, 270, 8, { time_s: -5000 }),
      observed(410, 270, 8, { position: [142, -31.9] }),
    ];
    for (const one of elsewhere) expect(contradictions([a, one], errors)).toEqual([]);
  });
});
