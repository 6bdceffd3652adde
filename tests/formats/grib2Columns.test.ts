// From fields to columns: what is counted, what is kept, how the lattice lies. The fields are formulas, so every answer
// is known. Source of the expected numbers: the formulas below; geopotential to geometric height: USSA 1976 eq. 19 (r0
// = 6 356 766 m).
import { describe, expect, it } from 'vitest';
import { pressureAltitude } from '../../core/air/air.ts';
import { windVector, wrap180, type LonLat } from '../../core/base/units.ts';
import { gridColumns } from '../../core/air/gridColumns.ts';
import type { FieldLevel, GridField, Quantity } from '../../core/air/gridFields.ts';
import { latLonMesh, projectedMesh, rotatedMesh, type Mesh, type Scan } from '../../core/air/mesh.ts';
import { lambert } from '../../core/air/projections.ts';

const SOUTHWARD: Scan = { iNegative: false, jPositive: false, alongJ: false, alternating: false };
const range = (first: number, step: number, n: number): number[] =>
  Array.from({ length: n }, (_, k) => first + k * step);

/** Values at every position of the file's order, from a formula of the place. */
function fieldOf(
  mesh: Mesh,
  quantity: Quantity,
  level: FieldLevel,
  value: (place: LonLat) => number,
  more: Partial<Pick<GridField, 'valid_s' | 'run_s' | 'source' | 'alongGrid'>> = {},
): GridField {
  return {
    quantity,
    level,
    valid_s: 1_000_000_800,
    run_s: null,
    source: 'made',
    mesh,
    alongGrid: false,
    ...more,
    valuesAt: (at) => Float64Array.from(at, (position) => value(placeOf(mesh, position))),
  };
}

/** The inverse of `storageIndex`, written out by the words of flag table 3.4. */
function placeOf(mesh: Mesh, position: number): LonLat {
  const { ni, nj, scan } = mesh;
  const length = scan.alongJ ? nj : ni;
  const outer = Math.floor(position / length);
  const along = scan.alternating && outer % 2 === 1 ? length - 1 - (position % length) : position % length;
  const [col, row] = scan.alongJ ? [outer, along] : [along, outer];
  return mesh.place(scan.iNegative ? ni - 1 - col : col, scan.jPositive ? row : nj - 1 - row);
}

const P = (hPa: number): FieldLevel => ({ kind: 'pressure', value: hPa * 100 });
const wind = (mesh: Mesh, level: FieldLevel, more = {}): GridField[] => [
  fieldOf(mesh, 'u_mps', level, ([lon, lat]) => 0.25 * lon + lat, more),
  fieldOf(mesh, 'v_mps', level, ([lon, lat]) => 3 - 0.5 * lat + 0.125 * lon, more),
];
const texts = (read: ReturnType<typeof gridColumns>): string =>
  [...(read.value.decoded[0]?.problems ?? []), ...read.problems].map(({ text }) => text).join(' | ');

