// The table behind the word. Published numbers are named with their source; the rest is arithmetic on the table itself.
import { describe, expect, it } from 'vitest';
import {
  defaultLimits,
  judgeLimit,
  limitSentence,
  limitsOf,
  wordOf,
  type LimitKind,
  type LimitName,
  type LimitValue,
} from '../../core/advice/limits.ts';
import { MPS_PER_MPH } from '../../core/base/units.ts';

const known = (value: number, error?: number): LimitValue => ({
  kind: 'known',
  value,
  how: 'a test',
  ...(error === undefined ? {} : { error }),
});
const limit = (name: LimitName, experience: 'student' | 'licensed' | 'expert' = 'licensed'): LimitKind => {
  const found = defaultLimits(experience).find((one) => one.name === name);
  if (found === undefined) throw new Error(`no limit ${name}`);
  return found;
};

describe('limits', () => {
  it('ref: drift-handbook.md §4; source: USPA BSR 2-1, 14 mph for solo students under a ram-air canopy; mark F', () => {
    expect(limit('surfaceWind_mps', 'student').number).toBeCloseTo(14 * MPS_PER_MPH, 2);
  });

  it('every default says whose number it is', () => {
    for (const one of defaultLimits('licensed')) expect(one.source.length, one.name).toBeGreaterThan(10);
  });

  it('are kept, close or broken on the right side', () => {
    const wind = { ...limit('surfaceWind_mps'), number: 8 };
    expect(judgeLimit(wind, known(5)).state).toBe('kept');
    expect(judgeLimit(wind, known(7.5)).state).toBe('close');
    expect(judgeLimit(wind, known(6.9, 1.5)).state).toBe('close');
    expect(judgeLimit(wind, known(8)).state).toBe('close');
    expect(judgeLimit(wind, known(8.01)).state).toBe('broken');
    const zone = { ...limit('zoneProbability'), number: 0.8 };
    expect(judgeLimit(zone, known(0.79)).state).toBe('broken');
    expect(judgeLimit(zone, known(0.81)).state).toBe('close');
    expect(judgeLimit(zone, known(0.95)).state).toBe('kept');
    expect(judgeLimit(zone, known(NaN)).state).not.toBe('kept');
  });

  it('a mission edits a number, with or without a source, and a name that is not a limit is answered', () => {
    const jumper = { mass_kg: 100, stages: [] };
    const { limits, unknown } = limitsOf(jumper, {
      gust_mps: 7,
      daylight_s: { value: 600, source: 'range order 4' },
      moonlight: 3,
    });
    expect(limits.find((one) => one.name === 'gust_mps')).toMatchObject({ number: 7, source: 'the mission' });
    expect(limits.find((one) => one.name === 'daylight_s')).toMatchObject({ number: 600, source: 'range order 4' });
    expect(unknown).toEqual(['moonlight']);
  });

  it('the word is the gravest limit: NO-GO before HOLD before GO; what must be known and is not holds', () => {
    const kept = defaultLimits('licensed').map((one) =>
      judgeLimit(one, known(one.keep === 'below' ? 0 : one.number * 2 + 1)),
    );
    expect(wordOf(kept)).toEqual({ word: 'GO', because: [] });
    const replace = (name: LimitName, value: LimitValue) =>
      kept.map((one) => (one.limit.name === name ? judgeLimit(one.limit, value) : one));
    expect(wordOf(replace('zoneProbability', known(0.1))).word).toBe('HOLD');
    expect(wordOf(replace('surfaceWind_mps', known(30))).word).toBe('NO-GO');
    expect(wordOf(replace('surfaceWindAge_s', { kind: 'not given', why: 'none' })).word).toBe('HOLD');
    expect(wordOf(replace('cloudClearance_m', { kind: 'not given', why: 'none' })).word).toBe('GO');
  });

  it('a sentence names value, side and limit', () => {
    const gust = { ...limit('gust_mps'), number: 8 };
    expect(limitSentence(judgeLimit(gust, known(9)))).toBe(
      'gust 9.0\u202fm/s (17\u202fkt), over the 8.0\u202fm/s (16\u202fkt) limit',
    );
    expect(limitSentence(judgeLimit(gust, { kind: 'not given', why: 'nobody measured one' }))).toBe(
      'gust not given: nobody measured one',
    );
    expect(limitSentence(judgeLimit({ ...limit('zoneProbability'), number: 0.8 }, known(0.42)))).toBe(
      'chance of the zone 42\u202f%, under the 80\u202f% limit',
    );
  });

  it('a sentence never says the same number on both sides of a broken limit: it says both finer', () => {
    const chance = { ...limit('zoneProbability'), number: 0.8 };
    expect(limitSentence(judgeLimit(chance, known(0.796)))).toBe(
      'chance of the zone 79.6\u202f%, under the 80.0\u202f% limit',
    );
    expect(limitSentence(judgeLimit(chance, known(0.7996)))).toBe(
      'chance of the zone 79.96\u202f%, under the 80.00\u202f% limit',
    );
    // 8.02 m/s are 15.59 kt, 8 m/s 15.55 (1 kt is 1852 m an hour).
    const knots = { length: 'm', speed: 'kt', height: 'MSL', time: 'UTC' } as const;
    const wind = { ...limit('surfaceWind_mps'), number: 8 };
    expect(limitSentence(judgeLimit(wind, known(8.02)), knots)).toBe(
      'surface wind 15.59\u202fkt, over the 15.55\u202fkt limit',
    );
    expect(limitSentence(judgeLimit(wind, known(9)), knots)).toBe(
      'surface wind 17.5\u202fkt, over the 15.6\u202fkt limit',
    );
  });
});
