// Whether the assumed errors of the forecast fit what the reports found: the innovations' χ² against them. The size of
// the error, how long and how far up it lasts are fitted by maximum likelihood with a prior about what was assumed;
// the size goes up at once and down slowly, since a wrong confidence is worse than a wrong doubt. Source: maximum
// likelihood of covariance parameters from innovations, Dee (1995), Mon. Wea. Rev. 123, 1128.
import { number } from '../words/numbers.ts';
import { nth } from '../base/nth.ts';
import { observationFactor, pointsOf, type Background, type Observation } from './analysis.ts';
import { dot, forward } from './cholesky.ts';
import type { BackgroundErrors } from './errors.ts';

/** By what the assumed errors are multiplied. */
export interface ErrorFit {
  readonly size: number;
  /** Of the correlation time, and of the correlation lengths. */
  readonly time: number;
  readonly length: number;
}

export const AS_ASSUMED: ErrorFit = { size: 1, time: 1, length: 1 };

const SIZES = [0.7, 0.8, 0.9, 1, 1.15, 1.3, 1.5, 1.75, 2.1, 2.5, 3, 4];
const TIMES = [0.25, 0.5, 1, 2];
const LENGTHS = [0.5, 0.7, 1, 1.4, 2];
/** Standard deviations of the priors of the logarithms: a size above and below 1, a time, a length. */
const [UP, DOWN, TIME, LENGTH] = [0.6, 0.15, 0.7, 0.4];
/** Fewer samples than this say nothing about an error's size. */
const LEAST = 4;
/** More samples than this add little to four numbers, and cost with their cube. */
const MOST = 64;

/** The errors as a fit leaves them. */
export const fittedErrors = (errors: BackgroundErrors, { size, time, length }: ErrorFit): BackgroundErrors => ({
  ...errors,
  std_mps: (height_m, time_s) => size * errors.std_mps(height_m, time_s),
  zeta: (height_m) => errors.zeta(height_m) / length,
  time_s: errors.time_s * time,
});

/**
 * `samples`: those that count, as means. The numbers change in steps, so that one more report changes nothing at all.
 */
export function fitErrors(samples: readonly Observation[], errors: BackgroundErrors, background: Background): ErrorFit {
  if (samples.length < LEAST) return AS_ASSUMED;
  const step = Math.ceil(samples.length / MOST);
  const used = samples.filter((_, i) => i % step === 0);
  const yu = new Float64Array(used.length);
  const yv = new Float64Array(used.length);
  used.forEach((one, i) => {
    const [u, v] = background(one.height_m, one.time_s, one.position);
    yu[i] = one.u_mps - u;
    yv[i] = one.v_mps - v;
  });
  const likelihood = (fit: ErrorFit): number => {
    const n = used.length;
    const l = observationFactor(pointsOf(used, fittedErrors(errors, fit)), used);
    const [u, v] = [yu.slice(), yv.slice()];
    forward(l, n, u);
    forward(l, n, v);
    let sum = -0.5 * (dot(u, 0, u, 0, n) + dot(v, 0, v, 0, n));
    for (let i = 0; i < n; i++) sum -= 2 * Math.log(nth(l, i * n + i));
    const prior = (x: number, std: number): number => -0.5 * (Math.log(x) / std) ** 2;
    return sum + prior(fit.size, fit.size > 1 ? UP : DOWN) + prior(fit.time, TIME) + prior(fit.length, LENGTH);
  };
  const best = (fits: readonly ErrorFit[]): ErrorFit => {
    const scores = fits.map(likelihood);
    return fits[scores.indexOf(Math.max(...scores))] ?? AS_ASSUMED;
  };
  let fit = AS_ASSUMED;
  for (let turn = 0; turn < 2; turn++) {
    fit = best(SIZES.map((size) => ({ ...fit, size })));
    fit = best(TIMES.map((time) => ({ ...fit, time })));
    fit = best(LENGTHS.map((length) => ({ ...fit, length })));
  }
  return fit.size === 1 && fit.time === 1 && fit.length === 1 ? AS_ASSUMED : fit;
}

/** "Reports miss the forecast by 2.1 times what was assumed; spread widened." Null where they fit. */
export function fitSentence({ size }: ErrorFit): string | null {
  if (size > 0.99 && size < 1.01) return null;
  const what = `Reports miss the forecast by ${number(size, 1)} times what was assumed`;
  return size > 1 ? `${what}; spread widened.` : `${what}; spread narrowed a little.`;
}
