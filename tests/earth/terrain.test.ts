// The grid of heights on surfaces whose heights and slopes are known in closed form, and terrain files of our own
// making whose every peculiarity is known. Published files stand in tests/published/terrain.test.ts.
import { zipSync, zlibSync } from 'fflate';
import { fc } from '../property.ts';
import { describe, expect, it } from 'vitest';
import { offset } from '../../core/earth/geodesic.ts';
import { groundWithin, skyline_deg, TerrainGrid } from '../../core/earth/terrain.ts';
import { toUtm } from '../../core/earth/utm.ts';
import { readTerrain } from '../../core/formats/terrain/terrain.ts';
import { deflatedTerrain } from '../bench/growthTerrain.ts';
import type { LonLat } from '../../core/base/units.ts';

const SHAPE = { west_deg: 22, north_deg: -30, stepLon_deg: 0.001, stepLat_deg: 0.001, columns: 101, rows: 101 };

/** A grid of a surface given in degrees from its north-west corner, south positive. */
function gridOf(surface: (east_deg: number, south_deg: number) => number, shape = SHAPE): TerrainGrid {
  const heights = Float32Array.from({ length: shape.columns * shape.rows }, (_, k) =>
    surface((k % shape.columns) * shape.stepLon_deg, Math.floor(k / shape.columns) * shape.stepLat_deg),
  );
  return new TerrainGrid(shape, heights);
}

describe('heights', () => {
  it('bilinear reading of a surface that is bilinear is exact, in any cell', () => {
    const grid = gridOf((e, s) => 100 + 800 * e - 300 * s + 5000 * e * s);
    fc.assert(
      fc.property(
        fc.double({ min: 0, max: 0.1, noNaN: true }),
        fc.double({ min: 0, max: 0.1, noNaN: true }),
        (e, s) => {
          expect(grid.heightAt(22 + e, -30 - s)).toBeCloseTo(100 + 800 * e - 300 * s + 5000 * e * s, 3);
        },
      ),
    );
  });
  it('nodes are cell centres: the first height stands at the corner itself, and the edges belong to the grid', () => {
    const grid = gridOf((e, s) => e * 1000 + s * 10);
    expect(grid.heightAt(22, -30)).toBe(0);
    expect(grid.heightAt(22.1, -30.1)).toBeCloseTo(101, 3);
    expect(grid.heightAt(22.1 + 1e-9, -30)).toBeNaN();
    expect(grid.heightAt(21.9999, -30)).toBeNaN();
    expect(grid.heightAt(NaN, -30)).toBeNaN();
  });
  it('beside an unknown node there is no height, but on the known nodes there is', () => {
    const grid = gridOf(() => 500);
    grid.heights_m[50 * 101 + 50] = NaN;
    expect(grid.heightAt(22.0505, -30.0505)).toBeNaN();
    expect(grid.heightAt(22.051, -30.05)).toBe(500);
    expect(grid.heightAt(22.05, -30.05)).toBeNaN();
    expect(grid.extremes()).toEqual({ min_m: 500, max_m: 500 });
  });
  it('across 180° both ways of writing a longitude read the same', () => {
    const grid = gridOf((e) => 1000 * e, { ...SHAPE, west_deg: 179.95 });
    expect(grid.heightAt(-179.97, -30.05)).toBeCloseTo(80, 2);
    expect(grid.heightAt(180.03, -30.05)).toBeCloseTo(80, 2);
    expect(grid.heightAt(-179.94, -30.05)).toBeNaN();
  });
});

