// Where a landing lies. Distances checked against the meridian and parallel arcs of WGS 84 at the equator, where they
// are closed form: 1° of longitude there is π a / 180 = 111 319.491 m (NGA.STND.0036: a = 6 378 137 m).
import { describe, expect, test } from 'vitest';
import { whereOf, whereWords } from '../../core/recovery/where.ts';

const square = {
  name: 'Dry Flat',
  polygon: [
    [0, -0.05],
    [0.1, -0.05],
    [0.1, 0.05],
    [0, 0.05],
  ] as [number, number][],
};
const far = {
  name: 'Far Meadow',
  polygon: [
    [3, 3],
    [3.1, 3],
    [3.1, 3.1],
  ] as [number, number][],
};
const units = { length: 'm', speed: 'kt', height: 'MSL', time: 'UTC' } as const;

describe('zones', () => {
  test('inside, with the distance to the edge', () => {
    const where = whereOf([0.01, 0], [far, square]);
    expect(where).toMatchObject({ kind: 'inside', zone: 'Dry Flat' });
    expect(where.kind === 'inside' && where.margin_m).toBeCloseTo(1113.195, 1);
    expect(whereWords(where, units)).toBe('Lands in Dry Flat, 1.1\u202fkm inside its edge');
  });
  test('outside, on the side and as far as it is', () => {
    const where = whereOf([0.105, 0], [far, square]);
    expect(where).toMatchObject({ kind: 'outside', zone: 'Dry Flat' });
    expect(where.kind === 'outside' && where.short_m).toBeCloseTo(556.597, 1);
    expect(where.kind === 'outside' && where.bearing_deg).toBeCloseTo(90, 3);
    expect(whereWords(where, units)).toBe('Lands 560\u202fm outside Dry Flat, on its 090° (east) side');
  });
  test('no zones', () =>
    expect(whereWords(whereOf([0, 0], []), units)).toBe('Lands away from any zone: the plan names none'));
});
