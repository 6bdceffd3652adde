// A GRIB2 forecast of any size, written message by message: a global grid of a quarter degree with u, v, height and
// temperature on levels of pressure at several times, and fields that no wind is made of between them.
// Source: WMO-No. 306, Manual on Codes, vol. I.2, FM 92 GRIB edition 2, templates 3.0, 4.0, 5.0, 5.3, 5.40, 5.41.
import { closeSync, openSync, writeSync } from 'node:fs';
import { createRequire } from 'node:module';
import { join } from 'node:path';

const COLUMNS = 1440;
const ROWS = 721;
const POINTS = COLUMNS * ROWS;

export type Packing = 'simple' | 'complex' | 'JPEG 2000';

/** Numbers of any width, the highest bit first. */
class BitWriter {
  readonly #bytes: Uint8Array;
  #at = 0;
  #held = 0;
  #bits = 0;

  constructor(bytes_most: number) {
    this.#bytes = new Uint8Array(bytes_most);
  }

  write(value: number, width: number): void {
    for (let k = width - 1; k >= 0; k--) {
      this.#held = (this.#held << 1) | ((value >>> k) & 1);
      this.#bits += 1;
      if (this.#bits === 8) this.align();
    }
  }

  align(): void {
    if (this.#bits === 0) return;
    this.#bytes[this.#at] = this.#held << (8 - this.#bits);
    this.#at += 1;
    this.#held = 0;
    this.#bits = 0;
  }

  end(): Uint8Array {
    this.align();
    return this.#bytes.subarray(0, this.#at);
  }
}

/** What a field of this kind looks like, in tenths: waves of several lengths, and noise of the last places. */
function tenths(mean: number, height: number): Int32Array {
  const out = new Int32Array(POINTS);
  let noise = 1;
  for (let k = 0; k < POINTS; k++) {
    const [i, j] = [k % COLUMNS, Math.floor(k / COLUMNS)];
    noise = (Math.imul(noise, 1_664_525) + 1_013_904_223) >>> 0;
    const wave =
      Math.sin((i * 2 * Math.PI * 5) / COLUMNS + j / 90) * Math.cos((j * Math.PI * 3) / ROWS) +
      0.1 * Math.sin((i * 2 * Math.PI * 80) / COLUMNS + j / 7);
    out[k] = Math.round(10 * (mean + height * wave)) + (noise >>> 30);
  }
  return out;
}

interface Packed {
  /** Octets 10 to the end of section 5, and what follows octet 5 of section 7. */
  readonly template: readonly number[];
  readonly data: Uint8Array;
}

const u16 = (x: number): number[] => [(x >>> 8) & 0xff, x & 0xff];
const u32 = (x: number): number[] => [...u16(x >>> 16), ...u16(x)];
const f32 = (x: number): number[] => [...new Uint8Array(new Float32Array([x]).buffer)].reverse();
/** Reference value, no binary and one decimal place, and how many bits. */
const scaling = (least: number, bits: number): number[] => [...f32(least), ...u16(0), ...u16(1), bits];
const bitsOf = (most: number): number => (most === 0 ? 0 : 32 - Math.clz32(most));

function bounds(values: Int32Array): [least: number, most: number] {
  let [least, most] = [Infinity, -Infinity];
  for (const x of values) {
    if (x < least) least = x;
    if (x > most) most = x;
  }
  return [least, most];
}

function simple(values: Int32Array): Packed {
  const [least, most] = bounds(values);
  const bits = bitsOf(most - least);
  const out = new BitWriter(4 * POINTS);
  for (const x of values) out.write(x - least, bits);
  return { template: [...u16(0), ...scaling(least, bits), 0], data: out.end() };
}

const GROUP = 24;

/** Template 5.3, second order: groups of one length, each with its own reference and width. */
function complex(values: Int32Array): Packed {
  const [least] = bounds(values);
  const differences = new Int32Array(POINTS);
  for (let k = 2; k < POINTS; k++) differences[k] = (values[k] ?? 0) - 2 * (values[k - 1] ?? 0) + (values[k - 2] ?? 0);
  const [lowest] = bounds(differences);
  const groups = Math.ceil(POINTS / GROUP);
  const shifted = differences.map((x, k) => (k < 2 ? 0 : x - lowest));
  const parts = Array.from({ length: groups }, (_, g) => shifted.subarray(g * GROUP, (g + 1) * GROUP));
  const described = parts.map((part) => {
    const [reference, most] = bounds(part);
    return { reference, width: bitsOf(most - reference) };
  });
  const bits = bitsOf(Math.max(...described.map(({ reference }) => reference)));
  const out = new BitWriter(4 * POINTS);
  const first = [(values[0] ?? 0) - least, (values[1] ?? 0) - least];
  for (const x of first) out.write(x, 32);
  out.write(lowest < 0 ? 0x80000000 - lowest : lowest, 32);
  for (const { reference } of described) out.write(reference, bits);
  out.align();
  for (const { width } of described) out.write(width, 5);
  out.align();
  parts.forEach((part, g) => {
    const { reference, width } = described[g] ?? { reference: 0, width: 0 };
    for (const x of part) out.write(x - reference, width);
  });
  const last = POINTS - (groups - 1) * GROUP;
  // prettier-ignore
  const template = [
    ...u16(3), ...scaling(least, bits), 0, 1, 0, ...u32(0), ...u32(0),
    ...u32(groups), 0, 5, ...u32(GROUP), 1, ...u32(last), 0, 2, 4,
  ];
  return { template, data: out.end() };
}

/** What is used of the encoder of npm @cornerstonejs/codec-openjpeg, which looks for its own files beside itself. */
interface Encoder {
  getDecodedBuffer(frame: object): Uint8Array;
  encode(): void;
  getEncodedBuffer(): Uint8Array;
  delete(): void;
}
type OpenJpeg = () => Promise<{ readonly J2KEncoder: new () => Encoder }>;

async function jpeg2000(values: Int32Array): Promise<Packed> {
  const [least, most] = bounds(values);
  const bits = Math.max(9, bitsOf(most - least));
  const require = createRequire(join(process.cwd(), 'package.json'));
  const library = await (require('@cornerstonejs/codec-openjpeg/wasmjs') as OpenJpeg)();
  const coder = new library.J2KEncoder();
  const frame = { width: COLUMNS, height: ROWS, bitsPerSample: bits, isSigned: false, componentCount: 1 };
  const samples = Uint16Array.from(values, (x) => x - least);
  coder.getDecodedBuffer(frame).set(new Uint8Array(samples.buffer));
  coder.encode();
  const data = Uint8Array.from(coder.getEncodedBuffer());
  coder.delete();
  return { template: [...u16(40), ...scaling(least, bits), 0, 0, 255], data };
}

const section = (number: number, ...parts: readonly ArrayLike<number>[]): Uint8Array[] => {
  const bodies = parts.map((part) => Uint8Array.from(part));
  const length = bodies.reduce((sum, body) => sum + body.length, 5);
  return [Uint8Array.from([...u32(length), number]), ...bodies];
};
const ascii = (text: string): number[] => Array.from(text, (letter) => letter.charCodeAt(0));

/** Rows from the north, as forecasts of the globe come. */
// prettier-ignore
const GRID = [
  0, ...u32(POINTS), 0, 0, ...u16(0), 6, 255, ...u32(0), 255, ...u32(0), 255, ...u32(0),
  ...u32(COLUMNS), ...u32(ROWS), ...u32(0), ...u32(0xffffffff), ...u32(90_000_000), ...u32(0), 48,
  ...u32(0x80000000 + 90_000_000), ...u32(359_750_000), ...u32(250_000), ...u32(250_000), 0,
];

/** Discipline 0: category and number of what a field is of. */
type Quantity = readonly [category: number, number: number];

function messageBytes([category, number]: Quantity, level_Pa: number, hours: number, packed: Packed): Uint8Array {
  const sections = [
    ...section(1, u16(7), u16(0), [2, 1, 1], u16(2026), [3, 1, 6, 0, 0, 0, 1]),
    ...section(3, GRID),
    ...section(
      4,
      u32(0),
      [category, number, 2, 0, 96, 0, 0, 0, 1],
      u32(hours),
      [100, 0],
      u32(level_Pa),
      [255, 0],
      u32(0),
    ),
    ...section(5, u32(POINTS), packed.template),
    ...section(6, [255]),
    ...section(7, packed.data),
    Uint8Array.from(ascii('7777')),
  ];
  const length = sections.reduce((sum, part) => sum + part.length, 16);
  return Buffer.concat([Uint8Array.from([...ascii('GRIB'), 0, 0, 0, 2, ...u32(0), ...u32(length)]), ...sections]);
}

const LEVELS_hPa = [1000, 925, 850, 700, 600, 500, 400, 300, 250, 200, 150, 100];

/** Writes a forecast of at least `size_bytes`, by whole messages; how many there are. */
export async function writeForecast(path: string, size_bytes: number, packing: Packing): Promise<number> {
  const pack = { simple, complex, 'JPEG 2000': jpeg2000 }[packing];
  const kinds: { readonly of: Quantity; readonly packed: Packed }[] = [];
  // u, v, geopotential height, temperature, and relative humidity, which is of no use here.
  for (const [of, mean, height] of [
    [[2, 2], 3, 25],
    [[2, 3], -2, 20],
    [[3, 5], 5500, 300],
    [[0, 0], 260, 20],
    [[1, 1], 50, 30],
  ] as const)
    kinds.push({ of, packed: await pack(tenths(mean, height)) });
  const file = openSync(path, 'w');
  let written = 0;
  let count = 0;
  for (let k = 0; written < size_bytes; k++) {
    const kind = kinds[k % kinds.length];
    const level = Math.floor(k / kinds.length);
    if (kind === undefined) break;
    const hPa = LEVELS_hPa[level % LEVELS_hPa.length] ?? 0;
    const bytes = messageBytes(kind.of, 100 * hPa, 3 * Math.floor(level / LEVELS_hPa.length), kind.packed);
    writeSync(file, bytes);
    written += bytes.length;
    count += 1;
  }
  closeSync(file);
  return count;
}
