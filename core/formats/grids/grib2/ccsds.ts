// CCSDS packing of GRIB2 (template 5.42): the adaptive entropy coder of lossless data compression, decoded.
// Source: CCSDS 121.0-B-3 (2020), Lossless Data Compression, sections 3 to 5; flag bits as in WMO code table 5.42's
// note. The one npm package that reads GRIB2 does not decode it (see `grib2.ts`).
import { Bits, type Wanted } from './octets.ts';

export interface CcsdsOptions {
  /** Bits of a sample, 1 to 32. */
  readonly bits: number;
  readonly flags: number;
  /** Samples of a block, J. */
  readonly block: number;
  /** Blocks between reference samples, r. */
  readonly interval: number;
}

const SIGNED = 1;
const PREPROCESSED = 8;
const RESTRICTED = 16;
const PADDED = 32;
/** "Remainder of segment" (§4.3.2): this count of zero blocks means all up to the end of the segment of 64. */
const REST_OF_SEGMENT = 5;
const SEGMENT = 64;

/** Some of the packed integers, or a sentence. What lies behind the last of them is not decoded. */
export function ccsdsIntegers(data: Uint8Array, { count, at }: Wanted, options: CcsdsOptions): Float64Array | string {
  const { bits, flags, block, interval } = options;
  if (!(block >= 2 && block <= 64 && block % 2 === 0 && interval >= 1)) {
    return `CCSDS blocks of ${block} samples, ${interval} blocks to a reference; expected 8 to 64 and at least 1`;
  }
  const restricted = (flags & RESTRICTED) !== 0;
  const idBits = restricted && bits <= 4 ? (bits <= 2 ? 1 : 2) : bits <= 8 ? 3 : bits <= 16 ? 4 : 5;
  const coder: Coder = {
    reader: new Bits(data),
    bits,
    idBits,
    block,
    interval,
    hasReference: (flags & PREPROCESSED) !== 0,
  };
  const perInterval = block * interval;
  const out = new Float64Array(at.length);
  // The last block may run past the count: it was filled up by the encoder.
  const buffer = new Float64Array(perInterval);
  const signed = (flags & SIGNED) !== 0;
  let next = 0;
  for (let start = 0; start < count && next < at.length; start += perInterval) {
    const within = Math.min(perInterval, count - start);
    const wrong = decodeInterval(coder, buffer, within);
    if (wrong !== null) return `CCSDS data: ${wrong} near value ${start} of ${count}`;
    if ((flags & PADDED) !== 0) coder.reader.align();
    if ((at[next] ?? 0) >= start + within) continue;
    if (coder.hasReference) unmap(buffer, within, bits, signed);
    for (; next < at.length && (at[next] ?? 0) < start + within; next++) {
      const x = buffer[(at[next] ?? 0) - start] ?? NaN;
      out[next] = signed && !coder.hasReference ? signedOf(x, bits) : x;
    }
  }
  return out;
}

interface Coder {
  readonly reader: Bits;
  readonly bits: number;
  readonly idBits: number;
  readonly block: number;
  readonly interval: number;
  readonly hasReference: boolean;
}

/** Blocks from one reference sample to the next (§4): each says its code option by an identifier. */
function decodeInterval(coder: Coder, out: Float64Array, wanted: number): string | null {
  const { reader, idBits, block, bits } = coder;
  const uncompressed = 2 ** idBits - 1;
  const blocks = Math.ceil(wanted / block);
  for (let b = 0; b < blocks;) {
    const start = b * block;
    const reference = coder.hasReference && b === 0 ? 1 : 0;
    const id = reader.read(idBits);
    if (id === uncompressed) {
      for (let k = 0; k < block; k++) out[start + k] = reader.read(bits);
      b += 1;
    } else if (id === 0) {
      const extension = reader.read(1) === 1;
      if (reference === 1) out[start] = reader.read(bits);
      const taken = extension
        ? secondExtension(reader, out, start, block, reference)
        : zeroBlocks(coder, out, b, reference);
      if (taken < 0) return 'an invalid low-entropy block';
      b += taken;
    } else {
      if (reference === 1) out[start] = reader.read(bits);
      if (!splitSamples(reader, out, start + reference, start + block, id - 1))
        return 'a split-sample block without an end';
      b += 1;
    }
    if (reader.overrun) return 'the bits end';
  }
  return null;
}

/** §3.3: the high bits as runs of zeros, then the k low bits of each. */
function splitSamples(reader: Bits, out: Float64Array, from: number, to: number, k: number): boolean {
  for (let n = from; n < to; n++) {
    const high = reader.unary();
    if (high < 0) return false;
    out[n] = high;
  }
  if (k === 0) return true;
  const scale = 2 ** k;
  for (let n = from; n < to; n++) out[n] = (out[n] ?? 0) * scale + reader.read(k);
  return true;
}

/**
 * §3.4.2: pairs (a, b) under one number m = (a + b)(a + b + 1)/2 + b. The first of the first pair gives way to the
 * reference.
 */
function secondExtension(reader: Bits, out: Float64Array, start: number, block: number, reference: number): number {
  for (let k = 0; k < block; k += 2) {
    const m = reader.unary();
    if (m < 0) return -1;
    let sum = Math.floor((Math.sqrt(8 * m + 1) - 1) / 2);
    if (((sum + 1) * (sum + 2)) / 2 <= m) sum += 1;
    const b = m - (sum * (sum + 1)) / 2;
    if (!(k === 0 && reference === 1)) out[start + k] = sum - b;
    out[start + k + 1] = b;
  }
  return 1;
}

/** §3.4.3: a run of blocks that are all zero. Answers how many; −1 where the run is invalid. */
function zeroBlocks(coder: Coder, out: Float64Array, b: number, reference: number): number {
  const zeros = coder.reader.unary();
  if (zeros < 0) return -1;
  const code = zeros + 1;
  const run =
    code === REST_OF_SEGMENT
      ? Math.min(coder.interval - b, SEGMENT - (b % SEGMENT))
      : code > REST_OF_SEGMENT
        ? code - 1
        : code;
  if (b + run > coder.interval) return -1;
  out.fill(0, b * coder.block + reference, (b + run) * coder.block);
  return run;
}

/** §5.3: undoes the mapping of prediction errors to non-negative numbers, with the unit-delay predictor. In place. */
function unmap(values: Float64Array, count: number, bits: number, signed: boolean): void {
  const least = signed ? -(2 ** (bits - 1)) : 0;
  const most = signed ? 2 ** (bits - 1) - 1 : 2 ** bits - 1;
  let x = signed ? signedOf(values[0] ?? 0, bits) : (values[0] ?? 0);
  values[0] = x;
  for (let k = 1; k < count; k++) {
    const d = values[k] ?? 0;
    const theta = Math.min(x - least, most - x);
    if (d <= 2 * theta) x += d % 2 === 0 ? d / 2 : -(d + 1) / 2;
    else if (theta === x - least) x += d - theta;
    else x -= d - theta;
    values[k] = x;
  }
}

const signedOf = (x: number, bits: number): number => (x >= 2 ** (bits - 1) ? x - 2 ** bits : x);