describe('slopes', () => {
  it('a plane of known rise: slope and downhill direction', () => {
    // Rise 0.10 to the east and 0.05 to the north, metres per metre.
    const [mEast, mNorth] = gridOf(() => 0).cell_m(-30.05);
    const grid = gridOf((e, s) => 1000 + (e / 0.001) * mEast * 0.1 - (s / 0.001) * mNorth * 0.05);
    const slope = grid.slopeAt(22.05, -30.05);
    expect(slope?.slope_deg).toBeCloseTo((Math.atan(Math.hypot(0.1, 0.05)) * 180) / Math.PI, 2);
    expect(slope?.downhill_deg).toBeCloseTo((Math.atan2(-0.1, -0.05) * 180) / Math.PI + 360, 1);
    expect(grid.slopeAt(22, -30)).toBeNull();
    expect(gridOf(() => 7).slopeAt(22.05, -30.05)).toEqual({ slope_deg: 0, downhill_deg: 0 });
  });
  it('the ground within a zone: extremes, mean, part over a limit, roughness about its plane', () => {
    const [mEast] = gridOf(() => 0).cell_m(-30.05);
    // West half level, east half rising by 0.2: a roof with its crease at 22.05.
    const grid = gridOf((e) => 900 + Math.max(0, e - 0.05) * (mEast / 0.001) * 0.2);
    const ring: LonLat[] = [
      [22.02, -30.02],
      [22.08, -30.02],
      [22.08, -30.08],
      [22.02, -30.08],
    ];
    const ground = groundWithin(grid, ring, 5);
    expect(ground?.unknown).toBe(0);
    expect(ground?.slope_deg_max).toBeCloseTo((Math.atan(0.2) * 180) / Math.PI, 1);
    expect(ground?.overLimit).toBeGreaterThan(0.47);
    expect(ground?.overLimit).toBeLessThan(0.53);
    expect(ground?.min_m).toBe(900);
    const plane = groundWithin(
      gridOf((e, s) => 900 + 3000 * e + 1000 * s),
      ring,
      5,
    );
    expect(plane?.roughness_m).toBeLessThan(0.01);
    expect(ground?.roughness_m).toBeGreaterThan(20);
    expect(
      groundWithin(
        grid,
        [
          [10, 10],
          [10.1, 10],
          [10.1, 10.1],
        ],
        5,
      ),
    ).toBeNull();
  });
  it('the skyline: a wall of known height and distance, less the Earth’s curve', () => {
    const grid = gridOf((e) => (e > 0.0795 ? 1100 : 1000));
    const [mEast] = grid.cell_m(-30.05);
    const distance = ((0.08 - 0.02) / 0.001) * mEast;
    const expected = (Math.atan2(98 - distance ** 2 / (2 * 6_371_008.8), distance) * 180) / Math.PI;
    // The wall stands between two nodes, 1/60 of the distance apart: 0.016°.
    expect(Math.abs((skyline_deg(grid, [22.02, -30.05], 2, 90) ?? NaN) - expected)).toBeLessThan(0.03);
    expect(skyline_deg(grid, [22.02, -30.05], 2, 270)).toBeLessThanOrEqual(0);
    expect(skyline_deg(grid, [10, 10], 2, 270)).toBeNull();
  });
});

// ---- Files of our own making. A minimal TIFF: one strip, little-endian, the tags given.

type Entry = [tag: number, type: 2 | 3 | 4 | 12, values: readonly number[]];
const ascii = (text: string): number[] => [...Array.from(text, (c) => c.charCodeAt(0)), 0];

function tiff(
  cells: Int16Array | Float32Array,
  columns: number,
  extra: readonly Entry[],
  pack: 'none' | 'deflate' = 'none',
): Uint8Array {
  const raw = new Uint8Array(cells.buffer, cells.byteOffset, cells.byteLength);
  const data = pack === 'none' ? raw : zlibSync(raw);
  const entries: Entry[] = [
    [256, 3, [columns]],
    [257, 3, [cells.length / columns]],
    [258, 3, [cells.BYTES_PER_ELEMENT * 8]],
    [259, 3, [pack === 'none' ? 1 : 8]],
    [273, 4, [0]],
    [277, 3, [1]],
    [278, 3, [cells.length / columns]],
    [279, 4, [data.length]],
    [339, 3, [cells instanceof Float32Array ? 3 : 2]],
    ...extra,
  ];
  entries.sort((a, b) => a[0] - b[0]);
  const bytes = { 2: 1, 3: 2, 4: 4, 12: 8 } as const;
  let end = 8 + 2 + 12 * entries.length + 4;
  const places = entries.map(([, type, values]) => {
    const size = bytes[type] * values.length;
    if (size <= 4) return null;
    end += size;
    return end - size;
  });
  const out = new DataView(new ArrayBuffer(end + data.length));
  out.setUint32(0, 0x002a4949, true);
  out.setUint32(4, 8, true);
  out.setUint16(8, entries.length, true);
  entries.forEach(([tag, type, values], k) => {
    const at = 10 + 12 * k;
    out.setUint16(at, tag, true);
    out.setUint16(at + 2, type, true);
    out.setUint32(at + 4, values.length, true);
    const place = places[k] ?? null;
    if (place !== null) out.setUint32(at + 8, place, true);
    values.forEach((value, n) => {
      const to = (place ?? at + 8) + n * bytes[type];
      if (type === 2) out.setUint8(to, value);
      else if (type === 3) out.setUint16(to, value, true);
      else if (type === 4) out.setUint32(to, tag === 273 ? end : value, true);
      else out.setFloat64(to, value, true);
    });
  });
  new Uint8Array(out.buffer).set(data, end);
  return new Uint8Array(out.buffer);
}

