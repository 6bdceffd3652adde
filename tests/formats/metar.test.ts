// METAR and SPECI: the reference's wind groups, and two open files report by report.
// Sources: reference/wind-reports.md §2 (marks F and C); open-data/winds-text/metar-*; WMO-No. 306 vol. I.1, FM 15.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { parseMetar } from 'metar-taf-parser';
import { describe, expect, it } from 'vitest';
import { readMetar } from '../../core/formats/winds/metar.ts';
import { MPS_PER_KT } from '../../core/base/units.ts';
import type { DecodedLevel, DecodedWinds } from '../../core/air/levels.ts';
import { describeOpenData } from '../openData.ts';
import { itSurvives } from './mutate.ts';

const NOON = Date.UTC(2019, 6, 1, 12) / 1000;
const levelOf = (winds: DecodedWinds | undefined): DecodedLevel =>
  winds?.levels[0] ?? { height_m: NaN, pressure_Pa: NaN, from_deg: NaN, speed_mps: NaN, temperature_K: NaN };
const wind = (group: string): DecodedLevel =>
  levelOf(readMetar(`METAR KFBG 011255Z ${group} 10SM CLR 24/18 A3000=`, { reference_s: NOON }).value[0]);
const inKnots = (mps: number | null | undefined): number | null =>
  mps === null || mps === undefined ? null : Math.round((mps / MPS_PER_KT) * 1e6) / 1e6;

describe('METAR, the wind groups of the reference (§2)', () => {
  it('gives direction, speed, gust and sector as printed', () => {
    // [group, from, kt, gust kt, sector]
    const cases = [
      ['00000KT', 0, 0, null, undefined],
      ['09008KT', 90, 8, null, undefined],
      ['270112KT', 270, 112, null, undefined],
      ['14015G28KT', 140, 15, 28, undefined],
      ['33065G105KT', 330, 65, 105, undefined],
      ['27025G40KT', 270, 25, 40, undefined],
      ['VRB04KT', null, 4, null, [0, 360]],
      ['21012KT 160V250', 210, 12, null, [160, 250]],
      ['26007KT 230V290', 260, 7, null, [230, 290]],
      ['/////KT', null, null, null, undefined],
      ['P99KT', null, 100, null, undefined],
      ['240P99KT', 240, 100, null, undefined],
    ] as const;
    for (const [group, from, speed, gust, sector] of cases) {
      const level = wind(group);
      expect([group, level.from_deg, inKnots(level.speed_mps), inKnots(level.gust_mps), level.sector_deg]).toEqual([
        group,
        from,
        speed,
        gust,
        sector,
      ]);
    }
  });

  it('knows metres a second and kilometres an hour, and the least that "P" can mean', () => {
    expect(inKnots(wind('24008MPS').speed_mps)).toBeCloseTo(15.55, 2);
    expect(wind('240P49MPS').speed_mps).toBeCloseTo(50, 9);
    expect((wind('240P199KMH').speed_mps ?? NaN) * 3.6).toBeCloseTo(200, 9);
    expect((wind('09050G70KMH').gust_mps ?? NaN) * 3.6).toBeCloseTo(70, 9);
    const { value } = readMetar('METAR KFBG 011255Z 240P99KT 10SM=', { reference_s: NOON });
    expect(value[0]?.problems.map((p) => p.text)).toEqual(['KFBG 011255Z: wind "240P99KT": this speed or more']);
  });

  it('says what is wrong with a group', () => {
    for (const [group, from, says] of [
      ['40012KT', null, 'direction 400'],
      ['00012KT', null, 'direction 000'],
      ['270400KT', null, 'below 150 m/s'],
      ['/////KT', null, 'not measured'],
      ['CLEAR', null, 'no wind group'],
    ] as const) {
      const { value } = readMetar(`METAR KFBG 011255Z ${group} 10SM=`, { reference_s: NOON });
      expect([group, levelOf(value[0]).from_deg]).toEqual([group, from]);
      expect(value[0]?.problems.map((p) => p.text).join()).toContain(says);
    }
  });

  it('is an own reader because the library at hand misreads four of these groups', () => {
    const theirs = (group: string): { speed?: number; unit?: string } | undefined =>
      parseMetar(`METAR KFBG 011255Z ${group} 9999 24/18 Q1013`).wind;
    expect(theirs('270112KT')?.speed).not.toBe(112);
    expect(theirs('09050KMH')?.unit).not.toBe('KMH');
    expect(theirs('240P99KT')).toBeUndefined();
    expect(theirs('P49MPS')).toBeUndefined();
  });
});

