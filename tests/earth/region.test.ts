// Areas and lines that thousands of places are held against, by a second way: the even-odd rule of `isInside` and the
// exact distance of
// `nearestOnLine`, which asks the geodesic library (`tests/earth/geodesic.test.ts` checks both against it).
import { describe, expect, it } from 'vitest';
import { isInside, nearestOnLine, offset } from '../../core/earth/geodesic.ts';
import { corridorRegion, Regions, ringRegion, type Region } from '../../core/earth/region.ts';
import { Random } from '../../core/base/random.ts';
import { wrap180, type LonLat } from '../../core/base/units.ts';

const RINGS: Readonly<Record<string, readonly LonLat[]>> = {
  'a bent ring': [
    [10, 47],
    [10.05, 47.02],
    [10.02, 47.03],
    [10.06, 47.06],
    [9.98, 47.05],
  ],
  'a ring across 180°': [
    [179.98, -20],
    [-179.97, -20.01],
    [-179.99, -19.96],
    [179.97, -19.97],
  ],
};

const holds = (region: Region, [lon, lat]: LonLat): boolean =>
  region.holds(Float64Array.of(9, lon), Float64Array.of(9, lat), 1);

/** A line that winds about, like the bed of a stream. */
function winding(start: LonLat, places: number): LonLat[] {
  const random = new Random(11, places);
  const line: LonLat[] = [start];
  while (line.length < places) {
    const last = line.at(-1) ?? start;
    line.push(offset(last, 120 * random.normal() + 60, 120 * random.normal()));
  }
  return line.map(([lon, lat]) => [wrap180(lon), lat]);
}

/** Places about a line's own, some hundred metres off. */
function about(line: readonly LonLat[], count: number): LonLat[] {
  const random = new Random(5, count);
  return Array.from({ length: count }, (_, i) =>
    offset(line[i % line.length] ?? [0, 0], 200 * random.normal(), 200 * random.normal()),
  );
}

describe('a region', () => {
  it.each(Object.entries(RINGS))('of %s holds what lies in it', (_, ring) => {
    const region = ringRegion(ring);
    const random = new Random(3, 0);
    let inside = 0;
    for (let i = 0; i < 4000; i++) {
      const place = offset(ring[0] ?? [0, 0], 5000 * random.normal(), 5000 * random.normal());
      expect(holds(region, place)).toBe(isInside(place, ring));
      if (isInside(place, ring)) inside += 1;
    }
    expect(inside).toBeGreaterThan(200);
  });

  it.each([
    ['of many stretches', winding([21.4, -30.2], 80), 35],
    ['of two places', winding([7.1, 61], 2), 80],
    ['of one place', winding([7.1, 61], 1), 80],
    ['across 180°', winding([179.995, 12], 40), 60],
  ] as const)('about a line %s holds what is as near as its half width', (_, line, halfWidth_m) => {
    const region = corridorRegion(line, halfWidth_m);
    const seen = { in: 0, out: 0 };
    for (const place of about(line, 1200)) {
      const away_m = nearestOnLine(place, line).distance_m;
      // Told to 0.1 % of the distance.
      if (Math.abs(away_m - halfWidth_m) < halfWidth_m / 1000) continue;
      seen[away_m < halfWidth_m ? 'in' : 'out'] += 1;
      expect(holds(region, place), `${away_m} m from the line`).toBe(away_m < halfWidth_m);
    }
    expect(Math.min(seen.in, seen.out)).toBeGreaterThan(50);
  });

  it('of nothing holds nothing', () => {
    expect(holds(ringRegion([]), [0, 0])).toBe(false);
    expect(holds(corridorRegion([], 100), [0, 0])).toBe(false);
  });
});

/** Rings and lines of all lengths about a place, a few of them far off. */
function scattered(middle: LonLat, count: number): Region[] {
  const random = new Random(17, count);
  const near = (of: LonLat, by_m: number): LonLat => {
    const [lon, lat] = offset(of, by_m * random.normal(), by_m * random.normal());
    return [wrap180(lon), lat];
  };
  return Array.from({ length: count }, (_, k) => {
    const at = near(middle, k % 20 === 19 ? 60_000 : 6000);
    const places = Array.from({ length: 2 + (k % 5) }, () => near(at, k % 7 === 0 ? 9000 : 900));
    return k % 3 === 2 ? ringRegion(places) : corridorRegion(places, 30 + k);
  });
}

/** How often each of many places was held: at once, and asked one region after the other. */
function heldBy(regions: readonly Region[], places: readonly LonLat[]): number {
  const all = new Regions(regions);
  const lons = Float64Array.from(places, ([lon]) => lon);
  const lats = Float64Array.from(places, ([, lat]) => lat);
  const counts = new Int32Array(regions.length);
  let held = 0;
  for (let i = 0; i < places.length; i++) {
    const one = regions.some((region) => region.holds(lons, lats, i));
    expect(all.some(lons, lats, i)).toBe(one);
    expect(all.count(lons, lats, i, counts)).toBe(one);
    if (one) held += 1;
  }
  regions.forEach((region, k) => {
    expect(counts[k]).toBe(places.filter((_, i) => region.holds(lons, lats, i)).length);
  });
  return held;
}

describe('many regions at once', () => {
  it.each([
    ['on land', [10, 47]],
    ['across 180°', [179.97, -20]],
  ] as const)('hold what any of them holds, %s', (_, middle) => {
    const random = new Random(29, 0);
    const places = Array.from({ length: 3000 }, (): LonLat => {
      const [lon, lat] = offset(middle, 8000 * random.normal(), 8000 * random.normal());
      return [wrap180(lon), lat];
    });
    for (const count of [1, 3, 40, 300]) expect(heldBy(scattered(middle, count), places)).toBeGreaterThan(0);
  });

  it('hold a place at the corner of the outermost, and with regions on both sides of the earth', () => {
    const square = (lon: number): Region =>
      ringRegion([
        [lon - 1, -1],
        [wrap180(lon + 1), -1],
        [wrap180(lon + 1), 1],
        [lon - 1, 1],
      ]);
    expect(heldBy([corridorRegion([[10, 47]], 100)], [offset([10, 47], 99.9, 0), offset([10, 47], 0, 99.9)])).toBe(2);
    const places: LonLat[] = [
      [0, 0],
      [120, 0.5],
      [-120, 0.5],
      [179.5, 0],
      [-179.5, 0],
      [60, 0],
    ];
    expect(heldBy([0, 120, -120, 180].map(square), places)).toBe(5);
  });

  it('of nothing hold nothing', () => {
    expect(heldBy([], [[0, 0]])).toBe(0);
    expect(heldBy([ringRegion([])], [[0, 0]])).toBe(0);
  });
});
