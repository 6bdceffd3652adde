// IGRA v2. ref: wind-reports.md §4; source: igra2-data-format.txt; the header mark F, the rows made from the layout
// mark C.
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { readIgra } from '../../core/formats/winds/igra.ts';
import { describeOpenData } from '../openData.ts';

const HEADER = '#USM00072501 1994 09 03 00 2314  166 ncdc6301 ncdc6301  408656  -728647';
const SURFACE = '21     0 100900B   61B  228B-9999   180   290    31 ';
const HIGH = '10  9235   1000A31450B -339B-9999 -9999    70    87 ';
const REMOVED = '30 -9999  -9999  1500 -9999 -9999 -9999   270 -8888 ';
const three = `${HEADER.replace(' 166 ', '   3 ')}\n${[SURFACE, HIGH, REMOVED].join('\n')}`;

describe('IGRA sounding data', () => {
  it('reads the header of the reference', () => {
    const [source] = readIgra(three).value;
    expect(source).toMatchObject({
      source: 'IGRA USM00072501',
      validTime: '1994-09-03T00:00:00Z',
      releasedAt: '1994-09-02T23:14:00Z',
      position: [-72.8647, 40.8656],
    });
  });

  it('reads the rows of the reference', () => {
    const levels = readIgra(three).value[0]?.levels ?? [];
    expect(levels).toHaveLength(3);
    expect(levels[0]).toMatchObject({ pressure_Pa: 100_900, geopotential_m: 61, from_deg: 290 });
    expect(levels[0]?.speed_mps).toBeCloseTo(3.1, 9);
    expect(levels[0]?.temperature_K).toBeCloseTo(295.95, 9);
    expect(levels[0]?.dewPoint_K).toBeCloseTo(277.95, 9);
    expect(levels[1]).toMatchObject({ pressure_Pa: 1000, geopotential_m: 31_450, from_deg: 70 });
    expect(levels[1]?.temperature_K).toBeCloseTo(239.25, 9);
    expect(levels[2]).toMatchObject({
      pressure_Pa: null,
      geopotential_m: 1500,
      from_deg: null,
      speed_mps: null,
      temperature_K: null,
    });
  });

  it('says that a number of rows is not what the header promises', () => {
    const read = readIgra([HEADER, SURFACE, HIGH].join('\n'));
    expect(read.problems).toContainEqual({
      line: 1,
      text: 'the header promises 166 levels, 2 follow; the file may be cut off',
    });
    expect(read.value[0]?.levels).toHaveLength(2);
  });

  it('takes the hour of release where the nominal hour is missing, and no minute where that is missing', () => {
    const time = (fields: string): string | null | undefined =>
      readIgra(three.replace('03 00 2314', fields)).value[0]?.validTime;
    expect(time('03 99 2314')).toBe('1994-09-03T23:14:00Z');
    expect(time('03 99 2399')).toBe('1994-09-03T23:00:00Z');
    expect(time('03 99 9999')).toBeNull();
    expect(time('03 12 9999')).toBe('1994-09-03T12:00:00Z');
    expect(time('33 12 9999')).toBeNull();
  });

  it('reads several soundings and finds one station', () => {
    const two = `${three}\n${three.replace('USM00072501', 'ASM00094672').replace('09 03 00', '09 03 12')}`;
    expect(readIgra(two).value.map((source) => source.validTime)).toEqual([
      '1994-09-03T00:00:00Z',
      '1994-09-03T12:00:00Z',
    ]);
    expect(readIgra(two, { station: '94672' }).value.map((source) => source.source)).toEqual(['IGRA ASM00094672']);
    expect(readIgra(two, { station: 'XYZ' }).problems[0]?.text).toContain('USM00072501, ASM00094672');
  });

  it.each([
    ['a letter in a number', SURFACE.replace('  61B', '  6xB'), 'height "6x" is not a number'],
    ['a direction of 999', SURFACE.replace('  290 ', '  999 '), 'direction "999"'],
    ['a level type of 7', SURFACE.replace('21', '71'), 'level type "71"'],
    ['a row cut off', SURFACE.slice(0, 30), 'columns; expected 51'],
    ['a negative speed', SURFACE.replace('   31 ', '  -31 '), 'speed "-31"'],
  ])('says %s, with its line', (_, row, text) => {
    const read = readIgra(`${HEADER.replace(' 166 ', '   2 ')}\n${row}\n${HIGH}`);
    expect(read.problems).toContainEqual({ line: 2, text: expect.stringContaining(text) as string });
    expect(read.value[0]?.levels.at(-1)?.geopotential_m).toBe(31_450);
  });

  it('refuses rows without a header and says an invalid header', () => {
    expect(readIgra(SURFACE).problems[0]?.text).toContain('no IGRA header');
    expect(
      readIgra(`${three}\n#USM0007 1994`)
        .problems.map((problem) => problem.text)
        .join(),
    ).toContain('expected #, station');
  });
});

describeOpenData('IGRA files of the open data', ({ openData }) => {
  const text = (file: string): string => readFileSync(`${openData}/soundings/${file}`, 'utf8');

  it('data: values read by hand', () => {
    const levels = readIgra(text('USM00070026-data.txt')).value[0]?.levels ?? [];
    // "10 12 100000 90B -7B 936 9 -9999 -9999": no wind; "10 242 92500 712B -12B 954 7 41 26"; "20 2754 36300 7656B
    // -408B … 213 350".
    expect(levels[1]).toMatchObject({ pressure_Pa: 100_000, geopotential_m: 90, from_deg: null, speed_mps: null });
    expect(levels[4]).toMatchObject({ pressure_Pa: 92_500, geopotential_m: 712, from_deg: 41 });
    expect(levels[4]?.speed_mps).toBeCloseTo(2.6, 9);
    expect(levels[4]?.temperature_K).toBeCloseTo(271.95, 9);
    expect(levels[18]).toMatchObject({ pressure_Pa: 36_300, geopotential_m: 7656, from_deg: 213 });
    expect(levels[18]?.speed_mps).toBeCloseTo(35, 9);
    expect(levels.at(-1)).toMatchObject({ pressure_Pa: null, geopotential_m: 31_896, from_deg: 100 });
  });

  it('derived parameters: values read by hand; u and v in tenths of m/s point where the wind goes', () => {
    const [source] = readIgra(text('USM00070026-drvd.txt')).value;
    expect(source).toMatchObject({
      validTime: '2014-09-10T00:00:00Z',
      releasedAt: '2014-09-09T23:04:00Z',
      position: null,
    });
    expect(source?.levels).toHaveLength(120);
    // "102095 15 15 2749 … u -60 … v -39": from the north-east, atan2(6.0, 3.9) = 56.98°, 7.156 m/s.
    expect(source?.levels[0]).toMatchObject({
      pressure_Pa: 102_095,
      geopotential_m: 15,
      temperature_K: 274.90000000000003,
    });
    expect(source?.levels[0]?.from_deg).toBeCloseTo(56.98, 2);
    expect(source?.levels[0]?.speed_mps).toBeCloseTo(7.156, 3);
    // The last but one: "700 33594 33594 2353 … u 63 … v 31": from atan2(−6.3, −3.1) = 243.80°, 7.021 m/s.
    expect(source?.levels[118]).toMatchObject({ pressure_Pa: 700, geopotential_m: 33_594 });
    expect(source?.levels[118]?.from_deg).toBeCloseTo(243.8, 1);
    expect(source?.levels[118]?.speed_mps).toBeCloseTo(7.021, 3);
  });
});
