// Axes: from values to pixels, and where the labels stand.

export interface Scale {
  readonly min: number;
  readonly max: number;
  /** Pixel of `min` and of `max`. */
  readonly from_px: number;
  readonly to_px: number;
}

/** Where on the drawing each of its parts stands. */
export interface Frame {
  readonly heights: Scale;
  readonly barbs_px: number;
  readonly curve: { readonly from_px: number; readonly to_px: number };
  readonly right_px: number;
}

export function toPx(scale: Scale, value: number): number {
  return scale.from_px + ((value - scale.min) / (scale.max - scale.min)) * (scale.to_px - scale.from_px);
}

export function fromPx(scale: Scale, px: number): number {
  return scale.min + ((px - scale.from_px) / (scale.to_px - scale.from_px)) * (scale.max - scale.min);
}

/** A step of 1, 2 or 5 times a power of ten that gives about `count` steps over a span; at least 1 of them. */
export function niceStep(span: number, count: number): number {
  if (!(span > 0) || !(count >= 1)) return 1;
  const raw = span / count;
  const power = 10 ** Math.floor(Math.log10(raw));
  const rest = raw / power;
  return (rest <= 1 ? 1 : rest <= 2 ? 2 : rest <= 5 ? 5 : 10) * power;
}

/** The multiples of a nice step within [min, max]. */
export function ticks(min: number, max: number, count: number): number[] {
  if (!(max > min)) return [];
  const step = niceStep(max - min, count);
  const first = Math.ceil(min / step - 1e-9);
  const found: number[] = [];
  for (let i = first; i * step <= max + step * 1e-9 && found.length < 200; i++) found.push(i * step);
  return found;
}

/** The smallest 1, 2, 2.5 or 5 times a power of ten that is not below a value: the end of an axis from zero. */
export function niceCeiling(value: number): number {
  if (!(value > 0)) return 1;
  const power = 10 ** Math.floor(Math.log10(value));
  const step = [1, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10].find((one) => one * power >= value * (1 - 1e-9)) ?? 10;
  return step * power;
}

/**
 * Labels moved apart so that none covers another, each as little as it must: middles of labels of these sizes, kept
 * within [min, max] where they fit. Answers the new middles in the order given.
 */
export function spread(middles: readonly number[], sizes: readonly number[], min: number, max: number): number[] {
  const order = middles.map((_, i) => i).sort((a, b) => (middles[a] ?? 0) - (middles[b] ?? 0));
  const half = (i: number): number => (sizes[i] ?? 0) / 2;
  const moved = [...middles];
  let edge = min;
  for (const i of order) {
    moved[i] = Math.max(middles[i] ?? 0, edge + half(i));
    edge = (moved[i] ?? 0) + half(i);
  }
  // What ran over the end is pushed back from there.
  edge = max;
  for (const i of [...order].reverse()) {
    moved[i] = Math.min(moved[i] ?? 0, edge - half(i));
    edge = (moved[i] ?? 0) - half(i);
  }
  return moved;
}
