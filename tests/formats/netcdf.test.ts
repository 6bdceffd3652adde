// netCDF against other readers: GDAL's answers for the open files, netcdfjs for files made here, the same forecast as
// GRIB, formulas. ref: tests/published/netcdf-answers.json (how: make-netcdf-answers.mjs);
// ../shared/open-data/MANIFEST.md; source: GDAL 3.6 / libnetcdf.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { NetCDFReader } from 'netcdfjs';
import { describe, expect, it } from 'vitest';
import { geometricHeight } from '../../core/air/air.ts';
import { readGrib2 } from '../../core/formats/grids/grib2.ts';
import { readNetcdf } from '../../core/formats/grids/netcdf.ts';
import { timeUnit } from '../../core/formats/grids/netcdf/time.ts';
import { windVector, type LonLat } from '../../core/base/units.ts';
import { describeOpenData } from '../openData.ts';
import {
  classicBytes,
  forecast,
  formula,
  hdf5Bytes,
  PLAIN,
  STEP,
  type MadeFile,
  type MadeVariable,
  type Recipe,
} from './netcdfMade.ts';

interface NetcdfAnswers {
  readonly gridded: readonly { readonly file: string; readonly points: readonly (readonly number[])[] }[];
  readonly soundings: readonly {
    readonly file: string;
    readonly samples: number;
    readonly points: readonly (readonly number[])[];
  }[];
}
const answers = JSON.parse(
  readFileSync(new URL('../published/netcdf-answers.json', import.meta.url), 'utf8'),
) as NetcdfAnswers;

/**
 * GDAL prints 9 digits, all that single precision has: half a unit of the ninth, and the way through direction and
 * speed.
 */
const close = (ours: number | null | undefined, theirs: number, label: string): void => {
  expect(Math.abs((ours ?? NaN) - theirs), label).toBeLessThanOrEqual(1e-7 * Math.max(1, Math.abs(theirs)));
};

