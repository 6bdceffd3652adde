// netCDF classic files, CDF-1, CDF-2 (64-bit offset) and CDF-5 (64-bit data).
// Source: NetCDF Users Guide, "The NetCDF Classic Format Specification"; PnetCDF's CDF-5 specification. npm netcdfjs
// 4.0.0 is not used: it refuses CDF-5 (`tests/formats/netcdf.test.ts`) and reads whole variables where we need slabs.
import { MOST_NUMBERS, type AttributeValue, type NcFile, type NcVariable } from './file.ts';

/** Bytes of one number of each nc_type, by number; 2 is text. */
const SIZES = [0, 1, 1, 2, 4, 4, 8, 1, 2, 4, 8, 8];
const CHAR = 2;
const FLOAT = 5;
const DOUBLE = 6;

/** Names, dimensions and attributes in one list at most: beyond it a broken count is the likelier reason. */
const MOST_ENTRIES = 100_000;

/** The header's cursor. A value past the end makes `broken` true and everything after it 0. */
class Cursor {
  readonly view: DataView;
  readonly wide: boolean;
  at = 4;
  broken = false;

  constructor(bytes: Uint8Array, wide: boolean) {
    this.view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
    this.wide = wide;
  }

  take(size: number): number {
    const at = this.at;
    if (!(size >= 0 && at + size <= this.view.byteLength)) this.broken = true;
    else this.at += size;
    return at;
  }

  int32(): number {
    const at = this.take(4);
    return this.broken ? 0 : this.view.getInt32(at);
  }

  int64(): number {
    const at = this.take(8);
    return this.broken ? 0 : Number(this.view.getBigInt64(at));
  }

  /** A count, a length or an index: 8 bytes in CDF-5. */
  count(): number {
    return this.wide ? this.int64() : this.int32();
  }

  /** Elements of a list whose tag should be `tag`, 0 where the list is absent. */
  list(tag: number): number {
    const found = this.int32();
    const n = this.count();
    if (found !== tag && !(found === 0 && n === 0)) this.broken = true;
    if (!(n >= 0 && n <= MOST_ENTRIES)) this.broken = true;
    return this.broken ? 0 : n;
  }

  name(): string {
    const length = this.count();
    const at = this.take(padded(length));
    return this.broken ? '' : text(this.view, at, length);
  }
}

const padded = (n: number): number => Math.ceil(n / 4) * 4;

/**
 * UTF-8 without the decoder of the platform, which `core` does not know: names outside ASCII keep their bytes as
 * characters.
 */
function text(view: DataView, at: number, length: number): string {
  let out = '';
  for (let k = 0; k < length; k++) {
    const code = view.getUint8(at + k);
    if (code === 0) break;
    out += String.fromCharCode(code);
  }
  return out;
}

interface Variable {
  readonly name: string;
  readonly dims: readonly number[];
  readonly attributes: ReadonlyMap<string, AttributeValue>;
  readonly type: number;
  readonly begin: number;
}

/**
 * A classic file by its header; a sentence where that makes no sense. Data that are cut short are found when they are
 * read.
 */
export function readClassic(bytes: Uint8Array): NcFile | string {
  const version = bytes[3] ?? 0;
  if (version !== 1 && version !== 2 && version !== 5)
    return `netCDF classic of version ${version}; expected 1, 2 or 5`;
  const cursor = new Cursor(bytes, version === 5);
  let records = cursor.count();
  const dims: { name: string; length: number }[] = [];
  for (let k = cursor.list(0x0a); k > 0; k--) dims.push({ name: cursor.name(), length: cursor.count() });
  const attributes = readAttributes(cursor);
  const variables: Variable[] = [];
  for (let k = cursor.list(0x0b); k > 0 && !cursor.broken; k--) {
    const name = cursor.name();
    const rank = cursor.count();
    if (!(rank >= 0 && rank <= 32)) return `variable "${name}" with ${rank} dimensions; expected up to 32`;
    const ids = Array.from({ length: rank }, () => cursor.count());
    const own = readAttributes(cursor);
    const type = cursor.int32();
    cursor.count(); // The size of a variable: it overflows in large files, and follows from its dimensions.
    const begin = version === 1 ? cursor.int32() : cursor.int64();
    if (SIZES[type] === undefined || type === 0 || ids.some((id) => dims[id] === undefined) || begin < 0) {
      return `variable "${name}" of type ${type} on dimensions ${ids.join(', ')}; the header makes no sense`;
    }
    variables.push({ name, dims: ids, attributes: own, type, begin });
  }
  if (cursor.broken) return 'a netCDF classic header that is cut short or makes no sense';
  const recordVariables = variables.filter(({ dims: ids }) => ids.length > 0 && dims[ids[0] ?? -1]?.length === 0);
  const recordBytes = recordSize(recordVariables, dims);
  if (records < 0) {
    // "Streaming": the number of records was not known when the header was written.
    const first = Math.min(...recordVariables.map(({ begin }) => begin));
    records = recordBytes > 0 && first < bytes.length ? Math.floor((bytes.length - first) / recordBytes) : 0;
  }
  const sized = dims.map(({ name, length }) => ({
    name,
    length: length === 0 ? records : length,
    record: length === 0,
  }));
  return {
    kind: 'netCDF classic',
    attributes,
    variables: variables.map((variable) => classicVariable(bytes, variable, sized, recordBytes)),
  };
}

