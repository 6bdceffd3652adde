// FB winds and temperatures aloft.
// ref: wind-reports.md §1; source: FAA AC text and US Navy training P-304/P-1246 as named there; marks F and C.
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { decodeGroup, readFb } from '../../core/formats/winds/fb.ts';
import { KELVIN_AT_0_C, MPS_PER_KT } from '../../core/base/units.ts';
import { usableLevels } from '../../core/air/levels.ts';
import type { DecodedWinds } from '../../core/air/levels.ts';
import { describeOpenData } from '../openData.ts';

// group, height of its column in ft, from, kt, °C; mark. Heights are ones that the table's words allow ("below 24000",
// "any").
const GROUPS = [
  ['2526', 3000, 250, 26, null, 'F'],
  ['2435+07', 18000, 240, 35, 7, 'F'],
  ['2635-05', 9000, 260, 35, -5, 'F'],
  ['1712+05', 6000, 170, 12, 5, 'F'],
  ['2332+02', 9000, 230, 32, 2, 'F'],
  ['274650', 30000, 270, 46, -50, 'F'],
  ['731960', 34000, 230, 119, -60, 'F'],
  ['750456', 39000, 250, 104, -56, 'F'],
  ['7345', 9000, 230, 145, null, 'F'],
  ['7799', 12000, 270, 199, null, 'F'],
  ['7399', 12000, 230, 199, null, 'F'],
  ['9900', 3000, null, 0, null, 'F'],
  ['850552', 30000, 350, 105, -52, 'C'],
  ['9900+03', 6000, null, 0, 3, 'C'],
] as const;

const bulletin = (...rows: string[]): string =>
  ['FBUS31 KWNO 151359', 'DATA BASED ON 151200Z', 'VALID 151800Z   FOR USE 1400-2100Z. TEMPS NEG ABV 24000', '']
    .concat(rows)
    .join('\n');
const HEIGHTS = 'FT  3000    6000    9000   12000   18000   24000  30000  34000  39000';
/** 2026-04-15T12:00Z. */
const REFERENCE_S = Date.UTC(2026, 3, 15, 12) / 1000;

describe('FB groups', () => {
  it('reads every group of the reference table', () => {
    expect(GROUPS.length).toBe(14);
    for (const [group, altitude_ft, from_deg, speed_kt, temperature_C] of GROUPS) {
      expect(decodeGroup(group, altitude_ft), group).toMatchObject({ from_deg, speed_kt, temperature_C });
    }
  });

  it('says that 199 kt may be more', () => {
    expect(decodeGroup('7799', 12000)).toMatchObject({ notice: expect.stringContaining('199 kt or more') as string });
  });

  // Not legal by the rules above the table: tens of degrees 00, 37 to 50, 87 and over; a speed with 99; missing digits.
  it.each(['0015', '3712', '4512', '5012', '8712', '9912', '253', '2512+7', '2512/03', '25A2', '', '2512+073'])(
    'refuses "%s"',
    (group) => {
      expect(decodeGroup(group, 6000)).toHaveProperty('wrong');
    },
  );

  it('takes minus for granted only above the height that the bulletin names', () => {
    expect(decodeGroup('250810', 24000)).toMatchObject({ temperature_C: null, from_deg: 250, speed_kt: 8 });
    expect(decodeGroup('250810', 30000)).toMatchObject({ temperature_C: -10 });
    expect(decodeGroup('250810', 24000, 18000)).toMatchObject({ temperature_C: -10 });
    expect(decodeGroup('250800', 30000)).toMatchObject({ temperature_C: 0 });
  });
});

const only = (text: string, options: Parameters<typeof readFb>[1] = {}): DecodedWinds => {
  const [first] = readFb(text, options).value;
  if (first === undefined) throw new Error('nothing decoded');
  return first;
};
const altitudesOf = (source: DecodedWinds): number[] =>
  source.levels.map((level) => Math.round((level.geopotential_m ?? level.height_m ?? NaN) / 0.3048));

