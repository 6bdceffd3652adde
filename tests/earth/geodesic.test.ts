// The geodesic helpers against slower or independent ways to the same number: the library itself, closed forms, dense
// sampling, and the outside data's rings measured with GeographicLib's Planimeter.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fc } from '../property.ts';
import { describe, expect, it } from 'vitest';
import {
  centroid,
  direct,
  distanceToEdge,
  distanceToLines,
  inverse,
  isInside,
  lineLength,
  localFrame,
  nearestOnLine,
  offset,
  ringArea,
} from '../../core/earth/geodesic.ts';
import { Random } from '../../core/base/random.ts';
import type { LonLat } from '../../core/base/units.ts';
import { describeOpenData } from '../openData.ts';

const lon = fc.double({ min: -180, max: 180, noNaN: true });
const lat = fc.double({ min: -84, max: 84, noNaN: true });
const azimuth = fc.double({ min: 0, max: 360, noNaN: true });

describe('direct, inverse, offset', () => {
  it('undo each other, any place and azimuth, up to 5000 km', () => {
    fc.assert(
      fc.property(lon, lat, azimuth, fc.double({ min: 1, max: 5e6, noNaN: true }), (x, y, azi, metres) => {
        const line = inverse([x, y], direct([x, y], azi, metres));
        expect(Math.abs(line.distance_m - metres)).toBeLessThan(1e-6);
      }),
    );
  });
  it('keep longitudes in (-180, 180] and cross 180° the short way', () => {
    expect(offset([179.999, -17], 1000, 0)[0]).toBeLessThan(-179.99);
    expect(inverse([179.999, -17], [-179.999, -17]).distance_m).toBeLessThan(213);
  });
  it('of a place to itself the distance is 0 and the bearing a number', () => {
    expect(inverse([22, -30], [22, -30])).toEqual({ distance_m: 0, bearing_deg: 0, finalBearing_deg: 0 });
    expect(offset([22, -30], 0, 0)).toEqual([22, -30]);
  });
});

describe('local frame', () => {
  it.each([
    [20_000, 0.00025],
    [100_000, 0.03],
  ])('within %f m of its origin it is within %f m of the library', (reach, tolerance) => {
    let worst = 0;
    let count = 0;
    for (let y = -84; y <= 84; y += 12) {
      for (let azi = 0; azi < 360; azi += 11) {
        for (const part of [0.05, 0.4, 1]) {
          const [e, n] = [
            part * reach * Math.sin((azi * Math.PI) / 180),
            part * reach * Math.cos((azi * Math.PI) / 180),
          ];
          const exact = offset([179.9, y], e, n);
          const frame = localFrame([179.9, y]);
          const [east, north] = frame.toLocal(exact);
          worst = Math.max(worst, Math.hypot(east - e, north - n), inverse(frame.toLonLat(e, n), exact).distance_m);
          count++;
        }
      }
    }
    expect(count).toBe(15 * 33 * 3);
    expect(worst).toBeLessThan(tolerance);
  });
  it('toLonLat undoes toLocal, near, far, at high latitudes', () => {
    const anywhere = fc.double({ min: -89.9, max: 89.9, noNaN: true });
    fc.assert(
      fc.property(lon, anywhere, azimuth, fc.double({ min: 0, max: 400_000, noNaN: true }), (x, y, azi, metres) => {
        const frame = localFrame([x, y]);
        const place = direct([x, y], azi, metres);
        expect(inverse(frame.toLonLat(...frame.toLocal(place)), place).distance_m).toBeLessThan(2e-6);
      }),
      { examples: [[180, 84, 90, 149_999]] },
    );
  });
});

