// PILOT: the reference's Indonesian message, and the code's forms one by one.
// Sources: reference/wind-reports.md §3 (mark F); open-data/winds-text/pilot-*; WMO-No. 306 vol. I.1, FM 32; US FMH-3
// appendix E-I.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { readPilot } from '../../core/formats/winds/pilot.ts';
import { readTemp } from '../../core/formats/winds/temp.ts';
import { MPS_PER_KT } from '../../core/base/units.ts';
import type { DecodedWinds } from '../../core/air/levels.ts';
import { describeOpenData } from '../openData.ts';
import { itSurvives } from './mutate.ts';

const one = (text: string, reference_s?: number): DecodedWinds => {
  const { value } = readPilot(text, { reference_s });
  expect(value).toHaveLength(1);
  return value[0] ?? { source: '', validTime: null, position: null, levels: [], problems: [] };
};
/** "850 hPa 5/5.0" or "1524.0 m 5/5.0" or "surface 0/0.0": pressure or geopotential height, direction, knots. */
const said = (winds: DecodedWinds): string[] =>
  winds.levels.map((l) => {
    const where =
      l.pressure_Pa !== null
        ? `${(l.pressure_Pa / 100).toFixed(0)} hPa`
        : l.geopotential_m === undefined
          ? 'surface'
          : `${l.geopotential_m?.toFixed(1)} m`;
    return `${where} ${l.from_deg}/${l.speed_mps === null ? '-' : (l.speed_mps / MPS_PER_KT).toFixed(1)}`;
  });

describeOpenData('PILOT 96565 (the reference gives its decoding)', ({ openData, reference }) => {
  const text = readFileSync(join(openData, 'winds-text', 'pilot-96565-day09-12z.txt'), 'latin1');
  const page = readFileSync(join(reference, 'wind-reports.md'), 'utf8');

  it('gives the levels that the reference prints', () => {
    const winds = one(text, Date.UTC(2014, 1, 10) / 1000);
    const list = /PPBB: (surface calm; 1000 ft.*?)\.\n/.exec(page)?.[1] ?? '';
    const printed = [...list.matchAll(/(\d+)(?: ft)? (\d{3})\/(\d+)/g)].map(
      ([, feet, from, speed]) => `${(Number(feet) * 0.3048).toFixed(1)} m ${Number(from)}/${Number(speed).toFixed(1)}`,
    );
    expect(printed).toHaveLength(6);
    expect(said(winds).filter((l) => l.includes(' m '))).toEqual(printed);
    expect(said(winds).filter((l) => !l.includes(' m '))).toEqual(['surface 0/0.0', '850 hPa 5/5.0']);
    expect(winds.validTime).toBe('2014-02-09T12:00:00Z');
    expect(winds.levels[0]).toMatchObject({ height_m: null, agl_m: 10, speed_mps: 0 });
    console.log(
      `pilot-96565 | ${winds.source} | ${winds.levels.length} levels | top ${winds.levels.at(-1)?.height_m?.toFixed(0)} m`,
      winds.problems.map((p) => p.text),
    );
  });

  it('says which height step it took, and that the pressure level has no height', () => {
    const texts = one(text).problems.map((p) => p.text);
    expect(texts.filter((t) => t.includes('counted in 1000 ft (block 96'))).toHaveLength(1);
    expect(texts.filter((t) => t.includes('1 level (850 hPa) without a height'))).toHaveLength(1);
  });

  it('leaves PILOT parts of an ascent with temperatures to readTemp, and takes all others: the two add up', () => {
    const temp = readFileSync(join(openData, 'winds-text', 'temp-72235-20060922-12z.txt'), 'latin1');
    expect(readPilot(`${temp}\n${text}`, {}).value.map((w) => w.source.split(',')[0])).toEqual(['PILOT 96565']);
    expect(readTemp(`${temp}\n${text}`, {}).value.map((w) => w.source.split(',')[0])).toEqual(['TEMP 72235']);
  });

  itSurvives(
    'PILOT',
    [
      text,
      'PPBB 65120 96565 90/12 00000 28005 29504 8234/ 33504 34005 21212 00850 28010 11700 29012 =',
      'PPCC 65120 72694 55370 28010 28011 28012 77250 29060 41010 =',
    ],
    (input) => readPilot(input, { reference_s: 1_500_000_000 }),
  );
});

