// A second way to the wind’s part of the spread: through the error’s factor instead of its parts.
import { nth } from '../../core/base/nth.ts';
import type { NodeWeights } from '../../core/descent/sensitivity.ts';

/**
 * The wind's part of the landing's covariance, m²: [[ee, en], [en, nn]], by the weights and one component's error
 * covariance on the same nodes given by its lower factor (n × n); east and north winds err independently.
 */
export function landingCovariance(
  weights: NodeWeights,
  factor: Float64Array,
): readonly [ee: number, en: number, nn: number] {
  const n = weights.ee.length;
  let ee = 0;
  let en = 0;
  let nn = 0;
  for (let j = 0; j < n; j++) {
    const along = (w: Float64Array): number => {
      let sum = 0;
      for (let i = j; i < n; i++) sum += nth(w, i) * nth(factor, i * n + j);
      return sum;
    };
    const [a, b, c, d] = [along(weights.ee), along(weights.en), along(weights.ne), along(weights.nn)];
    ee += a * a + b * b;
    en += a * c + b * d;
    nn += c * c + d * d;
  }
  return [ee, en, nn];
}
