// Contradicting pairs are found without looking at every pair: the answer must be that of looking at every pair.
import { expect, it } from 'vitest';
import { backgroundCovariance, canonicalOrder, pointsOf, type Observation } from '../../core/winds/analysis.ts';
import { contradictions } from '../../core/winds/contradiction.ts';
import { backgroundErrors } from '../../core/winds/errors.ts';
import { Random } from '../../core/base/random.ts';

const errors = backgroundErrors();

/**
 * The definition, pair by pair: within a quarter of an hour, a quarter of a correlation length, 3 km of 150; χ² above
 * −2 ln 0.001.
 */
function everyPair(observations: readonly Observation[]): string[] {
  const sorted = [...observations].sort(canonicalOrder);
  const points = pointsOf(sorted, errors);
  const found: string[] = [];
  for (let j = sorted.length - 1; j > 0; j--) {
    for (let i = j - 1; i >= 0; i--) {
      const [a, b] = [sorted[i], sorted[j]];
      if (a === undefined || b === undefined || Math.abs(a.time_s - b.time_s) > 900) continue;
      const apart = (of: Float64Array): number => (of[i] ?? NaN) - (of[j] ?? NaN);
      if (Math.abs(apart(points.zeta)) > 0.25 || Math.hypot(apart(points.x), apart(points.y), apart(points.z)) > 0.02)
        continue;
      const change =
        backgroundCovariance(points, i, points, i) +
        backgroundCovariance(points, j, points, j) -
        2 * backgroundCovariance(points, i, points, j);
      const misfit = ((a.u_mps - b.u_mps) ** 2 + (a.v_mps - b.v_mps) ** 2) / (change + a.std_mps ** 2 + b.std_mps ** 2);
      if (misfit > -2 * Math.log(0.001)) found.push(`${a.id} ${b.id}`);
    }
  }
  return found.slice(0, 50);
}

it('finds the pairs that looking at every pair finds, in the same order', () => {
  let compared = 0;
  for (let seed = 1; seed <= 60; seed++) {
    const random = new Random(seed);
    const draw = (): number => random.uniform();
    const count = 20 + Math.floor(draw() * 380);
    const observations = Array.from({ length: count }, (_, i): Observation => ({
      id: `w${i}`,
      observer: `o${i % 7}`,
      time_s: 1_800_000_000 + Math.floor(draw() * 7200),
      position: [22.4 + 0.02 * draw(), -30.1 + 0.02 * draw()],
      height_m: 960 + (draw() < 0.7 ? 0 : 400 * draw()),
      // Mostly of one mind, now and then far off, so that whole blocks are passed over and some are not.
      u_mps: 3 + draw() + (draw() < 0.02 ? 15 * (draw() - 0.5) : 0),
      v_mps: -2 + draw() + (draw() < 0.02 ? 15 * (draw() - 0.5) : 0),
      std_mps: 0.8 + draw(),
    }));
    const expected = everyPair(observations);
    expect(
      contradictions(observations, errors).map(({ ids }) => ids.join(' ')),
      `seed ${seed}`,
    ).toEqual(expected);
    compared += expected.length;
  }
  expect(compared).toBeGreaterThan(100);
});
