// LZW, deflate and PackBits for npm geotiff, each writing into a piece of known size. The package's own decoders grow
// their output as long as the bytes ask: a damaged LZW tile of some kilobytes ended the whole program ("Fatal
// JavaScript invalid size error", geotiff 3.0.5).
import { inflateSync, unzlibSync } from 'fflate';
import { addDecoder, BaseDecoder } from 'geotiff';

/** What is read: not packed, LZW, deflate by its two numbers, PackBits (TIFF 6.0; Technical Note 2 for deflate). */
export const PACKINGS: ReadonlySet<number> = new Set([1, 5, 8, 32946, 32773]);

/** Tells the package to unpack with these decoders. */
export function boundUnpacking(): void {
  addDecoder(5, () => Promise.resolve(decoderOf(unpackLzw)), undefined, false);
  addDecoder([8, 32946], () => Promise.resolve(decoderOf(inflate)), undefined, false);
  addDecoder(32773, () => Promise.resolve(decoderOf(unpackBits)), undefined, false);
}

/** Unpacks into `out` and answers how many bytes were written. */
type Unpack = (packed: Uint8Array, out: Uint8Array) => number;

const decoderOf = (unpack: Unpack): typeof BaseDecoder =>
  class extends BaseDecoder {
    override decodeBlock(buffer: ArrayBufferLike): ArrayBufferLike {
      const { tileWidth, tileHeight, bitsPerSample, samplesPerPixel = 1, planarConfiguration } = this.parameters;
      const bits = typeof bitsPerSample === 'number' ? bitsPerSample : (bitsPerSample[0] ?? 8);
      const together = planarConfiguration === 1 ? samplesPerPixel : 1;
      const out = new Uint8Array(tileWidth * tileHeight * together * Math.ceil(bits / 8));
      return out.slice(0, unpack(new Uint8Array(buffer), out)).buffer;
    }
  };

/** fflate throws on a damaged stream, and where the stream is longer than the piece it is cut. */
function inflate(packed: Uint8Array, out: Uint8Array): number {
  const zlib = ((packed[0] ?? 0) & 15) === 8 && (((packed[0] ?? 0) << 8) | (packed[1] ?? 0)) % 31 === 0;
  return (zlib ? unzlibSync(packed, { out }) : inflateSync(packed, { out })).length;
}

/** TIFF 6.0 §9. */
function unpackBits(packed: Uint8Array, out: Uint8Array): number {
  let to = 0;
  for (let at = 0; at < packed.length && to < out.length;) {
    const n = packed[at++] ?? 128;
    if (n < 128) {
      const run = packed.subarray(at, at + n + 1);
      out.set(run.subarray(0, out.length - to), to);
      at += n + 1;
      to += run.length;
    } else if (n > 128) {
      out.fill(packed[at++] ?? 0, to, to + 257 - n);
      to += 257 - n;
    }
  }
  return Math.min(to, out.length);
}

/** TIFF 6.0 §13: codes of 9 to 12 bits, highest bit first, one bit wider a code early; 256 clears, 257 ends. */
function unpackLzw(packed: Uint8Array, out: Uint8Array): number {
  // An entry is the text that ended at `end` in the output and is `size` long: no copies of strings are kept.
  const end = new Int32Array(4096);
  const size = new Int32Array(4096);
  let next = 258;
  let width = 9;
  let before = -1;
  let to = 0;
  let bits = 0;
  let held = 0;
  for (let at = 0; at < packed.length || held >= width;) {
    while (held < width && at < packed.length) {
      bits = ((bits << 8) | (packed[at++] ?? 0)) & 0xffffff;
      held += 8;
    }
    if (held < width) break;
    const code = (bits >> (held - width)) & ((1 << width) - 1);
    held -= width;
    if (code === 257) break;
    if (code === 256) {
      [next, width, before] = [258, 9, -1];
      continue;
    }
    const start = to;
    if (code < 256) {
      if (to < out.length) out[to++] = code;
    } else if (code < next) {
      const from = (end[code] ?? 0) - (size[code] ?? 0);
      for (let k = 0; k < (size[code] ?? 0) && to < out.length; k++) out[to++] = out[from + k] ?? 0;
    } else if (code === next && before >= 0) {
      // The one code that names itself: the text before and its own first byte.
      for (let k = before; k < start && to < out.length; k++) out[to++] = out[k] ?? 0;
      if (to < out.length) out[to++] = out[before] ?? 0;
    } else return to;
    if (before >= 0 && next < 4096) {
      // The new entry is the text before and the first byte of this one: together they stand in the output.
      end[next] = start + 1;
      size[next] = start + 1 - before;
      next++;
    }
    before = start;
    width = next >= 2047 ? 12 : next >= 1023 ? 11 : next >= 511 ? 10 : 9;
    if (to >= out.length) break;
  }
  return to;
}
