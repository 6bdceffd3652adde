// TEMP: the reference's fully decoded message, an ascent decoded by others, the other open messages, and the code's
// rules one by one. Sources: reference/wind-reports.md §3 (marks F and C); open-data/winds-text (MANIFEST.md); WMO-No.
// 306 vol. I.1, FM 35.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fc } from '../property.ts';
import { describe, expect, it } from 'vitest';
import { readTemp } from '../../core/formats/winds/temp.ts';
import { MPS_PER_KT } from '../../core/base/units.ts';
import type { DecodedLevel, DecodedWinds } from '../../core/air/levels.ts';
import { describeOpenData } from '../openData.ts';
import { itSurvives } from './mutate.ts';

const kt = (level: DecodedLevel): number => (level.speed_mps ?? NaN) / MPS_PER_KT;
const celsius = (level: DecodedLevel): number => (level.temperature_K ?? NaN) - 273.15;
const atPressure = (winds: DecodedWinds, hPa: number): DecodedLevel[] =>
  winds.levels.filter((l) => Math.abs((l.pressure_Pa ?? 0) / 100 - hPa) < 0.04);
const atFeet = (winds: DecodedWinds, feet: number): DecodedLevel[] =>
  winds.levels.filter((l) => l.pressure_Pa === null && Math.abs((l.geopotential_m ?? NaN) - feet * 0.3048) < 0.01);
const only = (levels: readonly DecodedLevel[]): DecodedLevel => {
  expect(levels).toHaveLength(1);
  return levels[0] ?? { height_m: NaN, pressure_Pa: NaN, from_deg: NaN, speed_mps: NaN, temperature_K: NaN };
};
const one = (text: string, reference_s?: number): DecodedWinds => {
  const { value } = readTemp(text, { reference_s });
  expect(value).toHaveLength(1);
  return value[0] ?? { source: '', validTime: null, position: null, levels: [], problems: [] };
};
/**
 * Nothing that is wrong in the message: notices of an unknown month, of counted feet and of computed heights are set
 * aside.
 */
const faults = (winds: DecodedWinds): string[] =>
  winds.problems
    .map((p) => p.text)
    .filter((t) => !/no month or year|height groups counted|by the hypsometric equation/.test(t));

/** r₀ of the US Standard Atmosphere 1976, equation 19, written out here again: geometric from geopotential. */
const geometric = (H: number): number => (6_356_766 * H) / (6_356_766 - H);

