// Files of winds that disprove themselves. Heights, pressures and temperatures: U.S. Standard Atmosphere 1976, table I
// (geometric height, published to five digits). Each wrong file is the right one with one thing changed.
import { strToU8, zipSync } from 'fflate';
import { describe, expect, it } from 'vitest';
import { windsOf } from '../../core/mission/winds.ts';
import { readWindFile } from '../../core/formats/winds/winds.ts';

const USSA = [
  [0, 288.15, 1013.25],
  [1000, 281.651, 898.76],
  [2000, 275.154, 795.01],
  [3000, 268.659, 701.21],
  [5000, 255.676, 540.48],
  [8000, 236.215, 356.51],
  [10_000, 223.252, 264.99],
  [15_000, 216.65, 121.11],
  [20_000, 216.65, 55.293],
] as const;

type Write = (row: { z: number; t: number; p: number }) => readonly [height: number, temperature: number, p: number];
const table = (names: string, write: Write, rows: number = USSA.length): Uint8Array =>
  strToU8(
    [
      `${names},from_deg,speed_mps`,
      ...USSA.slice(0, rows).map(([z, t, p]) => `${write({ z, t, p }).join(',')},270,12`),
    ].join('\n'),
  );
const read = async (bytes: Uint8Array) => {
  const { value, problems } = await readWindFile({ name: 'table', bytes });
  return { levels: value.decoded[0]?.levels ?? [], said: problems.map(({ text }) => text).join(' | ') };
};

describe('heights, pressures and temperatures that do not fit one another', () => {
  it.each([
    ['metres, kelvin, hPa', 'height_m,temperature_K,pressure_hPa', (r) => [r.z, r.t, r.p]],
    ['feet, °C, Pa', 'height_ft,temperature_C,pressure_Pa', (r) => [r.z / 0.3048, r.t - 273.15, r.p * 100]],
  ] as [string, string, Write][])('%s, as the header says: nothing is said', async (_, names, write) => {
    const { levels, said } = await read(table(names, write));
    expect(said).toBe('');
    expect(levels.every((level) => level.height_m !== null && level.pressure_Pa !== null)).toBe(true);
  });

  it.each([
    ['height_m,temperature_K,pressure_hPa', (r) => [r.z / 0.3048, r.t, r.p]],
    ['height_m,dewPoint_K,pressure_hPa', (r) => [r.z / 0.3048, 200, r.p]],
  ] as [string, Write][])('feet up to 8 km in %s: the heights are wrong, not the pressures', async (names, write) => {
    // Over so little height the pressures alone look as if they hardly fell.
    const { levels, said } = await read(table(names, write, 6));
    expect(said).toMatch(/probably feet, and are not used until the file says so/);
    expect(levels.map(({ height_m, pressure_Pa }) => [height_m, pressure_Pa === null])).toEqual(
      levels.map(() => [null, false]),
    );
    expect(levels.length).toBe(6);
  });

  it.each([
    [
      'feet in a column of metres',
      'height_m,temperature_K,pressure_hPa',
      (r) => [r.z / 0.3048, r.t, r.p],
      /probably feet/,
      'height_m',
    ],
    [
      'metres in a column of feet',
      'height_ft,temperature_K,pressure_hPa',
      (r) => [r.z, r.t, r.p],
      /probably metres/,
      'height_m',
    ],
    [
      'hPa in a column of Pa',
      'height_m,temperature_K,pressure_Pa',
      (r) => [r.z, r.t, r.p],
      /probably hPa/,
      'pressure_Pa',
    ],
    [
      'feet in a column of metres, no temperatures',
      'height_m,dewPoint_K,pressure_hPa',
      (r) => [r.z / 0.3048, 200, r.p],
      /probably feet/,
      'height_m',
    ],
    [
      'metres in a column of feet, no temperatures',
      'height_ft,dewPoint_K,pressure_hPa',
      (r) => [r.z, 200, r.p],
      /probably metres/,
      'height_m',
    ],
  ] as [string, string, Write, RegExp, 'height_m' | 'pressure_Pa'][])(
    '%s: a unit is proposed, and the column is not used',
    async (_, names, write, why, column) => {
      const { levels, said } = await read(table(names, write));
      expect(said).toMatch(why);
      expect(said).toMatch(/not used until the file says so/);
      expect(levels.length).toBe(USSA.length);
      expect(levels.every((level) => level[column] === null)).toBe(true);
      expect(levels.every((level) => level.speed_mps === 12)).toBe(true);
    },
  );

  it('one pressure at all heights is no pressure, in a file and in a plan, with temperatures or without', async () => {
    for (const names of ['height_m,temperature_K,pressure_hPa', 'height_m,dew_point_K,pressure_hPa']) {
      const { levels, said } = await read(table(names, (r) => [r.z, r.t, 1013.2]));
      expect(said.replaceAll('\u202f', ' ')).toContain(
        'pressures do not fall with height: 1013.2 hPa at 0 m MSL and 1013.2 hPa at 20 000 m MSL; expected less; not used',
      );
      expect(levels.every((level) => level.pressure_Pa === null && level.speed_mps === 12)).toBe(true);
    }
    const own = USSA.map(([z, t]) => ({
      height_m: z,
      from_deg: 270,
      speed_mps: 12,
      temperature_K: t,
      pressure_Pa: 1e5,
    }));
    const plan = {
      site: { name: 'Site', position: [10, 45] as const, elevation_m: 0 },
      exit: { position: [10, 45] as const, altitude_m: 4000, time: '2027-06-01T10:00:00Z' },
      winds: { forecast: [{ source: 'typed', validTime: '2027-06-01T10:00:00Z', levels: own }] },
    };
    const { problems, air } = windsOf(plan, []);
    expect(problems.join(' ')).toContain('winds.forecast "typed": pressures do not fall with height');
    // Then the air is the standard's, half as dense at 6 662 m as at the ground (U.S. Standard Atmosphere 1976).
    expect(Math.abs(air.density(6662) / 1.225 - 0.5)).toBeLessThan(0.01);
  });

  it('kelvin in a column of °C leave no temperature', async () => {
    const { levels, said } = await read(table('height_m,temperature_C,pressure_hPa', (r) => [r.z, r.t, r.p]));
    expect(said).toMatch(/temperature "288.15"; expected -143.1 to 66.85 °C/);
    expect(levels.every((level) => level.temperature_K === null)).toBe(true);
  });
});