describe('METAR, the rest of a report', () => {
  it('takes no wind from remarks, trends or a TAF', () => {
    const level = levelOf(
      readMetar('EDDW 011250Z 27019KT 240V300 CAVOK 24/09 Q1014 TEMPO 28020G30KT=', { reference_s: NOON }).value[0],
    );
    expect([level.from_deg, inKnots(level.speed_mps), level.gust_mps]).toEqual([270, 19, undefined]);
    const late = readMetar('KFBG 011255Z 10SM CLR RMK PK WND 28026/1058 28026KT=', { reference_s: NOON }).value[0];
    expect(levelOf(late).speed_mps).toBeNull();
    expect(readMetar('TAF EDDW 011100Z 0112/0218 27019KT CAVOK=', { reference_s: NOON }).value).toEqual([]);
  });

  it('reads temperature, dew point, altimeter settings in both units and the pressure at the field', () => {
    const level = levelOf(
      readMetar('METAR ULWC 011230Z 14002G07MPS 9999 M02/M05 Q1001 NOSIG RMK QFE740/0987=', { reference_s: NOON })
        .value[0],
    );
    expect(level).toMatchObject({ height_m: null, agl_m: 10, pressure_Pa: 98_700, qnh_Pa: 100_100 });
    expect(level.temperature_K).toBeCloseTo(271.15, 9);
    expect(level.dewPoint_K).toBeCloseTo(268.15, 9);
    const us = levelOf(
      readMetar('METAR KAAT 011155Z AUTO 00000KT 10SM CLR 04/M01 A2992 RMK AO2 T00441006=', { reference_s: NOON })
        .value[0],
    );
    // 29.92 inHg = 1013.2 hPa (NIST SP 811: 1 inHg = 3386.389 Pa); the remark gives 4.4 and −0.6 °C.
    expect(us.qnh_Pa).toBeCloseTo(101_320.76, 2);
    expect((us.temperature_K ?? NaN) - 273.15).toBeCloseTo(4.4, 9);
    expect((us.dewPoint_K ?? NaN) - 273.15).toBeCloseTo(-0.6, 9);
  });

  it('a pressure at the station that no station has is not taken (fuzz seed 442861663)', () => {
    const read = (qfe: string) =>
      readMetar(`METAR ULWC 011230Z 14002MPS 9999 M02/M05 Q1001 RMK ${qfe}=`, { reference_s: NOON }).value[0];
    expect(read('QFE740/7799')?.levels[0]?.pressure_Pa).toBeNull();
    expect(read('QFE740/0987')?.levels[0]?.pressure_Pa).toBe(98_700);
  });

  it('puts a correction in place of what it corrects, a repeat once, NIL nowhere, and says all three', () => {
    const text = [
      'METAR KAUS 011153Z 09005KT 10SM=',
      'METAR COR KAUS 011153Z 09015KT 10SM=',
      'METAR KMSP 011153Z 32011KT=',
      'KMSP 011153Z 32011KT=',
      'LPLA 011230Z NIL=',
    ].join('\n');
    const { value, problems } = readMetar(text, { reference_s: NOON });
    expect(value.map((w) => [w.source, inKnots(levelOf(w).speed_mps)])).toEqual([
      ['METAR KAUS 011153Z COR', 15],
      ['METAR KMSP 011153Z', 11],
    ]);
    expect(problems.map((p) => [p.line, p.text])).toEqual([
      [1, 'KAUS 011153Z: corrected by the COR on line 2; this one does not count'],
      [4, 'KMSP 011153Z: the same as line 3, counted once'],
      [5, 'LPLA 011230Z: NIL: the station sent no report'],
    ]);
  });

  it('leaves the time unknown without a reference', () => {
    const { value, problems } = readMetar('METAR KFBG 301255Z 26007KT=', {});
    expect(value[0]?.validTime).toBeNull();
    expect(problems.map((p) => p.text).join()).toContain('no month');
    expect(readMetar('METAR KFBG 301255Z 26007KT=', { reference_s: NOON }).value[0]?.validTime).toBe(
      '2019-06-30T12:55:00Z',
    );
  });
});

