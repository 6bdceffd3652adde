// The wind as the physics samples it (MODEL.md §3): u and v linear between levels and times, bilinear between grid
// points, the end value outside. What holds for any field is checked on any field; single values are arithmetic.
import { fc } from '../property.ts';
import { describe, expect, it } from 'vitest';
import { RAD_PER_DEG, windVector } from '../../core/base/units.ts';
import { WindField, WindSampler } from '../../core/winds/field.ts';
import type { WindLevel } from '../../core/air/levels.ts';

const number = (min: number, max: number) => fc.double({ min, max, noNaN: true });
const levels = (maxLength: number): fc.Arbitrary<WindLevel[]> =>
  fc
    .array(fc.record({ dz: number(1, 900), from_deg: number(0, 360), speed_mps: number(0, 80) }), {
      minLength: 1,
      maxLength,
    })
    .map((rows) => {
      let height_m = 0;
      return rows.map(({ dz, from_deg, speed_mps }) => ({ height_m: (height_m += dz), from_deg, speed_mps }));
    });

function at(field: WindField, height_m: number, t_s = 0, lat_deg = 0, lon_deg = 0): [number, number] {
  const sampler = new WindSampler(field);
  sampler.start(0, null);
  sampler.sample(lat_deg * RAD_PER_DEG, lon_deg * RAD_PER_DEG, height_m, t_s);
  return [sampler.out[0] ?? NaN, sampler.out[1] ?? NaN];
}

const near = (got: readonly [number, number], want: readonly [number, number], within = 1e-9): void => {
  expect(Math.hypot(got[0] - want[0], got[1] - want[1])).toBeLessThan(within);
};

const one = (rows: readonly WindLevel[], time_s = 0) => ({ source: '', time_s, levels: rows });

describe('between levels', () => {
  it('north wind below and south wind above meet in a calm, not in an east or west wind', () => {
    const field = WindField.ofColumns([
      one([
        { height_m: 0, from_deg: 0, speed_mps: 10 },
        { height_m: 1000, from_deg: 180, speed_mps: 10 },
      ]),
    ]);
    near(at(field, 500), [0, 0]);
    near(at(field, 250), [0, -5]);
    // From 350° and from 010°, equally strong: from north, a little weaker (drift-handbook.md §3: 19.696 of 20 kn; mark
    // C).
    const turned = WindField.ofColumns([
      one([
        { height_m: 0, from_deg: 350, speed_mps: 20 },
        { height_m: 1000, from_deg: 10, speed_mps: 20 },
      ]),
    ]);
    near(at(turned, 500), [0, -19.696], 0.0005);
  });

  it('is each level’s own vector at it, straight between two, the end values outside', () => {
    let compared = 0;
    fc.assert(
      fc.property(levels(30), number(0, 1), (rows, x) => {
        const field = WindField.ofColumns([one(rows)]);
        rows.forEach((a, i) => {
          near(at(field, a.height_m), windVector(a.from_deg, a.speed_mps));
          const b = rows[i + 1];
          if (b === undefined) return;
          const [ua, va] = windVector(a.from_deg, a.speed_mps);
          const [ub, vb] = windVector(b.from_deg, b.speed_mps);
          near(at(field, a.height_m + x * (b.height_m - a.height_m)), [ua + x * (ub - ua), va + x * (vb - va)]);
          compared += 1;
        });
        const first = rows[0];
        const last = rows.at(-1);
        if (first !== undefined) near(at(field, first.height_m - 5000), windVector(first.from_deg, first.speed_mps));
        if (last !== undefined) near(at(field, last.height_m + 5000), windVector(last.from_deg, last.speed_mps));
      }),
    );
    expect(compared).toBeGreaterThan(200);
  });

  it('a sampler that falls, climbs and jumps says the same as a new one, with an offset too', () => {
    fc.assert(
      fc.property(
        levels(20),
        levels(12),
        fc.array(number(-500, 12_000), { minLength: 2, maxLength: 40 }),
        (rows, added, heights) => {
          const field = WindField.ofColumns([one(rows)]);
          const offset = {
            heights_m: Float64Array.from(added, (level) => level.height_m),
            u_mps: Float64Array.from(added, (level) => windVector(level.from_deg, level.speed_mps)[0]),
            v_mps: Float64Array.from(added, (level) => windVector(level.from_deg, level.speed_mps)[1]),
          };
          const walker = new WindSampler(field);
          walker.start(0, offset);
          for (const height of heights) {
            walker.sample(0, 0, height, 0);
            const [u, v] = at(field, height);
            const [du, dv] = at(WindField.ofColumns([one(added)]), height);
            near([walker.out[0] ?? NaN, walker.out[1] ?? NaN], [u + du, v + dv]);
          }
        },
      ),
    );
  });
});