describeOpenData('netCDF files of the open data', ({ openData }) => {
  const bytesOf = (file: string): Uint8Array => new Uint8Array(readFileSync(join(openData, file)));
  const table: string[] = [];

  for (const { file, points } of answers.gridded) {
    it(`${file}: 60 points and levels as GDAL has them`, async () => {
      const bytes = bytesOf(file);
      for (const [level, lat, lon, u, v, height, temperature] of points as readonly (readonly [
        number,
        number,
        number,
        number,
        number,
        number,
        number,
      ])[]) {
        const { value, problems } = await readNetcdf(bytes, { near: [lon, lat] });
        expect(problems).toEqual([]);
        const found = value.decoded[0]?.levels.find(({ pressure_Pa }) => pressure_Pa === level);
        const [ownU, ownV] = windVector(found?.from_deg ?? NaN, found?.speed_mps ?? NaN);
        close(ownU, u, 'u');
        close(ownV, v, 'v');
        close(found?.height_m, geometricHeight(height), 'height');
        close(found?.temperature_K, temperature, 'temperature');
      }
      const { value } = await readNetcdf(bytes, {});
      const [column] = value.decoded;
      const top = (column?.levels.at(-1)?.height_m ?? NaN) / 1000;
      const said = (column?.problems ?? []).map(({ text }) => text).join(' | ');
      table.push(
        `${file.padEnd(66)} ${column?.validTime} ${column?.levels.length} levels, top ${top.toFixed(2)} km; ${said}`,
      );
      expect(points.length).toBe(60);
      expect(column?.levels.length).toBe(26);
      expect(column?.validTime).toBe(file.includes('20101026') ? '2010-10-26T12:00:00Z' : '2011-01-15T12:00:00Z');
    });
  }

  it('the classic file of 2011 is the GRIB file of the same forecast', async () => {
    const nc = bytesOf('netcdf/gfs-20110115-12z-northamerica-classic-lat-ascending.nc');
    const grib = bytesOf('grib/gfs-2p5deg-20110110-12z-f120-uvght.grib2');
    let compared = 0;
    for (const near of [
      [-104.3, 33.9],
      [-159.9, 20.1],
      [-61, 59.5],
      [-97.5, 40],
    ] as const) {
      // prettier-ignore
      const [a, b] = [(await readNetcdf(nc, { near })).value, (await readGrib2(grib, { near })).value];
      expect(a.decoded[0]?.validTime).toBe(b.decoded[0]?.validTime);
      a.decoded[0]?.levels.forEach((level, k) => {
        const same = b.decoded[0]?.levels[k];
        const [u, v] = windVector(level.from_deg ?? NaN, level.speed_mps ?? NaN);
        const [gu, gv] = windVector(same?.from_deg ?? NaN, same?.speed_mps ?? NaN);
        // Single precision in the file: 6e-8 of the largest number that is mixed.
        expect(Math.hypot(u - gu, v - gv)).toBeLessThan(1e-5);
        expect(Math.abs((level.height_m ?? NaN) - (same?.height_m ?? Infinity))).toBeLessThan(0.003);
        expect(Math.abs((level.temperature_K ?? NaN) - (same?.temperature_K ?? Infinity))).toBeLessThan(5e-5);
        compared += 1;
      });
    }
    expect(compared).toBe(4 * 26);
  });

  for (const { file, samples, points } of answers.soundings) {
    it(`${file}: a sounding, sample by sample as GDAL has it`, async () => {
      const { value, problems } = await readNetcdf(bytesOf(file), {});
      expect(problems).toEqual([]);
      const [column] = value.decoded;
      expect(column?.levels.length).toBe(samples);
      let compared = 0;
      for (const [index, ...numbers] of points as readonly (readonly [number, ...number[]])[]) {
        const level = column?.levels[index];
        const ours = [
          level?.height_m,
          level?.pressure_Pa,
          level?.from_deg,
          level?.speed_mps,
          level?.temperature_K,
          level?.dewPoint_K,
        ];
        numbers.forEach((theirs, k) => {
          const expected = k === 1 ? theirs * 100 : k >= 4 ? theirs + 273.15 : k === 2 ? theirs % 360 : theirs;
          if (theirs === -9999) expect(ours[k]).toBeNull();
          else close(ours[k], expected, `sample ${index}, column ${k}`);
          compared += 1;
        });
      }
      expect(compared).toBe(20 * 6);
      const said = (column?.problems ?? []).map(({ text }) => text).join(' | ');
      table.push(
        `${file.padEnd(66)} ${column?.validTime} ${column?.levels.length} levels, top ${((column?.levels.at(-1)?.height_m ?? 0) / 1000).toFixed(2)} km; ${said}`,
      );
    });
  }

  it('counts of levels, wind and heights are those of the manifest', async () => {
    // MANIFEST.md: 3432 levels (3422 with wind, 10 height without wind), 30..35340 m, wind to 35212 m, 0.0..38.7 m/s,
    // calm 4.
    const [darwin] = (await readNetcdf(bytesOf('soundings/arm-darwin-20060122-2326z-35km.nc'), {})).value.decoded;
    const winds = (darwin?.levels ?? []).filter(({ from_deg }) => from_deg !== null);
    expect([darwin?.levels.length, winds.length]).toEqual([3432, 3422]);
    expect([darwin?.levels[0]?.height_m, darwin?.levels.at(-1)?.height_m, winds.at(-1)?.height_m]).toEqual([
      30, 35_340, 35_212,
    ]);
    expect(Math.max(...winds.map(({ speed_mps }) => speed_mps ?? 0))).toBeCloseTo(38.7, 5);
    expect(winds.filter(({ speed_mps }) => speed_mps === 0).length).toBe(4);
    expect(darwin?.validTime).toBe('2006-01-22T23:26:00Z');
    expect(darwin?.problems.map(({ text }) => text)).toEqual([
      '10 of 3432 samples have no wind (marked missing in the file)',
    ]);
    // 4176 levels, all with wind, 315..24570 m, 1.9..58.2 m/s; launched 2019-01-01 0532Z at Lamont, 36.6 N 97.5 W.
    const [sgp] = (await readNetcdf(bytesOf('soundings/arm-sgp-lamont-20190101-0532z-24km-jet.nc'), {})).value.decoded;
    expect(sgp?.levels.filter(({ from_deg }) => from_deg !== null).length).toBe(4176);
    expect(Math.max(...(sgp?.levels ?? []).map(({ speed_mps }) => speed_mps ?? 0))).toBeCloseTo(58.2, 5);
    expect(sgp?.validTime).toBe('2019-01-01T05:32:00Z');
    expect(sgp?.position?.map((x) => x.toFixed(1))).toEqual(['-97.5', '36.6']);
    console.log(table.join('\n'));
    expect(table.length).toBe(5);
  });
});