describeOpenData('TEMP, the message that the reference decodes in full (wind-reports.md §3)', ({ reference }) => {
  const page = readFileSync(join(reference, 'wind-reports.md'), 'utf8');
  const message = page
    .split('\n')
    .filter((row) => /^(TTAA|TTCC|PPBB) 5600/.test(row))
    .join('\n');
  const winds = one(message, Date.UTC(2020, 5, 10) / 1000);

  /** "| 1000 | 137 | 20.6 | 285/7 | | 150 | 13800 | −56.5 | 240/35 |": two levels per row. */
  const cells = page
    .slice(page.indexOf('| level hPa | height m |'))
    .split('\n')
    .slice(2)
    .filter((row) => row.startsWith('| ') && row.includes('| |'))
    .slice(0, 9)
    .flatMap((row) =>
      row.split('| |').map((half) =>
        half
          .split('|')
          .map((c) => c.trim())
          .filter((c) => c !== ''),
      ),
    );

  it('gives every standard level as printed', () => {
    let compared = 0;
    for (const [hPa, height, temperature, wind] of cells) {
      if (hPa === undefined || !/^\d+$/.test(hPa)) continue;
      const level = only(atPressure(winds, Number(hPa)));
      expect(level.geopotential_m).toBe(Number(height));
      expect(level.height_m).toBeCloseTo(geometric(Number(height)), 6);
      expect(celsius(level)).toBeCloseTo(Number(temperature), 6);
      const [from, speed] = (wind ?? '').split('/').map(Number);
      expect([hPa, level.from_deg, Math.round(kt(level) * 1000) / 1000]).toEqual([hPa, from, speed]);
      compared++;
    }
    expect(compared).toBe(16);
  });

  it('gives the surface, the tropopause and the maximum wind', () => {
    const surface = only(atPressure(winds, 1009));
    expect([celsius(surface).toFixed(1), surface.from_deg, kt(surface).toFixed(2)]).toEqual(['22.8', 290, '6.00']);
    expect((surface.dewPoint_K ?? NaN) - 273.15).toBeCloseTo(4.8, 6);
    // The same surface in the reference's IGRA line (§4) is at 61 m; the message has no elevation, only 1009 hPa,
    // printed to a whole hPa: half of one is 4.4 m, and the 1000 hPa height it starts from is printed to a metre.
    expect(Math.abs((surface.height_m ?? NaN) - 61)).toBeLessThan(4.9);
    const tropopause = only(atPressure(winds, 185));
    expect([celsius(tropopause).toFixed(1), tropopause.from_deg, kt(tropopause).toFixed(2)]).toEqual([
      '-62.9',
      230,
      '51.00',
    ]);
    const maximum = only(atPressure(winds, 221));
    expect([maximum.from_deg, kt(maximum).toFixed(2)]).toEqual([235, '63.00']);
  });

  it('gives every wind of PPBB at its height', () => {
    const list = /PPBB ft: (.*?)\. Cross-check/.exec(page)?.[1] ?? '';
    let compared = 0;
    for (const [, feet, from, speed] of list.matchAll(/(\d+): (\d+)\/(\d+)/g)) {
      const level = Number(feet) === 0 ? only(atPressure(winds, 1009)) : only(atFeet(winds, Number(feet)));
      expect([feet, level.from_deg, kt(level).toFixed(3)]).toEqual([feet, Number(from), Number(speed).toFixed(3)]);
      compared++;
    }
    expect(compared).toBe(22);
    expect(winds.levels.filter((l) => l.pressure_Pa === null)).toHaveLength(21);
  });

  it('knows the day, the hour and the release of the evening before', () => {
    expect(winds.validTime).toBe('2020-06-06T00:00:00Z');
    expect(winds.releasedAt).toBe('2020-06-05T23:26:00Z');
    expect(winds.position).toBeNull();
    expect(faults(winds)).toEqual([]);
  });
});