/** Bytes from one record to the next. A single record variable is not padded. */
function recordSize(variables: readonly Variable[], dims: readonly { readonly length: number }[]): number {
  const sizes = variables.map(({ dims: ids, type }) => {
    return ids.slice(1).reduce((product, id) => product * (dims[id]?.length ?? 0), SIZES[type] ?? 0);
  });
  return sizes.length === 1 ? (sizes[0] ?? 0) : sizes.reduce((sum, size) => sum + padded(size), 0);
}

function readAttributes(cursor: Cursor): Map<string, AttributeValue> {
  const out = new Map<string, AttributeValue>();
  for (let k = cursor.list(0x0c); k > 0 && !cursor.broken; k--) {
    const name = cursor.name();
    const type = cursor.int32();
    const n = cursor.count();
    const size = SIZES[type] ?? 0;
    if (size === 0 || !(n >= 0)) cursor.broken = true;
    const at = cursor.take(padded(n * size));
    if (cursor.broken) break;
    out.set(
      name,
      type === CHAR
        ? text(cursor.view, at, n)
        : Array.from({ length: n }, (_, m) => numberAt(cursor.view, at + m * size, type)),
    );
  }
  return out;
}

function numberAt(view: DataView, at: number, type: number): number {
  switch (type) {
    case 1:
      return view.getInt8(at);
    case 2:
    case 7:
      return view.getUint8(at);
    case 3:
      return view.getInt16(at);
    case 4:
      return view.getInt32(at);
    case FLOAT:
      return view.getFloat32(at);
    case DOUBLE:
      return view.getFloat64(at);
    case 8:
      return view.getUint16(at);
    case 9:
      return view.getUint32(at);
    case 10:
      return Number(view.getBigInt64(at));
    case 11:
      return Number(view.getBigUint64(at));
    default:
      return NaN;
  }
}

function classicVariable(
  bytes: Uint8Array,
  variable: Variable,
  dims: readonly { readonly name: string; readonly length: number; readonly record: boolean }[],
  recordBytes: number,
): NcVariable {
  const { name, type, begin, attributes } = variable;
  const own = variable.dims.map((id) => dims[id] ?? { name: '', length: 0, record: false });
  const shape = own.map(({ length }) => length);
  const size = SIZES[type] ?? 1;
  // Bytes from one index to the next along each dimension; the record dimension steps over all variables' records.
  const strides = shape.map((_, d) => shape.slice(d + 1).reduce((product, n) => product * n, size));
  if (own[0]?.record === true) strides[0] = recordBytes;
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const bits = type === CHAR ? -1 : type === FLOAT || type === DOUBLE ? 0 : size * 8;
  return {
    name,
    dims: own.map((dim) => dim.name),
    shape,
    attributes,
    bits,
    slab: (start, count) => {
      const total = count.reduce((product, n) => product * n, 1);
      // Of CDF-5 lengths and offsets are signed numbers of 64 bits: in a wounded file they may be less than nothing.
      if (!(total >= 0 && total <= MOST_NUMBERS && begin >= 0 && count.every((n) => n >= 0)))
        return `"${name}": ${total} numbers at once from byte ${begin}; expected up to ${MOST_NUMBERS}`;
      const last = start.reduce((sum, at, d) => sum + (at + (count[d] ?? 1) - 1) * (strides[d] ?? 0), begin);
      if (total > 0 && !(last + size <= bytes.length))
        return `"${name}" is cut short: its data reach to byte ${last + size} of ${bytes.length}`;
      const out = new Float64Array(total);
      const index = count.map(() => 0);
      for (let k = 0; k < total; k++) {
        let at = begin;
        for (let d = 0; d < index.length; d++) at += ((start[d] ?? 0) + (index[d] ?? 0)) * (strides[d] ?? 0);
        out[k] = numberAt(view, at, type);
        for (let d = index.length - 1; d >= 0; d--) {
          index[d] = (index[d] ?? 0) + 1;
          if ((index[d] ?? 0) < (count[d] ?? 1)) break;
          index[d] = 0;
        }
      }
      return out;
    },
  };
}
