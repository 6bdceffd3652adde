// The map's geometry: the projection against Leaflet's own, outlines on the ellipsoid against geodesics of the
// GeographicLib package, the date line, cutting lines to the screen, the scale bar, dots, ticks and the lee of a ridge.
import { Geodesic } from 'geographiclib-geodesic';
import { fc } from '../property.ts';
import { describe, expect, test } from 'vitest';
import { countDots } from '../../renderer/map/dots.ts';
import { ellipseRing } from '../../core/earth/ellipse.ts';
import { clip, nearestOn, piecesSeen, pointsAlong, walk } from '../../renderer/map/lines.ts';
import { hazardStroke, leeSide } from '../../renderer/map/paintHazards.ts';
import { arrowTo } from '../../renderer/map/paintOutside.ts';
import { boundsOf, terrainAt, tidy } from '../../renderer/map/places.ts';
import {
  latAt,
  lonAt,
  screenX,
  unwrapLon,
  worldLine,
  worldPoints,
  worldX,
  worldY,
  type Screen,
} from '../../renderer/map/projection.ts';
import { scaleBar } from '../../renderer/map/scaleBar.ts';
import { heightTicks, prepareTrack, spotAtHeight, TrackCache } from '../../renderer/map/track.ts';
import { TerrainGrid } from '../../core/earth/terrain.ts';
import { wrap180, type LonLat } from '../../core/base/units.ts';
import type { MapTrack } from '../../renderer/map/scene.ts';

const run = { numRuns: 300, seed: 20270314 };
/** Even over the range: `fc.double` is even over the floating-point numbers, nearly all of which lie about 0. */
const even = (min: number, max: number): fc.Arbitrary<number> =>
  fc.integer({ min: 0, max: 1e9 }).map((n) => min + ((max - min) * n) / 1e9);
const lon = even(-180, 180);
const lat = even(-80, 80);
const screen: Screen = { width: 780, height: 740, ratio: 1, scale: 256 * 2 ** 12, left: 0, top: 0 };

describe('projection', () => {
  test('undoes itself', () => {
    fc.assert(
      fc.property(lon, lat, (x, y) => {
        expect(lonAt(worldX(x))).toBeCloseTo(x, 9);
        expect(latAt(worldY(y))).toBeCloseTo(y, 9);
      }),
      run,
    );
  });

  // ref: EPSG guidance note 7-2 (2019), method 1024 "Popular Visualisation Pseudo Mercator", its worked example:
  // 24°22'54.433"N 100°20'00.000"W, E = −11 169 055.58 m, N = 2 800 000.00 m, sphere of 6 378 137 m.
  test('agrees with the worked example of EPSG method 1024', () => {
    const around = 2 * Math.PI * 6_378_137;
    expect((worldX(-(100 + 20 / 60)) - 0.5) * around).toBeCloseTo(-11_169_055.58, 1);
    expect((0.5 - worldY(24 + 22 / 60 + 54.433 / 3600)) * around).toBeCloseTo(2_800_000.0, 1);
  });
});

describe('an arrow at the edge', () => {
  const boxes = [{ x: 700, y: 0, width: 80, height: 300 }];

  test('stands within the map, off what is taken, and points at the place; a place on the map needs no arrow', () => {
    fc.assert(
      fc.property(even(-5000, 5000), even(-5000, 5000), (x, y) => {
        const arrow = arrowTo(screen, { x, y }, boxes);
        const on = x >= 0 && y >= 0 && x <= screen.width && y <= screen.height;
        expect(arrow === null).toBe(on);
        if (arrow === null) return;
        const { tip, angle } = arrow;
        expect(tip.x > 0 && tip.y > 0 && tip.x < screen.width && tip.y < screen.height).toBe(true);
        expect(tip.x + 9 <= 700 || tip.y - 9 >= 300).toBe(true);
        const away = Math.hypot(x - tip.x, y - tip.y);
        expect(tip.x + away * Math.cos(angle)).toBeCloseTo(x, 6);
        expect(tip.y + away * Math.sin(angle)).toBeCloseTo(y, 6);
      }),
      run,
    );
  });

  test('without anything in its way it is met by the straight line from the middle of the map', () => {
    expect(arrowTo(screen, { x: 390 + 1000, y: 370 }, [])?.tip).toEqual({ x: 772, y: 370 });
    expect(arrowTo(screen, { x: 390, y: -500 }, [])?.tip.y).toBeCloseTo(8, 9);
  });
});

