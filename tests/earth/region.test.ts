// Areas and lines that thousands of places are held against, by a second way: the even-odd rule of `isInside` and the
// exact distance of
// `nearestOnLine`, which asks the geodesic library (`tests/earth/geodesic.test.ts` checks both against it).
import { describe, expect, it } from 'vitest';
import { isInside, nearestOnLine, offset } from '../../core/earth/geodesic.ts';
import { corridorRegion, ringRegion, type Region } from '../../core/earth/region.ts';
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
