// The water of a mission: its shore by closed forms and by trying every place, islands, areas that touch, boats' ways.
import { describe, expect, it } from 'vitest';
import { fc } from '../property.ts';
import { localFrame } from '../../core/earth/geodesic.ts';
import type { Point } from '../../core/earth/plane.ts';
import type { Hazard } from '../../core/plan/schema.ts';
import { Water } from '../../core/recovery/water.ts';

const frame = localFrame([20, 30]);
const area = (name: string, kind: string, corners: readonly Point[]): Hazard => ({
  name,
  kind,
  polygon: corners.map(([x, y]) => [...frame.toLonLat(x, y)] as [number, number]),
});
const box = (name: string, kind: string, west: number, south: number, east: number, north: number): Hazard =>
  area(name, kind, [
    [west, south],
    [east, south],
    [east, north],
    [west, north],
  ]);
const LATTICE = { west: -4000, south: -4000, step_m: 200, columns: 41, rows: 41 };
const SPEEDS = { road_mps: 10, offRoad_mps: 10 };
const time = (water: Water, a: Point, b: Point): number => {
  const ways = water.ways(LATTICE);
  const out = new Float64Array(1);
  ways.times(a, ways.field(a[0], a[1], SPEEDS), ways.attach([b], true), SPEEDS, out);
  return out[0] as number;
};

describe('the shore', () => {
  const water = new Water([box('Lake', 'lake', 0, 0, 2000, 1000)], frame);
  it.each([
    [[300, 500], 300, 270],
    [[1900, 500], 100, 90],
    [[1000, 50], 50, 180],
    [[1700, 800], 200, 360],
  ] as const)('lies from %s %i m toward %i°', (place, distance_m, toward_deg) => {
    const shore = water.shoreOf(place);
    expect(shore?.name).toBe('Lake');
    expect(shore?.distance_m).toBeCloseTo(distance_m, 3);
    expect(shore?.toward_deg).toBeCloseTo(toward_deg, 6);
  });
  it('is of no place on land', () => {
    expect([water.at([-1, 500]), water.shoreOf([-1, 500])]).toEqual([null, null]);
  });
  it('is not where two areas of water touch or overlap', () => {
    const both = [box('West', 'sea', -2000, 0, 0, 1000), box('East', 'water', 0, 0, 2000, 1000)];
    for (const hazards of [both, [...both, box('Over', 'river', -300, -100, 300, 1100)]]) {
      const joined = new Water(hazards, frame);
      expect(joined.shoreOf([-1, 700])?.distance_m).toBeCloseTo(hazards.length === 2 ? 300 : 400, 6);
      expect(time(joined, [-1500, 500], [1500, 500])).toBeCloseTo(300, 0);
    }
  });
  it('is that of an island in the midst of the water', () => {
    const bay = new Water(
      [box('Bay', 'sea', -3000, -3000, 3000, 3000), box('Rock', 'island', -500, -500, 500, 500)],
      frame,
    );
    expect(bay.at([0, 0])).toBeNull();
    expect(bay.shoreOf([600, 0])?.distance_m).toBeCloseTo(100, 6);
    expect(bay.shoreOf([600, 0])?.toward_deg).toBeCloseTo(270, 6);
    expect(time(bay, [-1500, 0], [0, 0])).toBe(Infinity);
    const round = time(bay, [-1500, 0], [1500, 0]);
    // By two corners of the island: √(1000² + 500²) twice and its side; the lattice lengthens it by a few per cent.
    const shortest = (2 * Math.hypot(1000, 500) + 1000) / 10;
    expect(round).toBeGreaterThan(shortest);
    expect(round).toBeLessThan(1.06 * shortest);
  });
  it('is the nearest of all places on the outline, by trying them', () => {
    const place = fc.tuple(fc.integer({ min: -900, max: 2900 }), fc.integer({ min: -900, max: 1900 }));
    const corners: Point[] = [[-1000, -1000], [1500, -600], [3000, 400], [1200, 700], [900, 2000], [-800, 1500]]; // prettier-ignore
    const lake = new Water([area('Lake', 'lake', corners)], frame);
    fc.assert(
      fc.property(place, ([x, y]) => {
        const shore = lake.shoreOf([x, y]);
        let least = Infinity;
        corners.forEach((b, i) => {
          const a = corners.at(i - 1) ?? b;
          for (let k = 0; k <= 500; k++)
            least = Math.min(
              least,
              Math.hypot(a[0] + (k / 500) * (b[0] - a[0]) - x, a[1] + (k / 500) * (b[1] - a[1]) - y),
            );
        });
        if (shore !== null) expect(Math.abs(shore.distance_m - least)).toBeLessThan(4);
      }),
      { numRuns: 60 },
    );
  });
});