describe('tables', () => {
  const said = async (...lines: string[]): Promise<string> => (await read(strToU8(lines.join('\n')))).said;
  const heights = async (...lines: string[]): Promise<(number | null)[]> =>
    (await read(strToU8(lines.join('\n')))).levels.map((level) => level.height_m);

  it('a row with more cells than the header is left out: decimal commas shift what stands behind them', async () => {
    const lines = ['height_m,from_deg,speed_mps', '100,270,12', '200,5,270,12'] as const;
    expect(await said(...lines)).toMatch(/4 cells under a header of 3; decimal commas would do that/);
    expect(await heights(...lines)).toEqual([100]);
    expect(await said('height_m,from_deg,speed_mps,', '100,270,12,')).toBe('');
  });

  it('"12.000" is twelve or twelve thousand: asked; with other decimals it is a number', async () => {
    expect(await said('height_m,from_deg,speed_mps', '1.000,270,12', '12.000,270,20')).toMatch(
      /"1.000" may be 1 or 1000/,
    );
    expect(await heights('height_m,from_deg,speed_mps', '500,270,9', '1.000,270,12')).toEqual([null, null]);
    expect(await heights('height_m,from_deg,speed_mps', '183.000,270,9', '212.250,270,12')).toEqual([183, 212.25]);
    expect(await heights('height_km,from_deg,speed_mps', '1.000,270,9', '12.000,270,12')).toEqual([1000, 12_000]);
  });

  it('a gust below the mean is left out', async () => {
    const { levels, said } = await read(strToU8('height_m,from_deg,speed_mps,gust_mps\n10,270,8,3\n20,270,8,11'));
    expect(said).toMatch(
      /1 gusts lower than the mean wind, such as 3.0\u202fm\/s below the mean of 8.0\u202fm\/s; left out/,
    );
    expect(levels.map((level) => level.gust_mps)).toEqual([undefined, 11]);
  });

  it('the sign of degrees in code page 1252, in UTF-8, and the ordinal that is written for it', async () => {
    const lines = 'height_m,from_deg,speed_mps,temperature (°C)\n100,270,12,21.5';
    const latin = Uint8Array.from(lines, (c) => c.charCodeAt(0));
    for (const bytes of [strToU8(lines), latin, strToU8(lines.replace('°', 'º'))]) {
      const { levels, said } = await read(bytes);
      expect(said).toBe('');
      expect(levels[0]?.temperature_K).toBeCloseTo(294.65, 9);
    }
  });
});

describe('sentences and sizes', () => {
  it('sentences carry no control characters, turn no text round, and are short', async () => {
    const bad = `height_m,from_deg,speed_mps,${'\u202e\u0007name'.repeat(200)}\n1,2,3,4`;
    const { problems } = await readWindFile({ name: 'x', bytes: strToU8(bad) });
    expect(problems.length).toBeGreaterThan(0);
    for (const { text } of problems) {
      expect(text.length).toBeLessThan(300);
      // eslint-disable-next-line no-control-regex -- what must not be there
      expect(text).not.toMatch(/[\u0000-\u001f\u007f-\u009f\u202a-\u202e\u2066-\u2069]/);
    }
  });

  it('a small archive of many tables is read as far as a text may reach, and the rest is said', async () => {
    const rows = strToU8(`height_m,from_deg,speed_mps\n${'1000,270,12\n'.repeat(100_000)}`);
    const zip = zipSync(Object.fromEntries(Array.from({ length: 30 }, (_, k) => [`${k}.csv`, rows])));
    expect(zip.length).toBeLessThan(600_000);
    const { value, problems } = await readWindFile({ name: 'x.zip', bytes: zip });
    expect(value.decoded.length).toBe(4);
    expect(problems.map(({ text }) => text).join('|')).toMatch(/26 of 30 files of the zip not read/);
  });
});
