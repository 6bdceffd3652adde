// Ways by road and off it: closed forms on plain ground, a plain second Dijkstra on the same graph, barriers,
// crossings, islands.
import { describe, expect, it } from 'vitest';
import { fc } from '../property.ts';
import { barrierLines, Barriers, STOPS_VEHICLES } from '../../core/recovery/barriers.ts';
import { readRoads, type Road } from '../../core/recovery/roads.ts';
import { landWays, WALK_MPS, type WayMap } from '../../core/recovery/ways.ts';
import type { Point } from '../../core/earth/plane.ts';
import { localFrame } from '../../core/earth/geodesic.ts';
import type { Hazard } from '../../core/plan/schema.ts';
import { Random } from '../../core/base/random.ts';

const frame = localFrame([20, 30]);
const at = (x: number, y: number): [number, number] => [...frame.toLonLat(x, y)];
const road = (points: readonly Point[], speed_mps: number | null = null, name = 'road'): Road => ({
  name,
  speed_mps,
  line: points.map(([x, y]) => at(x, y)),
});
const line = (name: string, kind: string, points: readonly Point[], crossings: readonly Point[] = []): Hazard => ({
  name,
  kind,
  line: points.map(([x, y]) => at(x, y)),
  crossings: crossings.map(([x, y]) => at(x, y)),
});
const LATTICE = { west: -4000, south: -4000, step_m: 200, columns: 41, rows: 41 };
const map = (roads: readonly Road[], hazards: readonly Hazard[] = []): WayMap =>
  landWays(LATTICE, roads, hazards, frame);
const time = (ways: WayMap, a: Point, b: Point, road_mps = 20, offRoad_mps = 5): number => {
  const out = new Float64Array(1);
  const speeds = { road_mps, offRoad_mps };
  ways.times(a, ways.field(a[0], a[1], speeds), ways.attach([b], true), speeds, out);
  return out[0] as number;
};

describe('reading roads', () => {
  const feature = (geometry: unknown, properties: unknown = {}): unknown => ({ type: 'Feature', properties, geometry });
  const lines = (coordinates: unknown, properties: unknown = {}): unknown =>
    feature({ type: 'LineString', coordinates }, properties);
  it('takes lines of any GeoJSON, with names and speeds', () => {
    const read = readRoads({
      type: 'FeatureCollection',
      features: [
        lines(
          [
            [1, 2],
            [1, 3, 250],
          ],
          { name: 'A', speed_mps: 12 },
        ),
        feature(
          {
            type: 'MultiLineString',
            coordinates: [
              [
                [1, 2],
                [2, 2],
              ],
              [
                [3, 2],
                [4, 2],
              ],
            ],
          },
          { maxspeed: '72' },
        ),
        lines(
          [
            [1, 2],
            [1, 3],
          ],
          { maxspeed: '50 mph' },
        ),
      ],
    });
    expect(read.problems).toEqual([]);
    expect(read.value.map((one) => [one.name, one.speed_mps, one.line.length])).toEqual([
      ['A', 12, 2],
      ['road', 20, 2],
      ['road', 20, 2],
      ['road', 22.352, 2],
    ]);
  });
  it('says what is not a road, and uses the rest', () => {
    const read = readRoads({
      type: 'FeatureCollection',
      features: [
        lines([[1, 2]]),
        lines([
          [1, 95],
          [1, 2],
        ]),
        feature({ type: 'Point', coordinates: [1, 2] }),
        null,
        lines(
          [
            [1, 2],
            [1, 3],
          ],
          { speed_mps: -4 },
        ),
      ],
    });
    expect(read.value.map((one) => one.speed_mps)).toEqual([null]);
    expect(read.problems.map((one) => one.text)).toEqual([
      'roads: features[0] "road": expected at least two places [longitude, latitude] on the earth; the line is left out',
      'roads: features[1] "road": expected at least two places [longitude, latitude] on the earth; the line is left out',
      'roads: features[3] is no feature; it is left out',
      'roads: features[4] "road": speed -4; expected more than 0 and less than 100 m/s; the vehicle\'s own speed is taken',
      'roads: features of type Point (1) are not roads; expected LineString or MultiLineString',
    ]);
  });
  it('answers anything', () => {
    expect(readRoads(null)).toEqual({ value: [], problems: [] });
    fc.assert(
      fc.property(fc.jsonValue(), (value) => Array.isArray(readRoads(value).value)),
      { seed: 5, numRuns: 200 },
    );
  });
});