describe('areas and centroids', () => {
  it('a 1 km square about a place has 1 km² and 4 km, and its own middle', () => {
    const middle: LonLat = [22.4, -30.1];
    const corners: [number, number][] = [
      [-500, -500],
      [500, -500],
      [500, 500],
      [-500, 500],
    ];
    const ring = corners.map(([e, n]) => offset(middle, e, n));
    // A plane and the ellipsoid differ by the excess, (1 km / 6371 km)²: 2.5e-8 of a square kilometre, and less for
    // sides.
    expect(Math.abs(ringArea(ring).area_m2 - 1e6)).toBeLessThan(0.05);
    expect(Math.abs(ringArea(ring).perimeter_m - 4000)).toBeLessThan(0.001);
    expect(inverse(centroid(ring), middle).distance_m).toBeLessThan(0.001);
    expect(ringArea([...ring].reverse())).toEqual(ringArea(ring));
    expect(ringArea([...ring, ...ring.slice(0, 1)]).area_m2).toBeCloseTo(ringArea(ring).area_m2, 3);
  });
  it('an L has its centroid where two rectangles put it, also across 180°', () => {
    const origin: LonLat = [179.999, 10];
    const shape: [number, number][] = [
      [0, 0],
      [3000, 0],
      [3000, 1000],
      [1000, 1000],
      [1000, 2000],
      [0, 2000],
    ];
    const ring = shape.map(([e, n]) => offset(origin, e, n));
    // 3 km² about (1500, 500) and 1 km² about (500, 1500).
    expect(inverse(centroid(ring), offset(origin, 1250, 750)).distance_m).toBeLessThan(0.01);
  });
  it('a ring without area answers the mean of its places', () => {
    const ring: LonLat[] = [
      [10, 45],
      [10.02, 45],
      [10.01, 45],
    ];
    expect(inverse(centroid(ring), [10.01, 45]).distance_m).toBeLessThan(0.3);
  });
});

describe('inside and distance', () => {
  const square: LonLat[] = [
    [179.7, -10],
    [-179.7, -10],
    [-179.7, -9.8],
    [179.7, -9.8],
  ];
  it('across 180°', () => {
    expect(isInside([180, -9.9], square)).toBe(true);
    expect(isInside([-179.95, -9.9], square)).toBe(true);
    expect(isInside([179.6, -9.9], square)).toBe(false);
    expect(isInside([0, -9.9], square)).toBe(false);
    expect(distanceToEdge([180, -9.9], square)).toBeCloseTo(inverse([180, -9.9], [180, -9.8]).distance_m, 3);
  });
  it('a notch is outside, whichever way round the ring runs', () => {
    const notch: LonLat[] = [
      [0, 0],
      [4, 0],
      [4, 4],
      [2, 1],
      [0, 4],
    ];
    for (const ring of [notch, [...notch].reverse()]) {
      expect(isInside([2, 2], ring)).toBe(false);
      expect(isInside([2, 0.5], ring)).toBe(true);
      expect(isInside([0.5, 3], ring)).toBe(true);
    }
  });
  it('agrees with turf over random triangles and places away from 180°', async () => {
    const { booleanPointInPolygon, point, polygon } = await import('@turf/turf');
    const near = fc.tuple(fc.double({ min: 10, max: 11, noNaN: true }), fc.double({ min: 50, max: 51, noNaN: true }));
    let compared = 0;
    fc.assert(
      fc.property(fc.array(near, { minLength: 3, maxLength: 9 }), near, (ring, place) => {
        const first = ring[0];
        if (first === undefined || ringArea(ring).area_m2 < 1 || distanceToEdge(place, ring) < 0.01) return;
        compared++;
        expect(isInside(place, ring)).toBe(booleanPointInPolygon(point(place), polygon([[...ring, first]])));
      }),
      { numRuns: 500, seed: 2027 },
    );
    expect(compared).toBeGreaterThan(400);
  });
  it('the nearest place of a line is as near as 20 000 samples of it say', () => {
    const end = fc.tuple(fc.double({ min: 20, max: 22, noNaN: true }), fc.double({ min: -31, max: -29, noNaN: true }));
    fc.assert(
      fc.property(fc.array(end, { minLength: 2, maxLength: 4 }), end, (line, place) => {
        let least = Infinity;
        let longest = 0;
        for (let k = 0; k + 1 < line.length; k++) {
          const [ax, ay] = line[k] ?? [0, 0];
          const [bx, by] = line[k + 1] ?? [0, 0];
          const stretch = inverse([ax, ay], [bx, by]).distance_m;
          longest = Math.max(longest, stretch);
          for (let t = 0; t <= 1; t += 1 / 5000) {
            least = Math.min(least, inverse(place, [ax + t * (bx - ax), ay + t * (by - ay)]).distance_m);
          }
        }
        const found = nearestOnLine(place, line);
        expect(found.distance_m).toBeLessThan(least + 0.001);
        // A sample lies at most half a step beside the nearest place.
        expect(found.distance_m).toBeGreaterThan(least - longest / 10_000 - 0.001);
        expect(inverse(place, found.position).distance_m).toBeCloseTo(found.distance_m, 6);
      }),
      { numRuns: 25 },
    );
  });
  it('the nearest of many lines is the nearest of each of them, and none is answered beyond what is asked', () => {
    const random = new Random(41, 0);
    const near = (at: LonLat, by_m: number): LonLat => offset(at, by_m * random.normal(), by_m * random.normal());
    let told = 0;
    for (let k = 0; k < 60; k++) {
      const place: LonLat = [k % 2 === 0 ? -179.99 : 24.3, 60 * Math.sin(k)];
      const lines = Array.from({ length: 12 }, (_, i) => {
        const start = near(place, 10 ** (2 + (k % 3)));
        return Array.from({ length: 1 + (i % 4) }, () => near(start, 3000));
      });
      const least = Math.min(...lines.map((line) => nearestOnLine(place, line).distance_m));
      expect(distanceToLines(place, lines)).toBe(least);
      const within_m = 200 * (1 + (k % 5));
      expect(distanceToLines(place, lines, within_m)).toBe(least < within_m ? least : Infinity);
      if (least < within_m) told += 1;
    }
    expect(Math.min(told, 60 - told)).toBeGreaterThan(5);
    expect(distanceToLines([10, 50], [])).toBe(Infinity);
  });
  it('a line of one place is that place; a length adds up', () => {
    expect(nearestOnLine([10, 50], [[10, 51]]).position).toEqual([10, 51]);
    const line: LonLat[] = [
      [10, 50],
      [10.5, 50],
      [11, 50],
    ];
    expect(lineLength(line)).toBeCloseTo(2 * inverse([10, 50], [10.5, 50]).distance_m, 6);
  });
});

