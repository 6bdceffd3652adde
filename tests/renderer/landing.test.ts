// Where a landing lies. Distances checked against the meridian and parallel arcs of WGS 84 at the equator, where they
// are closed form: 1° of longitude there is π a / 180 = 111 319.491 m (NGA.STND.0036: a = 6 378 137 m).
import { describe, expect, test } from 'vitest';
import { landmarkToward, whereOf, whereWords } from '../../renderer/state/derived/landing.ts';

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
    expect(whereWords(where, units)).toBe('Lands in Dry Flat, 1.1\u2009km inside its edge');
  });
  test('outside, on the side and as far as it is', () => {
    const where = whereOf([0.105, 0], [far, square]);
    expect(where).toMatchObject({ kind: 'outside', zone: 'Dry Flat' });
    expect(where.kind === 'outside' && where.short_m).toBeCloseTo(556.597, 1);
    expect(where.kind === 'outside' && where.bearing_deg).toBeCloseTo(90, 3);
    expect(whereWords(where, units)).toBe('Lands 560\u2009m outside Dry Flat, on its 090° (east) side');
  });
  test('no zones', () =>
    expect(whereWords(whereOf([0, 0], []), units)).toBe('Lands away from any zone: the plan names none'));
});

describe('the landmark on a side', () => {
  const marks = [
    {
      name: 'Long Ridge',
      line: [
        [-0.5, -0.3],
        [-0.5, 0.3],
      ] as [number, number][],
    },
    { name: 'Cairn', position: [0.3, 0.01] as [number, number] },
    { name: 'Here', position: [0, 0] as [number, number] },
  ];
  test('is the nearest in angle within 30°', () => {
    expect(landmarkToward([0, 0], marks, 88)).toBe('Cairn');
    expect(landmarkToward([0, 0], marks, 300)).toBe('Long Ridge');
    expect(landmarkToward([0, 0], marks, 180)).toBeNull();
    expect(landmarkToward([0, 0], [], 90)).toBeNull();
  });
});
