// A short run of two experiments (tests/bench/truths.mjs is the whole one): truths that the program did not draw, and
// observers who are wrong. What is wanted of many trials is asked of few within three standard errors of their share.
import { describe, expect, it } from 'vitest';
import { TRUTHS } from '../bench/otherTruths.ts';
import { rowOf } from '../bench/truthExperiment.ts';
import { observerRow, WRONG } from '../bench/wrongObservers.ts';

const three = (share: number, of: number): number => 3 * Math.sqrt((share * (1 - share)) / of);
const wrong = (name: string) => {
  const found = WRONG.find((one) => one.name === name);
  if (found === undefined) throw new Error(`no such observer: ${name}`);
  return found;
};

describe('a wrong observer', () => {
  const TRIALS = 40;
  it.each(['nobody', 'one report reversed', 'all reports reversed'])(
    '%s: is held, good reports are not, and the 90 % ellipse holds meanwhile',
    (name) => {
      const row = observerRow(wrong(name), 'low', TRIALS, 11);
      expect(row.good).toBeGreaterThan(300);
      expect(row.heldGood / row.good).toBeLessThanOrEqual(0.01 + three(0.01, row.good));
      if (name !== 'nobody') {
        expect(row.observers).toBeGreaterThan(20);
        expect(row.heldObservers / row.observers).toBeGreaterThanOrEqual(0.95 - three(0.95, row.observers));
      }
      expect(row.in90).toBeGreaterThanOrEqual(0.85 - three(0.85, TRIALS));
    },
  );

  it('some of whose reports are reversed is held for these, and asked about once', () => {
    const row = observerRow(wrong('half of the reports reversed'), 'low', TRIALS, 11);
    expect(row.heldWrong / row.wrong).toBeGreaterThanOrEqual(0.9);
    expect(row.askedOnce / row.observers).toBeGreaterThanOrEqual(0.8);
  });
});

describe('a truth that the program did not draw', () => {
  const TRIALS = 40;
  it.each(['as assumed', 'Matérn 3/2 in height', 'length × 3', 'σ × 1.5', 'bulk 30 %', 'balloon errors over 1 km'])(
    '%s: the ellipses hold what they say, and the reports make no wind worse',
    (name) => {
      const truth = TRUTHS.find((one) => one.name === name);
      expect(truth).toBeDefined();
      if (truth === undefined) return;
      const row = rowOf(truth, 'low', TRIALS, 11);
      expect(row.in90).toBeGreaterThanOrEqual(0.82 - three(0.82, TRIALS));
      expect(row.in50).toBeGreaterThanOrEqual(0.4 - three(0.4, TRIALS));
      expect(row.in50).toBeLessThanOrEqual(0.6 + three(0.6, TRIALS));
      expect(row.miss_m).toBeLessThanOrEqual(1.02 * row.forecastMiss_m);
    },
  );
});