describeOpenData('TEMP 83779, decoded by the University of Wyoming', ({ openData }) => {
  const folder = join(openData, 'winds-text');
  const winds = one(
    readFileSync(join(folder, 'temp-83779-20230223-12z.txt'), 'latin1'),
    Date.UTC(2023, 1, 23, 18) / 1000,
  );
  const rows = readFileSync(join(folder, 'temp-83779-20230223-12z.decoded-by-others.txt'), 'latin1')
    .split('\n')
    .map((row) => row.trim().split(/\s+/).map(Number))
    .filter((row) => row.length === 11 && row.every((x) => Number.isFinite(x)));
  const message = readFileSync(join(folder, 'temp-83779-20230223-12z.txt'), 'latin1');

  it('agrees in pressure, height, temperature and dew point at every level with a temperature', () => {
    const measured = winds.levels.filter((l) => l.temperature_K !== null);
    let worst_m = 0;
    for (const level of measured) {
      const hPa = (level.pressure_Pa ?? 0) / 100;
      // The other decoding has 154.0 hPa twice, at 14 021 m for a wind level of 46 000 ft and at 14 023 m for the
      // temperature level.
      const row = rows.findLast((r) => Math.abs((r[0] ?? 0) - hPa) < 0.04);
      expect([hPa, row?.[2]?.toFixed(1)]).toEqual([hPa, celsius(level).toFixed(1)]);
      expect([hPa, row?.[3]?.toFixed(1)]).toEqual([hPa, ((level.dewPoint_K ?? NaN) - 273.15).toFixed(1)]);
      // Printed to the metre: half of one, and 0.1 m for another formula of the virtual temperature.
      const off_m = Math.abs((level.geopotential_m ?? NaN) - (row?.[1] ?? NaN));
      worst_m = Math.max(worst_m, off_m);
      expect([hPa, off_m < 0.6]).toEqual([hPa, true]);
    }
    expect(measured).toHaveLength(53);
    console.log(
      `TEMP 83779: ${measured.length} temperature levels, heights within ${worst_m.toFixed(2)} m of the other decoding`,
    );
  });

  it('agrees in the winds of all standard levels, tropopause and surface', () => {
    let compared = 0;
    for (const hPa of [938, 925, 850, 700, 500, 400, 300, 250, 200, 150, 100, 90.6, 70, 50, 30]) {
      const level = only(atPressure(winds, hPa));
      const row = rows.find((r) => Math.abs((r[0] ?? 0) - hPa) < 0.04);
      expect([hPa, (level.from_deg ?? NaN) % 360]).toEqual([hPa, row?.[6]]);
      // Printed to 0.1 m/s; the other decoding rounds knots to tenths of m/s first in some rows (20 kt stands as 10.3).
      expect(Math.abs((level.speed_mps ?? NaN) - (row?.[7] ?? NaN))).toBeLessThan(0.1);
      compared++;
    }
    expect(compared).toBe(15);
  });

  it('reads every significant wind as coded, at a height between those of its neighbours', () => {
    // The other decoding moved these winds to whole thousands of feet, so direction and speed are compared with the
    // groups themselves.
    let compared = 0;
    for (const [part, unit] of [
      ['TTBB', 1],
      ['TTDD', 10],
    ] as const) {
      const groups =
        /21212 (.*?) 31313/.exec(message.split('\n').find((row) => row.startsWith(part)) ?? '')?.[1]?.split(' ') ?? [];
      for (let i = 0; i + 1 < groups.length; i += 2) {
        const hPa = Number(groups[i]?.slice(2)) / unit;
        const fff = Number(groups[i + 1]?.slice(2));
        const level = only(atPressure(winds, hPa));
        // At 150 and 50 hPa the sounding gives two winds that differ by 2 kt; the standard level's stands, and that is
        // said.
        if (hPa !== 150 && hPa !== 50) {
          expect([hPa, level.from_deg]).toEqual([hPa, Number(groups[i + 1]?.slice(0, 2)) * 10 + (fff >= 500 ? 5 : 0)]);
          expect(kt(level)).toBeCloseTo(fff % 500, 6);
        }
        compared++;
      }
    }
    expect(compared).toBe(16 + 22);
    expect(faults(winds).filter((t) => !/second, different wind for (150|50) hPa/.test(t))).toEqual([]);
    const heights = winds.levels.flatMap((l) => l.height_m ?? []);
    expect(heights).toHaveLength(winds.levels.length);
    expect(heights.every((h, i) => i === 0 || h > (heights[i - 1] ?? Infinity))).toBe(true);
  });

  it('takes "77162 26018" after 88906 for temperature and wind of the tropopause, and finds no maximum wind (77999)', () => {
    const tropopause = only(atPressure(winds, 90.6));
    expect([celsius(tropopause).toFixed(1), tropopause.from_deg, kt(tropopause).toFixed(0)]).toEqual([
      '-77.1',
      260,
      '18',
    ]);
    expect(atPressure(winds, 16.2)).toEqual([]);
    expect(atPressure(winds, 162)).toEqual([]);
  });
});

