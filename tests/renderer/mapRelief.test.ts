// The hillshade and the terrain's coarser levels, against closed forms: a plane keeps its slope at every level, and its
// shade is the cosine law (Lambert) for light from 315° at 45°.
import { describe, expect, test } from 'vitest';
import { exaggeration, shadeOf } from '../../renderer/map/shade.ts';
import { halved, Pyramid, stepMetres } from '../../renderer/map/pyramid.ts';
import { TerrainGrid } from '../../core/earth/terrain.ts';

const N = 64;
const shape = { west_deg: 20, north_deg: 0.032, stepLon_deg: 0.001, stepLat_deg: 0.001, columns: N, rows: N };
const { x_m, y_m } = stepMetres(new TerrainGrid(shape, new Float32Array(N * N)), 0);

/** A plane about the equator that rises by `east` and `north` metres a metre. */
function plane(east: number, north: number): TerrainGrid {
  const heights = Float32Array.from(
    { length: N * N },
    (_, i) => 500 + east * x_m * (i % N) - north * y_m * Math.floor(i / N),
  );
  return new TerrainGrid(shape, heights);
}

const part = { column0: 1, column1: N - 2, row0: 1, row1: N - 2 };

describe('the pyramid', () => {
  test('halving keeps a plane: the same height at the same place', () => {
    const fine = plane(0.2, -0.1);
    const coarse = halved(fine);
    expect([coarse.columns, coarse.rows]).toEqual([32, 32]);
    let compared = 0;
    for (let row = 0; row < 32; row++) {
      for (let column = 0; column < 32; column++) {
        const lon = coarse.west_deg + column * coarse.stepLon_deg;
        const lat = coarse.north_deg - row * coarse.stepLat_deg;
        // Float32 heights of some 3 km: their last bit is 0.2 mm, and four are added.
        expect(Math.abs((coarse.heights_m[row * 32 + column] ?? NaN) - fine.heightAt(lon, lat))).toBeLessThan(1e-3);
        compared += 1;
      }
    }
    expect(compared).toBe(1024);
  });

  test('an unknown node is left out of the mean; four of them stay unknown', () => {
    const grid = new TerrainGrid(
      { ...shape, columns: 4, rows: 2 },
      Float32Array.from([1, NaN, NaN, NaN, 3, 5, NaN, NaN]),
    );
    expect([...halved(grid).heights_m]).toEqual([3, NaN]);
  });

  test('gives the level whose nodes stand about as far apart as asked, and never finer than there is', () => {
    const pyramid = new Pyramid(plane(0.1, 0));
    const scale = 360_000;
    expect(pyramid.levelFor(scale, 1)).toBe(0);
    expect(pyramid.levelFor(scale / 4, 1)).toBe(2);
    expect(pyramid.levelFor(scale * 16, 1)).toBe(0);
    expect(pyramid.level(pyramid.levelFor(scale / 1e6, 1)).columns).toBeGreaterThanOrEqual(4);
  });

  test('the slope of a plane is the same at every level', () => {
    const pyramid = new Pyramid(plane(0.3, 0.4));
    for (const level of [0, 1, 2]) expect(pyramid.slope(level)).toBeCloseTo(0.5, 3);
    expect(new Pyramid(plane(0, 0)).slope(0)).toBe(0);
    expect(exaggeration(0)).toBe(1);
    expect(exaggeration(0.6)).toBe(1);
    expect(exaggeration(0.03)).toBeGreaterThan(5);
  });
});

describe('the shade', () => {
  const middle = (grid: TerrainGrid, lit: 'dark' | 'bright'): number =>
    shadeOf(grid, part, 1, lit)[31 * (N - 2) + 31] ?? NaN;
  const lambert = (east: number, north: number): number =>
    (Math.SQRT1_2 + 0.5 * east - 0.5 * north) / Math.sqrt(1 + east * east + north * north);

  test('follows the cosine law on planes of all aspects', () => {
    let compared = 0;
    for (const [east, north] of [
      [0, 0],
      [0.1, 0],
      [-0.1, 0],
      [0, 0.1],
      [0, -0.1],
      [0.15, -0.15],
      [-0.15, 0.15],
    ] as const) {
      // Light comes from the north-west: ground that rises to the east or falls to the north faces it.
      const light = lambert(east, north);
      const dark = 255 * Math.min(Math.max(0.3 - 1.5 * (light - Math.SQRT1_2), 0), 1);
      expect(Math.abs(middle(plane(east, north), 'dark') - dark)).toBeLessThanOrEqual(1);
      compared += 1;
    }
    expect(compared).toBe(7);
  });

  test('by day what faces away is shaded, by night what faces the light', () => {
    const [facing, away] = [plane(0.2, -0.2), plane(-0.2, 0.2)];
    expect(middle(facing, 'dark')).toBeLessThan(middle(away, 'dark'));
    expect(middle(facing, 'bright')).toBeGreaterThan(middle(away, 'bright'));
  });

  test('unknown ground has no shade', () => {
    const grid = plane(0, 0);
    grid.heights_m[20 * N + 20] = NaN;
    const shade = shadeOf(grid, part, 1, 'dark');
    expect(shade.filter((value) => value === -1).length).toBe(4);
  });
});
