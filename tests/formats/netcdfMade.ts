// Small netCDF files made here: classic by the format's specification (netcdfjs reads them back in the test, so that
// the writer is not its own judge), netCDF-4 by the HDF5 library. Fields are linear in longitude and latitude, so
// bilinear columns have a known answer.
import { File as H5File, ready } from 'h5wasm';

export type NcType = 'short' | 'int' | 'float' | 'double' | 'ubyte' | 'int64';
export interface MadeVariable {
  readonly name: string;
  readonly dims: readonly string[];
  readonly type: NcType;
  readonly attributes: Readonly<Record<string, string | number | readonly number[]>>;
  readonly data: readonly number[];
}
export interface MadeFile {
  /** A length of 0 is the record dimension; `records` then says how many there are. */
  readonly dims: Readonly<Record<string, number>>;
  readonly records: number;
  readonly attributes: Readonly<Record<string, string | number>>;
  readonly variables: readonly MadeVariable[];
}

const TYPES: Readonly<Record<NcType, readonly [code: number, size: number]>> = {
  short: [3, 2],
  int: [4, 4],
  float: [5, 4],
  double: [6, 8],
  ubyte: [7, 1],
  int64: [10, 8],
};

function put(view: DataView, at: number, type: NcType, x: number): void {
  if (type === 'short') view.setInt16(at, x);
  else if (type === 'int') view.setInt32(at, x);
  else if (type === 'float') view.setFloat32(at, x);
  else if (type === 'double') view.setFloat64(at, x);
  else if (type === 'ubyte') view.setUint8(at, x);
  else view.setBigInt64(at, BigInt(x));
}

/** Classic bytes of version 1, 2 or 5 (netCDF Classic Format Specification; CDF-5: 8-byte counts and offsets). */
export function classicBytes(file: MadeFile, version: 1 | 2 | 5): Uint8Array {
  const dims = Object.entries(file.dims);
  const lengthOf = (name: string): number => file.dims[name] ?? 0;
  const isRecord = (variable: MadeVariable): boolean =>
    variable.dims[0] !== undefined && lengthOf(variable.dims[0]) === 0;
  const perRecord = (variable: MadeVariable): number =>
    variable.dims
      .slice(isRecord(variable) ? 1 : 0)
      .reduce((product, name) => product * lengthOf(name), TYPES[variable.type][1]);
  const padded = (n: number): number => Math.ceil(n / 4) * 4;
  const recordVariables = file.variables.filter(isRecord);
  const recordSize = (variable: MadeVariable): number =>
    recordVariables.length === 1 ? perRecord(variable) : padded(perRecord(variable));

  const header = (begins: ReadonlyMap<string, number>): Uint8Array => {
    const out: number[] = [0x43, 0x44, 0x46, version];
    const int = (x: number, size: number): void => {
      for (let k = size - 1; k >= 0; k--) out.push(Math.floor(x / 256 ** k) % 256);
    };
    const count = (x: number): void => int(x, version === 5 ? 8 : 4);
    const name = (text: string): void => {
      count(text.length);
      for (const c of text.padEnd(padded(text.length), '\0')) out.push(c.charCodeAt(0));
    };
    const attributes = (entries: readonly (readonly [string, string | number | readonly number[]])[]): void => {
      int(entries.length === 0 ? 0 : 0x0c, 4);
      count(entries.length);
      for (const [key, value] of entries) {
        name(key);
        if (typeof value === 'string') {
          int(2, 4);
          name(value);
          continue;
        }
        const numbers = typeof value === 'number' ? [value] : value;
        int(6, 4);
        count(numbers.length);
        const bytes = new DataView(new ArrayBuffer(8 * numbers.length));
        numbers.forEach((x, k) => bytes.setFloat64(8 * k, x));
        out.push(...new Uint8Array(bytes.buffer));
      }
    };
    count(file.records);
    int(0x0a, 4);
    count(dims.length);
    for (const [key, length] of dims) {
      name(key);
      count(length);
    }
    attributes(Object.entries(file.attributes));
    int(0x0b, 4);
    count(file.variables.length);
    for (const variable of file.variables) {
      name(variable.name);
      count(variable.dims.length);
      for (const dim of variable.dims) count(dims.findIndex(([key]) => key === dim));
      attributes(Object.entries(variable.attributes));
      int(TYPES[variable.type][0], 4);
      count(isRecord(variable) ? recordSize(variable) : padded(perRecord(variable)));
      int(begins.get(variable.name) ?? 0, version === 1 ? 4 : 8);
    }
    return Uint8Array.from(out);
  };

  const begins = new Map<string, number>();
  let at = header(begins).length;
  for (const variable of [...file.variables.filter((v) => !isRecord(v)), ...recordVariables]) {
    begins.set(variable.name, at);
    at += isRecord(variable) ? recordSize(variable) : padded(perRecord(variable));
  }
  const stride = recordVariables.reduce((sum, variable) => sum + recordSize(variable), 0);
  const bytes = new Uint8Array(at + Math.max(0, file.records - 1) * stride);
  bytes.set(header(begins));
  const view = new DataView(bytes.buffer);
  for (const variable of file.variables) {
    const size = TYPES[variable.type][1];
    const inRecord = perRecord(variable) / size;
    variable.data.forEach((x, k) => {
      const record = isRecord(variable) ? Math.floor(k / inRecord) : 0;
      put(view, (begins.get(variable.name) ?? 0) + record * stride + (k - record * inRecord) * size, variable.type, x);
    });
  }
  return bytes;
}