describe('FB bulletins', () => {
  it('puts groups under their heights where the first columns are blank', () => {
    // The line of ALS in a real bulletin: nothing below 12 000 ft.
    const source = only(bulletin(HEIGHTS, 'ALS                      3111-05 3016-20 3114-32 342747 352353 263355'));
    expect(altitudesOf(source)).toEqual([12000, 18000, 24000, 30000, 34000, 39000]);
    expect(source.levels[0]).toMatchObject({
      from_deg: 310,
      speed_mps: 11 * MPS_PER_KT,
      temperature_K: KELVIN_AT_0_C - 5,
      pressure_Pa: null,
    });
  });

  it('reads collapsed columns from the highest down, and says so', () => {
    const source = only(bulletin('FT 3000 6000 9000 12000', 'ALS 2412+03 3111-05'));
    expect(altitudesOf(source)).toEqual([9000, 12000]);
    expect(source.problems.map((problem) => problem.text).join()).toContain('not under their heights');
  });

  it('reads rows whose every column is filled, however they are spaced', () => {
    const source = only(bulletin('FT 3000 6000 9000', 'ABR 1027 1326+02 1225-03'));
    expect(altitudesOf(source)).toEqual([3000, 6000, 9000]);
    expect(source.problems.some((problem) => problem.text.includes('under their heights'))).toBe(false);
  });

  it('gives a pressure altitude as the geometric height of the standard atmosphere, with its pressure', () => {
    // ref: us-standard-atmosphere-1976.csv z=12000: H 11 977.39 m′, 19 399 Pa (printed); 39 000 ft = 11 887.2 m′.
    const top = only(
      bulletin(HEIGHTS, 'ABI      2516+14 2321+09 2225+01 2360-13 2265-24 227740 229350 732456'),
    ).levels.at(-1);
    expect(top?.geopotential_m).toBe(11887.2);
    expect(top?.height_m).toBeCloseTo((6_356_766 * 11_887.2) / (6_356_766 - 11_887.2), 6);
    // Isothermal layer above 11 km at 216.65 K, from the printed row: p = 19399 exp((11977.39 − 11887.2) g0 / (R T)).
    expect((top?.pressure_Pa ?? 0) / (19_399 * Math.exp((90.19 * 9.80665) / (287.05287 * 216.65)))).toBeCloseTo(1, 4);
    expect(top).toMatchObject({ from_deg: 230, speed_mps: 124 * MPS_PER_KT, temperature_K: KELVIN_AT_0_C - 56 });
  });

  it('keeps true altitudes up to 15 000 ft as they are', () => {
    const source = only(bulletin('FT 12000 15000 18000', 'HNL 0315+07 0209+03 3307-05'));
    expect(
      source.levels.map((level) => level.height_m === level.geopotential_m || level.geopotential_m === undefined),
    ).toEqual([true, true, false]);
    expect(source.levels[1]?.height_m).toBeCloseTo(4572, 9);
  });

  it('resolves the valid day against the reference, over the end of a month and of a year', () => {
    const text = bulletin(HEIGHTS, 'ABR 2506 2711+06');
    expect(only(text, { reference_s: REFERENCE_S }).validTime).toBe('2026-04-15T18:00:00Z');
    const first = text.replace('VALID 151800Z', 'VALID 010000Z');
    expect(only(first, { reference_s: Date.UTC(2026, 11, 31, 22) / 1000 }).validTime).toBe('2027-01-01T00:00:00Z');
    const last = text.replace('VALID 151800Z', 'VALID 311800Z');
    expect(only(last, { reference_s: Date.UTC(2026, 2, 1, 3) / 1000 }).validTime).toBe('2026-01-31T18:00:00Z');
  });

  it('gives no time without a reference, and says why', () => {
    const source = only(bulletin(HEIGHTS, 'ABR 2506 2711+06'));
    expect(source.validTime).toBeNull();
    expect(source.problems.map((problem) => problem.text).join()).toContain('month that the bulletin does not name');
  });

  it('reads DATA VALID, and heights without a blank line before them', () => {
    const text =
      'DATA BASED ON 190000Z DATA VALID 190600Z FOR USE 0600-1200Z. TEMPS NEG ABV 24000\nFT 3000 6000\nABR 1027 1326+01';
    expect(only(text, { reference_s: Date.UTC(2024, 5, 19) / 1000 }).validTime).toBe('2024-06-19T06:00:00Z');
  });

  it('finds one station, also by its four letters, and names the others where it is not there', () => {
    const text = bulletin(HEIGHTS, 'ABR 2506 2711+06', 'BIL      2214    2422-01');
    expect(readFb(text, { station: 'KBIL' }).value.map((source) => source.source)).toEqual(['FB winds aloft BIL']);
    const missing = readFb(text, { station: 'XYZ' });
    expect(missing.value).toEqual([]);
    expect(missing.problems[0]?.text).toContain('ABR BIL');
  });

  it('counts light and variable as no wind without a direction, and says at which heights', () => {
    const source = only(bulletin(HEIGHTS, 'JNU 9900 2218+03 9900-09'));
    expect(source.levels[0]).toMatchObject({ from_deg: null, speed_mps: 0, sector_deg: [0, 360] });
    expect(usableLevels(source.levels).map((level) => level.speed_mps)).toEqual([0, 18 * MPS_PER_KT, 0]);
    expect(source.problems.map((problem) => problem.text).join()).toContain('at 3000, 9000 ft');
  });

  it('leaves out a group that cannot be, with line and group, and uses the others', () => {
    const read = readFb(bulletin(HEIGHTS, 'ABR 2506 4511+06 2714-01'));
    expect(read.value[0] && altitudesOf(read.value[0])).toEqual([3000, 9000]);
    expect(read.problems).toContainEqual({ line: 6, text: expect.stringContaining('"4511+06"') as string });
  });

  it('reads two bulletins in one file, each with its own time', () => {
    const a = bulletin(HEIGHTS, 'ABR 2506 2711+06');
    const b = bulletin(HEIGHTS, 'ABR 3010 3015+02').replace('VALID 151800Z', 'VALID 160000Z');
    const times = readFb(`${a}\n${b}`, { reference_s: REFERENCE_S }).value.map((source) => source.validTime);
    expect(times).toEqual(['2026-04-15T18:00:00Z', '2026-04-16T00:00:00Z']);
  });

  it('refuses a bulletin without heights, without stations, and says an invalid row', () => {
    expect(readFb('FBUS31 KWNO 151359\nABR 2506').problems[0]?.text).toContain('no line of heights');
    expect(readFb(bulletin(HEIGHTS)).problems[0]?.text).toContain('no station');
    expect(
      readFb(bulletin(HEIGHTS, 'ABR 2506', 'ABQ x506 2711+06'))
        .problems.map((p) => p.text)
        .join(),
    ).toContain('"ABQ x506');
    expect(
      readFb(bulletin('FT 3000 6000', 'ABR 2506 2711+06 2714-01'))
        .problems.map((p) => p.text)
        .join(),
    ).toContain('more groups than');
  });
});

