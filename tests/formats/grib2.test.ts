// GRIB2 against the open data: what ecCodes says of each file (`*.oracle.json` beside it), and the formula that made
// the invented ones. ref: ../shared/open-data/grib and its MANIFEST.md; source: eccodes 2.28 (ECMWF) through
// how-made/gribmake.py and run_analytic.py.
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { geometricHeight, pressureAltitude } from '../../core/air/air.ts';
import { grib2Fields, readGrib2 } from '../../core/formats/grids/grib2.ts';
import { WindField } from '../../core/winds/field.ts';
import type { DecodedWinds } from '../../core/air/levels.ts';
import { storageIndex } from '../../core/air/mesh.ts';
import { windVector, type LonLat } from '../../core/base/units.ts';
import { describeOpenData } from '../openData.ts';

interface OracleMessage {
  readonly shortName: string;
  readonly level: number;
  readonly step: number;
  readonly dataDate: number;
  readonly dataTime: number;
  readonly n: number;
  readonly missing: number;
  readonly min: number;
  readonly max: number;
  readonly mean: number;
  readonly points: readonly (readonly [index: number, lat: number, lon: number, value: number | null])[];
}

/** The oracle prints 5 decimals of values, or 3 where they were written so: half a unit of the last digit there is. */
const ROUNDING = 5.1e-5;

