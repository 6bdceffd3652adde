// Tables with named columns. Units: exact factors of NIST SP 811 (2008) §B.8; the international foot 0.3048 m, the knot
// 1852/3600 m/s.
import { describe, expect, it } from 'vitest';
import { fc } from '../property.ts';
import { readCsv } from '../../core/formats/winds/csv.ts';
import { usableLevels } from '../../core/air/levels.ts';
import type { DecodedLevel, DecodedWinds } from '../../core/air/levels.ts';

const read = (...lines: string[]): ReturnType<typeof readCsv> => readCsv(lines.join('\n'));
const first = (...lines: string[]): DecodedWinds => {
  const [source] = read(...lines).value;
  if (source === undefined) throw new Error(`nothing decoded: ${JSON.stringify(read(...lines).problems)}`);
  return source;
};
const level = (...lines: string[]): DecodedLevel => {
  const [found] = first(...lines).levels;
  if (found === undefined) throw new Error('no level');
  return found;
};
const problems = (...lines: string[]): string =>
  read(...lines)
    .problems.map(({ line, text }) => `${line}: ${text}`)
    .join('\n');

describe('units in the header', () => {
  it.each([
    ['height_m', '1000', 1000],
    ['height_ft', '1000', 304.8],
    ['height_km', '1.5', 1500],
    ['altitude (ft)', '10000', 3048],
    ['Height_MSL_ft', '100', 30.48],
    ['gps_altitude_m', '12.5', 12.5],
    ['alt_m', '-73', -73],
  ])('%s', (name, text, height_m) => {
    expect(level(`${name},from_deg,speed_mps`, `${text},90,4`).height_m).toBeCloseTo(height_m, 9);
  });

  it.each([
    ['speed_mps', '10', 10],
    ['wind speed_m/s', '10', 10],
    ['speed_kt', '36', (36 * 1852) / 3600],
    ['wind_speed_knots', '36', (36 * 1852) / 3600],
    ['speed_kmh', '36', 10],
    ['speed (km/h)', '36', 10],
    ['speed_mph', '10', 4.4704],
  ])('%s', (name, text, speed_mps) => {
    expect(level(`height_m,from_deg,${name}`, `100,90,${text}`).speed_mps).toBeCloseTo(speed_mps, 9);
  });

  it.each([
    ['temperature_C', '-56.5', 216.65],
    ['temperature_K', '216.65', 216.65],
    ['temperature (°C)', '15', 288.15],
    ['temperature_F', '59', 288.15],
  ])('%s', (name, text, temperature_K) => {
    expect(level(`height_m,from_deg,speed_mps,${name}`, `100,90,4,${text}`).temperature_K).toBeCloseTo(
      temperature_K,
      9,
    );
  });

  it.each([
    ['pressure_hPa', '1013.25', 101_325],
    ['pressure_Pa', '101325', 101_325],
    ['pressure_mb', '1013.25', 101_325],
    ['pressure_kPa', '101.325', 101_325],
  ])('%s', (name, text, pressure_Pa) => {
    expect(level(`height_m,from_deg,speed_mps,${name}`, `100,90,4,${text}`).pressure_Pa).toBeCloseTo(pressure_Pa, 6);
  });

  it('dew_point_C', () => {
    expect(level('height_m,from_deg,speed_mps,dew_point_C', '100,90,4,10').dewPoint_K).toBeCloseTo(283.15, 9);
  });

  it('gust_kt', () => {
    expect(level('height_m,from_deg,speed_kt,gust_kt', '100,90,18,36').gust_mps).toBeCloseTo((36 * 1852) / 3600, 9);
  });

  it('u and v are toward east and north: a wind from the west has u above zero', () => {
    expect(level('height_m,u_mps,v_mps', '100,5,0')).toMatchObject({ from_deg: 270, speed_mps: 5 });
    expect(level('height_m,u_kt,v_kt', '100,0,-10').from_deg).toBe(0);
  });

  it('geopotential height becomes geometric', () => {
    // ref: us-standard-atmosphere-1976.csv row z=30000: H 29859.08 as printed there; source: USSA 1976; half of the
    // last digit and its slope.
    const found = level('geopotential height_m,from_deg,speed_mps', '29859.08,90,4');
    expect(found.height_m).toBeCloseTo(30_000, 1);
    expect(found.geopotential_m).toBe(29_859.08);
  });
});

