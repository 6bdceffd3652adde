// Which winds decide: the sensitivity as bars by height, and the stretch of height whose wind error makes most of the
// landing's spread. Heights m MSL.
import { nth } from '../base/nth.ts';
import { onNodes, type WindSensitivity } from './sensitivity.ts';
import type { WindError } from './windError.ts';

/** Metres of landing for 1 m/s of wind error, the same over the whole layer. */
export interface LayerWeight {
  readonly bottom_m: number;
  readonly top_m: number;
  readonly metresPerMps: number;
}

/**
 * Layers of `step_m` from the ground up: of each the larger of what an east and a north wind error of 1 m/s in it do.
 */
export function layerWeights(k: WindSensitivity, ground_m: number, step_m: number): LayerWeight[] {
  const sums: [number, number, number, number][] = [];
  for (let q = 0; q < k.heights_m.length; q++) {
    const i = Math.max(0, Math.floor((nth(k.heights_m, q) - ground_m) / step_m));
    while (sums.length <= i) sums.push([0, 0, 0, 0]);
    const sum = sums[i];
    if (sum === undefined) continue;
    sum[0] += nth(k.ee, q);
    sum[1] += nth(k.en, q);
    sum[2] += nth(k.ne, q);
    sum[3] += nth(k.nn, q);
  }
  return sums.map(([ee, en, ne, nn], i) => ({
    bottom_m: ground_m + i * step_m,
    top_m: ground_m + (i + 1) * step_m,
    metresPerMps: Math.max(Math.hypot(ee, ne), Math.hypot(en, nn)),
  }));
}

export interface Deciding {
  readonly bottom_m: number;
  readonly top_m: number;
  /** Of the variance that the wind gives to the landing. */
  readonly share: number;
}

/**
 * For each of `shares` the narrowest stretch of height whose winds make at least that part of the wind's part of the
 * landing's variance. A height's part is the covariance of its own displacement with the whole one, so that the parts
 * add up to the whole and errors that go together count once.
 *
 * returns  null each where the wind has no error or does not reach the landing
 */
export function decidingWinds(k: WindSensitivity, error: WindError, shares: readonly number[]): (Deciding | null)[] {
  const parts = variancePerNode(k, error);
  return shares.map((share) => narrowest(parts, error.heights_m, share));
}

function narrowest(parts: Float64Array, heights: Float64Array, share: number): Deciding | null {
  const total = parts.reduce((sum, part) => sum + part, 0);
  if (!(total > 0)) return null;
  let best: Deciding | null = null;
  for (let i = 0; i < parts.length; i++) {
    let sum = 0;
    for (let j = i; j < parts.length; j++) {
      sum += nth(parts, j);
      if (sum < share * total) continue;
      // A node stands for the heights halfway to its neighbours.
      const bottom_m = (nth(heights, Math.max(i - 1, 0)) + nth(heights, i)) / 2;
      const top_m = (nth(heights, j) + nth(heights, Math.min(j + 1, parts.length - 1))) / 2;
      if (best === null || top_m - bottom_m < best.top_m - best.bottom_m)
        best = { bottom_m, top_m, share: sum / total };
      break;
    }
  }
  return best;
}

/** Each node's part of the trace of the landing's covariance, m². */
export function variancePerNode(k: WindSensitivity, error: WindError): Float64Array {
  const weights = onNodes(k, error.heights_m);
  const n = error.heights_m.length;
  const out = new Float64Array(n);
  for (const w of [weights.ee, weights.en, weights.ne, weights.nn]) {
    const t = new Float64Array(n);
    for (let i = 0; i < n; i++) {
      const weight = nth(w, i);
      if (weight !== 0) for (let j = 0; j <= i; j++) t[j] = nth(t, j) + weight * nth(error.factor, i * n + j);
    }
    for (let i = 0; i < n; i++) {
      if (w[i] === 0) continue;
      let covariance = 0;
      for (let j = 0; j <= i; j++) covariance += nth(error.factor, i * n + j) * nth(t, j);
      out[i] = nth(out, i) + nth(w, i) * covariance;
    }
  }
  return out;
}
