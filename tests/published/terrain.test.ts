// Terrain readers against the outside data. ref: open-data/terrain/spot-heights.json; source: made with GDAL 3.6
// (nearest checked with gdallocationinfo, bilinear between cell centres) from SRTM (NASA/USGS) and USGS elevation.
// Printed to 0.001 m.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { toUtm } from '../../core/earth/utm.ts';
import type { TerrainGrid } from '../../core/earth/terrain.ts';
import { readAscGrid } from '../../core/formats/terrain/ascGrid.ts';
import { readGeoTiff } from '../../core/formats/terrain/geotiff.ts';
import { readHgt } from '../../core/formats/terrain/hgt.ts';
import type { Raster } from '../../core/formats/terrain/raster.ts';
import { readTerrain } from '../../core/formats/terrain/terrain.ts';
import type { Read } from '../../core/base/problem.ts';
import type { LonLat } from '../../core/base/units.ts';
import { describeOpenData } from '../openData.ts';

interface Spot {
  readonly lat: number;
  readonly lon: number;
  readonly nearest: number;
  readonly bilinear: number;
}
interface SpotFile {
  readonly file: string;
  readonly size: readonly [columns: number, rows: number];
  readonly min: number;
  readonly max: number;
  readonly points: readonly Spot[];
}

