// The cost that the placement minimises: expected time of the first medical crew to the jumper, plus a weight on
// the worst tenth, plus weights on the gondola's crew and on the crews that come second. Over all cases and drawn
// landings by their probabilities; seconds.
import type { Mission } from '../plan/schema.ts';
import type { Targets } from './scene.ts';
import { nth } from '../base/nth.ts';

/** A landing that no crew reaches counts as four hours: help from outside. Ours. */
export const UNREACHED_S = 14_400;
/** The share whose mean is weighed extra: the worst tenth. */
const TAIL = 0.1;

export interface PlacementWeights {
  readonly worstTenth: number;
  readonly gondola: number;
  /**
   * Of the mean of every crew's own time, so that later crews also wait near and not far off for a rare case.
   */
  readonly second: number;
}

/**
 * Ours: a minute in the worst tenth counts like half a minute on average, one of the gondola's crew like twelve
 * seconds, one of a crew's own time like six. A mission edits them (`placement`).
 */
export const PLACEMENT_WEIGHTS: PlacementWeights = { worstTenth: 0.5, gondola: 0.2, second: 0.1 };

export const weightsOf = (mission: Mission): PlacementWeights => ({
  worstTenth: mission.placement?.worstTenth ?? PLACEMENT_WEIGHTS.worstTenth,
  gondola: mission.placement?.gondola ?? PLACEMENT_WEIGHTS.gondola,
  second: mission.placement?.second ?? PLACEMENT_WEIGHTS.second,
});

export interface ExpectedTime {
  readonly mean_s: number;
  /** Mean of the worst tenth (conditional value at risk, 0.9). */
  readonly worst_s: number;
}

const capped = (t: number): number => (t < UNREACHED_S ? t : UNREACHED_S);

/** A crew's own expected time, s. */
export function ownMean(times: Float64Array, weight: Float64Array): number {
  let mean = 0;
  for (let k = 0; k < times.length; k++) mean += nth(weight, k) * capped(nth(times, k));
  return mean;
}

/** Exact: sorted. A tenth that ends within a landing's weight takes that part of it. */
export function expectedTimeOf(times: Float64Array, weight: Float64Array): ExpectedTime {
  const order = Array.from(times.keys()).sort((a, b) => capped(nth(times, b)) - capped(nth(times, a)));
  let [mean, worst, held] = [0, 0, 0];
  for (const k of order) {
    const w = nth(weight, k);
    const t = capped(nth(times, k));
    mean += w * t;
    const part = Math.min(w, Math.max(TAIL - held, 0));
    worst += part * t;
    held += part;
  }
  return { mean_s: mean, worst_s: held > 0 ? worst / held : NaN };
}

const BINS = 2048;

/**
 * The same by bins of time, for a search: linear, no allocation.
 *
 * Error  the tenth's edge falls into one bin of 7 s, whose mean stands for its part: below a second
 *        (`tests/recovery/placement.test.ts`)
 */
export class ExpectedByBins {
  readonly #weight: Float64Array;
  readonly #w = new Float64Array(BINS);
  readonly #wt = new Float64Array(BINS);

  constructor(targets: Targets) {
    this.#weight = targets.weight;
  }

  /** `others`: the earliest times of the other crews, or null. */
  of(times: Float64Array, others: Float64Array | null): ExpectedTime {
    const [weights, w, wt] = [this.#weight, this.#w, this.#wt];
    w.fill(0);
    wt.fill(0);
    let mean = 0;
    for (let k = 0; k < times.length; k++) {
      let t = nth(times, k);
      if (others !== null && nth(others, k) < t) t = nth(others, k);
      if (!(t < UNREACHED_S)) t = UNREACHED_S;
      const p = nth(weights, k);
      const bin = Math.min((t * (BINS / UNREACHED_S)) | 0, BINS - 1);
      w[bin] = nth(w, bin) + p;
      wt[bin] = nth(wt, bin) + p * t;
      mean += p * t;
    }
    let held = 0;
    let worst = 0;
    for (let bin = BINS - 1; bin >= 0 && held < TAIL; bin--) {
      const here = nth(w, bin);
      if (here === 0) continue;
      const part = Math.min(here, TAIL - held);
      worst += (part / here) * nth(wt, bin);
      held += part;
    }
    return { mean_s: mean, worst_s: worst / held };
  }
}

/** Earliest of several crews, landing by landing; Infinity without one. */
export function earliest(times: readonly Float64Array[], count: number): Float64Array {
  const out = new Float64Array(count).fill(Infinity);
  for (const one of times) for (let k = 0; k < count; k++) if (nth(one, k) < nth(out, k)) out[k] = nth(one, k);
  return out;
}