describe('the date line', () => {
  test('a line across 180° has no jump: each step is the short way', () => {
    const track: LonLat[] = [
      [179.97, -16.5],
      [179.99, -16.5],
      [-179.99, -16.49],
      [-179.97, -16.48],
      [179.995, -16.47],
    ];
    const world = worldLine(track, 180);
    const lons = track.map((_, i) => lonAt(world[2 * i] ?? NaN));
    expect(lons.map((x) => Number(x.toFixed(6)))).toEqual([179.97, 179.99, 180.01, 180.03, 179.995]);
  });

  test('any line has steps below half a turn, and names the same meridians', () => {
    fc.assert(
      fc.property(fc.array(fc.tuple(lon, lat), { minLength: 2, maxLength: 30 }), lon, (line, near) => {
        const world = worldLine(line, near);
        line.forEach((place, i) => {
          const x = lonAt(world[2 * i] ?? NaN);
          expect(Math.abs(wrap180(x - place[0]))).toBeLessThan(1e-9);
          const before = i === 0 ? near : lonAt(world[2 * i - 2] ?? NaN);
          expect(Math.abs(x - before)).toBeLessThanOrEqual(180 + 1e-9);
        });
      }),
      run,
    );
  });

  test('a cloud about 180° stays together', () => {
    const world = worldPoints(Float32Array.from([179.9, 10, -179.9, 10, 180, 10, -180, 10]), -179.95);
    const lons = [0, 2, 4, 6].map((i) => lonAt(world[i] ?? NaN));
    expect(Math.max(...lons) - Math.min(...lons)).toBeCloseTo(0.2, 4);
  });

  test('bounds, terrain and places handed to the desk', () => {
    const box = boundsOf(
      [
        [179.9, 1],
        [-179.8, 2],
      ],
      179,
    );
    expect(box?.west_deg).toBeCloseTo(179.9, 9);
    expect(box?.east_deg).toBeCloseTo(180.2, 9);
    expect(boundsOf([], 0)).toBeNull();
    expect(tidy([180.25, 3])).toEqual([-179.75, 3]);
    const shape = { west_deg: 179.5, north_deg: 1, stepLon_deg: 0.5, stepLat_deg: 0.5, columns: 3, rows: 3 };
    const terrain = new TerrainGrid(shape, Float32Array.from([0, 1, 2, 10, 11, 12, 20, 21, 22]));
    expect(terrainAt(terrain, [-179.75, 0.5])).toBeCloseTo(11.5, 9);
    expect(terrainAt(terrain, [179.75, 0.5])).toBeCloseTo(10.5, 9);
    expect(terrainAt(null, [0, 0])).toBeNaN();
    expect(unwrapLon(-179, 179)).toBe(181);
  });
});

