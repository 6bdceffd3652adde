// The numbers of a GRIB2 field: sections 5, 6 and 7 to one value per grid point, in the file's order; NaN where
// missing. Source: WMO-No. 306, vol. I.2, data representation templates 5.0, 5.2, 5.3, 5.4, 5.40, 5.41, 5.42 and
// regulation 92.9.4.
import type { RawField } from './messages.ts';
import { Bits, type Octets, type Wanted } from './octets.ts';
import { complexIntegers } from './complex.ts';
import { ccsdsIntegers } from './ccsds.ts';
import { MAX_POINTS } from './gridDefinition.ts';
import { pngIntegers } from './png.ts';
import type { Jpeg2000 } from './jpeg2000.ts';

/** Y · 10^D = R + X · 2^E (regulation 92.9.4). */
interface Scaling {
  readonly reference: number;
  readonly binary: number;
  readonly decimal: number;
  readonly bits: number;
}

const NAMES: Readonly<Record<number, string>> = {
  0: 'simple',
  1: 'matrix',
  2: 'complex',
  3: 'complex with spatial differencing',
  4: 'IEEE floating point',
  40: 'JPEG 2000',
  41: 'PNG',
  42: 'CCSDS',
  50: 'spectral simple',
  51: 'spectral complex',
  53: 'spectral for limited areas',
  61: 'simple after a logarithm',
  200: 'run length',
};

/** The packing of a field in words: "5.3 complex with spatial differencing". */
export function packingName(raw: RawField): string {
  const template = raw.packing.unsigned(10, 2);
  return `5.${template} ${NAMES[template] ?? 'unknown'}`;
}

/** Whether a field is packed as a JPEG 2000 picture. */
export const needsJpeg2000 = (raw: RawField): boolean => [40, 40000].includes(raw.packing.unsigned(10, 2));

/** Shortest section 5 of each packing that is read; 40000 and 40010 are the numbers that 40 and 41 had on trial. */
const SHORTEST: Readonly<Record<number, number>> = {
  0: 21,
  2: 47,
  3: 49,
  4: 12,
  40: 23,
  41: 21,
  42: 25,
  40000: 23,
  40010: 21,
};

/**
 * Bits of one packed number at most: exact in a double with room for differences, and for IEEE words their own rule.
 */
const MAX_BITS = 32;

/**
 * The values of a field at every point of its grid of `points` points, in the file's order; NaN where the bitmap or the
 * packing says missing. A sentence where they cannot be read.
 *
 * jpeg     the decoder of template 5.40, where the file has such a field (`needsJpeg2000`)
 */
export function valuesOf(raw: RawField, points: number, jpeg: Jpeg2000 | string): Float64Array | string {
  if (points > MAX_POINTS) return `${points} points; at most ${MAX_POINTS} are read`;
  const all = new Int32Array(points);
  for (let k = 0; k < points; k++) all[k] = k;
  return atRising(raw, points, all, jpeg);
}

/**
 * The values at some points only: what `valuesOf` gives there. The rest is not unpacked where the packing allows it:
 * each value has a place of its own (5.0 and 5.4), or what lies behind the last point is left alone (5.2, 5.3, 5.42).
 */
export function valuesAt(
  raw: RawField,
  points: number,
  at: Int32Array,
  jpeg: Jpeg2000 | string,
): Float64Array | string {
  const rising = Int32Array.from(new Set(at)).sort();
  const values = atRising(raw, points, rising, jpeg);
  if (typeof values === 'string') return values;
  const places = new Map(Array.from(rising, (position, k) => [position, k]));
  return Float64Array.from(at, (position) => values[places.get(position) ?? -1] ?? NaN);
}

/** The same at points each of which lies behind the one before. */
function atRising(raw: RawField, points: number, at: Int32Array, jpeg: Jpeg2000 | string): Float64Array | string {
  const packed = raw.packing.unsigned(6, 4);
  if (raw.bitmapKind === 255) {
    if (packed !== points) return `${packed} packed values for ${points} points without a bitmap`;
    return unpacked(raw, points, at, jpeg);
  }
  const map = bitmapOf(raw, points);
  if (typeof map === 'string') return map;
  const { present, ranks } = ranksIn(map, points, at);
  // Some centres count the points here, some the values: both are found in files that others read.
  if (packed !== present && packed !== points) return `${packed} packed values where the bitmap has ${present}`;
  const values = unpacked(
    raw,
    present,
    ranks.filter((rank) => rank >= 0),
    jpeg,
  );
  if (typeof values === 'string') return values;
  let next = 0;
  return Float64Array.from(ranks, (rank) => (rank < 0 ? NaN : (values[next++] ?? NaN)));
}

/** The bytes of the bitmap: a bit for each point, 1 where there is a value. */
function bitmapOf(raw: RawField, points: number): Uint8Array | string {
  if (raw.bitmap === null)
    return `a bitmap number ${raw.bitmapKind} that the centre keeps elsewhere; expected one in the file`;
  if (raw.bitmap.length - 6 < Math.ceil(points / 8))
    return `a bitmap of ${raw.bitmap.length - 6} bytes for ${points} points`;
  return raw.bitmap.bytes.subarray(6);
}

const onesIn = (byte: number): number => [0, 1, 2, 3, 4, 5, 6, 7].reduce((sum, bit) => sum + ((byte >> bit) & 1), 0);
const ONES = Uint8Array.from({ length: 256 }, (_, byte) => onesIn(byte));