describeOpenData('TEMP, the other open messages', ({ openData }) => {
  const file = (name: string): string => readFileSync(join(openData, 'winds-text', name), 'latin1');

  it('reads each with the levels counted by hand in its groups', () => {
    // [file, levels: A + tropopause and maximum + new in B + C + new in D, those with a wind, top as geopotential m]
    const expected = [
      ['temp-10393-day15-metres-per-second-truncated.txt', 6, 6, 5400],
      ['temp-72235-20060922-12z.txt', 11 + 2 + 25 + 21, 11 + 2 + 21, 16_530],
      ['temp-72357-day07-00z.txt', 12 + 1 + 19 + 4 + 32, 11 + 1 + 4 + 32, 26_420],
      ['temp-72694-20180620-00z.txt', 12 + 1 + 46 + 4 + 21, 12 + 1 + 4 + 21, 26_860],
      ['temp-83779-20230223-12z.txt', 12 + 1 + 34 + 10 + 3 + 4 + 20, 11 + 1 + 13 + 3 + 21, 24_167],
      ['tempdrop-20170920-0250z.txt', 6 + 20 + 8, 6 + 8 + 1, 7406],
    ] as const;
    for (const [name, levels, withWind, top] of expected) {
      const winds = one(file(name));
      const blown = winds.levels.filter((l) => l.speed_mps !== null && l.from_deg !== null).length;
      console.log(
        [
          name,
          winds.source,
          `${winds.levels.length} levels, ${blown} with wind`,
          `top ${winds.levels.at(-1)?.geopotential_m?.toFixed(0)} m`,
        ].join(' | '),
        `| ${winds.problems.length} problems and notices`,
      );
      expect([name, winds.levels.length, blown]).toEqual([name, levels, withWind]);
      expect(Math.abs((winds.levels.at(-1)?.geopotential_m ?? NaN) - top)).toBeLessThan(1);
    }
  });

  it('takes metres a second where the day is not raised by 50 (Lindenberg, day 15)', () => {
    const winds = one(file('temp-10393-day15-metres-per-second-truncated.txt'), Date.UTC(2009, 8, 16) / 1000);
    // Groups 70930 15710 33515 and 50540 30722 34523 of the file.
    expect(only(atPressure(winds, 700))).toMatchObject({ geopotential_m: 2930, from_deg: 335, speed_mps: 15 });
    expect(only(atPressure(winds, 500))).toMatchObject({ geopotential_m: 5400, from_deg: 345, speed_mps: 23 });
    expect(winds.validTime).toBe('2009-09-15T17:00:00Z');
  });

  it('reads the dropsonde with its place and times of release', () => {
    const winds = one(file('tempdrop-20170920-0250z.txt'), Date.UTC(2017, 8, 20, 3) / 1000);
    // MANIFEST.md: released at 15.32N 65.87W, 02:31:55.
    expect(winds.position).toEqual([-65.87, 15.32]);
    expect(winds.releasedAt).toBe('2017-09-20T02:31:55Z');
    expect(winds.validTime).toBe('2017-09-20T03:00:00Z');
    expect(only(atPressure(winds, 700))).toMatchObject({ geopotential_m: 3139, from_deg: 290 });
    // It fell into the sea: the surface, 1007 hPa, lies within some metres of it.
    expect(Math.abs(only(atPressure(winds, 1007)).height_m ?? NaN)).toBeLessThan(8);
  });

  it('finds several ascents in one text, whatever stands between them', () => {
    const all = [
      'temp-10393-day15-metres-per-second-truncated.txt',
      'temp-72235-20060922-12z.txt',
      'metar-20190701-12z.txt',
      'tempdrop-20170920-0250z.txt',
    ]
      .map(file)
      .join('\n');
    const rewrapped = all.replace(/(\S+)\s+/g, '$1\r\r\n');
    for (const text of [all, rewrapped]) {
      const { value } = readTemp(text, {});
      expect(value.map((w) => [w.source.split(',')[0], w.levels.length])).toEqual([
        ['TEMP 10393', 6],
        ['TEMP 72235', 59],
        ['TEMP DROP 15.3° N 065.9° W', 34],
      ]);
    }
  });

  itSurvives(
    'TEMP',
    [
      'temp-83779-20230223-12z.txt',
      'temp-72235-20060922-12z.txt',
      'temp-72357-day07-00z.txt',
      'tempdrop-20170920-0250z.txt',
    ].map(file),
    (text) => readTemp(text, { reference_s: 1_500_000_000 }),
  );
});

