// Every sounding and FB bulletin of the open data decodes, with the counts and ranges that MANIFEST.md gives for it.
// ref: open-data/MANIFEST.md "soundings": levels, wind, heights as printed in the file (geopotential m), speeds in m/s
// to 0.1. The netCDF soundings are compared by the test of their reader.
import { readdirSync, readFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import { geopotentialHeight } from '../../core/air/air.ts';
import { readWindFile, textKind } from '../../core/formats/winds/winds.ts';
import { decodeText } from '../../core/formats/text/text.ts';
import { MPS_PER_KT } from '../../core/base/units.ts';
import { usableLevels } from '../../core/air/levels.ts';
import type { DecodedLevel, DecodedWinds } from '../../core/air/levels.ts';
import { describeOpenData } from '../openData.ts';

const REFERENCE_S = Date.UTC(2019, 8, 3, 12) / 1000;

const printed = (level: DecodedLevel): number | null => level.geopotential_m ?? level.height_m;
const known = (values: readonly (number | null)[]): number[] => values.flatMap((value) => value ?? []);
const withWind = (levels: readonly DecodedLevel[]): DecodedLevel[] =>
  levels.filter((level) => level.speed_mps !== null);

/** A decoded source in the words of MANIFEST.md. */
function described({ levels }: DecodedWinds): string {
  const wind = withWind(levels);
  const windless = levels.filter((level) => level.speed_mps === null && level.height_m !== null);
  const heights = known(levels.map(printed));
  const speeds = known(wind.map((level) => level.speed_mps));
  const count = (test: (level: DecodedLevel) => boolean): number => wind.filter(test).length;
  let falls = 0;
  let repeats = 0;
  heights.forEach((height, i) => {
    if (i > 0 && height < (heights[i - 1] ?? -Infinity)) falls += 1;
    if (i > 0 && height === heights[i - 1]) repeats += 1;
  });
  const top = Math.max(...known(wind.map(printed)));
  const order = falls + repeats > 0 ? `, heights fall ${falls} times, repeat ${repeats} times` : '';
  return (
    `${levels.length} levels (${wind.length} with wind, ${wind.filter((level) => level.height_m === null).length} wind without height, ` +
    `${windless.length} height without wind), ${Math.round(Math.min(...heights))}..${Math.round(Math.max(...heights))} m, ` +
    `wind to ${Math.round(top)} m, ${Math.min(...speeds).toFixed(1)}..${Math.max(...speeds).toFixed(1)} m/s, ` +
    `calm ${count((level) => level.speed_mps === 0)}, dir0 ${count((level) => level.from_deg === 0)}, ` +
    `dir360 ${count((level) => level.from_deg === 360)}${order}`
  );
}

/** The files of MANIFEST.md's soundings with what it says of their levels. */
function manifest(path: string): (readonly [file: string, says: string])[] {
  const text = readFileSync(path, 'utf8');
  const found = [...text.matchAll(/^- `(soundings\/[^`]+)` .*? — (\d+ levels .*)$/gm)];
  return found.flatMap(([, file = '', says = '']) => (file.endsWith('.nc') ? [] : [[file, says] as const]));
}

// Read by hand in the files: printed height m, from °, speed in the file's unit, °C (null: blank), hPa.
const KT = MPS_PER_KT;
type ByHand = readonly [
  file: string,
  source: number,
  height: number,
  from: number,
  speed_mps: number,
  C: number | null,
  hPa: number | null,
];
const BY_HAND: readonly ByHand[] = [
  ['boi-20101209-12z-uwyo-text.txt', 0, 1133, 176, 6 * KT, 5.4, 890],
  ['boi-20101209-12z-uwyo-text.txt', 0, 30640, 320, 21 * KT, -54.3, 10],
  ['boi-20101209-12z-iem.json', 0, 32308, 310, 20 * KT, null, null],
  ['cyeu-19990504-00z-iem-38km.json', 0, 37800, 70, 10 * KT, null, 3.7],
  ['gempak-merged-34km-ms.csv', 0, 32179.7, 265, 31.4, -48.85, 8.3],
  ['gempak-merged-34km-ms.csv', 0, 270, 150, 3.09, 20, 985],
  ['model-profile-gempak-25km-ms.csv', 0, 292.1, 302.55, 5.58, 2.74, 991.7],
  ['model-profile-gempak-25km-ms.csv', 0, 25657.6, 279.95, 11.57, -56.16, 22.4],
  ['nov11-uwyo-text-wind-ends-below-top.txt', 0, 1396, 220, 55 * KT, 16.2, 850],
  ['oax-20140616-19z-spc-table.txt', 0, 33223, 90, 39.01 * KT, -31.9, 7.81],
  ['oax-20140616-19z-spc-table.txt', 0, 350, 150, 23 * KT, 27.8, 965],
  ['oun-20230522-12z-uwyo-csv-ms.csv', 0, 345, 0, 0, 12.8, 977],
  ['oun-20230522-12z-uwyo-csv-ms.csv', 0, 34747, 295, 6.7, -29.9, 6],
  ['may1980-grid/BOI_1980051700.html', 0, 3049, 5, 20 * KT, -2.9, 700],
  ['may1980-grid/BOI_1980051700.html', 0, 24140, 280, 4 * KT, -52.3, 30],
  ['may1980-grid/GJT_1980051900.html', 0, 9144, 340, 19 * KT, -41.4, 312.5],
  ['three-stations-19990504-00z-iem.json', 0, 203, 20, 2 * KT, 17.2, 968],
  ['USM00070026-data.txt', 0, 7656, 213, 35, -40.8, 363],
];

describeOpenData('soundings of the open data', ({ openData }) => {
  const bytesOf = (file: string): Uint8Array => new Uint8Array(readFileSync(`${openData}/${file}`));
  const decode = async (file: string): ReturnType<typeof readWindFile> =>
    readWindFile({ name: file, bytes: bytesOf(file) }, { reference_s: REFERENCE_S });
  const listed = manifest(`${openData}/MANIFEST.md`);

  it('the manifest names them', () => {
    // 32 lines of the manifest's soundings give counts; two of them are netCDF.
    expect(listed).toHaveLength(30);
  });

  it.each(listed)('%s: %s', async (file, says) => {
    const { value } = await decode(file);
    expect(value.decoded.map(described).join(' | ')).toBe(says);
  });

  it('says each height that falls, once', async () => {
    let said = 0;
    for (const [file, says] of listed) {
      const falls = [...says.matchAll(/heights fall (\d+) times/g)].reduce((sum, found) => sum + Number(found[1]), 0);
      const { problems } = await decode(file);
      expect(problems.filter((problem) => problem.text.includes('of the row before')).length, file).toBe(falls);
      said += falls;
    }
    expect(said).toBeGreaterThan(3);
  });

  it.each(BY_HAND)('%s source %d at %d m, as printed', async (file, source, height, from_deg, speed_mps, C, hPa) => {
    const level = (await decode(`soundings/${file}`)).value.decoded[source]?.levels.find(
      (candidate) => printed(candidate) === height,
    );
    expect(level?.from_deg).toBe(from_deg);
    expect(level?.speed_mps).toBeCloseTo(speed_mps, 9);
    if (C !== null) expect(level?.temperature_K).toBeCloseTo(C + 273.15, 9);
    if (hPa !== null) expect(level?.pressure_Pa).toBeCloseTo(hPa * 100, 6);
    // The way back to the printed height by USSA 1976 eq. 18.
    expect(geopotentialHeight(level?.height_m ?? NaN)).toBeCloseTo(height, 6);
  });

  it('one ascent in two forms gives the same winds', async () => {
    const [listing] = (await decode('soundings/boi-20101209-12z-uwyo-text.txt')).value.decoded;
    const [json] = (await decode('soundings/boi-20101209-12z-iem.json')).value.decoded;
    let compared = 0;
    for (const level of withWind(json?.levels ?? [])) {
      // Both print the winds at heights in whole thousands of feet; elsewhere the listing has interpolated winds of its
      // own.
      const same = listing?.levels.filter(
        (other) => other.geopotential_m === level.geopotential_m && other.speed_mps !== null,
      );
      if (same?.length !== 1) continue;
      expect(same[0]?.from_deg).toBe(level.from_deg);
      // The two archives turned m/s into whole knots, one by rounding, one by cutting: the listing is equal or one knot
      // higher.
      expect([0, 1]).toContain(Math.round(((same[0]?.speed_mps ?? NaN) - (level.speed_mps ?? NaN)) / KT));
      compared += 1;
    }
    expect(compared).toBeGreaterThan(40);
  });

  it('time and place come from wherever the file says them', async () => {
    const about = async (file: string): Promise<unknown> => {
      const [first] = (await decode(file)).value.decoded;
      return [first?.validTime, first?.position];
    };
    expect(await about('soundings/may1980-grid/MFR_1980051812.html')).toEqual([
      '1980-05-18T12:00:00Z',
      [-122.86, 42.36],
    ]);
    expect(await about('soundings/oax-20140616-19z-spc-table.txt')).toEqual(['2014-06-16T19:00:00Z', null]);
    expect(await about('soundings/oun-20230522-12z-uwyo-csv-ms.csv')).toEqual([
      '2023-05-22T11:04:00Z',
      [-97.44, 35.18],
    ]);
    expect(await about('soundings/USM00070026-data.txt.zip')).toEqual(['2010-06-01T00:00:00Z', [-156.7833, 71.2889]]);
    expect(await about('winds-text/temp-83779-20230223-12z.decoded-by-others.txt')).toEqual([
      '2023-02-23T12:00:00Z',
      [-46.63, -23.52],
    ]);
  });

  it('the table in metres a second has all its rows', async () => {
    const file = 'winds-text/temp-83779-20230223-12z.decoded-by-others.txt';
    const rows = readFileSync(`${openData}/${file}`, 'utf8')
      .split('\n')
      .filter((line) => /^\s+\d+\.\d\s+\d+\s/.test(line));
    const [source] = (await decode(file)).value.decoded;
    expect(rows.length).toBeGreaterThan(80);
    expect(source?.levels).toHaveLength(rows.length);
    // "  870.0   1370   19.8   13.8     68  11.48     33    4.8 …"
    expect(source?.levels.find((level) => level.geopotential_m === 1370)).toMatchObject({
      from_deg: 33,
      speed_mps: 4.8,
    });
  });

  it('a zip holds what its file holds', async () => {
    const [plain, packed] = await Promise.all([
      decode('soundings/USM00070026-data.txt'),
      decode('soundings/USM00070026-data.txt.zip'),
    ]);
    expect(packed).toEqual(plain);
  });

  it.each(['soundings/no-data-answer-iem.json', 'soundings/no-data-answer-uwyo.txt'])(
    '%s is a problem, not an empty wind',
    async (file) => {
      const { value, problems } = await decode(file);
      expect(value).toEqual({ decoded: [], grids: [] });
      expect(problems).toHaveLength(1);
    },
  );
});

describeOpenData('all text wind files of the open data', ({ openData }) => {
  const folders = ['soundings', 'soundings/may1980-grid', 'winds-text', 'dropsondes'];
  const files = folders.flatMap((folder) =>
    readdirSync(`${openData}/${folder}`)
      .filter((file) => /\.(?:txt|json|csv|html|zip|wmo)$/.test(file) && file !== 'falls.csv')
      .map((file) => `${folder}/${file}`),
  );

  it('decode or are refused with a sentence; the table', async () => {
    const rows: string[] = [];
    let decodedFiles = 0;
    for (const file of files) {
      const bytes = new Uint8Array(readFileSync(`${openData}/${file}`));
      const { value, problems } = await readWindFile({ name: file, bytes }, { reference_s: REFERENCE_S });
      expect(value.decoded.length + problems.length, file).toBeGreaterThan(0);
      const levels = value.decoded.flatMap((source) => source.levels);
      const usable = value.decoded.flatMap((source) => usableLevels(source.levels));
      const top = usable.length === 0 ? '–' : `${Math.round(Math.max(...usable.map((level) => level.height_m)))} m`;
      const kind = file.endsWith('.zip') ? 'zip' : textKind(decodeText(bytes).value);
      const counts = `${value.decoded.length} × ${levels.length} levels, ${withWind(levels).length} with wind`;
      rows.push(
        `${file.padEnd(62)} ${kind.padEnd(13)} ${counts.padEnd(38)} top ${top.padEnd(9)} ${problems.length} problems`,
      );
      decodedFiles += value.decoded.length > 0 ? 1 : 0;
    }
    console.log(rows.join('\n'));
    expect(decodedFiles).toBe(files.length - 2);
    expect(files.length).toBeGreaterThan(50);
  });
});