describe('columns of fields', () => {
  const mesh = latLonMesh('longitude-latitude', range(0, 1, 21), range(40, 1, 21), SOUTHWARD);
  const near = [10.3, 50.7] as const;

  it('are the same for every scanning mode', () => {
    let compared = 0;
    for (let flags = 0; flags < 16; flags++) {
      const scan = {
        iNegative: (flags & 8) !== 0,
        jPositive: (flags & 4) !== 0,
        alongJ: (flags & 2) !== 0,
        alternating: (flags & 1) !== 0,
      };
      const turned = latLonMesh('longitude-latitude', range(0, 1, 21), range(40, 1, 21), scan);
      const { value } = gridColumns(
        [...wind(turned, P(500)), fieldOf(turned, 'height_m', P(500), ([lon, lat]) => 5000 + lon - lat)],
        {
          near,
        },
      );
      const level = value.decoded[0]?.levels[0];
      const [u, v] = windVector(level?.from_deg ?? NaN, level?.speed_mps ?? NaN);
      expect(u).toBeCloseTo(0.25 * 10.3 + 50.7, 10);
      expect(v).toBeCloseTo(3 - 0.5 * 50.7 + 0.125 * 10.3, 10);
      expect(level?.height_m).toBeCloseTo(5000 + 10.3 - 50.7, 9);
      compared += 1;
    }
    expect(compared).toBe(16);
  });

  it('leave out winds, temperatures and times that cannot be: an unmarked −9999, damage, the year 65535', () => {
    const fields = (value: number): GridField[] => [
      fieldOf(mesh, 'u_mps', P(500), () => value),
      fieldOf(mesh, 'v_mps', P(500), () => 1),
      fieldOf(mesh, 'height_m', P(500), () => 5600),
      fieldOf(mesh, 'temperature_K', P(500), () => 250),
    ];
    for (const value of [-9999, 7e13]) {
      const { value: made, problems } = gridColumns(fields(value), { near });
      expect(made.decoded[0]?.levels[0]?.speed_mps).toBeNull();
      expect(made.decoded[0]?.levels[0]?.temperature_K).toBeCloseTo(250, 9);
      expect(made.grids).toEqual([]);
      expect(texts({ value: made, problems })).toContain('winds above 150 m/s, which no wind has');
    }
    const [u, v, z] = fields(20);
    const cold = fieldOf(mesh, 'temperature_K', P(500), () => -9999);
    const kept = gridColumns(
      [u, v, z, cold].filter((field) => field !== undefined),
      { near },
    );
    expect(kept.value.grids.length).toBe(1);
    expect(kept.value.decoded[0]?.levels[0]?.temperature_K).toBeNull();
    const late = gridColumns(
      fields(20).map((field) => ({ ...field, valid_s: 2e12 })),
      { near },
    );
    expect(late.value).toEqual({ decoded: [], grids: [] });
    expect(late.problems[0]?.text).toContain('the year lies outside 1900 to 2100');
  });

  it('turn geopotential metres to metres, and leave metres alone', () => {
    const both = [
      ...wind(mesh, P(10)),
      ...wind(mesh, P(5)),
      fieldOf(mesh, 'height_gpm', P(10), () => 31_050),
      fieldOf(mesh, 'height_m', P(5), () => 35_900),
    ];
    const heights = gridColumns(both, { near }).value.decoded[0]?.levels.map(({ height_m }) => height_m);
    expect(heights?.[0]).toBeCloseTo((6_356_766 * 31_050) / (6_356_766 - 31_050), 6);
    expect(heights?.[1]).toBeCloseTo(35_900, 6);
  });

  it('put winds above ground on the orography, and say so without one', () => {
    const ten: FieldLevel = { kind: 'above ground', value: 10 };
    const ground = fieldOf(mesh, 'height_m', { kind: 'ground', value: 0 }, ([lon]) => 100 * lon);
    const level = gridColumns([...wind(mesh, ten), ground], { near }).value.decoded[0]?.levels[0];
    expect(level?.height_m).toBeCloseTo(1040, 9);
    expect(level?.pressure_Pa).toBeNull();
    // Given for another time, and by another source on the same grid, it holds too: the ground does not move.
    const elsewhen = gridColumns([...wind(mesh, ten), { ...ground, valid_s: 0, source: 'control' }], { near });
    expect(elsewhen.value.decoded.map(({ levels }) => levels[0]?.height_m)).toEqual([level?.height_m]);
    expect(elsewhen.problems).toEqual([]);
    const bare = gridColumns(wind(mesh, ten), { near });
    expect(texts(bare)).toContain(
      '1 level with wind without a height (no height field, no orography): not usable for a descent: 10 m above ground',
    );
    expect(bare.value.decoded[0]?.levels[0]?.height_m).toBeNull();
    // Counted once: that it is missing here too would say nothing more.
    expect(texts(bare)).not.toContain('missing');
    expect(bare.value.grids).toEqual([]);
  });

  it('take the standard atmosphere where a pressure level has no height, and say so', () => {
    const read = gridColumns(wind(mesh, P(250)), { near });
    expect(read.value.decoded[0]?.levels[0]?.height_m).toBeCloseTo(pressureAltitude(25_000), 9);
    expect(texts(read)).toContain(
      '1 level with wind without a height field: the height is that of its pressure in the standard atmosphere: 250 hPa',
    );
  });

  it('count levels that have u or v alone', () => {
    const [u, v] = wind(mesh, P(300));
    const read = gridColumns(
      [...wind(mesh, P(500)), ...(u ? [u] : []), ...wind(mesh, P(200)).slice(1), ...(v ? [] : [])],
      { near },
    );
    expect(texts(read)).toContain('1 level with u without v, so no wind: 300 hPa');
    expect(texts(read)).toContain('1 level with v without u, so no wind: 200 hPa');
    expect(read.value.decoded[0]?.levels.filter(({ from_deg }) => from_deg !== null).length).toBe(1);
  });

  it('say what is missing here and around, and make the lattice smaller by it', () => {
    // Nothing east of 12° at 500 hPa, the only level.
    const hole = (field: GridField): GridField => ({
      ...field,
      valuesAt: (at) =>
        Float64Array.from(at, (k) =>
          placeOf(mesh, k)[0] > 12 ? NaN : ((field.valuesAt(Int32Array.of(k)) as Float64Array)[0] ?? NaN),
        ),
    });
    const read = gridColumns(wind(mesh, P(500)).map(hole), { near });
    expect(read.value.grids[0]?.lons_deg.at(-1)).toBe(12);
    expect(read.value.grids[0]?.columns.every((levels) => levels.length === 1)).toBe(true);
    expect(texts(read)).toContain('values missing at points around this place');
    expect(texts(read)).toContain('points that have no wind');
    const inHole = gridColumns([...wind(mesh, P(500)).map(hole), ...wind(mesh, P(300))], { near: [15, 50] });
    expect(texts(inHole)).toContain(
      '1 level with wind or height missing at this place (marked so in the file): 500 hPa',
    );
    // A place on the last whole column needs nothing of the missing one beside it.
    expect(
      gridColumns(wind(mesh, P(500)).map(hole), { near: [12, 50] }).value.decoded[0]?.levels[0]?.speed_mps,
    ).toBeGreaterThan(0);
  });

  it('of a level that comes from two runs take the later, and say so', () => {
    const old = wind(mesh, P(500), { run_s: 1000 });
    const later = [
      fieldOf(mesh, 'u_mps', P(500), () => 7, { run_s: 2000 }),
      fieldOf(mesh, 'v_mps', P(500), () => 0, { run_s: 2000 }),
    ];
    for (const order of [
      [...old, ...later],
      [...later, ...old],
    ]) {
      const read = gridColumns(order, { near });
      expect(read.value.decoded[0]?.levels[0]?.speed_mps).toBeCloseTo(7, 12);
      expect(read.value.decoded[0]?.levels[0]?.from_deg).toBeCloseTo(270, 10);
      expect(texts(read)).toContain('2 fields given twice');
    }
  });

  it('keep times in order and sources apart', () => {
    const read = gridColumns(
      [
        ...wind(mesh, P(500), { valid_s: 7200 }),
        ...wind(mesh, P(500), { valid_s: 3600 }),
        ...wind(mesh, P(500), { valid_s: 3600, source: 'member 2' }),
        ...wind(mesh, P(500), { valid_s: null, source: 'timeless' }),
      ],
      { near },
    );
    expect(read.value.decoded.map(({ validTime }) => validTime)).toEqual([
      '1970-01-01T01:00:00Z',
      '1970-01-01T02:00:00Z',
      '1970-01-01T01:00:00Z',
      null,
    ]);
    expect(read.value.grids.map(({ source, times_s }) => [source, ...times_s])).toEqual([
      ['made', 3600, 7200],
      ['member 2', 3600],
    ]);
    expect(texts(read)).toContain('timeless: no valid time');
  });
});

