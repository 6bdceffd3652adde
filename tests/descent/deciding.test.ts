// Which winds decide, against arithmetic: a sensitivity that is known at three heights, errors that are known,
// independent and wholly correlated; and the sum of the parts against the covariance that `landingCovariance` gives by
// another way.
import { describe, expect, it } from 'vitest';
import { decidingWinds, layerWeights, variancePerNode } from '../../core/descent/deciding.ts';
import { onNodes, type WindSensitivity } from '../../core/descent/sensitivity.ts';
import type { WindError } from '../../core/descent/windError.ts';
import { landingCovariance } from './landingCovariance.ts';

const zero = new Float64Array(3);
/** 10, 100 and 20 m of landing per m/s at 1, 2 and 3 km, the same east and north. */
const k: WindSensitivity = {
  heights_m: Float64Array.of(3000, 2000, 1000),
  ee: Float64Array.of(20, 100, 10),
  en: zero,
  ne: zero,
  nn: Float64Array.of(20, 100, 10),
};

function errorOf(factor: number[]): WindError {
  return {
    heights_m: Float64Array.of(1000, 2000, 3000),
    meanU_mps: zero,
    meanV_mps: zero,
    factor: Float64Array.from(factor),
  };
}

const independent = errorOf([2, 0, 0, 0, 1, 0, 0, 0, 3]);
const together = errorOf([1, 0, 0, 1, 0, 0, 1, 0, 0]);

describe('each height’s part of the variance', () => {
  it('of independent errors is (K σ)², twice: east and north', () => {
    expect(Array.from(variancePerNode(k, independent))).toEqual([2 * 400, 2 * 10_000, 2 * 3600]);
  });

  it('of errors that go together is K times the sum of K', () => {
    expect(Array.from(variancePerNode(k, together))).toEqual([2 * 10 * 130, 2 * 100 * 130, 2 * 20 * 130]);
  });

  it.each([independent, together])('adds up to the trace of the covariance', (error) => {
    const [ee, , nn] = landingCovariance(onNodes(k, error.heights_m), error.factor);
    expect(variancePerNode(k, error).reduce((sum, x) => sum + x, 0)).toBeCloseTo(ee + nn, 6);
  });
});

describe('the winds that decide', () => {
  it('are the narrowest stretch that holds the share', () => {
    // 10 000 of 14 000 are 71 %: the middle node alone, halfway to its neighbours.
    expect(decidingWinds(k, independent, [0.7, 0.9])).toEqual([
      { bottom_m: 1500, top_m: 2500, share: 10_000 / 14_000 },
      { bottom_m: 1500, top_m: 3000, share: 13_600 / 14_000 },
    ]);
  });

  it('are absent without an error', () => {
    expect(decidingWinds(k, errorOf([0, 0, 0, 0, 0, 0, 0, 0, 0]), [0.7])).toEqual([null]);
  });
});

describe('bars by height', () => {
  it('sum the weights of each layer', () => {
    expect(layerWeights(k, 900, 500)).toEqual([
      { bottom_m: 900, top_m: 1400, metresPerMps: 10 },
      { bottom_m: 1400, top_m: 1900, metresPerMps: 0 },
      { bottom_m: 1900, top_m: 2400, metresPerMps: 100 },
      { bottom_m: 2400, top_m: 2900, metresPerMps: 0 },
      { bottom_m: 2900, top_m: 3400, metresPerMps: 20 },
    ]);
  });
});
