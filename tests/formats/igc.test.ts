// IGC flight recorder files.
// Sources: open-data/tracks (MANIFEST.md gives the number of fixes and the heights); FAI IGC specification, appendix A.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { readIgc } from '../../core/formats/tracks/igc.ts';
import { geoidHeight_m } from '../../core/earth/geoid.ts';
import { readTrack } from '../../core/formats/tracks/track.ts';
import type { Fix } from '../../core/formats/tracks/track.ts';
import { describeOpenData } from '../openData.ts';
import { itSurvives } from './mutate.ts';

const iso = (fix: Fix | undefined): string => new Date((fix?.time_s ?? NaN) * 1000).toISOString().slice(0, 19);
const said = (problems: readonly { text: string }[]): string => problems.map((p) => p.text).join('; ');

describe('IGC, the rules', () => {
  it('reads the example of the specification: 16:02:40, 54°07.121′N 002°49.342′W, 3D, 280 m by pressure, 421 m by GNSS', () => {
    const { value } = readIgc('HFDTE150901\nB1602405407121N00249342WA0028000421205\n', {});
    const [fix] = value[0]?.fixes ?? [];
    expect(fix?.position[1]).toBeCloseTo(54 + 7.121 / 60, 9);
    expect(fix?.position[0]).toBeCloseTo(-(2 + 49.342 / 60), 9);
    // Above the ellipsoid; the sea stands 52.6 m above it there (EGM96, geographic tables: 52 to 53 m in Lancashire).
    expect(fix?.height_m).toBeCloseTo(421 - geoidHeight_m(fix?.position ?? [0, 0]), 9);
    expect(fix?.height_m).toBeCloseTo(421 - 52.6, 0);
    expect(iso(fix)).toBe('2001-09-15T16:02:40');
  });

  it('keeps a V fix without trusting it, and never takes a pressure altitude for a height', () => {
    const v = readIgc('HFDTEDATE:150901,01\nB1602403338334S15112123EV0028000421\n', {});
    expect(v.value[0]?.fixes[0]).toMatchObject({ height_m: null, valid: false });
    expect(said(v.problems)).toContain('V fix');
    const noGnss = readIgc(
      'HFDTE150901\nB1602403338334S15112123EA0028000000\nB1602413338334S15112123EA0028100000\n',
      {},
    );
    expect(noGnss.value[0]?.fixes.map((f) => f.height_m)).toEqual([null, null]);
    expect(said(noGnss.problems)).toContain('a pressure altitude is not a height');
    expect(
      readIgc('HFDTE150901\nHFALGALTGPS:GEO\nB1602403338334S15112123EA00000-0012\n', {}).value[0]?.fixes[0]?.height_m,
    ).toBe(-12);
  });

  it('uses the further figures that an I record announces (LAD, LOD)', () => {
    const { value } = readIgc('HFDTE150901\nI023636LAD3737LOD\nB1602403338334S15112123EA002800042157\n', {});
    expect(value[0]?.fixes[0]?.position[1]).toBeCloseTo(-(33 + 38.3345 / 60), 9);
    expect(value[0]?.fixes[0]?.position[0]).toBeCloseTo(151 + 12.1237 / 60, 9);
  });

  it('counts midnight under one date and takes a second date as it stands', () => {
    const b = (time: string): string => `B${time}3338334S15112123EA0028000421`;
    const { value } = readIgc(
      ['HFDTE311224', b('235959'), b('000001'), 'HFDTE020125', b('120000'), b('120001')].join('\n'),
      {},
    );
    expect(value[0]?.fixes.map(iso)).toEqual([
      '2024-12-31T23:59:59',
      '2025-01-01T00:00:01',
      '2025-01-02T12:00:00',
      '2025-01-02T12:00:01',
    ]);
  });

  it('brings heights above the ellipsoid to the sea and says so, unless the header says the geoid (A3, HFALG)', () => {
    const fix = 'B1602405407121N00249342WA0028000421';
    expect(said(readIgc(`HFDTE150901\n${fix}\n`, {}).problems)).toContain('above the WGS 84 ellipsoid');
    expect(said(readIgc(`HFDTE150901\nHFALGALTGPS:ELL\n${fix}\n`, {}).problems)).toContain(
      'above the WGS 84 ellipsoid',
    );
    expect(readIgc(`HFDTE150901\nHFALGALTGPS:GEO\n${fix}\n`, {}).problems).toEqual([]);
  });

  it('says what it leaves out', () => {
    for (const [text, says] of [
      ['HFDTE150901\nB2502403338334S15112123EA0028000421', 'time "250240"'],
      ['HFDTE150901\nB1602403360334S15112123EA0028000421', 'position'],
      ['HFDTE150901\nB16024033383', 'expected BHHMMSS'],
      ['HFDTE320901\nB1602403338334S15112123EA0028000421', 'expected HFDTE and ddmmyy'],
      ['B1602403338334S15112123EA0028000421', 'no date (HFDTE) and no reference'],
      ['', 'no IGC fix'],
    ] as const) {
      expect(said(readIgc(text, {}).problems)).toContain(says);
    }
  });
});

describeOpenData('IGC, the open files', ({ openData }) => {
  const text = (name: string): string => readFileSync(join(openData, 'tracks', name), 'latin1');

  it('reads each with the fixes, heights and times that the manifest and its own records give', () => {
    for (const [name, count, low, high, first, last] of [
      ['glider-20161108-crosses-midnight.igc', 6752, null, null, '2016-11-08T22:43:17', '2016-11-09T04:43:01'],
      ['paraglider-20231008-5400m.igc', 7144, 2060, 5400, '2023-10-08T18:24:04', null],
      ['paraglider-20241007-short.igc', 199, null, null, '2024-10-07T06:26:47', null],
    ] as const) {
      const { value, problems } = readTrack(name, new Uint8Array(readFileSync(join(openData, 'tracks', name))), {});
      const fixes = value[0]?.fixes ?? [];
      const records = text(name)
        .split(/\r?\n/)
        .filter((row) => row.startsWith('B'));
      const heights = fixes.flatMap((f) => f.height_m ?? []);
      expect([name, fixes.length, records.length]).toEqual([name, count, count]);
      const written = fixes.map((f) => Math.round((f.height_m ?? NaN) + geoidHeight_m(f.position)));
      expect(written).toEqual(records.map((row) => Number(row.slice(30, 35))));
      // MANIFEST.md: 2.06 to 5.40 km, as written.
      if (low !== null)
        expect([Math.min(...written), Math.max(...written)].map((m) => Math.round(m / 10) * 10)).toEqual([low, high]);
      expect(iso(fixes[0])).toBe(first);
      if (last !== null) expect(iso(fixes.at(-1))).toBe(last);
      expect(fixes.every((f, i) => i === 0 || (f.time_s ?? NaN) >= (fixes[i - 1]?.time_s ?? NaN))).toBe(true);
      console.log(
        `${name} | IGC | ${fixes.length} fixes | ${Math.min(...heights)} to ${Math.max(...heights)} m | ${problems.length} problems`,
      );
    }
  });

  itSurvives(
    'IGC',
    ['glider-20161108-crosses-midnight.igc', 'paraglider-20231008-5400m.igc', 'paraglider-20241007-short.igc'].map(
      text,
    ),
    (input) => readIgc(input, { reference_s: 1.7e9 }),
  );
});