describeOpenData('terrain of the outside data', ({ openData }) => {
  const folder = join(openData, 'terrain');
  const bytesOf = (file: string): Uint8Array => new Uint8Array(readFileSync(join(folder, file)));
  const spots = JSON.parse(readFileSync(join(folder, 'spot-heights.json'), 'utf8')) as SpotFile[];
  const table: string[] = [];

  const rasterOf = async (file: string, bytes: Uint8Array): Promise<Read<Raster | null>> =>
    file.endsWith('.hgt')
      ? readHgt(file, bytes)
      : file.endsWith('.asc')
        ? readAscGrid(bytes)
        : readGeoTiff(bytes, null);

  const gridOf = async (
    file: string,
    near: LonLat | null = null,
  ): Promise<{ grid: TerrainGrid; problems: readonly string[] }> => {
    const { value, problems } = await readTerrain(file, bytesOf(file), near);
    if (value === null) throw new Error(`${file}: ${problems.map((problem) => problem.text).join('; ')}`);
    return { grid: value, problems: problems.map((problem) => problem.text) };
  };

  const nearest = (raster: Raster, lon: number, lat: number): number => {
    const utm = raster.crs.kind === 'geographic' ? null : toUtm([lon, lat], 19);
    const [x, y] = utm === null ? [lon, lat] : [utm.easting_m, utm.northing_m];
    const i = Math.round((x - raster.x0) / raster.stepX);
    const j = Math.round((y - raster.y0) / raster.stepY);
    return raster.heights_m[j * raster.columns + i] ?? NaN;
  };

  it('lists eight files with 118 spots', () => {
    expect(spots.map((spot) => spot.file).sort()).toHaveLength(8);
    expect(spots.reduce((sum, spot) => sum + spot.points.length, 0)).toBe(118);
  });

  it.each(spots.map((spot) => [spot.file, spot] as const))(
    '%s: size, extremes, nearest cells and bilinear heights',
    async (file, spot) => {
      // The tile of the sea lies here only inside its zip.
      const zipped = file === 'N10W110.hgt';
      const { grid, problems } = await gridOf(zipped ? `${file}.zip` : file);
      const utm = file.includes('utm');
      if (!zipped) {
        const { value: raster } = await rasterOf(file, bytesOf(file));
        if (raster === null) throw new Error('no raster');
        expect([raster.columns, raster.rows]).toEqual(spot.size);
        for (const { lat, lon, nearest: h } of spot.points)
          expect(Math.abs(nearest(raster, lon, lat) - h)).toBeLessThanOrEqual(0.0006);
      }
      const extremes = grid.extremes();
      if (!utm) {
        expect(extremes?.min_m).toBeCloseTo(spot.min, 2);
        expect(extremes?.max_m).toBeCloseTo(spot.max, 2);
      }
      const differences = spot.points.map(({ lat, lon, bilinear }) => Math.abs(grid.heightAt(lon, lat) - bilinear));
      const worst = Math.max(...differences);
      const rms = Math.sqrt(differences.reduce((sum, d) => sum + d * d, 0) / differences.length);
      table.push(
        `${file.padEnd(46)} ${String(spot.points.length).padStart(3)} spots, bilinear rms ${rms.toFixed(4)} m, worst ${worst.toFixed(4)} m` +
          ` | ${problems.join(' | ')}`,
      );
      // As printed, to 0.001 m (float32 holds 1900 m to 0.0001 m). The UTM file is re-gridded at a quarter of its 100
      // m: its bound is the sixteenth of the second differences, checked cell by cell below; here 1 m, a hundredth of a
      // cell on ground of up to 45°.
      expect(worst).toBeLessThanOrEqual(utm ? 1 : 0.0012);
    },
  );

  it('prints the table', () => {
    expect(table).toHaveLength(8);
    console.log(table.join('\n'));
  });

  it('the four packings of the same ground give the same numbers, and so do UTM as GeoTIFF and as Arc ASCII', async () => {
    const files = [
      'float32-tiles-lzw-pred3',
      'int16-bigendian-none',
      'int16-bigtiff-tiled',
      'int16-strips-deflate-pred2',
    ];
    const [first, ...others] = await Promise.all(files.map((file) => gridOf(`mt-washington-${file}.tif`)));
    expect(first?.grid.heights_m.length).toBe(360 * 300);
    for (const other of others) {
      expect(other.grid.heights_m).toEqual(first?.grid.heights_m);
      expect(other.problems).toEqual([]);
    }
    const tif = (await readGeoTiff(bytesOf('mt-washington-utm19n-100m-nodata.tif'), null)).value;
    const asc = readAscGrid(bytesOf('mt-washington-utm19n-100m.asc')).value;
    expect(asc?.heights_m).toEqual(tif?.heights_m);
    expect(asc?.x0).toBeCloseTo(tif?.x0 ?? NaN, 6);
    expect(asc?.y0).toBeCloseTo(tif?.y0 ?? NaN, 6);
  });

  it('every cell of the UTM file: re-gridded height within a sixteenth of the second differences about it', async () => {
    const { value: raster } = await readGeoTiff(bytesOf('mt-washington-utm19n-100m-nodata.tif'), null);
    const { grid } = await gridOf('mt-washington-utm19n-100m-nodata.tif');
    if (raster === null) throw new Error('no raster');
    const { columns, rows, heights_m: h } = raster;
    const { fromUtm } = await import('../../core/earth/utm.ts');
    let count = 0;
    let sum = 0;
    let worst = 0;
    for (let j = 1; j < rows - 1; j++) {
      for (let i = 1; i < columns - 1; i++) {
        const at = j * columns + i;
        const around = [-columns - 1, -columns, -columns + 1, -1, 0, 1, columns - 1, columns, columns + 1].map(
          (k) => h[at + k] ?? NaN,
        );
        if (around.some((x) => Number.isNaN(x))) continue;
        const [nw = 0, n = 0, ne = 0, w = 0, c = 0, e = 0, sw = 0, s = 0, se = 0] = around;
        const bend =
          Math.abs(w - 2 * c + e) + Math.abs(n - 2 * c + s) + Math.abs(nw - n - w + c) + Math.abs(ne - n - e + c);
        const more = Math.abs(sw - s - w + c) + Math.abs(se - s - e + c);
        const [lon, lat] = fromUtm({
          zone: 19,
          hemisphere: 'north',
          easting_m: raster.x0 + i * 100,
          northing_m: raster.y0 - j * 100,
        });
        const miss = Math.abs(grid.heightAt(lon, lat) - c);
        expect(miss).toBeLessThanOrEqual((bend + more) / 16 + 0.01);
        count++;
        sum += miss * miss;
        worst = Math.max(worst, miss);
      }
    }
    console.log(
      `re-gridded: ${count} cells, rms ${Math.sqrt(sum / count).toFixed(2)} m, worst ${worst.toFixed(2)} m at the cells' centres`,
    );
    expect(count).toBeGreaterThan(60_000);
  });

  it('says what it had to assume', async () => {
    expect((await gridOf('indiana-float32-geographic.tif')).problems).toEqual([
      'coordinate system without a name; its longitude and latitude are read as WGS 84',
    ]);
    const near = await gridOf('mt-washington-utm19n-100m.asc', [-71.3, 44.27]);
    expect(near.problems).toEqual(['no coordinate system named; read as UTM zone 19 north, where it holds the site']);
    expect(near.grid.heightAt(-71.3033, 44.2705)).toBeGreaterThan(1850);
    const far = await readTerrain(
      'mt-washington-utm19n-100m.asc',
      bytesOf('mt-washington-utm19n-100m.asc'),
      [22.4, -30.1],
    );
    expect(far.value).toBeNull();
    expect(far.problems[0]?.text).toMatch(/neither longitude and latitude nor in the site's UTM zone/);
  });

  it('the highest cell of the tile stands at the mountain', async () => {
    // Manifest: the highest cell is 1908 m at 44.2705N 71.3033W.
    const { grid } = await gridOf('N44W072.hgt');
    expect(grid.extremes()?.max_m).toBe(1908);
    const k = grid.heights_m.indexOf(1908);
    expect(grid.north_deg - Math.floor(k / 1201) * grid.stepLat_deg).toBeCloseTo(44.2705, 2);
    expect(grid.west_deg + (k % 1201) * grid.stepLon_deg).toBeCloseTo(-71.3033, 2);
  });

  it('any byte of a real file changed, or the file cut anywhere: an answer, never a throw', async () => {
    const files = spots.map((spot) => spot.file).filter((file) => file.endsWith('.tif'));
    let seed = 20270414;
    const random = (n: number): number => {
      seed = (seed * 48_271) % 2_147_483_647;
      return seed % n;
    };
    let answered = 0;
    let refused = 0;
    for (const file of files) {
      const original = bytesOf(file);
      for (let round = 0; round < 60; round++) {
        const bytes = round % 4 === 0 ? original.slice(0, random(original.length)) : original.slice();
        const where = round % 2 === 0 ? 400 : bytes.length;
        for (let k = 0; k < 1 + (round % 5); k++) {
          const at = random(Math.max(1, where));
          if (at < bytes.length) bytes[at] = random(256);
        }
        const { value, problems } = await readTerrain(file, bytes);
        if (value === null) {
          refused++;
          expect(problems.length, `${file} round ${round}`).toBeGreaterThan(0);
        } else answered++;
      }
    }
    console.log(`terrain fuzz, seed 20270414: ${answered} read, ${refused} refused`);
    expect(answered + refused).toBe(files.length * 60);
    expect(answered).toBeGreaterThan(20);
    expect(refused).toBeGreaterThan(20);
  });
});

describe('SRTM index (wind-reports.md §8, F and C)', () => {
  it('3601 cells: column 24, row 752 of N38W105 is 38.791111 N 104.993333 W, byte 2 × 2 707 976', () => {
    const bytes = new Uint8Array(3601 * 3601 * 2);
    const index = 752 * 3601 + 24;
    expect(index).toBe(2_707_976);
    new DataView(bytes.buffer).setInt16(index * 2, 1234, false);
    const { value } = readHgt('N38W105.hgt', bytes);
    if (value === null) throw new Error('no tile');
    expect(value.y0 + 752 * value.stepY).toBeCloseTo(38.791111, 6);
    expect(value.x0 + 24 * value.stepX).toBeCloseTo(-104.993333, 6);
    expect(value.heights_m[index]).toBe(1234);
  });
});