describeOpenData('METAR, the open files', ({ openData }) => {
  const file = (name: string): string => readFileSync(join(openData, 'winds-text', name), 'latin1');

  it('reads all 56 reports of 2019-07-01: 54 and 2 NIL, each wind as its own group says', () => {
    const text = file('metar-20190701-12z.txt');
    const { value, problems } = readMetar(text, { reference_s: NOON });
    expect(text.split('=').filter((r) => /\d{6}Z/.test(r))).toHaveLength(56);
    expect(value).toHaveLength(54);
    expect(problems.map((p) => p.text)).toEqual([
      'LPLA 011230Z: NIL: the station sent no report',
      'ESTL 011250Z: NIL: the station sent no report',
    ]);
    const lines = text.split('\n').filter((row) => row.trim() !== '' && !row.includes('NIL'));
    let compared = 0;
    value.forEach((winds, i) => {
      // The library reads all 54 of these winds right (two figures of speed, KT and MPS): an outside check of the whole
      // group.
      const theirs = parseMetar((lines[i] ?? '').trim().replace(/=$/, '')).wind;
      const unit = String(theirs?.unit) === 'MPS' ? 1 : MPS_PER_KT;
      const level = levelOf(winds);
      expect(level.speed_mps).toBeCloseTo((theirs?.speed ?? NaN) * unit, 9);
      expect(level.from_deg).toBe(theirs?.direction === 'VRB' ? null : theirs?.degrees);
      expect(level.gust_mps ?? null).toEqual(theirs?.gust === undefined ? null : expect.closeTo(theirs.gust * unit, 9));
      const swing = theirs?.minVariation === undefined ? undefined : [theirs.minVariation, theirs.maxVariation];
      expect(level.sector_deg).toEqual(theirs?.direction === 'VRB' ? [0, 360] : swing);
      compared++;
    });
    expect(compared).toBe(54);
    const count = (of: (l: DecodedLevel) => boolean): number => value.filter((w) => of(levelOf(w))).length;
    const table = {
      reports: value.length,
      gusts: count((l) => l.gust_mps !== undefined),
      variable: count((l) => l.sector_deg?.[1] === 360),
      calm: count((l) => l.speed_mps === 0),
      QNH: count((l) => l.qnh_Pa !== undefined),
    };
    console.log(`metar-20190701-12z.txt | ${JSON.stringify(table)} | ${problems.length} problems`);
  });

  it('reads the raw bulletins: every report once, over two lines too, with times to the minute', () => {
    const text = file('metar-bulletins-20200106-00z.wmo');
    const { value, problems } = readMetar(text, { reference_s: Date.UTC(2020, 0, 6) / 1000 });
    const reports = text
      .replace(/[\r\n]+/g, ' ')
      .split('=')
      .map((r) => /([A-Z][A-Z0-9]{3}) (\d{6}Z) (.*)/.exec(r.slice(r.lastIndexOf('\u0001') + 1)))
      .flatMap((m) => (m === null ? [] : [`${m[1]} ${m[2]} ${m[3]?.trim().replace(/\s+/g, ' ')}`]));
    expect(reports.length).toBe(
      value.length +
        problems.filter((p) => p.text.includes('counted once')).length +
        Number(/(\d+) more repeated/.exec(problems.map((p) => p.text).join())?.[1] ?? 0),
    );
    expect(new Set(reports).size).toBe(value.length);
    console.log(
      `metar-bulletins-20200106-00z.wmo | ${value.length} of ${reports.length} reports (repeats once) | ${problems.length} problems`,
    );
    expect(value.find((w) => w.source.includes('KPRO'))).toMatchObject({ validTime: '2020-01-05T23:55:00Z' });
    expect((levelOf(value.find((w) => w.source.includes('KPRO'))).temperature_K ?? NaN) - 273.15).toBeCloseTo(1.3, 9);
    expect(levelOf(value.find((w) => w.source.includes('KMAW')))).toMatchObject({ from_deg: null, speed_mps: null });
    expect(levelOf(value.find((w) => w.source.includes('SBPS')))).toMatchObject({
      from_deg: 20,
      sector_deg: [350, 50],
    });
  });

  itSurvives('METAR', [file('metar-20190701-12z.txt'), file('metar-bulletins-20200106-00z.wmo')], (text) =>
    readMetar(text, { reference_s: NOON }),
  );
});