const H5_TYPES: Readonly<Record<NcType, string>> = {
  short: '<h',
  int: '<i',
  float: '<f',
  double: '<d',
  ubyte: '<B',
  int64: '<q',
};
const ARRAYS = {
  short: Int16Array,
  int: Int32Array,
  float: Float32Array,
  double: Float64Array,
  ubyte: Uint8Array,
} as const;

/** The same file as netCDF-4: variables in compressed chunks, dimensions as HDF5 dimension scales. */
export async function hdf5Bytes(file: MadeFile): Promise<Uint8Array> {
  const { FS } = await ready;
  const h5 = new H5File('made.nc', 'w');
  const shapeOf = (variable: MadeVariable): number[] => variable.dims.map((name) => file.dims[name] || file.records);
  for (const variable of file.variables) {
    const shape = shapeOf(variable);
    const type = variable.type === 'int64' ? 'double' : variable.type;
    const dataset = h5.create_dataset({
      name: variable.name,
      data: ARRAYS[type].from(variable.data),
      shape,
      dtype: H5_TYPES[type],
      ...(shape.length > 1
        ? {
            chunks: shape.map((n, d) => (d < shape.length - 2 ? 1 : n)),
            compression: 'gzip' as const,
            compression_opts: 4,
          }
        : {}),
    });
    for (const [key, value] of Object.entries(variable.attributes)) {
      dataset.create_attribute(key, typeof value === 'string' ? value : Float64Array.from([value].flat()));
    }
    if (variable.dims.length === 1 && variable.dims[0] === variable.name) dataset.make_scale(variable.name);
  }
  for (const variable of file.variables) {
    if (variable.dims[0] === variable.name) continue;
    const dataset = h5.get(variable.name);
    variable.dims.forEach((dim, d) => {
      if (dataset !== null && 'attach_scale' in dataset && h5.get(dim) !== null) dataset.attach_scale(d, dim);
    });
  }
  for (const [key, value] of Object.entries(file.attributes)) h5.create_attribute(key, value);
  h5.close();
  const bytes = FS.readFile('made.nc');
  FS.unlink('made.nc');
  return Uint8Array.from(bytes);
}

export interface Recipe {
  readonly levels: readonly number[];
  readonly levelUnits: string;
  readonly lats: readonly number[];
  readonly lons: readonly number[];
  readonly times: readonly number[];
  readonly timeUnits: string;
  readonly packed: boolean;
  readonly geopotential: boolean;
  /** The record dimension is time. */
  readonly record: boolean;
  readonly lonFirst: boolean;
}