/** Checks a made forecast at a place against the formula, to the step of its packing. */
async function checkForecast(bytes: Uint8Array, recipe: Recipe, near: LonLat): Promise<number> {
  const { value, problems } = await readNetcdf(bytes, { near });
  expect(problems).toEqual([]);
  expect(value.decoded.length).toBe(recipe.times.length);
  expect(value.grids[0]?.times_s.length).toBe(recipe.times.length);
  const step = recipe.packed ? STEP : { u: 1e-5, z: 0.05, t: 1e-4 };
  const lon = near[0] > 180 ? near[0] - 360 : near[0];
  let compared = 0;
  value.decoded.forEach((column, t) => {
    expect(column.levels.map(({ pressure_Pa }) => pressure_Pa)).toEqual([100_000, 50_000, 1000]);
    column.levels.forEach((level, k) => {
      const expected = formula(lon, near[1], k, t);
      const [u, v] = windVector(level.from_deg ?? NaN, level.speed_mps ?? NaN);
      expect(Math.abs(u - expected.u)).toBeLessThanOrEqual(step.u / 2 + 1e-9);
      expect(Math.abs(v - expected.v)).toBeLessThanOrEqual(step.u / 2 + 1e-9);
      expect(Math.abs((level.height_m ?? NaN) - geometricHeight(expected.gpm))).toBeLessThanOrEqual(
        (step.z / 2 / 9.80665) * 1.02,
      );
      expect(Math.abs((level.temperature_K ?? NaN) - expected.t)).toBeLessThanOrEqual(step.t / 2 + 1e-9);
      compared += 1;
    });
  });
  return compared;
}

const CASES: readonly (readonly [string, Partial<Recipe>])[] = [
  ['hPa from the bottom', {}],
  ['hPa from the top', { levels: [10, 500, 1000] }],
  ['Pa', { levels: [100_000, 50_000, 1000], levelUnits: 'Pa' }],
  ['millibar', { levelUnits: 'millibars' }],
  ['latitudes falling', { lats: [45, 44, 43, 42, 41, 40] }],
  ['longitudes over 180°', { lons: [178, 179, 180, 181, 182] }],
  ['longitudes that jump at 180°', { lons: [178, 179, 180, -179, -178] }],
  ['longitudes that jump at 360°', { lons: [358, 359, 0, 1, 2] }],
  ['longitudes westward', { lons: [9, 8, 7, 6, 5] }],
  ['longitude before latitude', { lonFirst: true }],
  ['packed, negative scale', { packed: true }],
  ['packed, geopotential', { packed: true, geopotential: true }],
  ['geopotential', { geopotential: true }],
  ['a record dimension', { record: true, packed: true }],
  ['one time', { times: [3] }],
];