describe('plain ground', () => {
  it('off the road a way takes its length over the speed', () => {
    const ways = map([]);
    const random = new Random(1, 1);
    for (let i = 0; i < 50; i++) {
      const [a, b] = [0, 1].map(() => [8000 * random.uniform() - 4000, 8000 * random.uniform() - 4000] as Point) as [
        Point,
        Point,
      ];
      expect(time(ways, a, b)).toBeCloseTo(Math.hypot(a[0] - b[0], a[1] - b[1]) / 5, 6);
    }
  });
  it('along a road from one end to the other it takes the road’s length over the lower of the two speeds', () => {
    const bend = [
      [-3000, -3000],
      [1000, -3000],
      [1000, 3000],
    ] as const;
    expect(time(map([road(bend)]), [-3000, -3000], [1000, 3000])).toBeCloseTo(10_000 / 20, 6);
    expect(time(map([road(bend, 12)]), [-3000, -3000], [1000, 3000])).toBeCloseTo(10_000 / 12, 6);
    // A road slower than the country beside it slows nobody: straight across.
    expect(time(map([road(bend, 3)]), [-3000, -3000], [1000, 3000])).toBeCloseTo(Math.hypot(4000, 6000) / 5, 6);
  });
  it('a road that ends on another is joined to it; one that passes 25 m off is not', () => {
    const across = road(
      [
        [-3000, 0],
        [3000, 0],
      ],
      null,
      'across',
    );
    for (const [gap, parts] of [
      [5, 1],
      [25, 2],
    ] as const) {
      const ways = map([
        across,
        road(
          [
            [0, gap],
            [0, 3000],
          ],
          null,
          'up',
        ),
      ]);
      expect(ways.graph.parts.length).toBe(parts);
      if (parts === 1) expect(Math.abs(time(ways, [-3000, 0], [0, 3000]) - 6000 / 20)).toBeLessThan(1);
    }
  });
});

describe('barriers', () => {
  const river: readonly Point[] = [
    [-9000, 100],
    [9000, 100],
  ];
  it('a river is crossed where it can be: the way leads over the crossing', () => {
    const ways = map([], [line('Lorn', 'river', river, [[2000, 100]])]);
    const exact = (Math.hypot(2000, 1100) + Math.hypot(2000, 1900)) / 5;
    const found = time(ways, [0, -1000], [0, 2000]);
    // The lattice goes in sixteen directions: 2.7 % longer at most (1/cos of half the widest gap, 26.6°), and joins
    // within a step.
    expect(found).toBeGreaterThanOrEqual(exact - 1e-6);
    expect(found).toBeLessThan(1.028 * exact + 8);
  });
  it('without a crossing nobody gets over it, and what lies between has a name', () => {
    const ways = map([], [line('Lorn', 'river', river)]);
    expect(time(ways, [0, -1000], [0, 2000])).toBe(Infinity);
    expect(ways.inTheWay(0, -1000, 0, 2000)).toBe('Lorn');
    expect(ways.barriers.closed).toEqual(['Lorn']);
    expect(time(ways, [0, -1000], [500, -1500])).toBeCloseTo(Math.hypot(500, 500) / 5, 6);
  });
  it('a road drawn over it crosses it', () => {
    const ways = map(
      [
        road([
          [1000, -3000],
          [1000, 3000],
        ]),
      ],
      [line('Lorn', 'river', river)],
    );
    expect(time(ways, [1000, -3000], [1000, 3000])).toBeCloseTo(300, 6);
    expect(time(ways, [0, -1000], [0, 2000])).toBeLessThan(Infinity);
  });
  it('at a fence the rest is walked, at most 3 km, and no further than the fence is driven', () => {
    const ways = map(
      [],
      [
        line('wire', 'fence', [
          [-9000, 100],
          [9000, 100],
        ]),
      ],
    );
    const found = time(ways, [0, -1000], [0, 250]);
    expect(found).toBeGreaterThanOrEqual(1100 / 5 + 150 / WALK_MPS - 1e-6);
    expect(found).toBeLessThan(1.03 * (1100 / 5) + 170 / WALK_MPS + 8);
    // A vehicle does not stand beyond it.
    expect(ways.attach([[0, 250]], false).node.every((n) => (ways.graph.y[n] as number) > 100)).toBe(true);
  });
  it('an area that is closed on all sides is reached by nobody; a town is not a barrier', () => {
    const ring = [
      [500, 500],
      [1500, 500],
      [1500, 1500],
      [500, 1500],
    ].map(([x, y]) => at(x as number, y as number));
    const lake: Hazard = { name: 'Lake', kind: 'water', polygon: ring };
    expect(time(map([], [lake]), [-1000, -1000], [1000, 1000])).toBe(Infinity);
    expect(time(map([], [{ ...lake, kind: 'town' }]), [-1000, -1000], [1000, 1000])).toBeCloseTo(
      Math.hypot(2000, 2000) / 5,
      6,
    );
  });
  it('finds the first of several on a way, as trying all of them does', () => {
    const random = new Random(9, 2);
    const lines = Array.from({ length: 12 }, (_, i) =>
      line(
        `b${i}`,
        'fence',
        Array.from({ length: 4 }, () => [6000 * random.uniform() - 3000, 6000 * random.uniform() - 3000] as const),
      ),
    );
    const barriers = new Barriers(barrierLines(lines, STOPS_VEHICLES, frame), 300);
    let met = 0;
    for (let i = 0; i < 300; i++) {
      const [ax, ay, bx, by] = [0, 0, 0, 0].map(() => 8000 * random.uniform() - 4000) as [
        number,
        number,
        number,
        number,
      ];
      const all = lines
        .map((one) => new Barriers(barrierLines([one], STOPS_VEHICLES, frame), 1e6).first(ax, ay, bx, by))
        .filter((one) => one !== null);
      const least = all.sort((p, q) => p.at - q.at)[0] ?? null;
      const found = barriers.first(ax, ay, bx, by);
      expect(found?.name).toBe(least?.name);
      expect(found?.at ?? 0).toBeCloseTo(least?.at ?? 0, 12);
      expect(barriers.blocks(ax, ay, bx, by)).toBe(least !== null);
      if (least !== null) met += 1;
    }
    expect(met).toBeGreaterThan(100);
  });
});