describe('the lattice around a place', () => {
  const globe = latLonMesh('longitude-latitude', range(0, 2.5, 144), range(-90, 2.5, 73), SOUTHWARD);
  const made = (mesh: Mesh, near?: LonLat) => gridColumns(wind(mesh, P(500)), near === undefined ? {} : { near });

  it('runs on over 180° and over Greenwich', () => {
    for (const [lon, west, east] of [
      [179.9, 175, 185],
      [-179.9, -185, -175],
      [0.1, -5, 5],
      [359.9, 355, 365],
    ] as const) {
      // prettier-ignore
      const [grid] = made(globe, [lon, 3]).value.grids;
      expect([grid?.lons_deg[0], grid?.lons_deg.at(-1)]).toEqual([west, east]);
      expect(grid?.lons_deg.every((x, k) => k === 0 || x - (grid.lons_deg[k - 1] ?? 0) === 2.5)).toBe(true);
      const [u] = windVector(grid?.columns[0]?.[0]?.from_deg ?? NaN, grid?.columns[0]?.[0]?.speed_mps ?? NaN);
      expect(u).toBeCloseTo(0.25 * wrap180(west) + (grid?.lats_deg[0] ?? NaN), 8);
    }
  });

  it('is wider in longitude near a pole, and goes all round at it', () => {
    expect(made(globe, [10, 80]).value.grids[0]?.lons_deg.length).toBeGreaterThan(18);
    const polar = made(globe, [10, 89.5]).value.grids[0];
    expect(polar?.lons_deg.length).toBe(145);
    expect(polar?.lats_deg.at(-1)).toBe(90);
    expect((polar?.lons_deg.at(-1) ?? 0) - (polar?.lons_deg[0] ?? 0)).toBe(360);
    expect(made(globe, [-33, -90]).value.decoded[0]?.levels.length).toBe(1);
  });

  it('holds at least four by four points, also in a corner', () => {
    const coarse = latLonMesh('longitude-latitude', range(0, 15, 24), range(-90, 15, 13), SOUTHWARD);
    for (const near of [
      [1, 1],
      [14.9, -89],
      [-100, 89],
    ] as const) {
      // prettier-ignore
      const [grid] = made(coarse, near).value.grids;
      expect(Math.min(grid?.lats_deg.length ?? 0, grid?.lons_deg.length ?? 0)).toBeGreaterThanOrEqual(4);
    }
  });

  it('is thinned where the grid is fine, keeps the points at the place, and says so', () => {
    const fine = latLonMesh('longitude-latitude', range(0, 0.05, 601), range(40, 0.05, 401), SOUTHWARD);
    const read = made(fine, [10.05, 50.1]);
    const [grid] = read.value.grids;
    expect((grid?.lats_deg.length ?? 0) * (grid?.lons_deg.length ?? 0)).toBeLessThanOrEqual(2000);
    expect(grid?.lats_deg.some((lat) => Math.abs(lat - 50.1) < 1e-9)).toBe(true);
    expect(grid?.lons_deg.some((lon) => Math.abs(lon - 10.05) < 1e-9)).toBe(true);
    expect(texts(read)).toMatch(/every \d+(th|nd|rd) row and column was kept/);
  });

  it('without a place: small grids whole, large ones their middle, both said', () => {
    const small = latLonMesh('longitude-latitude', range(0, 1, 50), range(0, 1, 50), SOUTHWARD);
    expect(made(small).value.grids[0]?.columns.length).toBe(2500);
    expect(texts(made(small))).toContain(
      "no place was asked for: the column is that of the grid's middle, 24.50° N 24.50° E",
    );
    const read = made(globe);
    expect(read.value.grids[0]?.columns.length).toBeLessThan(100);
    expect(texts(read)).toContain('the grid of 144 by 73 points was cut to its middle');
    const round = latLonMesh('longitude-latitude', range(0, 10, 36), range(-90, 10, 19), SOUTHWARD);
    expect(made(round).value.grids[0]?.lons_deg.length).toBe(37);
  });

  it('outside the grid there are no winds, and its extent is said', () => {
    const small = latLonMesh('longitude-latitude', range(0, 1, 50), range(0, 1, 50), SOUTHWARD);
    const read = made(small, [-70, 30]);
    expect(read.value).toEqual({ decoded: [], grids: [] });
    expect(texts(read)).toBe(
      'made: 30.00° N 70.00° W lies outside its longitude-latitude grid, whose corners are 0.00° N 0.00° E and 49.00° N 49.00° E',
    );
  });

  it('of a Lambert grid has the place as a node, and winds along the grid are turned before they are mixed', () => {
    const cone = lambert({ a_m: 6_371_229, e: 0 }, -95, 25, 25);
    if (cone === null) throw new Error('no cone');
    const [x, y] = cone.forward([-110, 40]) ?? [NaN, NaN];
    const mesh = projectedMesh(cone, [60, 60], [x - 30 * 40_000, y - 30 * 40_000], [40_000, 40_000], {
      ...SOUTHWARD,
      jPositive: true,
    });
    // A wind of 10 m/s from due west everywhere, written along the grid's axes.
    const turn = (place: LonLat): number => (Math.sin((25 * Math.PI) / 180) * (place[0] + 95) * Math.PI) / 180;
    const fields = [
      fieldOf(mesh, 'u_mps', P(500), (place) => 10 * Math.cos(turn(place)), { alongGrid: true }),
      fieldOf(mesh, 'v_mps', P(500), (place) => 10 * Math.sin(turn(place)), { alongGrid: true }),
    ];
    const read = gridColumns(fields, { near: [-110.2, 40.3] });
    expect(read.value.decoded[0]?.levels[0]?.from_deg).toBeCloseTo(270, 8);
    expect(read.value.decoded[0]?.levels[0]?.speed_mps).toBeCloseTo(10, 10);
    const [grid] = read.value.grids;
    expect(
      grid?.lons_deg.some((lon) => Math.abs(lon + 110.2) < 1e-9) &&
        grid.lats_deg.some((lat) => Math.abs(lat - 40.3) < 1e-9),
    ).toBe(true);
    expect(grid?.columns.every(([level]) => Math.abs((level?.from_deg ?? 0) - 270) < 1e-8)).toBe(true);
    expect(grid?.columns.length).toBeGreaterThan(100);
    expect(texts(read)).toContain('the Lambert grid was interpolated to longitudes and latitudes');
    // At the grid's edge the lattice ends where the grid does.
    const edge = mesh.place(1, 30);
    const cut = gridColumns(fields, { near: edge }).value.grids[0];
    expect(cut?.columns.length).toBeGreaterThan(20);
    expect(cut?.lons_deg[0]).toBeGreaterThan(edge[0] - 1);
  });

  it('of a rotated grid: grid north against a small step along the grid', () => {
    const inner = latLonMesh('longitude-latitude', range(-20, 0.5, 81), range(-20, 0.5, 81), {
      ...SOUTHWARD,
      jPositive: true,
    });
    const mesh = rotatedMesh(inner, [10, -40]);
    let compared = 0;
    for (const [i, j] of [
      [5, 7],
      [40, 40],
      [70, 12],
      [12, 75],
    ] as const) {
      // prettier-ignore
      const here = mesh.place(i, j);
      const there = mesh.place(i, j + 1e-4);
      const bearing = Math.atan2(wrap180(there[0] - here[0]) * Math.cos((here[1] * Math.PI) / 180), there[1] - here[1]);
      // A step of 5 m on the sphere: straight to a part in a million.
      expect(Math.abs(wrap180(((mesh.gridNorth_rad(here) - bearing) * 180) / Math.PI))).toBeLessThan(1e-4);
      const back = mesh.locate(here) ?? [NaN, NaN];
      expect(Math.hypot(back[0] - i, back[1] - j)).toBeLessThan(1e-9);
      compared += 1;
    }
    expect(compared).toBe(4);
  });
});
