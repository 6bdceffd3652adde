// What both forms of netCDF file, classic and HDF5, are to the readers here: dimensions by name, variables with
// attributes, slabs.

export type AttributeValue = string | readonly number[];

export interface NcVariable {
  readonly name: string;
  readonly dims: readonly string[];
  readonly shape: readonly number[];
  readonly attributes: ReadonlyMap<string, AttributeValue>;
  /** Bits of a whole number of this type, 0 for floating point, −1 for text. */
  readonly bits: number;
  /**
   * Numbers as they are stored, without scale and offset: `count[d]` along dimension d from `start[d]`, the last
   * dimension running fastest. A sentence where they cannot be read.
   */
  slab(start: readonly number[], count: readonly number[]): Float64Array | string;
}

export interface NcFile {
  /** For sentences: "netCDF classic", "netCDF-4". */
  readonly kind: string;
  readonly attributes: ReadonlyMap<string, AttributeValue>;
  readonly variables: readonly NcVariable[];
}

/** The most numbers that are read at once: 16 million, 128 MB. */
export const MOST_NUMBERS = 2 ** 24;

export function textIn(attributes: ReadonlyMap<string, AttributeValue>, name: string): string {
  const value = attributes.get(name);
  return typeof value === 'string' ? value.trim() : '';
}

export function numberIn(attributes: ReadonlyMap<string, AttributeValue>, name: string): number | null {
  const value = attributes.get(name);
  if (value === undefined) return null;
  const x = typeof value === 'string' ? (value.trim() === '' ? NaN : Number(value)) : (value[0] ?? NaN);
  return Number.isNaN(x) ? null : x;
}

/** All of a variable, for coordinates: at most as many numbers as fit. */
export function allOf(variable: NcVariable): Float64Array | string {
  const size = variable.shape.reduce((product, n) => product * n, 1);
  if (!(size <= MOST_NUMBERS)) return `"${variable.name}" holds ${size} numbers; expected up to ${MOST_NUMBERS}`;
  const raw = variable.slab(
    variable.shape.map(() => 0),
    variable.shape,
  );
  return typeof raw === 'string' ? raw : unpack(variable, raw);
}

/** What netCDF itself fills with where a file names no fill value (netcdf.h). */
const DEFAULT_FILL: Readonly<Record<number, number>> = { 16: -32767, 32: -2147483647 };
const FLOAT_FILL = 9.9e36;

/**
 * Stored numbers to values: fill values and those outside the valid range to NaN, then scale and offset. In place.
 * Source: NetCDF Users Guide, appendix A (attribute conventions); CF conventions §8.1: the marks are of the packed
 * number.
 */
export function unpack(variable: NcVariable, raw: Float64Array): Float64Array {
  const { attributes, bits } = variable;
  const marks = ['_FillValue', 'missing_value'].flatMap((name) => {
    const value = attributes.get(name);
    return value === undefined ? [] : typeof value === 'string' ? [Number(value)] : [...value];
  });
  const fill = DEFAULT_FILL[bits];
  if (!attributes.has('_FillValue') && fill !== undefined) marks.push(fill);
  const scale = numberIn(attributes, 'scale_factor');
  const offset = numberIn(attributes, 'add_offset');
  const packed = scale !== null || offset !== null;
  const range = attributes.get('valid_range');
  // Of packed numbers files disagree whether the range is of the packed or the unpacked ones: there it decides nothing.
  const least = packed
    ? -Infinity
    : typeof range === 'object'
      ? (range[0] ?? -Infinity)
      : (numberIn(attributes, 'valid_min') ?? -Infinity);
  const most = packed
    ? Infinity
    : typeof range === 'object'
      ? (range[1] ?? Infinity)
      : (numberIn(attributes, 'valid_max') ?? Infinity);
  const unsigned = bits > 0 && textIn(attributes, '_Unsigned') === 'true' ? 2 ** bits : 0;
  for (let k = 0; k < raw.length; k++) {
    let x = raw[k] ?? NaN;
    if (marks.includes(x) || !(x >= least && x <= most) || (bits === 0 && !(Math.abs(x) < FLOAT_FILL))) {
      raw[k] = NaN;
      continue;
    }
    if (x < 0) x += unsigned;
    raw[k] = x * (scale ?? 1) + (offset ?? 0);
  }
  return raw;
}