describe('heights above ground', () => {
  it('stand on the elevation that a comment gives, in metres or feet', () => {
    expect(level('# elevation_m: 183', 'height_agl_m,from_deg,speed_mps', '10,90,4').height_m).toBe(193);
    expect(level('# elevation_ft: 600', 'height_agl_ft,from_deg,speed_mps', '400,90,4').height_m).toBeCloseTo(304.8, 9);
    expect(level('# elevation_m: 183', 'height_ft_agl,from_deg,speed_mps', '0,90,4').height_m).toBe(183);
  });

  it('stay unknown without it, and that is said', () => {
    const found = level('height_agl_m,from_deg,speed_mps', '10,90,4');
    expect(found).toMatchObject({ height_m: null, agl_m: 10 });
    expect(problems('height_agl_m,from_deg,speed_mps', '10,90,4')).toContain('# elevation_m');
  });
});

describe('separators and notes', () => {
  it.each([
    ['semicolon with decimal commas', 'height_m;from_deg;speed_mps', '100,5;90;4,25'],
    ['tab', 'height_m\tfrom_deg\tspeed_mps', '100.5\t90\t4.25'],
    ['blanks', 'height_m  from_deg  speed_mps', '100.5     90      4.25'],
    ['quotes', '"height_m","from_deg","speed_mps"', '"100.5","90","4.25"'],
    ['commas and CR LF', 'height_m,from_deg,speed_mps\r', '100.5,90,4.25\r'],
  ])('%s', (_, header, row) => {
    expect(level(header, row)).toMatchObject({ height_m: 100.5, from_deg: 90, speed_mps: 4.25 });
  });

  it('reads source, valid time and position from comments; other comments are remarks', () => {
    const source = first(
      '# made by the tower: do not use after 08Z',
      '# source: release at the fence',
      '# validTime: 2026-03-14T06:00:00Z',
      '# position: 141.60, -31.95',
      'height_m,from_deg,speed_mps',
      '183,90,2',
    );
    expect(source).toMatchObject({
      source: 'release at the fence',
      validTime: '2026-03-14T06:00:00Z',
      position: [141.6, -31.95],
      problems: [],
    });
  });

  it('a time with an offset is turned into UTC', () => {
    expect(first('# valid time: 2026-03-14 16:30+10:30', 'height_m,from_deg,speed_mps', '183,90,2').validTime).toBe(
      '2026-03-14T06:00:00Z',
    );
  });

  it('rows with another validTime are another source', () => {
    const sources = read(
      'validTime,height_m,from_deg,speed_mps',
      '2026-03-14T06:00Z,100,90,2',
      '2026-03-14T09:00Z,100,180,5',
    ).value;
    expect(sources.map((source) => [source.validTime, source.levels.length])).toEqual([
      ['2026-03-14T06:00:00Z', 1],
      ['2026-03-14T09:00:00Z', 1],
    ]);
  });

  it('a fall of the wind to calm needs no direction', () => {
    const found = first('height_m,from_deg,speed_mps', '100,,0', '200,90,4');
    expect(usableLevels(found.levels)).toHaveLength(2);
  });
});

