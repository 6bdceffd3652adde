// Wind barbs by the WMO's convention. ref: WMO-No. 485 (Manual on the GDPFS), symbols of plotted wind: half feather 5
// kt, feather 10 kt, pennant 50 kt; shaft toward where the wind comes from; feathers left looking downwind in the
// north, right in the south.
import { fc } from '../property.ts';
import { describe, expect, test } from 'vitest';
import { MPS_PER_KT } from '../../core/base/units.ts';
import { barb, feathers, type Barb, type Point } from '../../renderer/winds/barbs.ts';

test.each([
  // kt, pennants, full, half
  [0, 0, 0, 0],
  [2, 0, 0, 0],
  [3, 0, 0, 1],
  [5, 0, 0, 1],
  [10, 0, 1, 0],
  [15, 0, 1, 1],
  [48, 1, 0, 0],
  [50, 1, 0, 0],
  [65, 1, 1, 1],
  [85, 1, 3, 1],
  [120, 2, 2, 0],
])('%d kt has %d pennants, %d feathers, %d half feathers', (kt, pennants, full, half) => {
  expect(feathers(kt * MPS_PER_KT)).toMatchObject({ pennants, full, half });
  const drawn = barb(270, kt * MPS_PER_KT, 'north');
  expect([drawn.pennants.length, drawn.full.length, drawn.half.length]).toEqual([pennants, full, half]);
  expect(drawn.calm).toBe(kt === 0);
});

/** Above zero where the point lies left of the shaft for someone who looks downwind (from the tip to the station). */
function leftOf(drawn: Barb, [x, y]: Point): number {
  const [station, tip] = drawn.shaft;
  const [dx, dy] = [station[0] - tip[0], station[1] - tip[1]];
  // y runs down on the screen, so a positive turn of the cross product is to the right.
  return -(dx * (y - tip[1]) - dy * (x - tip[0]));
}

describe('for any wind', () => {
  const wind = fc.record({ from: fc.double({ min: 0, max: 360, noNaN: true }), kt: fc.integer({ min: 3, max: 290 }) });
  test('the shaft points to where the wind comes from', () => {
    fc.assert(
      fc.property(wind, ({ from, kt }) => {
        const [[x0, y0], [x1, y1]] = barb(from, kt * MPS_PER_KT, 'north').shaft;
        const bearing = (Math.atan2(x1 - x0, y0 - y1) * 180) / Math.PI;
        expect(Math.cos(((bearing - from) * Math.PI) / 180)).toBeCloseTo(1, 9);
      }),
    );
  });
  test('every feather lies left looking downwind in the north and right in the south, on the shaft and not beyond the station', () => {
    fc.assert(
      fc.property(wind, ({ from, kt }) => {
        for (const hemisphere of ['north', 'south'] as const) {
          const drawn = barb(from, kt * MPS_PER_KT, hemisphere);
          const tips = [
            ...drawn.full.map(([, tip]) => tip),
            ...drawn.half.map(([, tip]) => tip),
            ...drawn.pennants.map(([, tip]) => tip),
          ];
          expect(tips.length).toBeGreaterThan(0);
          for (const tip of tips) expect(Math.sign(leftOf(drawn, tip))).toBe(hemisphere === 'north' ? 1 : -1);
          const [station, end] = drawn.shaft;
          const length = Math.hypot(end[0] - station[0], end[1] - station[1]);
          for (const [root] of [...drawn.full, ...drawn.half]) {
            const along =
              ((root[0] - station[0]) * (end[0] - station[0]) + (root[1] - station[1]) * (end[1] - station[1])) /
              length;
            expect(along).toBeGreaterThan(0);
            expect(along).toBeLessThanOrEqual(length + 1e-9);
          }
        }
      }),
    );
  });
});