export const PLAIN: Recipe = {
  levels: [1000, 500, 10],
  levelUnits: 'hPa',
  lats: [40, 41, 42, 43, 44, 45],
  lons: [5, 6, 7, 8, 9],
  times: [0, 6],
  timeUnits: 'hours since 2026-03-01 06:00:00',
  packed: false,
  geopotential: false,
  record: false,
  lonFirst: false,
};

/** u, v m/s and geopotential metres at a place, level index from the highest pressure, time index. */
export const formula = (lon: number, lat: number, k: number, t: number) => ({
  u: 4 + 2 * k + 0.5 * (lat - 45) - 0.25 * lon + t,
  v: -3 + 0.75 * k + 0.25 * (lat - 45) + 0.5 * lon - 0.25 * t,
  gpm: 100 + 15_000 * k + 4 * (lat - 45) - 2 * lon + t,
  t: 280 - 20 * k + 0.1 * (lat - 45),
});

/** Half a step of the packing: 0.001 m/s, 1 m²/s² of geopotential, 0.005 K. */
export const STEP = { u: 0.002, z: 40, t: 0.01 } as const;

/** A forecast by a recipe. Packed numbers have a negative scale: the largest value is the smallest number. */
export function forecast(recipe: Recipe): MadeFile {
  const { levels, lats, lons, times, packed, geopotential } = recipe;
  const rank = [...levels].map((p) => p).sort((a, b) => b - a);
  const lonOf = (lon: number): number => (lon > 180 ? lon - 360 : lon);
  const values = (pick: (f: ReturnType<typeof formula>) => number): number[] =>
    times.flatMap((_, t) =>
      levels.flatMap((p) => {
        const at = (lat: number, lon: number): number => pick(formula(lonOf(lon), lat, rank.indexOf(p), t));
        return recipe.lonFirst
          ? lons.flatMap((lon) => lats.map((lat) => at(lat, lon)))
          : lats.flatMap((lat) => lons.map((lon) => at(lat, lon)));
      }),
    );
  const dims = recipe.lonFirst
    ? ['time', 'level', 'longitude', 'latitude']
    : ['time', 'level', 'latitude', 'longitude'];
  const variable = (name: string, units: string, data: readonly number[], step: number): MadeVariable => {
    if (!packed) return { name, dims, type: 'float', attributes: { units }, data };
    const offset = (Math.max(...data) + Math.min(...data)) / 2;
    const attributes = { units, scale_factor: -step, add_offset: offset, _FillValue: -32767, missing_value: -32767 };
    return { name, dims, type: 'short', attributes, data: data.map((x) => Math.round((x - offset) / -step) + 0) };
  };
  const z = geopotential
    ? variable(
        'z',
        'm**2 s**-2',
        values((f) => f.gpm * 9.80665),
        STEP.z,
      )
    : variable(
        'gh',
        'gpm',
        values((f) => f.gpm),
        STEP.z / 9.80665,
      );
  return {
    dims: {
      time: recipe.record ? 0 : times.length,
      level: levels.length,
      latitude: lats.length,
      longitude: lons.length,
    },
    records: recipe.record ? times.length : 0,
    attributes: { Conventions: 'CF-1.8', title: 'made' },
    variables: [
      { name: 'longitude', dims: ['longitude'], type: 'float', attributes: { units: 'degrees_east' }, data: lons },
      { name: 'latitude', dims: ['latitude'], type: 'float', attributes: { units: 'degrees_north' }, data: lats },
      { name: 'level', dims: ['level'], type: 'int', attributes: { units: recipe.levelUnits }, data: levels },
      { name: 'time', dims: ['time'], type: 'double', attributes: { units: recipe.timeUnits }, data: times },
      variable(
        'u',
        'm s**-1',
        values((f) => f.u),
        STEP.u,
      ),
      variable(
        'v',
        'm s**-1',
        values((f) => f.v),
        STEP.u,
      ),
      z,
      variable(
        't',
        'K',
        values((f) => f.t),
        STEP.t,
      ),
    ],
  };
}
