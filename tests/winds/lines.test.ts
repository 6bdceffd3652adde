// A line through a stretch of wind against its definition: the mean and the first moment, by quadrature of the sampled
// wind.
import { fc } from '../property.ts';
import { describe, expect, it } from 'vitest';
import { WindField, WindSampler, type WindOffset } from '../../core/winds/field.ts';
import { WindLines } from '../../core/winds/lines.ts';

const level = fc.record({
  dz: fc.double({ min: 5, max: 900, noNaN: true }),
  from_deg: fc.double({ min: 0, max: 360, noNaN: true }),
  speed_mps: fc.double({ min: 0, max: 60, noNaN: true }),
});
const column = fc.array(level, { minLength: 1, maxLength: 25 }).map((rows) => {
  let height_m = 100;
  return rows.map(({ dz, from_deg, speed_mps }) => ({ height_m: (height_m += dz), from_deg, speed_mps }));
});
const offsets = fc.option(
  fc.array(
    fc.record({ dz: fc.double({ min: 5, max: 900, noNaN: true }), u: fc.double({ min: -9, max: 9, noNaN: true }) }),
    {
      minLength: 1,
      maxLength: 20,
    },
  ),
);

function offsetOf(rows: readonly { dz: number; u: number }[] | null): WindOffset | null {
  if (rows === null) return null;
  let z = 50;
  return {
    heights_m: Float64Array.from(rows, ({ dz }) => (z += dz)),
    u_mps: Float64Array.from(rows, ({ u }) => u),
    v_mps: Float64Array.from(rows, ({ u }) => 2 - u),
  };
}

/** Mean and slope of u and v over a stretch by 20 000 midpoints. */
function byQuadrature(sampler: WindSampler, low: number, high: number, t: number, passing: number): number[] {
  const n = 20_000;
  const sums = [0, 0, 0, 0];
  const middle = (low + high) / 2;
  for (let i = 0; i < n; i++) {
    const z = low + ((i + 0.5) / n) * (high - low);
    sampler.sample(0, 0, z, t + ((middle - z) / (high - low)) * passing);
    const [u = 0, v = 0] = sampler.out;
    sums[0] = (sums[0] ?? 0) + u / n;
    sums[1] = (sums[1] ?? 0) + v / n;
    sums[2] = (sums[2] ?? 0) + ((z - middle) * u) / n;
    sums[3] = (sums[3] ?? 0) + ((z - middle) * v) / n;
  }
  const square = ((high - low) * (high - low)) / 12;
  return [sums[0] ?? NaN, sums[1] ?? NaN, (sums[2] ?? NaN) / square, (sums[3] ?? NaN) / square];
}

describe('the line through a stretch of wind', () => {
  it('has its mean and its first moment, whatever the levels, times and offset', () => {
    let compared = 0;
    fc.assert(
      fc.property(
        fc.array(column, { minLength: 1, maxLength: 4 }),
        offsets,
        fc.array(
          fc.tuple(fc.double({ min: 1, max: 1500, noNaN: true }), fc.double({ min: 0, max: 4000, noNaN: true })),
          {
            minLength: 1,
            maxLength: 6,
          },
        ),
        (columns, rows, stretches) => {
          const field = WindField.ofColumns(columns.map((levels, i) => ({ source: '', time_s: 1000 * i, levels })));
          const offset = offsetOf(rows);
          const lines = new WindLines(field);
          const sampler = new WindSampler(field);
          lines.start(-500, offset);
          sampler.start(-500, offset);
          let high = 9000;
          // As a body falls: each stretch begins where the last one ended; time only goes on.
          for (const [k, [length, t]] of stretches.toSorted((a, b) => a[1] - b[1]).entries()) {
            const low = high - length - 50 * k;
            lines.fit(low, high, t, 0);
            const [u = NaN, v = NaN, uSlope = NaN, vSlope = NaN] = byQuadrature(sampler, low, high, t, 0);
            // Of a straight stretch the midpoint rule's slope is short by 1/n²; a break within one cell costs its share
            // of the cell.
            expect(Math.abs(lines.u_mps - u)).toBeLessThan(1e-4);
            expect(Math.abs(lines.v_mps - v)).toBeLessThan(1e-4);
            expect(Math.abs(lines.uSlope - uSlope) * (high - low)).toBeLessThan(1e-3);
            expect(Math.abs(lines.vSlope - vSlope) * (high - low)).toBeLessThan(1e-3);
            expect(lines.middle_m).toBeCloseTo((low + high) / 2, 9);
            high = low;
            compared += 1;
          }
        },
      ),
      { numRuns: 60 },
    );
    expect(compared).toBeGreaterThan(100);
  });

  it('is the wind itself where that is straight', () => {
    const field = WindField.ofColumns([
      {
        source: '',
        time_s: 0,
        levels: [
          { height_m: 0, from_deg: 270, speed_mps: 0 },
          { height_m: 10_000, from_deg: 270, speed_mps: 50 },
        ],
      },
    ]);
    const lines = new WindLines(field);
    lines.start(0, null);
    lines.fit(3000, 3400, 0, 0);
    expect(lines.u_mps).toBeCloseTo(16, 9);
    expect(lines.uSlope).toBeCloseTo(0.005, 9);
    expect(lines.v_mps).toBeCloseTo(0, 9);
    // Above its levels the last wind holds, below them the first.
    lines.fit(12_000, 12_500, 0, 0);
    expect([lines.u_mps, lines.uSlope]).toEqual([expect.closeTo(50, 6), expect.closeTo(0, 9)]);
    lines.fit(-300, -100, 0, 0);
    expect([lines.u_mps, lines.uSlope]).toEqual([expect.closeTo(0, 9), expect.closeTo(0, 9)]);
  });

  it('meets a wind that changes with height and with time while it is passed', () => {
    const column = (time_s: number, low: number, high: number) => ({
      source: '',
      time_s,
      levels: [
        { height_m: 0, from_deg: 270, speed_mps: low },
        { height_m: 1000, from_deg: 270, speed_mps: high },
      ],
    });
    const field = WindField.ofColumns([column(0, 3, 8), column(1000, 12, 25)]);
    const lines = new WindLines(field);
    const sampler = new WindSampler(field);
    lines.start(0, null);
    sampler.start(0, null);
    // 300 m passed in 60 s: the product of both changes is what a straight time and a straight height miss of each
    // other.
    lines.fit(400, 700, 500, 60);
    const [u = NaN, , uSlope = NaN] = byQuadrature(sampler, 400, 700, 500, 60);
    expect(Math.abs(lines.u_mps - u)).toBeLessThan(1e-6);
    expect(Math.abs(lines.uSlope - uSlope) * 300).toBeLessThan(1e-3);
    lines.fit(400, 700, 500, 0);
    expect(Math.abs(lines.u_mps - u)).toBeGreaterThan(0.01);
  });
});
