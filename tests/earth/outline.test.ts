// Outlines against plane geometry done by hand, and the size of a circle against π r².
import { describe, expect, it } from 'vitest';
import { ringArea } from '../../core/earth/geodesic.ts';
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

  it('of a circle has its area, to the share that 48 corners leave out', () => {
    // Regular polygon of n corners: n/2 · sin(2π/n) r².
    const share = (48 / 2) * Math.sin((2 * Math.PI) / 48);
    expect(ringArea(circle([11.25, 54.1], 200)).area_m2 / 200 ** 2).toBeCloseTo(share, 4);
  });
});