describe('a geodesic ellipse', () => {
  // Source of the distances: npm geographiclib-geodesic (Karney 2013), asked directly.
  const away = (from: LonLat, to: LonLat): { s: number; azimuth: number } => {
    const line = Geodesic.WGS84.Inverse(from[1], from[0], to[1], to[0]);
    return { s: line.s12 ?? NaN, azimuth: line.azi1 ?? NaN };
  };

  test('ends its axes at their lengths and bearings, to a millimetre, and is an ellipse in between', () => {
    let compared = 0;
    fc.assert(
      fc.property(lon, lat, even(100, 60_000), even(0.1, 1), even(0, 180), (x, y, semiMajor_m, ratio, bearing_deg) => {
        const center: LonLat = [x, y];
        const semiMinor_m = semiMajor_m * ratio;
        const ring = ellipseRing({ center, semiMajor_m, semiMinor_m, bearing_deg }, 48);
        expect(ring.length).toBe(48);
        ring.forEach((place, i) => {
          const { s, azimuth } = away(center, place);
          const turn = ((azimuth - bearing_deg) * Math.PI) / 180;
          // The ellipse's own equation in the plane of distance and azimuth.
          const square = ((s * Math.cos(turn)) / semiMajor_m) ** 2 + ((s * Math.sin(turn)) / semiMinor_m) ** 2;
          expect(square).toBeCloseTo(1, 6);
          if (i % 24 === 0) expect(Math.abs(s - semiMajor_m)).toBeLessThan(0.001);
          if (i % 24 === 12) expect(Math.abs(s - semiMinor_m)).toBeLessThan(0.001);
          compared += 1;
        });
        expect(Math.cos(((away(center, ring[0] ?? center).azimuth - bearing_deg) * Math.PI) / 180)).toBeCloseTo(1, 9);
      }),
      { numRuns: 100, seed: 20270314 },
    );
    expect(compared).toBe(4800);
  });
});

describe('lines cut to the screen', () => {
  const world = (points: readonly (readonly [number, number])[]): Float64Array =>
    Float64Array.from(points.flatMap(([x, y]) => [x / screen.scale, y / screen.scale]));

  test('what is inside stays whole; what leaves is cut at the edge, with the length before it kept', () => {
    const pieces = piecesSeen(
      world([
        [100, 100],
        [300, 100],
        [1300, 100],
        [1300, 300],
        [200, 300],
      ]),
      screen,
      20,
    );
    expect(pieces.length).toBe(2);
    expect(pieces[0]?.px.map((x) => Math.round(x))).toEqual([100, 100, 300, 100, 800, 100]);
    expect(pieces[0]?.from_px).toBeCloseTo(0, 6);
    expect(pieces[1]?.px.map((x) => Math.round(x))).toEqual([800, 300, 200, 300]);
    expect(pieces[1]?.from_px).toBeCloseTo(1200 + 200 + 500, 6);
  });

  test('a gap (NaN) splits, a line far off gives nothing, a ring is joined', () => {
    expect(
      piecesSeen(
        world([
          [0, 0],
          [10, 0],
          [NaN, NaN],
          [20, 0],
          [30, 0],
        ]),
        screen,
        5,
      ).length,
    ).toBe(2);
    expect(
      piecesSeen(
        world([
          [-500, -500],
          [-400, -900],
        ]),
        screen,
        20,
      ),
    ).toEqual([]);
    const ring = piecesSeen(
      world([
        [10, 10],
        [100, 10],
        [100, 100],
      ]),
      screen,
      20,
      true,
    );
    expect(ring.length).toBe(1);
    expect(ring[0]?.px.length).toBe(8);
  });

  test('every clipped stretch lies in the box, and points of the segment in the box lie in the stretch', () => {
    const box = { left: 0, top: 0, right: 100, bottom: 60 };
    const c = even(-50, 150);
    let hits = 0;
    fc.assert(
      fc.property(c, c, c, c, (x0, y0, x1, y1) => {
        const cut = clip(x0, y0, x1, y1, box);
        for (const t of cut ?? []) {
          const [x, y] = [x0 + t * (x1 - x0), y0 + t * (y1 - y0)];
          expect(x >= -1e-9 && y >= -1e-9 && x <= 100 + 1e-9 && y <= 60 + 1e-9).toBe(true);
        }
        for (let i = 0; i <= 20; i++) {
          const t = i / 20;
          const [x, y] = [x0 + t * (x1 - x0), y0 + t * (y1 - y0)];
          const within = x > 1e-9 && x < 100 - 1e-9 && y > 1e-9 && y < 60 - 1e-9;
          if (within) {
            expect(cut).not.toBeNull();
            expect(t).toBeGreaterThanOrEqual((cut?.[0] ?? NaN) - 1e-9);
            expect(t).toBeLessThanOrEqual((cut?.[1] ?? NaN) + 1e-9);
            hits += 1;
          }
        }
      }),
      run,
    );
    expect(hits).toBeGreaterThan(300);
  });

  test('ticks stay where they are on the ground when the map is panned', () => {
    const line = world([
      [-5000, 200],
      [5000, 200],
    ]);
    const ticks = (left: number): number[] => {
      const seen: number[] = [];
      for (const piece of piecesSeen(line, { ...screen, left }, 20))
        walk(piece, 26, 13, (x) => seen.push(Math.round(x + left)));
      return seen.filter((x) => x > 120 && x < 600);
    };
    expect(ticks(0).length).toBeGreaterThan(15);
    expect(ticks(37)).toEqual(ticks(0));
  });

  test('a name stands at its share of the longest piece; the nearest point of a line is found', () => {
    const pieces = piecesSeen(
      world([
        [0, 100],
        [400, 100],
      ]),
      screen,
      20,
    );
    expect(pointsAlong(pieces, [0.25, 0.5]).map(({ x }) => Math.round(x))).toEqual([100, 200]);
    expect(nearestOn([0, 0, 100, 0, 100, 100], 70, 30)).toEqual({ distance: 30, segment: 0, fraction: 0.7 });
    expect(nearestOn([], 1, 1)).toBeNull();
  });
});