const SCALE: Entry = [33550, 12, [0.01, 0.01, 0]];
const TIE: Entry = [33922, 12, [0, 0, 0, 22, -30, 0]];
const keysOf = (...keys: readonly (readonly [number, number])[]): Entry => [
  34735,
  3,
  [1, 1, 0, keys.length, ...keys.flatMap(([id, v]) => [id, 0, 1, v])],
];
const WGS84 = keysOf([1024, 2], [1025, 1], [2048, 4326]);
const ramp = (scale: number): Int16Array => Int16Array.from({ length: 30 }, (_, k) => 100 * scale + k * scale);

describe('GeoTIFF', () => {
  const heightOf = async (bytes: Uint8Array, lon: number, lat: number): Promise<[number, string[]]> => {
    const { value, problems } = await readTerrain('x.tif', bytes);
    return [value?.heightAt(lon, lat) ?? NaN, problems.map((problem) => problem.text)];
  };
  it('a cell that is an area has its height in its middle, one that is a point at its coordinates', async () => {
    expect(await heightOf(tiff(ramp(1), 6, [SCALE, TIE, WGS84]), 22.005, -30.005)).toEqual([100, []]);
    const point = keysOf([1024, 2], [1025, 2], [2048, 4326]);
    expect(await heightOf(tiff(ramp(1), 6, [SCALE, TIE, point], 'deflate'), 22, -30)).toEqual([100, []]);
  });
  it('whichever entry a damaged count has made a list: a short sentence, and the list is not printed', async () => {
    const whole = deflatedTerrain(300);
    const directory = new DataView(whole.buffer).getUint32(4, true);
    const entries = new DataView(whole.buffer).getUint16(directory, true);
    expect(entries).toBeGreaterThan(10);
    const said = await Promise.all(
      Array.from({ length: entries }, async (_, k) => {
        const bytes = whole.slice();
        const view = new DataView(bytes.buffer);
        const entry = directory + 2 + 12 * k;
        // 255 numbers from byte 8 in place of what is given (TIFF 6.0, section 2: tag, type, count, place).
        view.setUint32(entry + 4, 255, true);
        view.setUint32(entry + 8, 8, true);
        const { value, problems } = await readTerrain('grown.tif', bytes, null);
        return { tag: view.getUint16(entry, true), value, problems: problems.map(({ text }) => text) };
      }),
    );
    for (const { problems } of said) for (const text of problems) expect(text.length).toBeLessThan(300);
    // Width, height, packing, bands.
    for (const tag of [256, 257, 259, 277])
      expect(said.find((one) => one.tag === tag)).toEqual({
        tag,
        value: null,
        problems: [
          'the size of the picture, of its pieces, its bands or its packing is no whole number: the file is damaged',
        ],
      });
  });

  it('a tie point may name any cell', async () => {
    const tie: Entry = [33922, 12, [2, 1, 0, 22.02, -30.01, 0]];
    expect((await heightOf(tiff(ramp(1), 6, [SCALE, tie, WGS84]), 22.005, -30.005))[0]).toBe(100);
  });
  it('a transformation places the cells too; one that turns them is refused', async () => {
    const straight: Entry = [34264, 12, [0.01, 0, 0, 22, 0, -0.01, 0, -30, 0, 0, 0, 0, 0, 0, 0, 1]];
    expect((await heightOf(tiff(ramp(1), 6, [straight, WGS84]), 22.015, -30.005))[0]).toBeCloseTo(101, 4);
    const turned: Entry = [34264, 12, [0.01, 0.002, 0, 22, 0.002, -0.01, 0, -30, 0, 0, 0, 0, 0, 0, 0, 1]];
    expect((await heightOf(tiff(ramp(1), 6, [turned, WGS84]), 22.015, -30.005))[1][0]).toMatch(/rotated/);
  });
  it('rows that run from south to north are turned', async () => {
    const upward: Entry = [34264, 12, [0.01, 0, 0, 22, 0, 0.01, 0, -30.05, 0, 0, 0, 0, 0, 0, 0, 1]];
    expect((await heightOf(tiff(ramp(1), 6, [upward, WGS84]), 22.005, -30.045))[0]).toBeCloseTo(100, 4);
    expect((await heightOf(tiff(ramp(1), 6, [upward, WGS84]), 22.005, -30.005))[0]).toBeCloseTo(124, 4);
  });
  it('centimetres said are turned into metres; centimetres unsaid are doubted aloud', async () => {
    const said: Entry = [
      42112,
      2,
      ascii('<GDALMetadata><Item name="UNITTYPE" sample="0" role="unittype">cm</Item></GDALMetadata>'),
    ];
    expect((await heightOf(tiff(ramp(100), 6, [SCALE, TIE, WGS84, said]), 22.005, -30.005))[0]).toBeCloseTo(100, 4);
    const [h, problems] = await heightOf(tiff(ramp(100), 6, [SCALE, TIE, WGS84]), 22.005, -30.005);
    expect(h).toBeNaN();
    expect(problems[0]).toMatch(
      /heights 10\u202f000 to 12\u202f900\u202fm; no land is above 8849 m. The unit may be centimetres \(100 to 129\u202fm\)/,
    );
  });
  it('centimetres of low ground stay below any mountain, and are doubted by their steepness', async () => {
    const rough = Int16Array.from({ length: 400 }, (_, k) => 3000 + ((k * 7919) % 900));
    const fine: Entry = [33550, 12, [0.0001, 0.0001, 0]];
    const [h, problems] = await heightOf(tiff(rough, 20, [fine, TIE, WGS84]), 22.0005, -30.0005);
    expect(h).toBeGreaterThan(2000);
    expect(problems[0]).toMatch(/half of the ground is steeper than \d+°; hardly any land is/);
  });
  it('feet, scale and offset, and the number for no data', async () => {
    const feet = keysOf([1024, 2], [1025, 1], [2048, 4326], [4099, 9002]);
    expect((await heightOf(tiff(ramp(10), 6, [SCALE, TIE, feet]), 22.005, -30.005))[0]).toBeCloseTo(304.8, 3);
    const scaled: Entry = [
      42112,
      2,
      ascii(
        '<Item name="SCALE" sample="0" role="scale">0.1</Item><Item name="OFFSET" sample="0" role="offset">-5</Item>',
      ),
    ];
    expect((await heightOf(tiff(ramp(10), 6, [SCALE, TIE, WGS84, scaled]), 22.005, -30.005))[0]).toBeCloseTo(95, 4);
    const hole: Entry = [42113, 2, ascii('-3.4028234663852886e+38')];
    const floats = Float32Array.from(ramp(1)).fill(-3.4028234663852886e38, 0, 1);
    expect((await heightOf(tiff(floats, 6, [SCALE, TIE, WGS84, hole]), 22.005, -30.005))[0]).toBeNaN();
    expect((await heightOf(tiff(floats, 6, [SCALE, TIE, WGS84, hole]), 22.015, -30.005))[0]).toBe(101);
  });
  it('cells that no land has are unknown, and counted', async () => {
    const cells = ramp(1);
    cells[0] = -9999;
    const [h, problems] = await heightOf(tiff(cells, 6, [SCALE, TIE, WGS84]), 22.005, -30.005);
    expect(h).toBeNaN();
    expect(problems[0]).toBe('1 cells such as −9999\u202fm, which no land has; taken as unknown');
  });
  it('UTM south of the equator, any transverse Mercator, and web Mercator come out where they are', async () => {
    const here: LonLat = [22.4, -30.1];
    const utm = toUtm(here);
    const cells = Int16Array.from({ length: 100 }, (_, k) => (k === 44 ? 300 : 200));
    const scale: Entry = [33550, 12, [100, 100, 0]];
    const tie: Entry = [33922, 12, [4, 4, 0, utm?.easting_m ?? 0, utm?.northing_m ?? 0, 0]];
    const peak = async (keys: Entry[]): Promise<number> =>
      (await heightOf(tiff(cells, 10, [scale, tie, ...keys]), ...here))[0];
    // The peak of one cell is a crease of 100 m to all sides: a sixteenth of 200 m in each direction is the stated
    // bound.
    expect(await peak([keysOf([1024, 1], [1025, 2], [3072, 32734])])).toBeGreaterThan(300 - 25.01);
    const own: Entry = [
      34735,
      3,
      [
        1, 1, 0, 9, 1024, 0, 1, 1, 1025, 0, 1, 2, 2048, 0, 1, 4326, 3072, 0, 1, 32767, 3075, 0, 1, 1, 3080, 34736, 1, 0,
        3092, 34736, 1, 1, 3082, 34736, 1, 2, 3083, 34736, 1, 3,
      ],
    ];
    expect(await peak([own, [34736, 12, [21, 0.9996, 500_000, 10_000_000]]])).toBeGreaterThan(300 - 25.01);
    const k = 6_378_137;
    const mercator: Entry = [
      33922,
      12,
      [4, 4, 0, (k * 22.4 * Math.PI) / 180, k * Math.asinh(Math.tan((-30.1 * Math.PI) / 180)), 0],
    ];
    const [h] = await heightOf(tiff(cells, 10, [scale, mercator, keysOf([1024, 1], [1025, 2], [3072, 3857])]), ...here);
    expect(h).toBeGreaterThan(300 - 25.01);
    expect((await heightOf(tiff(cells, 10, [scale, tie, keysOf([1024, 1], [3072, 27700])]), ...here))[1][0]).toMatch(
      /EPSG:27700; expected longitude/,
    );
  });
  it.each([
    ['no georeference', tiff(ramp(1), 6, [WGS84]), /no georeference/],
    ['geocentric', tiff(ramp(1), 6, [SCALE, TIE, keysOf([1024, 3])]), /geocentric/],
    ['NAD27', tiff(ramp(1), 6, [SCALE, TIE, keysOf([1024, 2], [2048, 4267])]), /NAD27, read as WGS 84/],
    ['no keys', tiff(ramp(1), 6, [SCALE, TIE]), /no coordinate system named; read as longitude and latitude/],
    [
      'latitudes beyond the pole',
      tiff(ramp(1), 6, [[33550, 12, [10, 10, 0]], [33922, 12, [0, 0, 0, 0, 120, 0]], WGS84]),
      /latitudes 75.000 to 115.000/,
    ],
    [
      'an unknown packing',
      tiff(ramp(1), 6, [SCALE, TIE, WGS84]).map((b, k, all) => (all[k - 8] === 3 && all[k - 7] === 1 ? 7 : b)),
      /packing|cells|directory|tag/,
    ],
    ['one row', tiff(ramp(1), 30, [SCALE, TIE, WGS84]), /30 × 1 cells/],
    ['all unknown', tiff(ramp(1).fill(-1), 6, [SCALE, TIE, WGS84, [42113, 2, ascii('-1')]]), /no known height/],
  ])('%s: a sentence', async (_, bytes, why) => {
    const { problems } = await readTerrain('x.tif', bytes);
    expect(problems.map((problem) => problem.text).join('\n')).toMatch(why);
  });
});