describe('boats', () => {
  it('go straight on open water', () => {
    const water = new Water([box('Sea', 'sea', -3900, -3900, 3900, 3900)], frame);
    expect(time(water, [-2000, -1000], [2000, 1000])).toBeCloseTo(Math.hypot(4000, 2000) / 10, 6);
  });
  it('have no way from land, to land and over land', () => {
    const water = new Water(
      [box('A', 'lake', -3000, -500, -1000, 500), box('B', 'lake', 1000, -500, 3000, 500)],
      frame,
    );
    expect(time(water, [0, 0], [500, 0])).toBe(Infinity);
    expect(time(water, [-2000, 0], [0, 0])).toBe(Infinity);
    expect(time(water, [0, 0], [-2000, 0])).toBe(Infinity);
    expect(time(water, [-2000, 0], [2000, 0])).toBe(Infinity);
  });
  it('find their way along a river that is narrower than the lattice is wide', () => {
    const left: Point[] = [[-3000, -20], [-1000, 380], [500, -220], [3000, 180]]; // prettier-ignore
    const river = [...left, ...[...left].reverse().map(([x, y]): Point => [x, y + 40])];
    const water = new Water([area('Beck', 'river', river)], frame);
    const long = left.reduce(
      (sum, b, i) => sum + Math.hypot(b[0] - (left[i - 1] ?? b)[0], b[1] - (left[i - 1] ?? b)[1]),
      0,
    );
    const found = time(water, [-2950, 10], [2950, 190]);
    expect(found).toBeGreaterThan((long - 250) / 10);
    expect(found).toBeLessThan((1.06 * long) / 10);
  });
  it('pass a weir by its lock alone', () => {
    const weir = (crossings: readonly Point[]): Hazard => ({
      name: 'Weir',
      kind: 'weir',
      line: [[...frame.toLonLat(0, -600)], [...frame.toLonLat(0, 600)]],
      crossings: crossings.map(([x, y]) => [...frame.toLonLat(x, y)] as [number, number]),
    });
    const canal = box('Cut', 'canal', -2000, -500, 2000, 500);
    expect(time(new Water([canal, weir([])], frame), [-1000, 0], [1000, 0])).toBe(Infinity);
    const lock = time(new Water([canal, weir([[0, 400]])], frame), [-1000, 0], [1000, 0]);
    expect(lock).toBeGreaterThan(Math.hypot(1000, 360) / 5);
    expect(lock).toBeLessThan(1.1 * (Math.hypot(1000, 400) / 5));
  });
  it('are put into the water beside their slip, and stay on land far from it', () => {
    const water = new Water([box('Sea', 'sea', 0, -3000, 3000, 3000)], frame);
    const wet = water.afloat([-120, 40]);
    expect(wet?.[0]).toBeGreaterThan(0);
    expect(wet?.[1]).toBeCloseTo(40, 6);
    expect(water.afloat([-201, 40])).toBeNull();
    expect(water.afloat([200, 40])).toEqual([200, 40]);
  });
  it('have places on land at the shore that others come to, the nearest first', () => {
    const water = new Water([box('Sea', 'sea', 0, -3000, 3000, 3000)], frame);
    const places = water.landingPlaces([350, 100], 3000);
    expect(places[0]?.[0]).toBeLessThan(0);
    expect(places[0]?.[1]).toBeCloseTo(100, 6);
    const away = places.map(([x, y]) => Math.hypot(x - 350, y - 100));
    expect(away.every((d, i) => i === 0 || d >= (away[i - 1] ?? 0) - 20)).toBe(true);
    for (const place of places) expect(water.at(place)).toBeNull();
  });
});
