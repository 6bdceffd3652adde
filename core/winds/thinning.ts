// From many readings to the observations that the analysis works on: readings of one observer within ten minutes are
// one sample of the mean wind, and of the samples the ones that say most about the wanted moment are taken, with a
// count of the rest.
import { nth } from '../base/nth.ts';
import { backgroundCovariance, canonicalOrder, pointsOf, setError, type Observation } from './analysis.ts';
import type { BackgroundErrors } from './errors.ts';
import type { LonLat } from '../base/units.ts';

/**
 * A surface wind is a mean over ten minutes (WMO-No. 8, part I, chapter 5: shorter means are "long gusts"). Readings of
 * one observer closer than that sample the same gusts: counted as independent, a station that reports every minute
 * would claim an error of a tenth.
 */
export const SAMPLE_S = 600;
/**
 * Readings of one balloon closer in height than this part of a correlation length are one sample likewise: the same
 * eddies.
 */
const SAMPLE_ZETA = 1 / 8;
/**
 * The most samples that are solved for at once: 192 cost some 10 ms with their check, and the rest are older or say the
 * same.
 */
export const MOST_SAMPLES = 192;

/**
 * Readings of one observer that are one sample: each group newest first, groups and members in an order that only
 * depends on what they hold.
 */
export function samplesOf(observations: readonly Observation[], errors: BackgroundErrors): Observation[][] {
  const samples: Observation[][] = [];
  /** Of every observer and height the sample that was begun last. */
  const begun = new Map<string, Map<number, Observation[]>>();
  const sorted = observations.toSorted(canonicalOrder);
  for (let i = sorted.length - 1; i >= 0; i--) {
    const one = sorted[i] as Observation;
    const height = Math.floor(errors.zeta(one.height_m) / SAMPLE_ZETA);
    const ofObserver = begun.get(one.observer) ?? new Map<number, Observation[]>();
    const last = ofObserver.get(height);
    if (last !== undefined && (last[0] as Observation).time_s - one.time_s < SAMPLE_S) last.push(one);
    else {
      const sample = [one];
      samples.push(sample);
      ofObserver.set(height, sample);
      begun.set(one.observer, ofObserver);
    }
  }
  return samples.reverse();
}

/** What a sample says as one reading, but for its name. */
type Mean = Pick<Observation, 'time_s' | 'position' | 'height_m' | 'u_mps' | 'v_mps' | 'std_mps'>;

/**
 * The mean of a sample's readings, with the error of one reading: better readings weigh more, more readings do not
 * count for more.
 */
function meanOf(sample: readonly Observation[]): Mean {
  const first = sample[0] as Observation;
  if (sample.length === 1) return first;
  let weight = 0;
  let u = 0;
  let v = 0;
  let time = 0;
  let height = 0;
  for (const one of sample) {
    const w = 1 / (one.std_mps * one.std_mps);
    weight += w;
    u += w * one.u_mps;
    v += w * one.v_mps;
    // Offsets from the first: the sum of times since 1970 would lose the milliseconds.
    time += w * (one.time_s - first.time_s);
    height += w * (one.height_m - first.height_m);
  }
  return {
    time_s: first.time_s + time / weight,
    position: first.position,
    height_m: first.height_m + height / weight,
    u_mps: u / weight,
    v_mps: v / weight,
    std_mps: Math.sqrt(sample.length / weight),
  };
}

/** The mean of a sample as an observation, named after all its readings. */
export function sampleMean(sample: readonly Observation[]): Observation {
  const first = sample[0] as Observation;
  return sample.length === 1 ? first : { ...first, ...meanOf(sample), id: sample.map((one) => one.id).join('+') };
}

export interface Chosen {
  readonly samples: readonly (readonly Observation[])[];
  /** Samples left out because others say the same better. */
  readonly leftOut: number;
}

/**
 * The `most` samples that say most about the wind over the site at the wanted moment.
 *
 * Each is worth the part of the forecast's variance that it alone would explain there, divided by its rank among those
 * of the same half correlation length of height: a station's hundredth hour does not crowd out the only balloon.
 */
export function choose(
  samples: readonly (readonly Observation[])[],
  errors: BackgroundErrors,
  site: LonLat,
  valid_s: number,
  most: number = MOST_SAMPLES,
): Chosen {
  if (samples.length <= most) return { samples, leftOut: 0 };
  const means = samples.map(meanOf);
  const there = pointsOf(means, errors);
  const here = pointsOf([{ height_m: 0, time_s: valid_s, position: site }], errors);
  const worth = new Float64Array(there.n);
  const layers = new Map<number, number[]>();
  for (let i = 0; i < there.n; i++) {
    const s = nth(there.std_mps, i);
    const zeta = nth(there.zeta, i);
    const r = (means[i] as Mean).std_mps;
    // Over the site at the height of the sample.
    setError(here, 0, errors, (means[i] as Mean).height_m, valid_s);
    here.zeta[0] = zeta;
    const c = backgroundCovariance(here, 0, there, i);
    worth[i] = (c * c) / (s * s + r * r);
    const layer = Math.floor(zeta * 2);
    const list = layers.get(layer);
    if (list === undefined) layers.set(layer, [i]);
    else list.push(i);
  }
  const shared = new Float64Array(there.n);
  const candidates: number[] = [];
  for (const layer of layers.values()) {
    // Those of a lower rank have as many before them in their own layer as are wanted of all.
    const best = layer.sort(falling(worth)).slice(0, most);
    best.forEach((i, rank) => {
      shared[i] = nth(worth, i) / (rank + 1);
      candidates.push(i);
    });
  }
  const kept = candidates.sort(falling(shared)).slice(0, most);
  kept.sort((a, b) => a - b);
  return { samples: kept.map((i) => samples[i] as readonly Observation[]), leftOut: samples.length - kept.length };
}

/** Orders places in a column by the numbers there, the largest first; of equal ones the earlier first. */
const falling =
  (column: Float64Array) =>
  (a: number, b: number): number =>
    nth(column, b) - nth(column, a) || a - b;
