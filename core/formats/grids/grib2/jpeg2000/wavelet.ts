// JPEG 2000: one step of the inverse wavelet transform, reversible 5/3 or irreversible 9/7.
// Source: ITU-T T.800 (ISO/IEC 15444-1), annex F: F.3 with equations F-5 and F-6, and table F.4.
import type { Rect } from './codestream.ts';

const ALPHA = -1.586134342059924;
const BETA = -0.052980118572961;
const GAMMA = 0.882911075530934;
const DELTA = 0.443506852043971;
const K = 1.230174104914001;

/** A part of a picture or a subband, in its own coordinates: rows of `values` from (x0, y0) on. */
export interface Part extends Rect {
  readonly values: Float64Array;
}

export const widthOf = ({ x0, x1 }: Rect): number => Math.max(0, x1 - x0);
export const heightOf = ({ y0, y1 }: Rect): number => Math.max(0, y1 - y0);

/**
 * The longest filter takes four neighbours: a part that is joined with four samples more on every side is exact within.
 * (A rim that is the picture's own needs none: there the mirror is the standard's.)
 */
const REACH = 4;

/** What has to be joined for `wanted` to come out exact; within `whole`. */
export function widened(wanted: Rect, whole: Rect): Rect {
  return {
    x0: Math.max(wanted.x0 - REACH, whole.x0),
    y0: Math.max(wanted.y0 - REACH, whole.y0),
    x1: Math.min(wanted.x1 + REACH, whole.x1),
    y1: Math.min(wanted.y1 + REACH, whole.y1),
  };
}

/**
 * The samples of a subband (high-pass in x, in y) that lie within a part of the finer picture; within the subband's own
 * `whole`.
 */
export function subbandPart(part: Rect, xHigh: number, yHigh: number, whole: Rect): Rect {
  return {
    x0: Math.max(Math.ceil((part.x0 - xHigh) / 2), whole.x0),
    y0: Math.max(Math.ceil((part.y0 - yHigh) / 2), whole.y0),
    x1: Math.min(Math.ceil((part.x1 - xHigh) / 2), whole.x1),
    y1: Math.min(Math.ceil((part.y1 - yHigh) / 2), whole.y1),
  };
}

/** The part of the next finer picture that `area` names, from the four subbands' parts: each with its high-passes. */
export function joinSubbands(
  bands: readonly { readonly part: Part; readonly xHigh: number; readonly yHigh: number }[],
  area: Rect,
  reversible: boolean,
): Part {
  const { x0, y0 } = area;
  const width = widthOf(area);
  const height = heightOf(area);
  const out = new Float64Array(width * height);
  for (const { part, xHigh, yHigh } of bands) place(out, part, xHigh, yHigh, area);
  const lift = reversible ? lift53 : lift97;
  for (let y = 0; y < height; y++) lift(out.subarray(y * width, (y + 1) * width), x0 & 1);
  const column = new Float64Array(height);
  for (let x = 0; x < width; x++) {
    for (let y = 0; y < height; y++) column[y] = out[y * width + x] as number;
    lift(column, y0 & 1);
    for (let y = 0; y < height; y++) out[y * width + x] = column[y] as number;
  }
  return { ...area, values: out };
}

/** F.3.3: interleaving. Of a part that reaches beyond the area only what lies in it: the rest is not exact. */
function place(out: Float64Array, part: Part, xHigh: number, yHigh: number, area: Rect): void {
  const width = widthOf(area);
  const w = widthOf(part);
  const inside = subbandPart(area, xHigh, yHigh, part);
  for (let v = inside.y0; v < inside.y1; v++) {
    const to = (2 * v + yHigh - area.y0) * width + xHigh - area.x0;
    const from = (v - part.y0) * w - part.x0;
    for (let u = inside.x0; u < inside.x1; u++) out[to + 2 * u] = part.values[from + u] as number;
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
