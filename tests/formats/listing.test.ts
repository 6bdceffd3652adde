// Upper-air listings: fixed columns, the unit of speed from the header, the station from heading or foot.
import { describe, expect, it } from 'vitest';
import { readListing } from '../../core/formats/winds/listing.ts';
import type { DecodedWinds } from '../../core/air/levels.ts';

// Rows in the layout of the archive's page (seven characters a column), numbers of our own.
const HEADER = [
  '-----------------------------------------------------------------------------',
  '   PRES   HGHT   TEMP   DWPT   RELH   MIXR   DRCT   SKNT   THTA   THTE   THTV',
  '    hPa     m      C      C      %    g/kg    deg   knot     K      K      K ',
  '-----------------------------------------------------------------------------',
];
const ROWS = [
  ' 1000.0    125                                                               ',
  '  915.0    874   12.8    4.8     58   5.93    280     14  293.3  310.7  294.4',
  '  320.1   8839  -41.4                         355     37  320.9         320.9',
  '   11.5  30515  -38.5                                     840.4         840.4',
];
const first = (text: string): DecodedWinds => {
  const [source] = readListing(text).value;
  if (source === undefined) throw new Error(JSON.stringify(readListing(text).problems));
  return source;
};
const table = (...rows: string[]): string => [...HEADER, ...rows].join('\n');

describe('the listing', () => {
  it('reads blanks as missing, by the columns of the header', () => {
    const { levels, problems } = first(table(...ROWS));
    expect(problems).toEqual([]);
    expect(levels.map((level) => level.geopotential_m)).toEqual([125, 874, 8839, 30515]);
    expect(levels.map((level) => level.from_deg)).toEqual([null, 280, 355, null]);
    expect(levels[0]).toMatchObject({ pressure_Pa: 100_000, temperature_K: null, speed_mps: null });
    expect(levels[1]?.temperature_K).toBeCloseTo(285.95, 9);
    expect(levels[1]?.dewPoint_K).toBeCloseTo(277.95, 9);
    expect(levels[2]?.speed_mps).toBeCloseTo((37 * 1852) / 3600, 9);
    expect(levels[2]?.dewPoint_K).toBeUndefined();
    expect(levels[3]).toMatchObject({ from_deg: null, speed_mps: null });
  });

  it('turns geopotential into geometric height', () => {
    // ref: USSA 1976 eq. 19 with r0 = 6 356 766 m: 30 515 m′ is 30 662.19 m.
    expect(first(table(...ROWS)).levels[3]?.height_m).toBeCloseTo(30_662.19, 2);
  });

  it('takes metres a second from the line of units', () => {
    const text = table(...ROWS)
      .replace('SKNT', 'SPED')
      .replace('knot', ' m/s');
    expect(first(text).levels[1]?.speed_mps).toBe(14);
  });

  it('reads rows cut off after the last value, CR LF, and tags of a page', () => {
    const text = [
      '<H2>72681 BOI Boise Observations at 00Z 17 May 1980</H2>',
      '<PRE>',
      ...HEADER,
      ' 1000.0    125',
      ROWS[1] ?? '',
      '</PRE>',
    ].join('\r\n');
    const source = first(text);
    expect(source.levels).toHaveLength(2);
    expect(source).toMatchObject({
      source: 'upper-air listing 72681 BOI Boise',
      validTime: '1980-05-17T00:00:00Z',
      problems: [],
    });
  });

  it('takes station, time and place from the list below the table', () => {
    const foot = [
      '</PRE><H3>Station information and sounding indices</H3><PRE>',
      ' Station identifier: GJT',
      ' Station number: 72476',
    ];
    const more = [
      ' Observation time: 800519/0000',
      ' Station latitude: 39.11',
      ' Station longitude: -108.52',
      ' Lifted index: 5.80',
    ];
    const source = first([...HEADER, ...ROWS, ...foot, ...more].join('\n'));
    expect(source).toMatchObject({ validTime: '1980-05-19T00:00:00Z', position: [-108.52, 39.11], problems: [] });
    expect(source.source).toContain('GJT 72476');
    expect(source.levels).toHaveLength(4);
  });

  it('reads two soundings of one page, each with its own heading and foot', () => {
    const page = (day: string, lat: string): string[] => [
      `<H2>72681 BOI Boise Observations at 12Z ${day} May 1980</H2>`,
      ...HEADER,
      ...ROWS,
      '</PRE>',
      ` Station latitude: ${lat}`,
      ' Station longitude: -116.20',
    ];
    const sources = readListing([...page('17', '43.56'), ...page('18', '43.57')].join('\n')).value;
    expect(sources.map((source) => [source.validTime, source.position?.[1]])).toEqual([
      ['1980-05-17T12:00:00Z', 43.56],
      ['1980-05-18T12:00:00Z', 43.57],
    ]);
  });

  it.each([
    [
      'a direction of 999',
      '  915.0    874   12.8    4.8     58   5.93    999     14  293.3  310.7  294.4',
      'direction "999"',
    ],
    ['a negative speed', '  915.0    874   12.8    4.8     58   5.93    280     -4  293.3  310.7  294.4', 'speed "-4"'],
    ['words among the rows', 'station moved to the new field', 'expected a row of numbers'],
    ['a row out of its columns', ' 915.0 874 12.8 280 14', 'runs across two columns'],
    [
      'a broken number',
      '  9x5.0    874   12.8    4.8     58   5.93    280     14  293.3  310.7  294.4',
      'pressure "9x5.0" is not a number',
    ],
  ])('says %s, with its line, and uses the rest', (_, row, text) => {
    const read = readListing(table(ROWS[0] ?? '', row, ROWS[2] ?? ''));
    expect(read.problems).toContainEqual({ line: 6, text: expect.stringContaining(text) as string });
    expect(read.value[0]?.levels.at(-1)?.geopotential_m).toBe(8839);
  });

  it('reads rows whose blanks were collapsed where every column is filled', () => {
    const source = first(table('915.0 874 12.8 4.8 58 5.93 280 14 293.3 310.7 294.4'));
    expect(source.levels[0]).toMatchObject({ geopotential_m: 874, from_deg: 280 });
  });

  it('refuses text without such a header, and a header without rows', () => {
    expect(readListing('nothing here').problems[0]?.text).toContain('PRES HGHT');
    expect(readListing(HEADER.join('\n'))).toMatchObject({
      value: [],
      problems: [{ text: expect.stringContaining('no level') as string }],
    });
  });
});