describe('TEMP, the rules of the code one by one', () => {
  const A = (groups: string): DecodedWinds => one(`TTAA 65001 72694 ${groups} =`);

  it('restores every dropped height figure of invented but hydrostatic atmospheres', () => {
    // The coding rule (metres without thousands to 700 hPa, 500 added below the sea; tens of metres without ten
    // thousands above), written here from the standard; the atmosphere: a lapse to a tropopause, then a warming. R and
    // g₀ of the US Standard 1976.
    const surfaces = [1000, 925, 850, 700, 500, 400, 300, 250, 200, 150, 100, 70, 50, 30, 20, 10, 7, 5, 3, 2, 1];
    const code = (hPa: number): string =>
      String(hPa === 1000 ? 0 : hPa >= 100 ? Math.floor(hPa / 10) : hPa).padStart(2, '0');
    let compared = 0;
    fc.assert(
      fc.property(
        fc.integer({ min: -350, max: 380 }),
        fc.integer({ min: 225, max: 312 }),
        fc.integer({ min: 195, max: 225 }),
        (z0, warm, cold) => {
          const troposphere = (hPa: number): number => Math.max(cold, warm - 190 * 0.1903 * Math.log(1000 / hPa));
          const kelvin = (hPa: number): number =>
            hPa > 200 ? troposphere(hPa) : Math.min(270, troposphere(200) + 12 * Math.log(200 / hPa));
          let H = z0;
          const rows = surfaces.map((hPa, i) => {
            const below = surfaces[i - 1] ?? hPa;
            for (let k = 0; k < 200; k++) {
              const p = below * (hPa / below) ** ((k + 0.5) / 200);
              H += ((287.05287 / 9.80665) * kelvin(p) * Math.log(below / hPa)) / 200;
            }
            return { hPa, H: hPa >= 700 ? Math.round(H) : Math.round(H / 10) * 10 };
          });
          const groups = ({ hPa, H: height }: { hPa: number; H: number }): string => {
            const shownHeight = hPa >= 700 ? (height < 0 ? 500 - height : height % 1000) : (height / 10) % 1000;
            const tenths = Math.round((kelvin(hPa) - 273.15) * 5) * 2;
            const t = tenths < 0 ? -tenths + 1 : tenths;
            return `${code(hPa)}${String(shownHeight).padStart(3, '0')} ${String(t).padStart(3, '0')}// 27010`;
          };
          const half = surfaces.indexOf(70);
          const lower = rows.slice(0, half).map(groups).join(' ');
          const upper = rows.slice(half).map(groups).join(' ');
          const end = '88999 77999 =';
          const text = `TTAA 65001 72694 99999 ///// ///// ${lower} ${end}\nTTCC 65001 72694 ${upper} ${end}`;
          const winds = one(text);
          for (const { hPa, H: height } of rows) {
            expect([hPa, only(atPressure(winds, hPa)).geopotential_m]).toEqual([hPa, height]);
            compared++;
          }
        },
      ),
      { numRuns: 300, seed: 4711 },
    );
    expect(compared).toBe(300 * 21);
  });

  it('refuses a height that does not fit its neighbours, and keeps the level by the two beside it', () => {
    const winds = A(
      '99009 22868 29006 00137 20667 28507 92801 13662 25507 85505 06857 21003 70377 01471 23023 50573 12971 24538 88999 77999',
    );
    // The reference's message with the 700 hPa figures 077 garbled to 377: its true height, 3077 m, is found again
    // within 15 m.
    expect(faults(winds)).toEqual(['72694: height figures 377 at 700 hPa do not fit the levels beside it; not used']);
    expect(Math.abs((only(atPressure(winds, 700)).geopotential_m ?? NaN) - 3077)).toBeLessThan(15);
    const first = A(
      '99009 22868 29006 00637 20667 28507 92801 13662 25507 85505 06857 21003 70077 01471 23023 50573 12971 24538 88999 77999',
    );
    expect(faults(first)).toEqual(['72694: height figures 637 at 1000 hPa do not fit the levels beside it; not used']);
    expect(only(atPressure(first, 500)).geopotential_m).toBe(5730);
  });

  it('reads directions to 5 degrees, 100 kt and more, 200 kt and more, calm and missing (WMO-No. 306; reference §3)', () => {
    const cases = [
      ['27508', 275, 8],
      ['11112', 110, 112],
      ['11612', 115, 112],
      ['24210', 240, 210],
      ['24710', 245, 210],
      ['36030', 360, 30],
      ['00500', 5, 0],
      ['00000', 0, 0],
      ['/////', null, null],
    ] as const;
    for (const [group, from, speed] of cases) {
      const level = only(atPressure(A(`99009 22868 ${group} 00137 20667 28507`), 1009));
      expect([group, level.from_deg, level.speed_mps === null ? null : Math.round(kt(level) * 1e6) / 1e6]).toEqual([
        group,
        from,
        speed,
      ]);
    }
  });

  it('says what is wrong with a wind group and keeps the rest of the level', () => {
    for (const [group, text] of [
      ['36505', 'direction 365'],
      ['24499', '499 kt'],
      ['00012', 'direction 00'],
      ['2A012', '"2A012" is not a level; skipped up to "92801"'],
      ['27/12', '"27/12"; expected five figures'],
    ] as const) {
      const winds = A(`99009 22868 29006 00137 20667 ${group} 92801 13662 25507`);
      expect(faults(winds).join('; ')).toContain(text);
      expect(only(atPressure(winds, 1000)).from_deg).toBeNull();
      expect(celsius(only(atPressure(winds, 1000)))).toBeCloseTo(20.6, 9);
      expect(only(atPressure(winds, 925))).toMatchObject({ geopotential_m: 801, from_deg: 255 });
    }
  });

  it('reads temperatures: sign by the tenths, depression to 5.0 in tenths and from 6 in whole degrees', () => {
    for (const [group, t, td] of [
      ['01471', '1.4', '-19.6'],
      ['12971', '-12.9', '-33.9'],
      ['20450', '20.4', '15.4'],
      ['20456', '20.4', '14.4'],
      ['565//', '-56.5', 'NaN'],
      ['00100', '-0.1', '-0.1'],
    ] as const) {
      const level = only(atPressure(A(`99009 ${group} 29006 00137 20667 28507`), 1009));
      expect([group, celsius(level).toFixed(1), ((level.dewPoint_K ?? NaN) - 273.15).toFixed(1)]).toEqual([
        group,
        t,
        td,
      ]);
    }
    expect(faults(A('99009 12953 29006 00137 20667 28507')).join()).toContain('51 to 55');
  });

  it('leaves out winds that the figure Id says are not given, and believes the groups where it is wrong', () => {
    // Id 5: winds to 500 hPa. 400 hPa has height and temperature only.
    const winds = one(
      'TTAA 65005 72694 99009 22868 29006 70077 01471 23023 50573 12971 24538 40739 25780 30939 43564 88999 77999 =',
    );
    expect(only(atPressure(winds, 500))).toMatchObject({ from_deg: 245 });
    expect(only(atPressure(winds, 400))).toMatchObject({ geopotential_m: 7390, from_deg: null, speed_mps: null });
    expect(only(atPressure(winds, 300))).toMatchObject({ geopotential_m: 9390, from_deg: null });
    // The same groups under Id 1 (winds to 100 hPa), which the station got wrong.
    const mistaken = one(
      'TTAA 65001 72694 99009 22868 29006 70077 01471 23023 50573 12971 24538 40739 25780 30939 43564 88999 77999 =',
    );
    expect(only(atPressure(mistaken, 300))).toMatchObject({ geopotential_m: 9390, from_deg: null });
  });

  it('reads "31313" as −31.3 °C where a temperature stands and as a section where a level could begin', () => {
    const winds = one(
      'TTBB 65008 72694 00009 22868 11402 31313 22350 38960 31313 58208 82326 =\nTTAA 65001 72694 99009 22868 29006 00137 20667 28507 =',
    );
    expect(celsius(only(atPressure(winds, 402)))).toBeCloseTo(-31.3, 9);
    expect(winds.levels).toHaveLength(4);
  });

  it('counts a message that stops anywhere up to there, and says so', () => {
    const groups = '99009 22868 29006 00137 20667 28507 92801 13662 25507 85505 06857 21003'.split(' ');
    for (let n = 1; n < groups.length; n++) {
      const { value, problems } = readTemp(`TTAA 65001 72694 ${groups.slice(0, n).join(' ')}`, {});
      const complete = Math.floor(n / 3);
      expect([n, value[0]?.levels.filter((l) => l.speed_mps !== null).length ?? 0]).toEqual([n, complete]);
      if (n % 3 === 1) expect(problems.map((p) => p.text).join()).toContain('ends inside');
    }
  });

  it('skips a garbled stretch, says which, and reads on after it', () => {
    const winds = A(
      '99009 22868 29006 00137 20667 28507 9X801 1366 25507 85505 06857 21003 70077 01471 23023 88999 77999',
    );
    expect(faults(winds)).toEqual(['TTAA 72694: "9X801 1366 25507" is not a level; skipped up to "85505"']);
    expect(only(atPressure(winds, 850))).toMatchObject({ geopotential_m: 1505, from_deg: 210 });
    expect(only(atPressure(winds, 700))).toMatchObject({ geopotential_m: 3077, from_deg: 230 });
  });

  it('refuses a part of which it cannot know whose or when it is, and says NIL', () => {
    for (const [text, says] of [
      ['TTAA 99001 72694 99009 22868 29006 =', 'time group "99001"'],
      ['TTAA 65241 72694 99009 22868 29006 =', 'time group "65241"'],
      ['TTAA 65001 7269 99009 22868 29006 =', 'station "7269"'],
      ['TTAA 65001 72694 NIL =', 'no report'],
      ['TTAA =', 'nothing follows'],
      ['XXAA 70035 99953 70659 04355 99007 29456 28521 =', 'position'],
      ['hello', 'no TEMP report'],
    ] as const) {
      const { value, problems } = readTemp(text, {});
      expect(value).toEqual([]);
      expect(problems.map((p) => p.text).join('; ')).toContain(says);
    }
  });

  it('reads ships and moving stations: call sign first, place and elevation in the head', () => {
    const ship = one('UUAA ABCD 65001 99505 70205 18155 99009 22868 29006 00075 20667 28507 =');
    expect(ship.position).toEqual([-20.5, 50.5]);
    expect(ship.source).toContain('TEMP SHIP ABCD');
    const mobile = one('IIAA ABCDE 65001 99305 11005 11111 01201 99000 22868 29006 =');
    expect(mobile.position).toEqual([100.5, 30.5]);
    expect(mobile.levels[0]?.height_m).toBeCloseTo(120, 6);
  });

  it('lets a repeated part replace the first, and says so where it differs', () => {
    const text = 'TTAA 65001 72694 99009 22868 29006 = TTAA 65001 72694 99009 22868 29016 =';
    const winds = one(text);
    expect(kt(only(atPressure(winds, 1009)))).toBeCloseTo(16, 6);
    expect(faults(winds).join()).toContain('comes again');
    expect(
      faults(one('TTAA 65001 72694 99009 22868 29006 = TTAA 65001 72694 99009 22868 29006 =')).join(),
    ).not.toContain('again');
  });

  it('a broken surface pressure that lets the next groups slip by one gives no air of 99 °C (fuzz seed 312932275)', () => {
    const winds = one('TTAA 56001 72694 994 99009 22868 29006 00137 20667 28507 =');
    for (const level of winds.levels) if (level.temperature_K !== null) expect(celsius(level)).toBeLessThan(60);
    expect(faults(winds).join()).toContain('99.0\u202f°C; expected at most 60\u202f°C');
  });
});