describe('PILOT, the forms of the code one by one', () => {
  it('counts "9" in 1000 ft in Regions IV and V, in 300 m elsewhere, and "8" in 500 m everywhere', () => {
    const heights = (station: string, group: string): (number | null | undefined)[] =>
      one(`PPBB 65120 ${station} ${group} 28005 29510 30015 =`).levels.map((l) => l.geopotential_m);
    for (const station of ['72694', '78526', '91765', '96565']) {
      heights(station, '91234').forEach((h, i) => expect(h).toBeCloseTo((12 + i) * 304.8, 6));
    }
    for (const station of ['10393', '42182', '83779']) expect(heights(station, '91234')).toEqual([3600, 3900, 4200]);
    for (const station of ['72694', '10393']) expect(heights(station, '81234')).toEqual([6000, 6500, 7000]);
  });

  it('counts 44nPP and 55nPP upward from PP, in parts A and C', () => {
    expect(said(one('PPAA 65120 10393 55385 28005 29510 30015 55250 31020 32025 77999 ='))).toEqual(
      ['850 hPa 280/5.0', '700 hPa 295/10.0', '500 hPa 300/15.0', '500 hPa 310/20.0', '400 hPa 320/25.0'].filter(
        (l) => l !== '500 hPa 310/20.0',
      ),
    );
    expect(said(one('PPAA 65120 10393 44300 28005 29510 30015 77999 ='))).toEqual([
      '1000 hPa 280/5.0',
      '925 hPa 295/10.0',
      '850 hPa 300/15.0',
    ]);
    expect(said(one('PPCC 65120 10393 55370 28005 29510 30015 77999 ='))).toEqual([
      '70 hPa 280/5.0',
      '50 hPa 295/10.0',
      '30 hPa 300/15.0',
    ]);
  });

  it('reads the maximum wind by pressure and by height, with and without its shear', () => {
    expect(said(one('PPAA 65120 10393 77221 23563 41012 ='))).toEqual(['221 hPa 235/63.0']);
    expect(said(one('PPAA 65120 10393 66221 23563 ='))).toEqual(['221 hPa 235/63.0']);
    expect(said(one('PPCC 65120 10393 77221 23563 ='))).toEqual(['22 hPa 235/63.0']);
    expect(said(one('PPAA 65120 10393 71180 23563 41012 ='))).toEqual(['11800.0 m 235/63.0']);
    expect(said(one('PPAA 65120 10393 60950 23563 ='))).toEqual(['9500.0 m 235/63.0']);
  });

  it('reads significant winds by pressure after 21212, and takes metres a second by the day', () => {
    const winds = one('PPBB 15120 10393 21212 00850 28010 11700 29012 22512 30520 =');
    expect(winds.levels.map((l) => [l.pressure_Pa, l.from_deg, l.speed_mps])).toEqual([
      [85_000, 280, 10],
      [70_000, 290, 12],
      [51_200, 305, 20],
    ]);
  });

  it('uses "/" as "no such level" and a missing wind as a level without wind', () => {
    expect(said(one('PPBB 65120 72694 909// 04007 91012 03003 ///// 08005 ='))).toEqual([
      '2743.2 m 40/7.0',
      '3048.0 m 30/3.0',
      '3352.8 m null/-',
      '3657.6 m 80/5.0',
    ]);
    expect(said(one('PPBB 65120 72694 90012 29006 27508 26008 ='))[0]).toBe('surface 290/6.0');
  });

  it('uses no wind of a group that is followed by more winds than it names, and says what is missing', () => {
    const more = readPilot('PPBB 65120 72694 909// 04007 05008 91012 03003 04004 05005 =', {});
    expect(more.value[0]?.levels).toHaveLength(3);
    expect(more.problems.map((p) => p.text).join('; ')).toContain(
      '"909//" names 1 levels, 2 winds follow: none of them is used',
    );
    const fewer = readPilot('PPBB 65120 72694 91012 03003 04004 =', {});
    expect(fewer.value[0]?.levels).toHaveLength(2);
    expect(fewer.problems.map((p) => p.text).join('; ')).toContain('names 3 levels, 2 winds follow');
    const cut = readPilot('PPAA 65120 72694 55385 28005 =', {});
    expect(cut.problems.map((p) => p.text).join('; ')).toContain('promises 3 winds, 1 follow');
  });

  it('reads ships and moving stations', () => {
    expect(one('QQBB ABCD 65120 99505 70205 18155 91012 03003 04004 05005 =')).toMatchObject({
      position: [-20.5, 50.5],
    });
    const mobile = one('EEBB ABCD 65120 99305 11005 11111 01201 91012 03003 04004 05005 =');
    expect(mobile.position).toEqual([100.5, 30.5]);
    expect(mobile.levels.map((l) => l.geopotential_m)).toEqual([3000, 3300, 3600]);
  });

  it('refuses what is not a PILOT with a sentence', () => {
    for (const text of ['', 'PPBB', 'PPAA 99001 72694 55185 00505', 'TTAA 65001 72694 99009 22868 29006']) {
      const { value, problems } = readPilot(text, {});
      expect(value).toEqual([]);
      expect(problems.length).toBeGreaterThan(0);
    }
  });
});