describe('between times', () => {
  it('is straight in u and v, and the first and last column hold outside', () => {
    fc.assert(
      fc.property(levels(12), levels(12), number(-300, 12_000), number(0, 1), (a, b, height, x) => {
        const field = WindField.ofColumns([one(b, 3600), one(a, 0)]);
        const [ua, va] = at(WindField.ofColumns([one(a)]), height);
        const [ub, vb] = at(WindField.ofColumns([one(b)]), height);
        near(at(field, height, 3600 * x), [ua + x * (ub - ua), va + x * (vb - va)], 1e-8);
        near(at(field, height, -9999), [ua, va]);
        near(at(field, height, 99_999), [ub, vb]);
      }),
    );
  });

  it('says which levels count: of columns strictly between whose neighbours’ times the span lies', () => {
    const column = (time_s: number, bottom: number, top: number) =>
      one(
        [
          { height_m: bottom, from_deg: 0, speed_mps: 1 },
          { height_m: top, from_deg: 0, speed_mps: 1 },
        ],
        time_s,
      );
    const field = WindField.ofColumns([column(0, 10, 20_000), column(100, 300, 9000), column(200, 50, 30_000)]);
    expect(field.levelled(-50, -40)).toEqual({ bottom_m: 10, top_m: 20_000 });
    expect(field.levelled(50, 60)).toEqual({ bottom_m: 300, top_m: 9000 });
    expect(field.levelled(250, 260)).toEqual({ bottom_m: 50, top_m: 30_000 });
    expect(field.levelled(0, 0)).toEqual({ bottom_m: 10, top_m: 20_000 });
  });
});

describe('between grid points', () => {
  const grid = (lons_deg: readonly number[], value: (lat: number, lon: number) => number) => {
    const lats_deg = [-10, 0, 10];
    return WindField.ofGrid({
      source: '',
      times_s: [0],
      lats_deg,
      lons_deg: [...lons_deg],
      columns: lats_deg.flatMap((lat) =>
        lons_deg.map((lon) => [{ height_m: 0, from_deg: 270, speed_mps: value(lat, lon) }]),
      ),
    });
  };

  it('is bilinear: exact for a wind that runs with latitude, longitude and their product', () => {
    const value = (lat: number, lon: number): number => 30 + lat + 0.5 * lon + 0.05 * lat * lon;
    const field = grid([0, 10, 20], value);
    fc.assert(
      fc.property(number(-10, 10), number(0, 20), (lat, lon) => {
        // Within one cell the product is bilinear; the nodes lie on the same surface, so it is so over all of them.
        near(at(field, 100, 0, lat, lon), [value(lat, lon), 0]);
      }),
    );
  });

  it('goes over the date line, and holds the edge outside', () => {
    const field = grid([170, 180, 190], (_lat, lon) => lon - 160);
    near(at(field, 0, 0, 0, 175), [15, 0]);
    near(at(field, 0, 0, 0, -175), [25, 0]);
    near(at(field, 0, 0, 0, 160), [10, 0]);
    near(at(field, 0, 0, 40, 180), [20, 0]);
  });
});

describe('breaks', () => {
  it('below a height is the next level of field or offset, and after a time the next valid time', () => {
    const field = WindField.ofColumns([
      one(
        [
          { height_m: 100, from_deg: 0, speed_mps: 1 },
          { height_m: 700, from_deg: 0, speed_mps: 2 },
        ],
        50,
      ),
      one([{ height_m: 300, from_deg: 0, speed_mps: 2 }], 900),
    ]);
    const sampler = new WindSampler(field);
    const breaks = (height: number): number => {
      sampler.sample(0, 0, height, 0);
      return sampler.breakBelow(height);
    };
    sampler.start(0, null);
    expect([1000, 700, 699, 300, 150].map(breaks)).toEqual([300, 400, 399, 200, 50]);
    expect(breaks(100)).toBe(Infinity);
    sampler.start(0, { heights_m: Float64Array.of(250, 400), u_mps: new Float64Array(2), v_mps: new Float64Array(2) });
    expect([1000, 700, 399].map(breaks)).toEqual([300, 300, 99]);
    expect([0, 50, 600].map((t) => sampler.breakAfter(t))).toEqual([50, 850, 300]);
    expect(sampler.breakAfter(900)).toBe(Infinity);
  });
});