describe('what is wrong is said with its line, and the rest is used', () => {
  const header = 'height_m,from_deg,speed_kt';
  it.each([
    ['NaN', '100,90,NaN', '3: speed "NaN" is not a number; expected 0 to 291.6 kt'],
    ['a negative speed', '100,90,-4', '3: speed "-4"; expected 0 to 291.6 kt'],
    ['direction 999', '100,999,4', '3: direction "999"; expected 0 to 360, where the wind blows from'],
    ['direction -5', '100,-5,4', '3: direction "-5"'],
    ['a unit in the cell', '100,90,4 kt', '3: speed "4 kt" is not a number'],
    ['a height above the air', '200000,90,4', '3: height "200000"; expected -1000 to 100000 m'],
    ['a short row', '100,90', '3: 2 columns; the header names 3'],
    ['a speed without a direction', '100,,4', '3: a speed without a direction'],
    ['a direction without a speed', '100,90,', '3: a direction without a speed'],
    ['words', 'garbage', '3: height "garbage" is not a number'],
    ['a repeated height', '50,90,4', '3: height 50 m repeats that of line 2'],
    ['a hexadecimal number', '0x10,90,4', '3: height "0x10" is not a number'],
  ])('%s', (_, row, text) => {
    const answer = read(header, '50,180,5', row, '400,270,6');
    expect(answer.problems.map((problem) => `${problem.line}: ${problem.text}`).join('\n')).toContain(text);
    expect(usableLevels(answer.value[0]?.levels ?? []).map((found) => found.height_m)).toEqual(
      expect.arrayContaining([50, 400]),
    );
  });

  it('heights out of order, where most rise', () => {
    const text = problems(header, '50,180,5', '400,90,4', '200,90,4', '600,90,4');
    expect(text).toContain('4: height 200 m is below the 400 m of the row before');
  });

  it('a table that falls all the way is in order', () => {
    expect(problems(header, '600,180,5', '400,90,4', '200,90,4')).toBe('');
  });

  it('two columns for one quantity', () => {
    expect(problems('height_m,height_ft,from_deg,speed_kt', '100,328,90,4')).toContain(
      'say the same quantity; only the first is read',
    );
  });

  it.each([
    ['height,from_deg,speed_mps', 'says no unit'],
    ['height_m,from_deg,speed', 'column "speed" says no unit'],
    ['height_m,from_deg,speed_hPa', 'speed in hPa'],
    ['height_m,toward_deg,speed_mps', 'where they blow from'],
    ['height_m,from_deg', 'a speed (speed_mps'],
    ['from_deg,speed_kt', 'a height (height_m'],
    ['100,90,4', 'no column is known'],
    ['constructor,__proto__,toString', 'no column is known'],
  ])('refuses a header "%s"', (names, text) => {
    expect(read(names, '100,90,4').value).toEqual([]);
    expect(problems(names, '100,90,4')).toContain(text);
  });

  it('an unknown column is named once and the others are read', () => {
    expect(problems('height_m,from_deg,speed_mps,colour', '100,90,4,blue', '200,90,4,red')).toBe(
      '1: column "colour" is not known and not used',
    );
  });

  it.each([
    ['# position: 141.6, 95', 'latitude 95; expected -90 to 90'],
    ['# position: here', 'longitude, latitude in degrees'],
    ['# validTime: yesterday', 'a time in UTC'],
    ['# validTime: 2026-02-30T00:00Z', 'a time in UTC'],
    ['# elevation_m: high', 'is not a number'],
  ])('a comment "%s"', (comment, text) => {
    expect(problems(comment, 'height_m,from_deg,speed_mps', '100,90,4')).toContain(text);
    expect(first(comment, 'height_m,from_deg,speed_mps', '100,90,4').levels).toHaveLength(1);
  });

  it('a header without rows, and nothing at all', () => {
    expect(problems('height_m,from_deg,speed_mps')).toContain('not followed by any row');
    expect(problems('')).toContain('there is no table');
  });

  it('ten of a kind are named, the rest is counted', () => {
    const rows = Array.from({ length: 1000 }, (_, i) => `${i},999,4`);
    const found = read('height_m,from_deg,speed_kt', ...rows).problems;
    expect(found.filter((problem) => problem.text.startsWith('direction'))).toHaveLength(10);
    expect(found.map((problem) => problem.text)).toContain(
      '990 more cells of direction out of range, the last on line 1001',
    );
  });
});

it('what was written in any of the units is read back', () => {
  const number = (min: number, max: number): fc.Arbitrary<number> => fc.double({ min, max, noNaN: true });
  fc.assert(
    fc.property(
      fc.uniqueArray(
        fc.record({ height_m: number(-400, 45_000), from_deg: number(0, 360), speed_mps: number(0, 140) }),
        {
          minLength: 1,
          maxLength: 40,
          selector: (row) => row.height_m,
        },
      ),
      fc.constantFrom(['m', 1] as const, ['ft', 0.3048] as const, ['km', 1000] as const),
      fc.constantFrom(['mps', 1] as const, ['kt', 1852 / 3600] as const, ['kmh', 1 / 3.6] as const),
      fc.constantFrom(',', ';', '\t', ' '),
      (rows, [heightUnit, metres], [speedUnit, mps], separator) => {
        const text = [
          ['from_deg', `speed_${speedUnit}`, `height_${heightUnit}`].join(separator),
          ...rows.map((row) => [row.from_deg, row.speed_mps / mps, row.height_m / metres].map(String).join(separator)),
        ].join('\n');
        const levels = readCsv(text).value[0]?.levels ?? [];
        expect(levels).toHaveLength(rows.length);
        rows.forEach((row, i) => {
          expect(levels[i]?.from_deg).toBe(row.from_deg);
          // Two roundings of a double: 2 × 2⁻⁵³ of the value, and the smallest numbers.
          expect(Math.abs((levels[i]?.speed_mps ?? NaN) - row.speed_mps)).toBeLessThanOrEqual(
            4e-16 * row.speed_mps + 1e-300,
          );
          expect(Math.abs((levels[i]?.height_m ?? NaN) - row.height_m)).toBeLessThanOrEqual(
            4e-16 * Math.abs(row.height_m) + 1e-300,
          );
        });
      },
    ),
    { numRuns: 300 },
  );
});