describeOpenData('rings of counties', ({ openData }) => {
  // ref: open-data/areas/ring-areas.json; source: GeographicLib's Planimeter on the rings of the files beside it (made,
  // see the manifest).
  type Row = [places: number, perimeter_m: number, area_m2: number, role: string];
  type Ring = LonLat[];
  interface Listed {
    readonly file: string;
    readonly rings: Row[];
  }
  interface Shape {
    readonly type: string;
    readonly coordinates: Ring[] | Ring[][];
  }
  const listed = JSON.parse(readFileSync(join(openData, 'areas/ring-areas.json'), 'utf8')) as Listed[];
  const geojson = listed.filter((item) => item.file.endsWith('.geojson'));
  it.each(geojson.map((item) => [item.file, item.rings] as const))('%s', (file, rows) => {
    const whole = JSON.parse(readFileSync(join(openData, 'areas', file), 'utf8')) as {
      features: { geometry: Shape }[];
    };
    const rings = whole.features.flatMap(({ geometry }) =>
      geometry.type === 'Polygon' ? (geometry.coordinates as Ring[]) : (geometry.coordinates as Ring[][]).flat(),
    );
    expect(rings.length).toBe(rows.length);
    rings.forEach((ring, k) => {
      const [, perimeter_m = NaN, area_m2 = NaN] = rows[k] ?? [];
      const ours = ringArea(ring);
      // Half of the last printed digit (0.1 m and 1 m²), and for the area the 0.1 m² that Karney (2013) states for one
      // edge.
      expect(Math.abs(ours.perimeter_m - perimeter_m)).toBeLessThanOrEqual(0.051);
      expect(Math.abs(ours.area_m2 - Math.abs(area_m2))).toBeLessThanOrEqual(0.6);
    });
  });
  it('covers all three counties, 46 rings or more, one of them on both sides of 180°', () => {
    expect(geojson.length).toBe(3);
    expect(geojson.flatMap((item) => item.rings).length).toBeGreaterThanOrEqual(46);
  });
});