describe('the scale bar', () => {
  test('is the longest round length that fits, in the unit of the person', () => {
    expect(scaleBar(10, 132, 'm')).toEqual({ length_m: 1000, width_px: 100, parts: 5, text: '1\u202fkm' });
    expect(scaleBar(1, 132, 'm')?.text).toBe('100\u202fm');
    expect(scaleBar(100, 132, 'ft')?.text).toBe('5\u202fNM');
    expect(scaleBar(5, 132, 'ft')?.text).toBe('2000\u202fft');
    expect(scaleBar(NaN, 132, 'm')).toBeNull();
    fc.assert(
      fc.property(
        even(Math.log(0.05), Math.log(30_000)).map((x) => Math.exp(x)),
        fc.constantFrom('m', 'ft'),
        (metresPerPx, unit) => {
          const bar = scaleBar(metresPerPx, 132, unit);
          expect(bar?.width_px).toBeLessThanOrEqual(132 + 1e-9);
          // Round lengths follow each other by 2 or 2.5; between feet and miles by up to 3.04 (2000 ft, 1 NM).
          expect(bar?.width_px).toBeGreaterThan(132 / 3.05);
          expect((bar?.length_m ?? NaN) / metresPerPx).toBeCloseTo(bar?.width_px ?? NaN, 6);
        },
      ),
      run,
    );
  });
});

describe('dots', () => {
  test('each covers its pixels once, wherever on the screen; those outside count nowhere', () => {
    fc.assert(
      fc.property(
        fc.array(fc.tuple(fc.integer({ min: 5, max: 770 }), fc.integer({ min: 5, max: 730 })), {
          minLength: 1,
          maxLength: 200,
        }),
        (at) => {
          const world = Float64Array.from(
            [...at, [5000, 5000] as const].flatMap(([x, y]) => [(x + 0.5) / screen.scale, (y + 0.5) / screen.scale]),
          );
          const cloud = countDots(world, screen);
          const total = cloud?.counts.reduce((sum, count) => sum + count, 0);
          expect(total).toBe(at.length * 4);
          const [x, y] = at[0] ?? [0, 0];
          expect(
            cloud?.counts[(y - (cloud?.y ?? 0)) * (cloud?.width ?? 0) + x - (cloud?.x ?? 0)],
          ).toBeGreaterThanOrEqual(1);
        },
      ),
      run,
    );
    expect(countDots(Float64Array.from([2, 2]), screen)).toBeNull();
  });
});