/** How many values there are, and which of them belongs to each of the points; −1 where a point has none. */
function ranksIn(map: Uint8Array, points: number, at: Int32Array): { present: number; ranks: Int32Array } {
  const ranks = new Int32Array(at.length);
  let next = 0;
  let present = 0;
  for (let first = 0; first < points; first += 8) {
    const over = Math.max(0, first + 8 - points);
    const byte = ((map[first >> 3] ?? 0) >> over) << over;
    for (; next < at.length && (at[next] ?? 0) < first + 8; next++) {
      const bit = (at[next] ?? 0) - first;
      const isThere = ((byte >> (7 - bit)) & 1) === 1;
      ranks[next] = isThere ? present + (ONES[byte >> (8 - bit)] ?? 0) : -1;
    }
    present += ONES[byte] ?? 0;
  }
  return { present, ranks };
}

function sectionWrong(packing: Octets, template: number): string | null {
  const shortest = SHORTEST[template];
  if (shortest === undefined) {
    return (
      `packing 5.${template}${NAMES[template] === undefined ? '' : ` (${NAMES[template]})`}; read are 5.0, ` +
      '5.2, 5.3, 5.4, 5.40, 5.41 and 5.42'
    );
  }
  if (packing.length < shortest)
    return `section 5 of ${packing.length} bytes; template 5.${template} needs ${shortest}`;
  const bits = packing.octet(20);
  if (template !== 4 && bits > MAX_BITS) return `numbers of ${bits} bits; expected 0 to ${MAX_BITS}`;
  if (template !== 4 && !Number.isFinite(packing.float32(12))) return 'a reference value that is not a number';
  return null;
}

function scalingOf(packing: Octets): Scaling {
  return {
    reference: packing.float32(12),
    binary: 2 ** packing.signed(16, 2),
    decimal: 10 ** -packing.signed(18, 2),
    bits: packing.octet(20),
  };
}

/** Some of `count` values as they were packed, without regard to a bitmap. `at`: which, rising. */
function unpacked(raw: RawField, count: number, at: Int32Array, jpeg: Jpeg2000 | string): Float64Array | string {
  const { packing, data } = raw;
  const template = packing.unsigned(10, 2);
  const wrong = sectionWrong(packing, template);
  if (wrong !== null) return wrong;
  if (template === 0) return simple(packing, data, count, at);
  if (template === 4) return ieee(packing, data, count, at);
  const integers = integersOf(packing, data.bytes.subarray(5), { count, at }, jpeg);
  if (typeof integers === 'string') return integers;
  const { reference, binary, decimal } = scalingOf(packing);
  const out = new Float64Array(at.length);
  for (let k = 0; k < at.length; k++) out[k] = (reference + (integers[k] ?? NaN) * binary) * decimal;
  return out;
}

function integersOf(
  packing: Octets,
  data: Uint8Array,
  wanted: Wanted,
  jpeg: Jpeg2000 | string,
): ArrayLike<number> | string {
  const template = packing.unsigned(10, 2);
  if (template === 2 || template === 3) return complexIntegers(packing, data, wanted, template === 3);
  const bits = packing.octet(20);
  // No bits at all: every value is the reference, whatever the packing.
  if (bits === 0 || wanted.count === 0) return new Float64Array(wanted.at.length);
  if (template === 41 || template === 40010) return pngIntegers(data, wanted, bits);
  if (template === 42) {
    const options = { bits, flags: packing.octet(22), block: packing.octet(23), interval: packing.unsigned(24, 2) };
    return ccsdsIntegers(data, wanted, options);
  }
  const samples = typeof jpeg === 'string' ? jpeg : jpeg(data, wanted.count);
  return typeof samples === 'string' ? samples : Float64Array.from(wanted.at, (k) => samples[k] ?? NaN);
}

/** Template 5.0. `at`: which values. */
function simple(packing: Octets, data: Octets, count: number, at: Int32Array): Float64Array | string {
  const { reference, binary, decimal, bits } = scalingOf(packing);
  if (bits === 0) return new Float64Array(at.length).fill(reference * decimal);
  if ((data.length - 5) * 8 < count * bits)
    return `${data.length - 5} bytes of data; ${count} values of ${bits} bits need more`;
  const out = new Float64Array(at.length);
  const reader = new Bits(data.bytes, 40);
  for (let k = 0; k < at.length; k++) {
    reader.at = 40 + (at[k] ?? 0) * bits;
    out[k] = (reference + reader.read(bits) * binary) * decimal;
  }
  return out;
}

/** Template 5.4, precision of code table 5.7. */
function ieee(packing: Octets, data: Octets, count: number, at: Int32Array): Float64Array | string {
  const precision = packing.octet(12);
  const width = precision === 1 ? 4 : precision === 2 ? 8 : 0;
  if (width === 0)
    return `IEEE numbers of precision ${precision} of code table 5.7; expected 1 (32 bits) or 2 (64 bits)`;
  if (data.length - 5 < count * width)
    return `${data.length - 5} bytes of data; ${count} IEEE values of ${width} bytes need more`;
  const view = new DataView(data.bytes.buffer, data.bytes.byteOffset + 5, count * width);
  return Float64Array.from(at, (k) => (width === 4 ? view.getFloat32(k * width) : view.getFloat64(k * width)));
}