describe('netCDF forecasts made here', () => {
  it.each(CASES)('%s: as CDF-1, CDF-2, CDF-5 and netCDF-4, in line with the formula', async (_, change) => {
    const recipe = { ...PLAIN, ...change };
    const middle =
      ((recipe.lons[1] ?? 0) +
        0.3 *
          (Math.abs((recipe.lons[2] ?? 0) - (recipe.lons[1] ?? 0)) < 2
            ? (recipe.lons[2] ?? 0) - (recipe.lons[1] ?? 0)
            : 1)) %
      360;
    const near = [middle, 42.7] as const;
    const file = forecast(recipe);
    let compared = 0;
    for (const version of [1, 2, 5] as const)
      compared += await checkForecast(classicBytes(file, version), recipe, near);
    compared += await checkForecast(
      await hdf5Bytes({ ...file, dims: { ...file.dims, time: recipe.times.length } }),
      recipe,
      near,
    );
    expect(compared).toBe(4 * recipe.times.length * 3);
  });

  it('are read by netcdfjs with the numbers that were written (the writer is not a judge of itself)', () => {
    for (const version of [1, 2] as const) {
      for (const recipe of [PLAIN, { ...PLAIN, record: true, packed: true }]) {
        const file = forecast(recipe);
        const other = new NetCDFReader(classicBytes(file, version));
        for (const variable of file.variables) {
          const theirs = other.getDataVariable(variable.name).flat() as number[];
          expect(theirs).toEqual(variable.type === 'float' ? [...Float32Array.from(variable.data)] : variable.data);
        }
      }
    }
  });

  it('of CDF-5 are refused by netcdfjs 4.0.0: why it is not used', () => {
    expect(() => new NetCDFReader(classicBytes(forecast(PLAIN), 5))).toThrow('unknown version');
  });

  it('missing numbers are missing, not winds of the fill value', async () => {
    const file = forecast({ ...PLAIN, packed: true });
    const variables = file.variables.map((variable) =>
      // Level 1 of both times, all of u.
      variable.name === 'u'
        ? { ...variable, data: variable.data.map((x, k) => (Math.floor(k / 30) % 3 === 1 ? -32767 : x)) }
        : variable,
    );
    const { value } = await readNetcdf(classicBytes({ ...file, variables }, 1), { near: [6.5, 42.5] });
    expect(value.decoded[0]?.levels.map(({ from_deg }) => from_deg === null)).toEqual([false, true, false]);
    expect(value.decoded[0]?.problems.map(({ text }) => text).join()).toContain(
      '1 level with wind or height missing at this place',
    );
    expect(value.grids[0]?.columns.every((levels) => levels.length === 2)).toBe(true);
  });

  it('without a time: the column, no field, and it is said', async () => {
    const file = forecast({ ...PLAIN, times: [0] });
    const { value, problems } = await readNetcdf(
      classicBytes({ ...file, variables: file.variables.filter(({ name }) => name !== 'time') }, 1),
      { near: [6.5, 42.5] },
    );
    expect(value.decoded[0]?.validTime).toBeNull();
    expect(value.decoded[0]?.levels.length).toBe(3);
    expect(value.grids).toEqual([]);
    expect(problems.map(({ text }) => text).join()).toContain('no valid time');
  });

  it('winds at 10 m stand on the orography, members of an ensemble stay apart', async () => {
    const dims = { number: 2, latitude: 3, longitude: 3 };
    const flat = (value: number): number[] => Array.from({ length: 9 }, () => value);
    const file: MadeFile = {
      dims,
      records: 0,
      attributes: {},
      variables: [
        {
          name: 'longitude',
          dims: ['longitude'],
          type: 'double',
          attributes: { units: 'degrees_east' },
          data: [10, 11, 12],
        },
        {
          name: 'latitude',
          dims: ['latitude'],
          type: 'double',
          attributes: { units: 'degrees_north' },
          data: [50, 51, 52],
        },
        { name: 'time', dims: [], type: 'int', attributes: { units: 'minutes since 2026-03-01T00:00Z' }, data: [90] },
        {
          name: 'u10',
          dims: ['number', 'latitude', 'longitude'],
          type: 'float',
          attributes: { units: 'knots' },
          data: [...flat(-10), ...flat(0)],
        },
        {
          name: 'v10',
          dims: ['number', 'latitude', 'longitude'],
          type: 'float',
          attributes: { units: 'knots' },
          data: [...flat(0), ...flat(-20)],
        },
        { name: 'orog', dims: ['latitude', 'longitude'], type: 'float', attributes: { units: 'm' }, data: flat(700) },
      ],
    };
    const { value, problems } = await readNetcdf(classicBytes(file, 1), { near: [11, 51] });
    expect(value.decoded.map(({ source, validTime }) => [source, validTime])).toEqual([
      ['netCDF classic member 0', '2026-03-01T01:30:00Z'],
      ['netCDF classic member 1', '2026-03-01T01:30:00Z'],
    ]);
    // The orography is of no member, so of another source: it holds for all.
    expect(value.decoded.map(({ levels }) => [levels[0]?.from_deg, levels[0]?.speed_mps])).toEqual([
      [90, (10 * 1852) / 3600],
      [0, (20 * 1852) / 3600],
    ]);
    for (const { levels } of value.decoded) expect(levels[0]?.height_m).toBeCloseTo(geometricHeight(700) + 10, 6);
    expect(problems).toEqual([]);
  });

  const square = (dims: MadeFile['dims'], wind: Pick<MadeVariable, 'dims' | 'attributes'>): MadeFile => {
    const size = wind.dims.reduce((product, name) => product * (dims[name] ?? 1), 1);
    const axis = (name: string, units: string, data: number[]): MadeVariable => ({
      name,
      dims: [name],
      type: 'double',
      attributes: { units },
      data,
    });
    const component = (name: string): MadeVariable => ({
      ...wind,
      name,
      type: 'float',
      data: Array.from({ length: size }, () => 5),
    });
    return {
      dims,
      records: 0,
      attributes: {},
      variables: [
        axis('longitude', 'degrees_east', [10, 11, 12]),
        axis('latitude', 'degrees_north', [50, 51, 52]),
        { name: 'time', dims: [], type: 'int', attributes: { units: 'hours since 2026-03-01T00:00Z' }, data: [6] },
        component('u10'),
        component('v10'),
      ],
    };
  };

  it.each([
    // CF conventions 1.11: §7.3 cell methods; an ensemble's axis has the standard name "realization".
    [
      'twelve months',
      square({ month: 12, latitude: 3, longitude: 3 }, { dims: ['month', 'latitude', 'longitude'], attributes: { units: 'm s-1' } }), // prettier-ignore
      'its dimension "month" of 12 is neither time, level, place nor members',
    ],
    [
      'a mean over time',
      square({ latitude: 3, longitude: 3 }, { dims: ['latitude', 'longitude'], attributes: { units: 'm s-1', cell_methods: 'time: mean' } }), // prettier-ignore
      'it is a mean over time',
    ],
  ])('winds of %s are not the wind at a time, and said', async (_, file, says) => {
    const { value, problems } = await readNetcdf(classicBytes(file, 1), { near: [11, 51] });
    expect(value.decoded).toEqual([]);
    expect(problems.map(({ text }) => text).join('; ')).toContain(says);
  });

  it.each([
    ['no bytes', new Uint8Array(0), 'an empty file'],
    ['text', Uint8Array.from('netCDF', (c) => c.charCodeAt(0)), 'neither "CDF" nor an HDF5 signature'],
    ['another version', Uint8Array.of(0x43, 0x44, 0x46, 9), 'netCDF classic of version 9; expected 1, 2 or 5'],
    [
      'a header cut short',
      classicBytes(forecast(PLAIN), 1).subarray(0, 300),
      'a netCDF classic header that is cut short',
    ],
    ['data cut short', classicBytes(forecast(PLAIN), 1).subarray(0, 1800), 'is cut short: its data reach to byte'],
    [
      'an HDF5 signature and nothing',
      Uint8Array.of(0x89, 0x48, 0x44, 0x46, 0x0d, 0x0a, 0x1a, 0x0a, 0, 0),
      'that the HDF5 library does not read',
    ],
    ['an unknown unit', classicBytes(withUnits('u', 'furlongs'), 1), '"u" in "furlongs"; expected m/s, km/h or knots'],
    [
      'an invalid time',
      classicBytes(withUnits('time', 'hours since midnight'), 1),
      'time unit "hours since midnight"; expected such as',
    ],
    [
      'a calendar of 360 days',
      classicBytes(forecast({ ...PLAIN, timeUnits: 'hours since 2026-13-45' }), 1),
      'is not a date',
    ],
  ])('%s: a sentence', async (_, bytes, sentence) => {
    const { value, problems } = await readNetcdf(bytes, { near: [6.5, 42.5] });
    expect(
      [...problems, ...value.decoded.flatMap((column) => column.problems)].map(({ text }) => text).join(' | '),
    ).toContain(sentence);
    expect(value.grids).toEqual([]);
  });
});

