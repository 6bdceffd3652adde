// Contour lines against closed forms: a plane, a cone, a saddle. The bound on a cone is that of linear interpolation,
// |error| ≤ h²/8 · max |f″| (source: Burden & Faires, Numerical Analysis, theorem 3.3, for n = 1).
import { featureCollection, isolines as turfIsolines, point } from '@turf/turf';
import { fc } from '../property.ts';
import { describe, expect, test } from 'vitest';
import { contourInterval, contourLines } from '../../renderer/map/contourLines.ts';
import { isolines, type GridPart, type Isoline } from '../../core/base/isolines.ts';
import { latAt, lonAt } from '../../renderer/map/projection.ts';
import { TerrainGrid } from '../../core/earth/terrain.ts';

/** Even over the range: `fc.double` is even over the floating-point numbers, nearly all of which lie about 0. */
const even = (min: number, max: number): fc.Arbitrary<number> =>
  fc.integer({ min: 0, max: 1e9 }).map((n) => min + ((max - min) * n) / 1e9);
const N = 41;
const whole: GridPart = { column0: 0, column1: N - 1, row0: 0, row1: N - 1 };

function gridOf(f: (x: number, y: number) => number): Float64Array {
  const values = new Float64Array(N * N);
  for (let row = 0; row < N; row++)
    for (let column = 0; column < N; column++) values[row * N + column] = f(column, row);
  return values;
}

const vertices = (lines: readonly Isoline[]): [number, number][] =>
  lines.flatMap((line) =>
    Array.from({ length: line.points.length / 2 }, (_, i): [number, number] => [
      line.points[2 * i] ?? NaN,
      line.points[2 * i + 1] ?? NaN,
    ]),
  );

describe('a plane', () => {
  test('every vertex lies on the level, and one line crosses from border to border', () => {
    let compared = 0;
    fc.assert(
      fc.property(even(-3, 3), even(-3, 3), (a, b) => {
        fc.pre(Math.abs(a) + Math.abs(b) > 0.1);
        const f = (x: number, y: number): number => a * (x - 20.3) + b * (y - 19.6);
        const lines = isolines(gridOf(f), N, whole, 0);
        expect(lines.length).toBe(1);
        expect(lines[0]?.closed).toBe(false);
        for (const [x, y] of vertices(lines)) {
          expect(Math.abs(f(x, y))).toBeLessThan(1e-9);
          compared += 1;
        }
        const ends = [vertices(lines)[0], vertices(lines).at(-1)];
        for (const [x, y] of ends.filter((end) => end !== undefined))
          expect(Math.min(x, y, N - 1 - x, N - 1 - y)).toBeLessThan(1e-12);
      }),
      { numRuns: 200, seed: 20270314 },
    );
    expect(compared).toBeGreaterThan(2000);
  });
});

describe('a cone', () => {
  const [cx, cy] = [20.37, 19.81];
  const cone = gridOf((x, y) => 50 - Math.hypot(x - cx, y - cy));
  test.each([3.5, 7, 12.25, 18])(
    'at %d nodes from the tip: one ring, within the interpolation bound of the circle',
    (radius) => {
      const lines = isolines(cone, N, whole, 50 - radius);
      expect(lines.length).toBe(1);
      expect(lines[0]?.closed).toBe(true);
      const points = vertices(lines);
      expect(points.length).toBeGreaterThan(4 * radius);
      // The second derivative of a distance across the line is 1/r; the edge is one node long and r at least radius − 1
      // on it.
      const bound = 1 / 8 / (radius - 1);
      for (const [x, y] of points) expect(Math.abs(Math.hypot(x - cx, y - cy) - radius)).toBeLessThanOrEqual(bound);
    },
  );

  test('the ring closes: its area by the shoelace formula is that of the circle within the same bound', () => {
    const radius = 15;
    const points = vertices(isolines(cone, N, whole, 50 - radius));
    let twice = 0;
    points.forEach(([x, y], i) => {
      const [x2, y2] = points[(i + 1) % points.length] ?? [x, y];
      twice += x * y2 - x2 * y;
    });
    const area = Math.PI * radius ** 2;
    // The chords between vertices, at most √2 nodes long, cut off at most 2/(12 r) of a node's width (segment area
    // c³/12r per chord c).
    expect(Math.abs(Math.abs(twice) / 2 - area)).toBeLessThan(
      2 * Math.PI * radius * (1 / 8 / (radius - 1) + 2 / (12 * radius)),
    );
  });

  test('a ring that the border cuts is open, and its ends lie on the border', () => {
    const lines = isolines(cone, N, whole, 50 - 24);
    expect(lines.length).toBe(4);
    for (const line of lines) {
      expect(line.closed).toBe(false);
      for (const [x, y] of [vertices([line])[0] ?? [9, 9], vertices([line]).at(-1) ?? [9, 9]]) {
        expect(Math.min(x, y, N - 1 - x, N - 1 - y)).toBeLessThan(1e-12);
      }
    }
  });
});

