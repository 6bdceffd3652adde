// JPEG 2000: one step of the inverse wavelet transform, reversible 5/3 or irreversible 9/7.
// Source: ITU-T T.800 (ISO/IEC 15444-1), annex F: F.3 with equations F-5 and F-6, and table F.4.
import type { Resolution, Subband } from './packets.ts';

const ALPHA = -1.586134342059924;
const BETA = -0.052980118572961;
const GAMMA = 0.882911075530934;
const DELTA = 0.443506852043971;
const K = 1.230174104914001;

/** The next finer picture from the coarser one and the subbands HL, LH, HH of `resolution`. */
export function joinSubbands(low: Float64Array, bands: readonly Float64Array[], resolution: Resolution, reversible: boolean): Float64Array {
  const { x0, y0, x1, y1, subbands } = resolution;
  const width = Math.max(0, x1 - x0);
  const height = Math.max(0, y1 - y0);
  const out = new Float64Array(width * height);
  // The coarser picture lies where both coordinates are even; its own rectangle follows from this one's.
  place(out, low, { x0: Math.ceil(x0 / 2), x1: Math.ceil(x1 / 2), y0: Math.ceil(y0 / 2), xHigh: 0, yHigh: 0 }, x0, y0, width);
  bands.forEach((band, k) => {
    const subband = subbands[k];
    if (subband !== undefined) place(out, band, subband, x0, y0, width);
  });
  const lift = reversible ? lift53 : lift97;
  for (let y = 0; y < height; y++) lift(out.subarray(y * width, (y + 1) * width), x0 & 1);
  const column = new Float64Array(height);
  for (let x = 0; x < width; x++) {
    for (let y = 0; y < height; y++) column[y] = out[y * width + x] as number;
    lift(column, y0 & 1);
    for (let y = 0; y < height; y++) out[y * width + x] = column[y] as number;
  }
  return out;
}

/** F.3.3: interleaving. */
function place(
  out: Float64Array,
  band: Float64Array,
  area: Pick<Subband, 'x0' | 'x1' | 'y0' | 'xHigh' | 'yHigh'>,
  x0: number,
  y0: number,
  width: number,
): void {
  const w = area.x1 - area.x0;
  if (w <= 0) return;
  const rows = band.length / w;
  for (let v = 0; v < rows; v++) {
    const to = (2 * (area.y0 + v) + area.yHigh - y0) * width + 2 * area.x0 + area.xHigh - x0;
    for (let u = 0; u < w; u++) out[to + 2 * u] = band[v * w + u] as number;
  }
}

/** a[k] += f(a[k−1] + a[k+1]) for every second k from `from`, mirrored at both ends. */
function step(a: Float64Array, from: number, factor: number): void {
  const n = a.length;
  for (let k = from; k < n; k += 2) {
    const left = a[k === 0 ? 1 : k - 1] as number;
    const right = a[k === n - 1 ? n - 2 : k + 1] as number;
    a[k] = (a[k] as number) + factor * (left + right);
  }
}

/** `odd`: 1 where the first sample has an odd coordinate. */
function lift53(a: Float64Array, odd: number): void {
  const n = a.length;
  if (n === 1) {
    if (odd === 1) a[0] = Math.floor((a[0] as number) / 2);
    return;
  }
  for (let k = odd; k < n; k += 2) {
    const sum = (a[k === 0 ? 1 : k - 1] as number) + (a[k === n - 1 ? n - 2 : k + 1] as number);
    a[k] = (a[k] as number) - Math.floor((sum + 2) / 4);
  }
  for (let k = 1 - odd; k < n; k += 2) {
    const sum = (a[k === 0 ? 1 : k - 1] as number) + (a[k === n - 1 ? n - 2 : k + 1] as number);
    a[k] = (a[k] as number) + Math.floor(sum / 2);
  }
}

function lift97(a: Float64Array, odd: number): void {
  const n = a.length;
  if (n === 1) {
    if (odd === 1) a[0] = (a[0] as number) / 2;
    return;
  }
  for (let k = 0; k < n; k++) a[k] = (a[k] as number) * (k % 2 === odd ? K : 1 / K);
  step(a, odd, -DELTA);
  step(a, 1 - odd, -GAMMA);
  step(a, odd, -BETA);
  step(a, 1 - odd, -ALPHA);
}