describe('SRTM, Arc ASCII, zips and other files', () => {
  const hgt = (): Uint8Array => {
    const bytes = new Uint8Array(1201 * 1201 * 2);
    const view = new DataView(bytes.buffer);
    for (let k = 0; k < 1201 * 1201; k++) view.setInt16(2 * k, k === 0 ? -32768 : 900 + (k % 1201), false);
    return bytes;
  };
  it('a tile has its place from its name', async () => {
    for (const name of ['S31E022.hgt', 'dem/s31e022.HGT', 'SRTM_S31E022.hgt']) {
      const { value, problems } = await readTerrain(name, hgt());
      expect(value?.heightAt(22, -31)).toBe(900);
      expect(value?.heightAt(23, -30)).toBe(2100);
      expect(value?.heightAt(22, -30)).toBeNaN();
      expect(problems.map((problem) => problem.text)).toEqual([
        '1 of 1442401 cells are void; there the ground is unknown',
      ]);
    }
  });
  it.each([
    ['tile.hgt', hgt(), /expected the tile's south-west corner/],
    ['N95W010.hgt', hgt(), /a corner on the Earth/],
    ['N44W072.hgt', new Uint8Array(100), /100 bytes; expected 2884802/],
    ['a.tif', new Uint8Array(0), /the file is empty/],
    ['a.tif', new TextEncoder().encode('II*'), /not a terrain file|cut off/],
    ['a.bin', new TextEncoder().encode('hello'), /not a terrain file; expected GeoTIFF, SRTM .hgt or Arc ASCII/],
    ['a.zip', zipSync({ 'readme.txt': new Uint8Array(5) }), /a zip without terrain/],
    ['a.zip', zipSync({ 'S31E022.hgt': hgt() }).subarray(0, 2000), /cannot be unpacked|zip/],
  ])('%s is refused', async (name, bytes, why) => {
    const { value, problems } = await readTerrain(name, bytes);
    expect(value).toBeNull();
    expect(problems[0]?.text).toMatch(why);
  });
  it('a tile in a zip, beside another', async () => {
    const { value, problems } = await readTerrain('x.zip', zipSync({ 'S31E022.hgt': hgt(), 'S32E022.hgt': hgt() }));
    expect(value?.heightAt(22.5, -30.5)).toBe(1500);
    expect(problems.at(-1)?.text).toBe('1 more terrain files in the zip; only "S31E022.hgt" is read');
  });
  const asc = (text: string): Uint8Array => new TextEncoder().encode(text);
  const HEAD = 'ncols 3\nnrows 2\nxllcorner 22\nyllcorner -31\ncellsize 0.5\nNODATA_value -9999\n';
  it('Arc ASCII: corner or centre, any case, any breaks, decimal commas', async () => {
    for (const text of [
      `${HEAD}1 2 3\n4 5 -9999\n`,
      'NCOLS 3\r\nNROWS 2\r\nXLLCENTER 22.25\r\nYLLCENTER -30.75\r\nCELLSIZE 0,5\r\n1 2\r\n3 4 5 -9999',
      'nrows 2\nncols 3\ncellsize 0.5\nyllcorner -31\nxllcorner 22\n1,0 2 3\t4 5 -9999\n',
    ]) {
      const { value } = await readTerrain('x.asc', asc(text));
      expect([...(value?.heights_m ?? [])]).toEqual([1, 2, 3, 4, 5, NaN]);
      expect(value?.heightAt(22.25, -30.25)).toBe(1);
      expect(value?.heightAt(22.75, -30.75)).toBe(5);
    }
  });
  it.each([
    [`${HEAD}1 2 3 4`, /4 of 6 heights; the file ends early/],
    [`${HEAD}1 2 3 4 x 6`, /1 cells that are not numbers, the first "x"/],
    [`${HEAD}1 2 3 4 5 6 7`, /more than the 6 heights/],
    ['ncols 3\nnrows 0\nxllcorner 0\nyllcorner 0\ncellsize 1\n1', /nrows 0; expected two whole numbers/],
    ['ncols 3\nnrows 2\nyllcorner 0\ncellsize 0.5\n1 2 3 4 5 6', /no xllcorner or xllcenter/],
    ['ncols 3\nnrows 2\nxllcorner 0\nyllcorner 0\ncellsize -1\n1 2 3 4 5 6', /cellsize -1; expected/],
    ['ncols 30000\nnrows 20000\nxllcorner 0\nyllcorner 0\ncellsize 1\n1', /at most 25 million/],
    ['ncols 300\nnrows 200\nxllcorner 0\nyllcorner 0\ncellsize 1\n1', /too short to hold them/],
    ['ncols 3\nnrows two\nxllcorner 0\nyllcorner 0\ncellsize 1\n1', /nrows "two"; expected a number/],
  ])('%j says what is wrong', async (text, why) => {
    const { problems } = await readTerrain('x.asc', asc(text));
    expect(problems.map((problem) => problem.text).join('\n')).toMatch(why);
  });
  it('any bytes are answered', async () => {
    const heads = [[], [0x49, 0x49, 42, 0], [0x4d, 0x4d, 0, 43], [0x50, 0x4b, 3, 4], Array.from(asc(HEAD))];
    await fc.assert(
      fc.asyncProperty(fc.constantFrom(...heads), fc.uint8Array({ maxLength: 400 }), async (head, tail) => {
        const { value, problems } = await readTerrain('N10E010.hgt', Uint8Array.from([...head, ...tail]));
        expect(value === null ? problems.length : 1).toBeGreaterThan(0);
      }),
      { numRuns: 2000 },
    );
  });
  it('a descent frame: heights along a line agree with the ramp they were made from', async () => {
    const { value } = await readTerrain('S31E022.hgt', hgt());
    const [lon, lat] = offset([22.5, -30.5], 5000, 2000);
    expect(value?.heightAt(lon, lat)).toBeCloseTo(900 + (lon - 22) * 1200, 2);
  });
});