describeOpenData('GRIB2 files of the open data', ({ openData }) => {
  const dir = join(openData, 'grib');
  const files = readdirSync(dir).filter((name) => /\.grib2?$/.test(name));
  const bytesOf = (name: string): Uint8Array => new Uint8Array(readFileSync(join(dir, name)));
  const table: string[] = [];

  for (const name of files.filter((file) => file.endsWith('.grib2'))) {
    it(`${name} agrees with its oracle`, async () => {
      const oracleName = name.replace(/-5_[^.]*\.grib2$/, '-5_0.oracle.json').replace(/\.grib2$/, '.oracle.json');
      const oracle = JSON.parse(readFileSync(join(dir, oracleName), 'utf8')) as readonly OracleMessage[];
      const { value, problems } = await grib2Fields(bytesOf(name));
      expect(problems).toEqual([]);
      expect(value.length).toBe(oracle.length);
      let points = 0;
      oracle.forEach((expected, k) => {
        const field = value[k];
        const values = field?.values() ?? 'no field';
        if (field === undefined || typeof values === 'string' || typeof field.grid === 'string')
          throw new Error(String(values));
        const present = values.filter((x) => !Number.isNaN(x));
        expect([values.length, values.length - present.length]).toEqual([expected.n, expected.missing]);
        expect(Math.abs(present.reduce((a, b) => Math.min(a, b)) - expected.min)).toBeLessThan(ROUNDING);
        expect(Math.abs(present.reduce((a, b) => Math.max(a, b)) - expected.max)).toBeLessThan(ROUNDING);
        expect(Math.abs(present.reduce((a, b) => a + b) / present.length - expected.mean)).toBeLessThan(ROUNDING);
        for (const [index, lat, lon, theirs] of expected.points) {
          const at = field.grid.mesh.locate([lon, lat]) ?? [NaN, NaN];
          const here = storageIndex(field.grid.mesh, Math.round(at[0]), Math.round(at[1]));
          expect(here, `place of point ${index}`).toBe(index);
          if (theirs === null) expect(values[index]).toBeNaN();
          else
            expect(Math.abs((values[index] ?? NaN) - theirs), `message ${k + 1}, point ${index}`).toBeLessThan(
              ROUNDING,
            );
          points += 1;
        }
        const { product } = field;
        if (typeof product === 'string') throw new Error(product);
        const run = new Date(product.run_s * 1000).toISOString();
        expect(Number(run.slice(0, 10).replaceAll('-', '')) * 10_000 + Number(run.slice(11, 16).replace(':', ''))).toBe(
          expected.dataDate * 10_000 + expected.dataTime,
        );
        if (!product.interval) expect((product.valid_s - product.run_s) / 3600).toBe(expected.step);
      });
      expect(points).toBe(6 * oracle.length);
    });
  }

  it('every file decodes or is refused with a sentence', async () => {
    const near: Readonly<Record<string, LonLat>> = { crop: [-105.3, 36.1], analytic: [12.3, 45.6] };
    for (const name of files) {
      const place = Object.entries(near).find(([start]) => name.startsWith(start))?.[1] ?? ([-105.3, 36.1] as const);
      const { value, problems } = await readGrib2(bytesOf(name), { near: place });
      const [first] = value.decoded;
      const texts = [...(first?.problems ?? []), ...problems].map(({ text }) => text);
      if (first === undefined) expect(texts.length).toBeGreaterThan(0);
      const fields = (await grib2Fields(bytesOf(name))).value;
      const top = first?.levels.at(-1)?.height_m ?? null;
      const shown = top === null ? '' : `top ${(top / 1000).toFixed(2)} km`;
      const packing = [...new Set(fields.map((field) => field.packing.split(' ')[0]))].join(' ');
      table.push(
        `${name.padEnd(52)} ${String(fields.length).padStart(3)} messages ${packing.padEnd(5)} ${value.decoded.length} times ` +
          `${String(first?.levels.length ?? 0).padStart(2)} levels ${shown} ${texts.length === 0 ? 'no problems' : texts.join(' | ')}`,
      );
    }
    console.log(table.join('\n'));
    expect(table.length).toBe(17);
  });

  it('the same numbers in seven packings are the same columns', async () => {
    const crops = files.filter((name) => name.startsWith('crop-southwest'));
    expect(crops.length).toBe(7);
    const near = [-103.77, 34.21] as const;
    const [first, ...others] = await Promise.all(
      crops.map(async (name) => (await readGrib2(bytesOf(name), { near })).value),
    );
    expect(first?.decoded[0]?.levels.length).toBe(26);
    // The reference values differ from packing to packing in the last bit of single precision: 2e-7 of a height of 30
    // km.
    const close = (a: number | null, b: number | null): boolean => a !== null && b !== null && Math.abs(a - b) < 0.005;
    for (const other of others) {
      first?.decoded[0]?.levels.forEach((level, k) => {
        const same = other.decoded[0]?.levels[k];
        expect(close(level.height_m, same?.height_m ?? null)).toBe(true);
        expect(close(level.speed_mps, same?.speed_mps ?? null)).toBe(true);
        expect(close(level.temperature_K, same?.temperature_K ?? null)).toBe(true);
      });
      expect(other.grids[0]?.columns.length).toBe(first?.grids[0]?.columns.length);
    }
  });

  // MANIFEST.md and how-made/run_analytic.py: the fields as written there; k counts levels from 0 at 1000 hPa, h hours
  // after 06Z.
  const ZH = [110, 760, 1460, 3010, 5570, 7180, 9160, 10360, 11780, 13610, 16180, 18440, 20580, 23850, 26480, 31050, 33430, 35780, 39430,
    42440, 47820, 50500, 55000]; // prettier-ignore
  const formula = (lon: number, lat: number, k: number, h: number) => ({
    u: 4 + 2 * k + 0.5 * (lat - 45) - 0.25 * (lon - 12) + 0.5 * h,
    v: -3 + 0.75 * k + 0.25 * (lat - 45) + 0.5 * (lon - 12) - 0.25 * h,
    gh: (ZH[k] ?? NaN) + 4 * (lat - 45) - 2 * (lon - 12) + h,
  });
  const PLACES: readonly LonLat[] = [[5, 50], [20, 40], [12.5, 45.5], [7.123, 41.987], [19.99, 49.01], [365.25 + 6, 44.4]]; // prettier-ignore

  for (const name of files.filter((file) => file.startsWith('analytic-a'))) {
    it(`${name}: columns between the points follow the formula (bilinear is exact on linear fields)`, async () => {
      let compared = 0;
      for (const near of PLACES) {
        const { value, problems } = await readGrib2(bytesOf(name), { near });
        expect(problems).toEqual([]);
        expect(value.decoded.map(({ validTime }) => validTime)).toEqual([
          '2026-03-01T06:00:00Z',
          '2026-03-01T09:00:00Z',
          '2026-03-01T12:00:00Z',
        ]);
        value.decoded.forEach((column, t) => {
          expect(column.levels.length).toBe(23);
          column.levels.forEach((level, k) => {
            const expected = formula(near[0] > 180 ? near[0] - 360 : near[0], near[1], k, 3 * t);
            const [u, v] = windVector(level.from_deg ?? NaN, level.speed_mps ?? NaN);
            expect(Math.abs(u - expected.u)).toBeLessThan(1e-6);
            expect(Math.abs(v - expected.v)).toBeLessThan(1e-6);
            expect(Math.abs((level.height_m ?? NaN) - geometricHeight(expected.gh))).toBeLessThan(1e-5);
            compared += 1;
          });
        });
      }
      expect(compared).toBe(PLACES.length * 3 * 23);
    });
  }

  it('the grid around the place carries the formula too, and makes a wind field', async () => {
    const { value } = await readGrib2(bytesOf('analytic-a-5_0.grib2'), { near: [12, 45] });
    const [grid] = value.grids;
    if (grid === undefined) throw new Error('no grid');
    expect(grid.times_s.map((t) => new Date(t * 1000).toISOString())).toEqual([
      '2026-03-01T06:00:00.000Z',
      '2026-03-01T09:00:00.000Z',
      '2026-03-01T12:00:00.000Z',
    ]);
    expect([grid.lats_deg[0], grid.lats_deg.at(-1), grid.lons_deg[0], grid.lons_deg.at(-1)]).toEqual([40, 50, 6, 18]);
    let compared = 0;
    grid.columns.forEach((levels, index) => {
      const perTime = grid.lats_deg.length * grid.lons_deg.length;
      const lat = grid.lats_deg[Math.floor((index % perTime) / grid.lons_deg.length)] ?? NaN;
      const lon = grid.lons_deg[index % grid.lons_deg.length] ?? NaN;
      levels.forEach((level, k) => {
        const expected = formula(lon, lat, k, 3 * Math.floor(index / perTime));
        const [u, v] = windVector(level.from_deg, level.speed_mps);
        expect(Math.hypot(u - expected.u, v - expected.v)).toBeLessThan(1e-6);
        compared += 1;
      });
    });
    expect(compared).toBe(3 * 11 * 13 * 23);
    expect(WindField.ofGrid(grid).times_s.length).toBe(3);
  });

  it('Lambert winds are turned to true north, by the angle of the cone', async () => {
    const name = 'nam-lambert-80km-20180917-00z-f000-uvght.grib2';
    // A point of the grid that the oracle names: there is nothing to interpolate.
    const near = [244.3485 - 360, 22.63995] as const;
    const fields = (await grib2Fields(bytesOf(name))).value;
    const { value } = await readGrib2(bytesOf(name), { near });
    const level = value.decoded[0]?.levels.find(({ pressure_Pa }) => pressure_Pa === 50_000);
    const along = (number: number): number => {
      const field = fields.find(
        ({ product }) =>
          typeof product === 'object' &&
          product.number === number &&
          product.category === 2 &&
          product.levelValue === 50_000,
      );
      const values = field?.values();
      return typeof values === 'object' ? (values[863] ?? NaN) : NaN;
    };
    // Snyder eq. 14-4 for one standard parallel of 25°, central meridian 265° E: n = sin 25°.
    const turn = (Math.sin((25 * Math.PI) / 180) * (244.3485 - 265) * Math.PI) / 180;
    const [gu, gv] = [along(2), along(3)];
    const [u, v] = windVector(level?.from_deg ?? NaN, level?.speed_mps ?? NaN);
    // The oracle's position is printed to 1e-5 degree, 1 m: the wind there changes by far less than this.
    expect(Math.abs(u - (gu * Math.cos(turn) + gv * Math.sin(turn)))).toBeLessThan(2e-4);
    expect(Math.abs(v - (gv * Math.cos(turn) - gu * Math.sin(turn)))).toBeLessThan(2e-4);
    expect(Math.hypot(u - gu, v - gv)).toBeGreaterThan(0.5);
    // The wind at 10 m stands on the model's own ground.
    const lowest = value.decoded[0]?.levels.filter(({ pressure_Pa }) => pressure_Pa === null) ?? [];
    expect(lowest.length).toBe(1);
    const ground = fields
      .find(({ product }) => typeof product === 'object' && product.levelType === 1 && product.category === 3)
      ?.values();
    expect(
      Math.abs(
        (lowest[0]?.height_m ?? NaN) - 10 - geometricHeight(typeof ground === 'object' ? (ground[863] ?? NaN) : NaN),
      ),
    ).toBeLessThan(0.01);
  });

  it('u alone, a bitmap, edition 1: each is said, nothing is made of it', async () => {
    const one = await readGrib2(bytesOf('gfs-bitmap-missing-u-heightabovesea-20130521.grib2'), { near: [0, 45] });
    expect(one.value).toEqual({ decoded: [], grids: [] });
    expect(one.problems.map(({ text }) => text).join()).toContain('no wind: 1 field of u');
    const old = await readGrib2(bytesOf('grib1-ecmf-uv-pl-20171018.grib'), {});
    expect(old.value).toEqual({ decoded: [], grids: [] });
    expect(old.problems.map(({ text }) => text).join()).toContain('16 messages of GRIB edition 1, which is not read');
  });

  it("u and v without heights stand at the standard atmosphere's, and it is said", async () => {
    const bytes = bytesOf('crop-southwest-us-real-5_0.grib2');
    const winds = messagesWith(bytes, (shortName) => shortName === 'u' || shortName === 'v', dir);
    const { value } = await readGrib2(winds, { near: [-105, 35] });
    expect(value.decoded[0]?.levels.length).toBe(26);
    for (const level of value.decoded[0]?.levels ?? [])
      expect(level.height_m).toBeCloseTo(pressureAltitude(level.pressure_Pa ?? NaN), 6);
    expect(texts(value.decoded)).toContain('26 levels with wind without a height field');
    const noV = messagesWith(bytes, (shortName, level) => shortName !== 'v' || level >= 100, dir);
    const partly = await readGrib2(noV, { near: [-105, 35] });
    expect(texts(partly.value.decoded)).toMatch(/5 levels with u without v, so no wind: .*10 hPa/);
    expect(partly.value.decoded[0]?.levels.filter(({ from_deg }) => from_deg !== null).length).toBe(21);
    expect(partly.value.grids[0]?.columns.every((levels) => levels.length === 21)).toBe(true);
  });

  it('the global file answers over the date line', async () => {
    const bytes = bytesOf('gfs-2p5deg-20110110-12z-f120-uvght.grib2');
    const { value } = await readGrib2(bytes, { near: [179.3, -45.1] });
    expect(value.decoded[0]?.levels.length).toBe(26);
    // The longitudes run on.
    const lons = value.grids[0]?.lons_deg ?? [];
    expect(lons.every((lon, k) => k === 0 || Math.abs(lon - (lons[k - 1] ?? 0) - 2.5) < 1e-9)).toBe(true);
    expect([lons[0], lons.at(-1)]).toEqual([172.5, 185]);
  });
});

const texts = (decoded: readonly DecodedWinds[]): string =>
  (decoded[0]?.problems ?? []).map(({ text }) => text).join(' | ');

/** The messages of a file that the oracle of the crops lists, chosen by name and level (hPa). */
function messagesWith(bytes: Uint8Array, keep: (shortName: string, level: number) => boolean, dir: string): Uint8Array {
  const oracle = JSON.parse(
    readFileSync(join(dir, 'crop-southwest-us-real-5_0.oracle.json'), 'utf8'),
  ) as readonly OracleMessage[];
  const parts: Uint8Array[] = [];
  let at = 0;
  for (const { shortName, level } of oracle) {
    const length = new DataView(bytes.buffer, bytes.byteOffset + at + 8, 8).getUint32(4);
    if (keep(shortName, level)) parts.push(bytes.subarray(at, at + length));
    at += length;
  }
  return new Uint8Array(Buffer.concat(parts));
}