describe('a track', () => {
  const track: MapTrack = {
    points: [
      [0, 0, 0, 12_000],
      [100, 0.05, 0, 7_000],
      [200, 0.1, 0, 2_000],
      [500, 0.13, 0, 400],
    ],
    parts: [
      { phase: 'freefall', name: 'freefall', start_s: 0, end_s: 200 },
      { phase: 'canopy', name: 'canopy', start_s: 200, end_s: 500 },
    ],
    extrapolated: [{ bottom_m: 9_000, top_m: 20_000 }],
    winds: [],
  };
  const view: Screen = { ...screen, left: worldX(0) * screen.scale - 50, top: worldY(0) * screen.scale - 300 };
  const prepared = prepareTrack(track, 0);

  test('is cut into runs by phase and by what is extrapolated', () => {
    expect(prepared.runs).toEqual([
      { first: 0, last: 1, phase: 'freefall', extrapolated: true },
      { first: 1, last: 2, phase: 'freefall', extrapolated: false },
      { first: 2, last: 3, phase: 'canopy', extrapolated: false },
    ]);
  });

  test('a height is found where it is passed, and not where it never is', () => {
    const spot = spotAtHeight(prepared, view, 4_500);
    expect(spot?.t_s).toBeCloseTo(150, 9);
    expect(spot?.x).toBeCloseTo(screenX(view, 0.075), 6);
    expect(spotAtHeight(prepared, view, 13_000)).toBeNull();
  });

  test('ticks stand at round heights of the reference that is read, apart from each other', () => {
    const units = { length: 'm', speed: 'kt', height: 'AGL', time: 'UTC' } as const;
    const ticks = heightTicks(prepared, view, units, 400);
    expect(ticks.length).toBeGreaterThan(5);
    for (const tick of ticks) expect(Math.abs((tick.height_m - 400) % 100)).toBeLessThan(1e-6);
    expect(ticks.some((tick) => Math.abs(tick.height_m - 10_400) < 1e-6)).toBe(true);
    ticks.forEach((a, i) =>
      ticks.slice(i + 1).forEach((b) => expect(Math.hypot(a.x - b.x, a.y - b.y)).toBeGreaterThanOrEqual(17)),
    );
    const feet = heightTicks(prepared, view, { ...units, length: 'ft', height: 'MSL' }, 400);
    expect(feet.some((tick) => Math.abs(tick.height_m - 20_000 * 0.3048) < 1e-6)).toBe(true);
  });

  test('ticks are kept for a view, and are others for another view, track or unit', () => {
    const units = { length: 'm', speed: 'kt', height: 'AGL', time: 'UTC' } as const;
    const cache = new TrackCache(0);
    const own = cache.of(track);
    const kept = cache.ticks(own, view, units, 400);
    expect(cache.ticks(own, { ...view }, units, 400)).toBe(kept);
    const moved = { ...view, left: view.left + 40 };
    const feet = { ...units, length: 'ft' } as const;
    const higher = cache.of({
      ...track,
      points: track.points.map(([t, lon, lat, height_m]) => [t, lon, lat, height_m + 70] as const),
    });
    for (const [of, screen, read, ground_m] of [
      [own, moved, units, 400],
      [own, view, feet, 400],
      [own, view, units, 430],
      [higher, view, units, 430],
    ] as const) {
      const ticks = cache.ticks(of, screen, read, ground_m);
      expect(ticks).toEqual(heightTicks(of, screen, read, ground_m));
      expect(ticks).not.toEqual(kept);
    }
  });
});

describe('hazards', () => {
  test('the lee lies where the wind blows to: a ridge that runs north, wind from the west, lee on the east', () => {
    // Travel north on the screen is up: angle −90°. Air moves east: (1, 0). East is right of travel.
    expect(leeSide(-Math.PI / 2, 1, 0)).toBe(1);
    expect(leeSide(-Math.PI / 2, -1, 0)).toBe(-1);
    expect(leeSide(Math.PI / 2, 1, 0)).toBe(-1);
    expect(leeSide(0, 1, 0)).toBe(0);
  });

  test('kinds in free words find their stroke', () => {
    expect(
      ['power line', 'Power Line', 'river', 'dirt road', 'ridge', 'fence', 'cliff', 'homestead'].map((kind) =>
        hazardStroke(kind),
      ),
    ).toEqual(['power line', 'power line', 'river', 'road', 'ridge', 'fence', 'cliff', 'other']);
  });
});
