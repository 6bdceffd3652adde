// From many readings to the observations that the analysis works on: readings of one observer within ten minutes are one sample
// of the mean wind, and of the samples the ones that say most about the wanted moment are taken, with a count of the rest.
import { canonicalOrder, pointsOf, backgroundCovariance, type Observation } from './analysis.ts';
import type { BackgroundErrors } from './errors.ts';
import type { LonLat } from '../units.ts';

/**
 * A surface wind is a mean over ten minutes (WMO-No. 8, part I, chapter 5: shorter means are "long gusts"). Readings of one observer
 * closer than that sample the same gusts: counted as independent, a station that reports every minute would claim an error of a tenth.
 */
export const SAMPLE_S = 600;
/** Readings of one balloon closer in height than this part of a correlation length are one sample likewise: the same eddies. */
const SAMPLE_ZETA = 1 / 8;
/** The most samples that are solved for at once: 192 cost some 10 ms with their check, and the rest are older or say the same. */
export const MOST_SAMPLES = 192;

/** Readings of one observer that are one sample: each group newest first, groups and members in an order that only depends on what they hold. */
export function samplesOf(observations: readonly Observation[], errors: BackgroundErrors): Observation[][] {
  const places = new Map<string, Observation[]>();
  for (const one of [...observations].sort(canonicalOrder)) {
    const key = `${one.observer}@${Math.floor(errors.zeta(one.height_m) / SAMPLE_ZETA)}`;
    const list = places.get(key);
    if (list === undefined) places.set(key, [one]);
    else list.push(one);
  }
  const samples: Observation[][] = [];
  for (const list of places.values()) {
    let sample: Observation[] = [];
    let newest_s = Infinity;
    for (let i = list.length - 1; i >= 0; i--) {
      const one = list[i] as Observation;
      if (!(newest_s - one.time_s < SAMPLE_S)) {
        sample = [];
        samples.push(sample);
        newest_s = one.time_s;
      }
      sample.push(one);
    }
  }
  return samples.sort((a, b) => canonicalOrder(a[0] as Observation, b[0] as Observation));
}

/** The mean of a sample's readings, with the error of one reading: better readings weigh more, more readings do not count for more. */
export function sampleMean(sample: readonly Observation[]): Observation {
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
    ...first,
    id: sample.map((one) => one.id).join('+'),
    time_s: first.time_s + time / weight,
    height_m: first.height_m + height / weight,
    u_mps: u / weight,
    v_mps: v / weight,
    std_mps: Math.sqrt(sample.length / weight),
  };
}

export interface Chosen {
  readonly samples: readonly (readonly Observation[])[];
  /** Samples left out because others say the same better. */
  readonly leftOut: number;
}

/**
 * The `most` samples that say most about the wind over the site at the wanted moment.
 *
 * Each is worth the part of the forecast's variance that it alone would explain there, divided by its rank among those of the same
 * half correlation length of height: a station's hundredth hour does not crowd out the only balloon.
 */
export function choose(
  samples: readonly (readonly Observation[])[],
  errors: BackgroundErrors,
  site: LonLat,
  valid_s: number,
  most: number = MOST_SAMPLES,
): Chosen {
  if (samples.length <= most) return { samples, leftOut: 0 };
  const means = samples.map(sampleMean);
  const here = pointsOf(
    means.map((one) => ({ height_m: one.height_m, time_s: valid_s, position: site })),
    errors,
  );
  const there = pointsOf(means, errors);
  const order = means.map((one, i) => {
    const c = backgroundCovariance(here, i, there, i);
    const s = there.std_mps[i] as number;
    return { i, layer: Math.floor((there.zeta[i] as number) * 2), worth: (c * c) / (s * s + one.std_mps * one.std_mps) };
  });
  const better = (a: { i: number; worth: number }, b: { i: number; worth: number }): number => b.worth - a.worth || a.i - b.i;
  order.sort(better);
  const ranks = new Map<number, number>();
  const ranked = order.map((one) => {
    const rank = (ranks.get(one.layer) ?? 0) + 1;
    ranks.set(one.layer, rank);
    return { i: one.i, worth: one.worth / rank };
  });
  ranked.sort(better);
  const kept = ranked.slice(0, most).map((one) => one.i);
  kept.sort((a, b) => a - b);
  return { samples: kept.map((i) => samples[i] as readonly Observation[]), leftOut: samples.length - kept.length };
}