describe('what is awkward', () => {
  test('a saddle gives two lines that do not cross, whichever way its middle lies', () => {
    for (const [corners, inTheMiddle] of [
      [[1, 0, 1, 0], 0.5],
      [[3, 0, 3, 0], 1.5],
      [[1, -2, 1, -2], -0.5],
    ] as const) {
      const [a, b, c, d] = corners;
      const lines = isolines([a, b, d, c], 2, { column0: 0, column1: 1, row0: 0, row1: 1 }, 0.75);
      expect(lines.length).toBe(2);
      // The corner that each line cuts off is on the other side of the level than the middle.
      for (const line of lines) {
        const [x0 = 0, y0 = 0, x1 = 0, y1 = 0] = line.points;
        const corner = [Math.round((x0 + x1) / 2), Math.round((y0 + y1) / 2)] as const;
        const value = [a, b, d, c][corner[1] * 2 + corner[0]] ?? NaN;
        expect(value >= 0.75).not.toBe(inTheMiddle >= 0.75);
      }
    }
  });

  test('an unknown node breaks the line and nothing else', () => {
    const values = gridOf((x) => x);
    values[20 * N + 15] = NaN;
    const lines = isolines(values, N, whole, 14.5);
    expect(lines.length).toBe(2);
    for (const [x] of vertices(lines)) expect(x).toBe(14.5);
  });

  test('a flat at the level itself draws one outline, not two', () => {
    const values = gridOf((x, y) => (Math.hypot(x - 20, y - 20) < 8 ? 100 : 90));
    expect(isolines(values, N, whole, 100).length).toBe(1);
  });

  test('blocks that share their border meet there: the ends of one are the ends of the other', () => {
    const values = gridOf((x, y) => Math.sin(x / 5) * Math.cos(y / 7) * 10);
    const left = isolines(values, N, { ...whole, column1: 20 }, 1.3);
    const right = isolines(values, N, { ...whole, column0: 20 }, 1.3);
    const onBorder = (lines: readonly Isoline[]): string[] =>
      lines
        .filter((line) => !line.closed)
        .flatMap((line) => [vertices([line])[0], vertices([line]).at(-1)])
        .filter((end) => end !== undefined && Math.abs(end[0] - 20) < 1e-12)
        .map((end) => (end?.[1] ?? NaN).toFixed(9))
        .sort();
    expect(onBorder(left).length).toBeGreaterThan(0);
    expect(onBorder(left)).toEqual(onBorder(right));
  });

  test('every vertex lies on the level by bilinear reading, on any grid', () => {
    let compared = 0;
    fc.assert(
      fc.property(fc.array(even(-50, 50), { minLength: 64, maxLength: 64 }), (values) => {
        for (const line of isolines(values, 8, { column0: 0, column1: 7, row0: 0, row1: 7 }, 3.3)) {
          for (const [x, y] of vertices([line])) {
            const [i, j] = [Math.min(Math.floor(x), 6), Math.min(Math.floor(y), 6)];
            const at = (column: number, row: number): number => values[row * 8 + column] ?? NaN;
            const top = at(i, j) + (x - i) * (at(i + 1, j) - at(i, j));
            const bottom = at(i, j + 1) + (x - i) * (at(i + 1, j + 1) - at(i, j + 1));
            expect(top + (y - j) * (bottom - top)).toBeCloseTo(3.3, 9);
            compared += 1;
          }
        }
      }),
      { numRuns: 200, seed: 20270315 },
    );
    expect(compared).toBeGreaterThan(5000);
  });
});

test('Turf takes an unknown height for 0 and draws a line around it: why its isolines are not used', () => {
  const heights = [100, 100, 100, 100, NaN, 100, 100, 100, 100];
  const grid = heights.map((elevation, i) => point([i % 3, Math.floor(i / 3)], { elevation }));
  const [line] = turfIsolines(featureCollection(grid), [50]).features;
  expect(line?.geometry.coordinates).toHaveLength(1);
  expect(isolines(heights, 3, { column0: 0, column1: 2, row0: 0, row1: 2 }, 50)).toEqual([]);
});

describe('contours of a terrain', () => {
  const shape = { west_deg: 10, north_deg: 46, stepLon_deg: 0.001, stepLat_deg: 0.001, columns: 50, rows: 50 };
  const slope = new TerrainGrid(
    shape,
    Float32Array.from({ length: 2500 }, (_, i) => (i % 50) * 10),
  );
  const part = { column0: 0, column1: 49, row0: 0, row1: 49 };

  test('on an even slope each line lies on its meridian, every fifth is an index line', () => {
    const lines = contourLines(slope, part, { step_m: 20, indexEvery: 5 }, 10);
    expect(lines.length).toBe(24);
    expect(lines.filter((line) => line.index).map((line) => line.height_m)).toEqual([100, 200, 300, 400]);
    let compared = 0;
    for (const line of lines) {
      for (let i = 0; i < line.world.length; i += 2) {
        expect(lonAt(line.world[i] ?? NaN)).toBeCloseTo(10 + (line.height_m / 10) * 0.001, 9);
        const lat = latAt(line.world[i + 1] ?? NaN);
        expect(lat).toBeLessThanOrEqual(46 + 1e-9);
        expect(lat).toBeGreaterThanOrEqual(46 - 0.049 - 1e-9);
        compared += 1;
      }
    }
    expect(compared).toBe(24 * 50);
  });

  test('the interval is round in the unit that is read, and wider where the map is zoomed out', () => {
    expect(contourInterval(0.1, 10, 'm')).toEqual({ step_m: 50, indexEvery: 5 });
    expect(contourInterval(0.1, 1, 'm')?.step_m).toBe(5);
    expect((contourInterval(0.1, 10, 'ft')?.step_m ?? NaN) / 0.3048).toBeCloseTo(200, 9);
    expect(contourInterval(0, 10, 'm')).toBeNull();
    expect(contourInterval(NaN, 10, 'm')).toBeNull();
  });
});