function withUnits(name: string, units: string): MadeFile {
  const file = forecast(PLAIN);
  return {
    ...file,
    variables: file.variables.map((variable) =>
      variable.name === name ? { ...variable, attributes: { units } } : variable,
    ),
  };
}

describe('time units', () => {
  // Left: unit and number as files have them; right: the moment. Sources: the open files (THREDDS, ARM, Unidata), ERA
  // ("hours since 1900"), and NCEP/NCAR reanalysis 1948, whose first hour 17067072 "since 1-1-1" is 1948-01-01 in the
  // mixed Julian calendar.
  it.each([
    ['Hour since 2010-10-26T12:00:00+00:00', '', 0, '2010-10-26T12:00:00Z'],
    ['seconds since 1970-01-01T00:00:00Z', '', 1_295_092_800, '2011-01-15T12:00:00Z'],
    ['seconds since 2006-01-22 23:26:00 0:00', '', 2, '2006-01-22T23:26:02Z'],
    ['hours since 1900-01-01 00:00:00.0', 'gregorian', 1_105_710, '2026-02-20T06:00:00Z'],
    ['hours since 1-1-1 00:00:0.0', 'standard', 17_067_072, '1948-01-01T00:00:00Z'],
    ['hours since 1-1-1 00:00:0.0', 'proleptic_gregorian', 17_067_024, '1948-01-01T00:00:00Z'],
    ['days since 1858-11-17', '', 51_544.5, '2000-01-01T12:00:00Z'],
    ['minutes since 2026-03-01 00:00 +02:00', '', 60, '2026-02-28T23:00:00Z'],
    ['h since 2024-02-29', '', 24, '2024-03-01T00:00:00Z'],
  ])('%s (%s) %d', (units, calendar, x, expected) => {
    const unit = timeUnit(units, calendar);
    if (typeof unit === 'string') throw new Error(unit);
    expect(new Date((unit.origin_s + x * unit.step_s) * 1000).toISOString()).toBe(expected.replace('Z', '.000Z'));
  });

  it.each([
    ['months since 1970-01-01', ''],
    ['hours', ''],
    ['hours since 1970-01-01', '360_day'],
    ['hours since 1970-01-01', 'noleap'],
    ['hours since 1970-00-01', ''],
  ])('%s (%s) is refused', (units, calendar) => {
    expect(typeof timeUnit(units, calendar)).toBe('string');
  });
});
