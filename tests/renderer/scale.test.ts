// Axes and labels: statements that hold for any span and any row of labels.
import { fc } from '../property.ts';
import { expect, test } from 'vitest';
import { fromPx, niceCeiling, niceStep, spread, ticks, toPx } from '../../renderer/winds/scale.ts';

const finite = (min: number, max: number) => fc.double({ min, max, noNaN: true });

test('a step is 1, 2 or 5 times a power of ten, and gives at most twice the ticks that were wanted', () => {
  fc.assert(
    fc.property(finite(1e-3, 1e6), fc.integer({ min: 1, max: 20 }), (span, count) => {
      const step = niceStep(span, count);
      expect([1, 2, 5, 10]).toContain(Math.round(step / 10 ** Math.floor(Math.log10(step) + 1e-9)));
      expect(step).toBeGreaterThanOrEqual((span / count) * (1 - 1e-9));
      expect(step).toBeLessThanOrEqual((span / count) * 2.5 * (1 + 1e-9));
    }),
  );
});

test('ticks are multiples of one step within the span, rising', () => {
  expect(ticks(951, 40_000, 8)).toEqual([5000, 10_000, 15_000, 20_000, 25_000, 30_000, 35_000, 40_000]);
  expect(ticks(0, 0, 5)).toEqual([]);
  expect(ticks(NaN, 1, 5)).toEqual([]);
});

test('an axis ends at or above its largest value, and not far above', () => {
  fc.assert(
    fc.property(finite(1e-2, 1e5), (value) => {
      expect(niceCeiling(value)).toBeGreaterThanOrEqual(value * (1 - 1e-9));
      expect(niceCeiling(value)).toBeLessThanOrEqual(value * 1.51);
    }),
  );
});

test('pixels and values undo each other', () => {
  fc.assert(
    fc.property(finite(-1e4, 1e4), finite(1, 1e4), finite(-1e5, 1e5), (min, span, value) => {
      const scale = { min, max: min + span, from_px: 700, to_px: 30 };
      expect(fromPx(scale, toPx(scale, value))).toBeCloseTo(value, 5);
    }),
  );
});

test('labels that fit are apart, in their order, inside; one that stood free stays where it was', () => {
  fc.assert(
    fc.property(fc.array(finite(0, 1000), { minLength: 1, maxLength: 12 }), (places) => {
      const sizes = places.map((_, i) => 20 + (i % 3) * 10);
      const moved = spread(places, sizes, 0, 1000);
      const order = places.map((_, i) => i).sort((a, b) => (places[a] ?? 0) - (places[b] ?? 0));
      order.forEach((i, n) => {
        const next = order[n + 1];
        expect((moved[i] ?? NaN) - (sizes[i] ?? 0) / 2).toBeGreaterThanOrEqual(-1e-9);
        expect((moved[i] ?? NaN) + (sizes[i] ?? 0) / 2).toBeLessThanOrEqual(1000 + 1e-9);
        if (next === undefined) return;
        expect((moved[next] ?? NaN) - (moved[i] ?? NaN)).toBeGreaterThanOrEqual(
          ((sizes[i] ?? 0) + (sizes[next] ?? 0)) / 2 - 1e-9,
        );
      });
    }),
  );
  expect(spread([100, 500], [40, 40], 0, 1000)).toEqual([100, 500]);
});
