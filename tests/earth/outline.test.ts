// Outlines against plane geometry done by hand, and the size of a circle against π r².
import { describe, expect, it } from 'vitest';
import { ringArea } from '../../core/earth/geodesic.ts';
import { kinks, polygon } from '@turf/turf';
import { Random } from '../../core/base/random.ts';
import { circle, outlineFaults, rectangle } from '../../core/earth/outline.ts';

const square = rectangle([11.25, 54.1], [11.252, 54.102]);

describe('an outline', () => {
  it('with nothing wrong has no sentence, open or closed', () => {
    expect(outlineFaults(square)).toEqual([]);
    expect(outlineFaults([...square, square[0] ?? [0, 0]])).toEqual([]);
  });

  it('that crosses itself, has no area or too few corners says so', () => {
    const bow = [square[0], square[2], square[1], square[3]].map((place) => place ?? ([0, 0] as const));
    expect(outlineFaults(bow)).toEqual(['The outline crosses itself.']);
    expect(outlineFaults(rectangle([11.25, 54.1], [11.25001, 54.10001]))[0]).toMatch(/no area/);
    expect(outlineFaults(square.slice(0, 2))[0]).toMatch(/three corners/);
  });

  it('names what it lies over, also where one lies wholly inside the other, and not its neighbour', () => {
    const inside = { name: 'Inside', ring: rectangle([11.2505, 54.1005], [11.251, 54.101]) };
    const across = { name: 'Across', ring: rectangle([11.251, 54.101], [11.26, 54.11]) };
    const beside = { name: 'Beside', ring: rectangle([11.26, 54.1], [11.27, 54.11]) };
    expect(outlineFaults(square, [inside, across, beside])).toEqual(['It overlaps Inside.', 'It overlaps Across.']);
  });

  it('crosses itself where Turf finds that two of its sides meet, on 400 random outlines', () => {
    const random = new Random(7, 0);
    let crossing = 0;
    for (let i = 0; i < 400; i++) {
      // Corners about a middle in order of their bearing, some of them swapped.
      const n = 4 + (i % 9);
      const ring = Array.from({ length: n }, (_, k): [number, number] => {
        const angle = (2 * Math.PI * (k + (i % 3 === 0 ? 2.2 * random.uniform() : 0.8 * random.uniform()))) / n;
        const r = 0.01 * (0.3 + random.uniform());
        return [11 + r * Math.cos(angle), 54 + r * Math.sin(angle)];
      });
      const first = ring[0] ?? [0, 0];
      const found = kinks(polygon([[...ring, first]])).features.length > 0;
      expect(outlineFaults(ring).includes('The outline crosses itself.'), JSON.stringify(ring)).toBe(found);
      if (found) crossing += 1;
    }
    expect(crossing).toBeGreaterThan(40);
    expect(crossing).toBeLessThan(360);
  });

  it('across 180° is like any other', () => {
    const over = [179.99, -179.99, -179.98, 179.98].map((lon, i): [number, number] => [lon, i < 2 ? 10 : 10.01]);
    expect(outlineFaults(over)).toEqual([]);
    expect(outlineFaults([over[0], over[2], over[1], over[3]].map((place) => place ?? [0, 0]))).toEqual([
      'The outline crosses itself.',
    ]);
  });

  it('of a circle has its area, to the share that 48 corners leave out', () => {
    // Regular polygon of n corners: n/2 · sin(2π/n) r².
    const share = (48 / 2) * Math.sin((2 * Math.PI) / 48);
    expect(ringArea(circle([11.25, 54.1], 200)).area_m2 / 200 ** 2).toBeCloseTo(share, 4);
  });
});
