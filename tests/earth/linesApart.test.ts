// How near two lines come, against the least distance between many points put along both, which is a second way to the
// same number: never below it by more than the points are apart.
import { describe, expect, it } from 'vitest';
import { Random } from '../../core/base/random.ts';
import { linesApart, type Point } from '../../core/earth/plane.ts';

const STEP = 1 / 40;

function along(line: readonly Point[]): Point[] {
  return line.flatMap((a, i) => {
    const b = line[i + 1] ?? a;
    return Array.from({ length: 41 }, (_, k): Point => [
      a[0] + k * STEP * (b[0] - a[0]),
      a[1] + k * STEP * (b[1] - a[1]),
    ]);
  });
}
const longest = (line: readonly Point[]): number =>
  line.reduce(
    (most, a, i) =>
      Math.max(most, Math.hypot(...((line[i + 1] ?? a).map((x, k) => x - (a[k] ?? 0)) as [number, number]))),
    0,
  );

describe('two lines', () => {
  it('are as far apart as the nearest two of many points along them', () => {
    const random = new Random(5, 77);
    const point = (): Point => [1000 * random.uniform(), 1000 * random.uniform()];
    const line = (): Point[] => Array.from({ length: 1 + Math.floor(4 * random.uniform()) }, point);
    let apart = 0;
    for (let i = 0; i < 300; i++) {
      const [a, b] = [line(), line()];
      const [onA, onB] = [along(a), along(b)];
      const sampled = Math.min(...onA.map((p) => Math.min(...onB.map((q) => Math.hypot(p[0] - q[0], p[1] - q[1])))));
      const exact = linesApart(a, b, false);
      expect(exact).toBeLessThanOrEqual(sampled + 1e-9);
      // Half a step of each is the most by which the points can miss the nearest two places.
      expect(exact).toBeGreaterThanOrEqual(sampled - (STEP / 2) * (longest(a) + longest(b)) - 1e-9);
      expect(linesApart(b, a, false)).toBeCloseTo(exact, 9);
      if (exact > 0) apart += 1;
    }
    expect(apart).toBeGreaterThan(100);
  });

  it('that cross far from all their ends are not apart, and neither is a way through a wide area', () => {
    expect(
      linesApart(
        [
          [-9000, 0],
          [9000, 0],
        ],
        [
          [0, -9000],
          [0, 9000],
        ],
        false,
      ),
    ).toBe(0);
    const ring: Point[] = [
      [-9000, -9000],
      [9000, -9000],
      [9000, 9000],
      [-9000, 9000],
    ];
    expect(
      linesApart(
        [
          [0, 0],
          [100, 0],
        ],
        ring,
        true,
      ),
    ).toBe(0);
    expect(
      linesApart(
        [
          [9500, 0],
          [9600, 0],
        ],
        ring,
        true,
      ),
    ).toBe(500);
    // The last side of a ring counts, of a line it is not there.
    expect(linesApart([[-9100, 0]], ring, true)).toBe(100);
    expect(linesApart([[-9100, 0]], ring, false)).toBeCloseTo(Math.hypot(100, 9000), 9);
    expect(linesApart([], ring, true)).toBe(Infinity);
  });
});