describe('the field of times', () => {
  const random = new Random(4, 4);
  const spot = (): Point => [7000 * random.uniform() - 3500, 7000 * random.uniform() - 3500];
  const hazards = [
    line(
      'Lorn',
      'river',
      [
        [-4500, -500],
        [0, 300],
        [4500, -300],
      ],
      [[-2000, -150]],
    ),
    line(
      'wire',
      'fence',
      [
        [800, -4500],
        [900, 4500],
      ],
      [[850, 0]],
    ),
  ];
  const ways = map([road([spot(), spot(), spot()], 15, 'a'), road([spot(), spot()], null, 'b')], hazards);

  it('agrees with a plain search without a heap, node by node', () => {
    const { head, to, length_m, allowed_mps, x } = ways.graph;
    const speeds = { road_mps: 18, offRoad_mps: 6 };
    const start = ways.attach([[-3000, 2000]], false);
    const plain = new Float64Array(x.length).fill(Infinity);
    start.node.forEach((n, k) => (plain[n] = Math.min(plain[n] as number, (start.drive_m[k] as number) / 6)));
    // Bellman and Ford: passes over all edges until none shortens anything.
    for (let changed = true; changed;) {
      changed = false;
      for (let n = 0; n < x.length; n++)
        for (let k = head[n] as number; k < (head[n + 1] as number); k++) {
          const allowed = allowed_mps[k] as number;
          const speed = allowed === 0 ? 6 : Math.max(Math.min(allowed, 18), 6);
          const t = (plain[n] as number) + (length_m[k] as number) / speed;
          if (t < (plain[to[k] as number] as number) - 1e-12) {
            plain[to[k] as number] = t;
            changed = true;
          }
        }
    }
    const field = ways.field(-3000, 2000, speeds);
    let reached = 0;
    field.forEach((t, n) => {
      if (t < Infinity || (plain[n] as number) < Infinity) {
        expect(Math.abs(t - (plain[n] as number))).toBeLessThan(1e-9);
        reached += 1;
      }
    });
    expect(reached).toBeGreaterThan(1500);
  });

  it('a way takes as long there as back, and never less than the crow at the road’s speed', () => {
    let compared = 0;
    for (let i = 0; i < 60; i++) {
      const [a, b] = [spot(), spot()];
      const there = time(ways, a, b);
      const back = time(ways, b, a);
      const walked = [a, b].some((place) => ways.attach([place], true).walk_m.some((w) => w > 0));
      if (!walked) {
        expect(there).toBeCloseTo(back, 6);
        compared += 1;
      }
      expect(there).toBeGreaterThanOrEqual(Math.hypot(a[0] - b[0], a[1] - b[1]) / 20 - 1e-9);
    }
    expect(compared).toBeGreaterThan(30);
  });
});
