// netCDF-4 files, which are HDF5 files, by the HDF5 library itself compiled to WebAssembly (npm h5wasm; loaded only
// when such a file comes: it is four megabytes). Everything the library throws is caught here, at the border.
import type { Attribute, Dataset, Group, OutputData } from 'h5wasm';
import { MOST_NUMBERS, type AttributeValue, type NcFile, type NcVariable } from './file.ts';

/**
 * The name under which a file stands in the library's memory while it is read; reads do not overlap, for `use` does not
 * wait.
 */
const SCRATCH = 'forecast.nc';

/**
 * Opens a netCDF-4 file for as long as `use` runs. A sentence where the library cannot be loaded or the file is not
 * HDF5.
 */
export async function withHdf5<T>(bytes: Uint8Array, use: (file: NcFile) => T): Promise<T | string> {
  const amiss = brokenHeap(bytes);
  if (amiss !== null) return amiss;
  try {
    const library = await import('h5wasm');
    const module = await library.ready;
    const { FS } = module;
    // Errors are thrown, and caught here, instead of being printed.
    module.activate_throwing_error_handler();
    FS.writeFile(SCRATCH, bytes);
    try {
      const file = new library.File(SCRATCH, 'r');
      try {
        return use({
          kind: 'netCDF-4',
          attributes: attributesOf(file),
          variables: variablesOf(file, (entity): entity is Dataset => entity instanceof library.Dataset),
        });
      } finally {
        file.close();
      }
    } finally {
      FS.unlink(SCRATCH);
    }
  } catch (error) {
    return (
      'a netCDF-4 file that the HDF5 library does not read: ' +
      (error instanceof Error ? (error.message.split('\n')[0] ?? '') : String(error))
    );
  }
}

const HEAP_MARK = [0x47, 0x43, 0x4f, 0x4c, 1] as const;
const HEAP_HEAD = 16;
const OBJECT_HEAD = 16;

/**
 * A sentence where a heap of texts holds an object that does not lie inside it, else null. The library walks such a
 * heap without end (seen in HDF5 2.0.0), and nothing stops it from outside. HDF5 File Format Specification III.E:
 * "GCOL", version 1, 3 reserved bytes, the size; then objects, each of index (2), references (2), reserved (4), length
 * (8), and its bytes padded to 8; index 0 is free space, whose length counts its head.
 */
function brokenHeap(bytes: Uint8Array): string | null {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  for (
    let at = bytes.indexOf(HEAP_MARK[0]);
    at >= 0 && at + HEAP_HEAD <= bytes.length;
    at = bytes.indexOf(HEAP_MARK[0], at + 1)
  ) {
    if (HEAP_MARK.some((byte, i) => bytes[at + i] !== byte)) continue;
    const end = at + Number(view.getBigUint64(at + 8, true));
    let object = at + HEAP_HEAD;
    while (object + OBJECT_HEAD <= Math.min(end, bytes.length)) {
      const length = Number(view.getBigUint64(object + 8, true));
      const step = view.getUint16(object, true) === 0 ? length : OBJECT_HEAD + 8 * Math.ceil(length / 8);
      if (step < OBJECT_HEAD || object + step > end)
        return (
          `byte ${object}: an object of ${length} bytes in the heap of texts, which ends at byte ${end}: the ` +
          'netCDF-4 file is damaged'
        );
      object += step;
    }
  }
  return null;
}

/** `null` where the library throws. */
function attempt<T>(read: () => T): T | null {
  try {
    return read();
  } catch {
    return null;
  }
}

function attributesOf(entity: { readonly attrs: Record<string, Attribute> }): Map<string, AttributeValue> {
  const out = new Map<string, AttributeValue>();
  for (const [name, attribute] of Object.entries(attempt(() => entity.attrs) ?? {})) {
    // References between dimensions and variables: names serve for these.
    if (name === 'REFERENCE_LIST' || name === 'DIMENSION_LIST') continue;
    const value = attempt(() => attribute.value);
    if (typeof value === 'string') out.set(name, value);
    else if (Array.isArray(value)) out.set(name, value.filter((part) => typeof part === 'string').join(' '));
    else if (value !== null) out.set(name, [...(numbersOf(value) ?? [])]);
  }
  return out;
}

function numbersOf(value: OutputData): Float64Array | null {
  if (typeof value === 'number' || typeof value === 'bigint') return Float64Array.of(Number(value));
  if (ArrayBuffer.isView(value)) return Float64Array.from(value as ArrayLike<number | bigint>, Number);
  return null;
}

/** The variables of the root group: groups below it are not read. */
function variablesOf(file: Group, isDataset: (entity: unknown) => entity is Dataset): NcVariable[] {
  const out: NcVariable[] = [];
  for (const name of attempt(() => file.keys()) ?? []) {
    const entity = attempt(() => file.get(name));
    if (!isDataset(entity)) continue;
    const variable = attempt(() => variableOf(name, entity));
    if (variable !== null) out.push(variable);
  }
  return out;
}

function variableOf(name: string, dataset: Dataset): NcVariable {
  const shape = dataset.shape ?? [];
  const attributes = attributesOf(dataset);
  const { type, size } = dataset.metadata;
  return {
    name,
    dims: shape.map((length, d) => dimensionOf(name, dataset, d, shape.length) ?? `${name} ${d} of ${length}`),
    shape,
    attributes,
    // H5T_INTEGER is 0, H5T_FLOAT 1 (H5Tpublic.h); all else is not a number here.
    bits: type === 0 ? size * 8 : type === 1 ? 0 : -1,
    slab: (start, count) => {
      const total = count.reduce((product, n) => product * n, 1);
      if (!(total <= MOST_NUMBERS)) return `"${name}": ${total} numbers at once; expected up to ${MOST_NUMBERS}`;
      const value = attempt(() =>
        shape.length === 0 ? dataset.value : dataset.slice(start.map((at, d) => [at, at + (count[d] ?? 1)])),
      );
      const numbers = value === null ? null : numbersOf(value);
      return numbers !== null && numbers.length === total ? numbers : `"${name}": the data cannot be read`;
    },
  };
}

/** The name of a dimension: that of the scale attached to it; a coordinate variable is its own. */
function dimensionOf(name: string, dataset: Dataset, d: number, rank: number): string | null {
  const [scale] = attempt(() => dataset.get_attached_scales(d)) ?? [];
  if (scale !== undefined) return scale.replace(/^\//, '');
  return rank === 1 ? name : null;
}
