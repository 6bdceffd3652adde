// The seeded generator: the same numbers for a seed and stream, and numbers that are what they claim to be, by counts
// whose spread is known in closed form (binomial and χ²). Bounds are 4.5 standard errors: passed by chance all but once
// in 10⁵; the seeds are fixed.
import { describe, expect, it } from 'vitest';
import { Random } from '../../core/base/random.ts';

const N = 200_000;

/**
 * Φ(x) by the continued fraction and the series of the error function (Abramowitz & Stegun 26.2.10, 26.2.14), good to
 * 1e-9 here.
 */
function phi(x: number): number {
  if (x < 0) return 1 - phi(-x);
  if (x > 3) {
    let fraction = 0;
    for (let k = 60; k >= 1; k--) fraction = k / (x + fraction);
    return 1 - Math.exp((-x * x) / 2) / Math.sqrt(2 * Math.PI) / (x + fraction);
  }
  let term = x;
  let sum = x;
  for (let k = 1; k < 80; k++) {
    term *= (x * x) / (2 * k + 1);
    sum += term;
  }
  return 0.5 + (sum * Math.exp((-x * x) / 2)) / Math.sqrt(2 * Math.PI);
}

describe('seeded random numbers', () => {
  it('are the same for the same seed and stream, also after a restart, and others for any other', () => {
    const draw = (random: Random): number[] =>
      Array.from({ length: 50 }, (_, i) => (i % 3 === 0 ? random.uniform() : random.normal()));
    const first = draw(new Random(7, 3));
    expect(draw(new Random(7, 3))).toEqual(first);
    const used = new Random(1, 1);
    used.normal();
    used.restart(7, 3);
    // The second normal of a pair that was kept must not survive a restart.
    expect(draw(used)).toEqual(first);
    const starts = new Set<number>();
    for (let seed = -20; seed < 20; seed++)
      for (let stream = 0; stream < 500; stream++) starts.add(new Random(seed, stream).uniform());
    // Of 20 000 draws of 32 bits, 0.05 pairs are expected to coincide.
    expect(starts.size).toBeGreaterThan(19_997);
  });

  it('an array is filled with what as many calls give, and the generator goes on as after them', () => {
    for (const before of [0, 1, 2]) {
      for (const length of [0, 1, 2, 7, 170]) {
        const one = new Random(9, length);
        const many = new Random(9, length);
        for (let i = 0; i < before; i++) expect(many.normal()).toBe(one.normal());
        const filled = new Float64Array(length);
        many.fillNormals(filled);
        expect(Array.from(filled)).toEqual(Array.from({ length }, () => one.normal()));
        expect([many.normal(), many.uniform()]).toEqual([one.normal(), one.uniform()]);
      }
    }
  });

  it('uniform: strictly within 0 and 1, and even over 100 cells by χ²', () => {
    const random = new Random(11, 0);
    const cells = new Float64Array(100);
    let outside = 0;
    for (let i = 0; i < N; i++) {
      const x = random.uniform();
      if (!(x > 0 && x < 1)) outside += 1;
      const cell = Math.floor(100 * x);
      cells[cell] = (cells[cell] ?? 0) + 1;
    }
    expect(outside).toBe(0);
    const chi2 = cells.reduce((sum, count) => sum + (count - N / 100) ** 2 / (N / 100), 0);
    expect(Math.abs(chi2 - 99) / Math.sqrt(2 * 99)).toBeLessThan(4.5);
  });

  it('normal: the share below each of 13 bounds is Φ', () => {
    const random = new Random(12, 0);
    const sample = Float64Array.from({ length: N }, () => random.normal()).sort();
    for (let x = -3; x <= 3; x += 0.5) {
      const share = sample.filter((value) => value < x).length / N;
      expect(Math.abs(share - phi(x))).toBeLessThan(4.5 * Math.sqrt((phi(x) * (1 - phi(x))) / N));
    }
  });

  it('cut at three: none outside, and the variance of the cut normal, 1 − 6φ(3)/(2Φ(3) − 1)', () => {
    const random = new Random(13, 0);
    let square = 0;
    let most = 0;
    for (let i = 0; i < N; i++) {
      const x = random.normalCut3();
      square += (x * x) / N;
      most = Math.max(most, Math.abs(x));
    }
    expect(most).toBeLessThan(3);
    expect(most).toBeGreaterThan(2.99);
    const density = Math.exp(-4.5) / Math.sqrt(2 * Math.PI);
    const variance = 1 - (6 * density) / (2 * phi(3) - 1);
    expect(Math.abs(square - variance)).toBeLessThan(4.5 * Math.sqrt(2 / N));
  });

  it('streams that follow each other, and numbers that follow each other, are not correlated', () => {
    const n = 40_000;
    let between = 0;
    let along = 0;
    for (let stream = 0; stream < n; stream++) {
      const a = new Random(5, stream);
      const x = a.normal();
      along += x * a.normal();
      between += x * new Random(5, stream + 1).normal();
    }
    expect(Math.abs(between) / Math.sqrt(n)).toBeLessThan(4.5);
    expect(Math.abs(along) / Math.sqrt(n)).toBeLessThan(4.5);
  });
});
