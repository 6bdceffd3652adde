// Which layer of the wind decides: the sensitivity put into layers of air, with what each has of the landing's uncertainty. Together
// with the wind's error it says where one more observation would help most. Heights m MSL; m of landing per m/s of wind.
import type { WindError } from './windError.ts';
import { onNodes, type WindSensitivity } from './sensitivity.ts';

/** Metres of landing displacement for 1 m/s of error in each of these (model.md §8). */
export const LAYER_M = 500;

export interface LayerShare {
  readonly bottom_m: number;
  readonly top_m: number;
  /** How far the landing moves for 1 m/s more in this layer: the mean over the directions of the error, in the mean square. */
  readonly metresPerMps: number;
  /** The layer's part of the landing's variance that comes from the wind; the shares add up to 1. */
  readonly share: number;
}

/**
 * Layers `layer_m` thick, counted from sea level, from the lowest height of the flight to the highest.
 *
 * K        of the flight
 * error    the wind's error along it; a layer's share is what the variance K C Kᵀ loses to first order when the layer's weights shrink
 *          (Euler's rule for a quadratic form: half its derivative), so that neighbours that err together share what they do together
 * returns  rising; empty where the flight has no sensitivity, shares 0 where the wind has no error
 */
export function layerShares(k: WindSensitivity, error: WindError, layer_m: number = LAYER_M): LayerShare[] {
  const top = k.heights_m[0];
  const bottom = k.heights_m[k.heights_m.length - 1];
  if (top === undefined || bottom === undefined) return [];
  const first = Math.floor(bottom / layer_m);
  // An exit on the edge between two layers belongs to the one below: nothing was flown above it.
  const count = Math.max(1, Math.ceil(top / layer_m) - first);
  const pull = landingPull(k, error);
  const sums = Array.from({ length: count }, () => ({ ee: 0, en: 0, ne: 0, nn: 0, variance: 0 }));
  for (let q = 0; q < k.heights_m.length; q++) {
    const h = k.heights_m[q] as number;
    const sum = sums[Math.min(Math.max(Math.floor(h / layer_m) - first, 0), count - 1)];
    if (sum === undefined) continue;
    const [ee, en, ne, nn] = [k.ee[q] as number, k.en[q] as number, k.ne[q] as number, k.nn[q] as number];
    sum.ee += ee;
    sum.en += en;
    sum.ne += ne;
    sum.nn += nn;
    const at = placeOf(error.heights_m, h);
    sum.variance += ee * valueAt(pull.ee, at) + en * valueAt(pull.en, at) + ne * valueAt(pull.ne, at) + nn * valueAt(pull.nn, at);
  }
  const total = sums.reduce((all, one) => all + one.variance, 0);
  return sums.map(({ ee, en, ne, nn, variance }, i) => ({
    bottom_m: (first + i) * layer_m,
    top_m: (first + i + 1) * layer_m,
    metresPerMps: Math.sqrt((ee * ee + en * en + ne * ne + nn * nn) / 2),
    share: total > 0 ? variance / total : 0,
  }));
}

interface Pull {
  readonly ee: Float64Array;
  readonly en: Float64Array;
  readonly ne: Float64Array;
  readonly nn: Float64Array;
}

/** C w for the weights of each pair of components on the nodes of the error: how the error at a node goes with the landing. */
function landingPull(k: WindSensitivity, error: WindError): Pull {
  const weights = onNodes(k, error.heights_m);
  const through = (w: Float64Array): Float64Array => covarianceTimes(error.factor, w);
  return { ee: through(weights.ee), en: through(weights.en), ne: through(weights.ne), nn: through(weights.nn) };
}

/** L (Lᵀ w) for a lower triangular L, n × n row-major. */
function covarianceTimes(factor: Float64Array, w: Float64Array): Float64Array {
  const n = w.length;
  const along = new Float64Array(n);
  const out = new Float64Array(n);
  for (let i = 0; i < n; i++)
    for (let j = 0; j <= i; j++) along[j] = (along[j] as number) + (factor[i * n + j] as number) * (w[i] as number);
  for (let i = 0; i < n; i++) {
    let sum = 0;
    for (let j = 0; j <= i; j++) sum += (factor[i * n + j] as number) * (along[j] as number);
    out[i] = sum;
  }
  return out;
}

/** Between which nodes a height lies, and how far up: the error runs straight between nodes and holds beyond them, as `onNodes` has it. */
function placeOf(nodes_m: Float64Array, h: number): { readonly i: number; readonly x: number } {
  const last = nodes_m.length - 1;
  let low = 0;
  let high = last;
  while (low + 1 < high) {
    const middle = (low + high) >> 1;
    if ((nodes_m[middle] as number) <= h) low = middle;
    else high = middle;
  }
  const span = last > 0 ? (nodes_m[low + 1] as number) - (nodes_m[low] as number) : 0;
  return { i: low, x: span > 0 ? Math.min(Math.max((h - (nodes_m[low] as number)) / span, 0), 1) : 0 };
}

function valueAt(values: Float64Array, { i, x }: { readonly i: number; readonly x: number }): number {
  const a = values[i] ?? 0;
  return a + x * ((values[i + 1] ?? a) - a);
}

/** A stretch of air and its part of the landing's variance from the wind. */
export interface DecidingLayer {
  readonly bottom_m: number;
  readonly top_m: number;
  readonly share: number;
}

/** The part of the variance that a layer must have to be said to decide: as in "the 9 to 13 km winds decide 70 % of this". */
export const DECIDES = 0.7;

/** The thinnest stretch of neighbouring layers that has at least `share` of the variance; of equals the one with more. Null where no wind error counts. */
export function decidingLayer(layers: readonly LayerShare[], share: number = DECIDES): DecidingLayer | null {
  let best: DecidingLayer | null = null;
  for (let from = 0; from < layers.length; from++) {
    let sum = 0;
    for (let to = from; to < layers.length; to++) {
      sum += layers[to]?.share ?? 0;
      if (!(sum >= share)) continue;
      const found = { bottom_m: layers[from]?.bottom_m ?? NaN, top_m: layers[to]?.top_m ?? NaN, share: sum };
      const thinner = best === null || found.top_m - found.bottom_m < best.top_m - best.bottom_m - 1e-6;
      const more = best !== null && Math.abs(found.top_m - found.bottom_m - (best.top_m - best.bottom_m)) < 1e-6 && sum > best.share;
      if (thinner || more) best = found;
      break;
    }
  }
  return best;
}