// Values read by hand from the files: station, height ft, from (null: light and variable), kt, °C.
const BY_HAND: readonly (readonly [
  file: string,
  station: string,
  ft: number,
  from: number | null,
  kt: number,
  C: number | null,
])[] = [
  ['fb-ak1-20190903.txt', 'BTT', 30000, null, 0, -48],
  ['fb-ak1-20190903.txt', 'ORT', 6000, 260, 21, 3],
  ['fb-ak1-20190903.txt', 'CDB', 39000, 220, 36, -53],
  ['fb-ak1-20190903.txt', 'GKN', 34000, 270, 11, -51],
  ['fb-ak1-20190903.txt', 'FAI', 18000, null, 0, -23],
  ['fb-conus-excerpt-151359-apr2026.txt', 'ABI', 39000, 230, 124, -56],
  ['fb-conus-excerpt-151359-apr2026.txt', 'AMA', 6000, 250, 21, null],
  ['fb-conus-excerpt-151359-apr2026.txt', 'TUS', 6000, null, 0, 11],
  ['fb-conus-excerpt-151359-apr2026.txt', 'PIE', 24000, null, 0, -18],
  ['fb-conus-excerpt-151359-apr2026.txt', 'SSM', 39000, 250, 119, -63],
  ['fb-conus-north-central-180158.txt', 'ECK', 24000, 320, 102, -29],
  ['fb-conus-north-central-180158.txt', 'SSM', 30000, 320, 103, -47],
  ['fb-conus-north-central-180158.txt', 'ECK', 30000, 300, 119, -44],
  ['fb-conus-north-central-180158.txt', 'BRL', 39000, 270, 104, -55],
  ['fb-conus-north-central-180158.txt', 'GCK', 6000, 170, 11, 7],
  ['fb-high-altitude-241359.txt', 'EMI', 53000, 320, 26, -61],
  ['fb-high-altitude-241359.txt', 'CAR', 45000, 350, 24, -49],
  ['fb-hw1-20190903.txt', 'LNY', 2000, 90, 11, null],
  ['fb-hw1-20190903.txt', 'LIH', 15000, 350, 5, 2],
  ['fb-hw1-20190903.txt', 'ITO', 1500, null, 0, null],
];
// The files' stations as MANIFEST.md counts them (CONUS excerpt: "31 of its stations" in its words).
const STATIONS = new Map([
  ['fb-ak1-20190903.txt', 36],
  ['fb-conus-excerpt-151359-apr2026.txt', 31],
  ['fb-conus-north-central-180158.txt', 41],
  ['fb-high-altitude-241359.txt', 2],
  ['fb-hw1-20190903.txt', 6],
]);

describeOpenData('FB bulletins of the open data', ({ openData }) => {
  const text = (file: string): string => readFileSync(`${openData}/winds-text/${file}`, 'utf8');

  it('decodes every station and every group', () => {
    let groups = 0;
    for (const [file, stations] of STATIONS) {
      const read = readFb(text(file), { reference_s: REFERENCE_S });
      // Counted here without the reader: words of four or six digits, with or without a temperature, on lines after the
      // heights.
      const body = text(file).split(/\n(?=FT )/)[1] ?? '';
      const words = body
        .split('\n')
        .slice(1)
        .join(' ')
        .split(/\s+/)
        .filter((word) => /^\d{4}(?:\d\d|[+-]\d\d)?$/.test(word));
      expect(read.value.length, file).toBe(stations);
      expect(read.value.flatMap((source) => source.levels).length, file).toBe(words.length);
      expect(
        read.value.every(
          (source) => source.validTime !== null && source.levels.every((level) => level.speed_mps !== null),
        ),
        file,
      ).toBe(true);
      groups += words.length;
    }
    expect(groups).toBeGreaterThan(900);
  });

  it.each(BY_HAND)('%s %s at %d ft', (file, station, ft, from_deg, kt, C) => {
    const source = only(text(file), { station });
    const level = source.levels[altitudesOf(source).indexOf(ft)];
    expect(level?.from_deg).toBe(from_deg);
    expect(level?.speed_mps).toBeCloseTo(kt * MPS_PER_KT, 9);
    if (C === null) expect(level?.temperature_K).toBeNull();
    else expect(level?.temperature_K).toBeCloseTo(C + KELVIN_AT_0_C, 9);
  });
});
