// PNG packing of GRIB2 (template 5.41): a grey or colour picture whose pixels are the packed integers.
// Source: ISO/IEC 15948 (PNG), clauses 5, 9 and 11; the compression is fflate's. npm fast-png 8.0.0 is not used: it
// fills up a picture whose data are short with zeros and says nothing (`tests/formats/grib2Answers.test.ts`).
import { unzlibSync } from 'fflate';
import { scratchOf } from '../../../base/scratch.ts';
import { Bits, Octets, type Wanted } from './octets.ts';

/** The rows of a picture. One place for all fields: a small file may unpack to hundreds of large ones. */
const rowsOf = scratchOf<Uint8Array>((length) => new Uint8Array(length));

interface Header {
  readonly width: number;
  readonly height: number;
  /** Bits of one sample, samples of one pixel. */
  readonly depth: number;
  readonly channels: number;
}

/** Some of the pixels in rows from the top; a pixel of 3 or 4 samples is one number of 24 or 32 bits. */
export function pngIntegers(data: Uint8Array, { count, at }: Wanted, bits: number): Float64Array | string {
  const chunks = chunksOf(data);
  if (typeof chunks === 'string') return chunks;
  const { header, packed } = chunks;
  const { width, height, depth, channels } = header;
  if (width * height !== count) return `a PNG picture of ${width} by ${height} for ${count} values`;
  if (depth * channels !== bits) return `a PNG picture of ${depth * channels} bits a pixel for numbers of ${bits} bits`;
  const rowBytes = Math.ceil((width * depth * channels) / 8);
  const raw = rowsOf(height * (rowBytes + 1));
  try {
    // A library that throws on bad data, at the border: its error becomes our sentence.
    if (unzlibSync(packed, { out: raw }).length < raw.length) return 'a PNG picture whose rows are cut short';
  } catch {
    return 'a PNG picture that does not decompress';
  }
  // Each row builds on the one above it: those below the last that is wanted are left alone.
  const rows = Math.floor((at.at(-1) ?? -1) / width) + 1;
  if (!unfilter(raw, rowBytes, rows, Math.max(1, (depth * channels) >> 3)))
    return 'a PNG picture with an unknown row filter';
  const reader = new Bits(raw);
  return Float64Array.from(at, (k) => {
    reader.at = (Math.floor(k / width) * (rowBytes + 1) + 1) * 8 + (k % width) * bits;
    return reader.read(bits);
  });
}

const SIGNATURE = [0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a];
const CHANNELS: Readonly<Record<number, number>> = { 0: 1, 2: 3, 6: 4 };

function chunksOf(data: Uint8Array): { readonly header: Header; readonly packed: Uint8Array } | string {
  if (SIGNATURE.some((byte, k) => data[k] !== byte)) return 'data that is not a PNG picture';
  const octets = new Octets(data);
  const parts: Uint8Array[] = [];
  let header: Header | null = null;
  for (let at = 8; at + 12 <= data.length;) {
    const length = octets.unsigned(at + 1, 4);
    const name = String.fromCharCode(...data.subarray(at + 4, at + 8));
    if (at + 12 + length > data.length) return 'a PNG picture that is cut short';
    if (name === 'IHDR' && length >= 13) {
      const colour = octets.octet(at + 18);
      const channels = CHANNELS[colour];
      if (channels === undefined || octets.octet(at + 21) !== 0) {
        return (
          `a PNG picture of colour type ${colour}, interlace ${octets.octet(at + 21)}; expected 0, 2 or 6 ` +
          'without interlace'
        );
      }
      header = {
        width: octets.unsigned(at + 9, 4),
        height: octets.unsigned(at + 13, 4),
        depth: octets.octet(at + 17),
        channels,
      };
    }
    if (name === 'IDAT') parts.push(data.subarray(at + 8, at + 8 + length));
    if (name === 'IEND') break;
    at += 12 + length;
  }
  if (header === null) return 'a PNG picture without a head';
  const packed = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let to = 0;
  for (const part of parts) {
    packed.set(part, to);
    to += part.length;
  }
  return { header, packed };
}

/** Clause 9: each row tells its filter in a byte before it. In place; false on an unknown filter. */
function unfilter(raw: Uint8Array, rowBytes: number, height: number, pixelBytes: number): boolean {
  const stride = rowBytes + 1;
  for (let row = 0; row < height; row++) {
    const start = row * stride + 1;
    const filter = raw[start - 1] ?? 0;
    if (filter > 4) return false;
    if (filter === 0) continue;
    for (let k = 0; k < rowBytes; k++) {
      const left = k >= pixelBytes ? (raw[start + k - pixelBytes] ?? 0) : 0;
      const above = row > 0 ? (raw[start + k - stride] ?? 0) : 0;
      const corner = row > 0 && k >= pixelBytes ? (raw[start + k - stride - pixelBytes] ?? 0) : 0;
      const guess =
        filter === 1 ? left : filter === 2 ? above : filter === 3 ? (left + above) >> 1 : paeth(left, above, corner);
      raw[start + k] = ((raw[start + k] ?? 0) + guess) & 0xff;
    }
  }
  return true;
}

function paeth(left: number, above: number, corner: number): number {
  const p = left + above - corner;
  const [a, b, c] = [Math.abs(p - left), Math.abs(p - above), Math.abs(p - corner)];
  return a <= b && a <= c ? left : b <= c ? above : corner;
}
