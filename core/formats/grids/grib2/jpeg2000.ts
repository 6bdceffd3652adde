// JPEG 2000 inside GRIB2 (template 5.40), by OpenJPEG compiled to WebAssembly (npm @cornerstonejs/codec-openjpeg;
// loaded only when such a field comes). It clamps samples of more than 16 bits and cuts rows of more than 65 535, so
// both are refused here. Such rows are how ecCodes writes grids whose rows differ in length, which are not grids of
// winds here.
import { base64Bytes } from '../../../base/base64.ts';

/** The samples of a picture, row by row from the top; a sentence where it is not `count` of them or is damaged. */
export type Jpeg2000 = (data: Uint8Array, count: number) => Samples | string;

type Samples = Uint8Array | Int8Array | Uint16Array | Int16Array;

const MAX_BITS = 16;
const SIDE_MAX = 65_535;

/**
 * A decoder for the fields of one file: what damaged bytes leave behind in its memory ends with it. A sentence where
 * the library cannot be started.
 */
export async function openJpeg2000(): Promise<Jpeg2000> {
  const said: string[] = [];
  const [{ default: start }, { default: code }] = await Promise.all([
    import('@cornerstonejs/codec-openjpeg/decodewasmjs'),
    import('@cornerstonejs/codec-openjpeg/decodewasm?url&inline'),
  ]);
  // The library speaks of errors and doubts only by printing them.
  const print = (text: string): void => {
    if (/^\[(ERROR|WARNING)\]/.test(text)) said.push(text);
  };
  const wasmBinary = base64Bytes(code.slice(code.indexOf(',') + 1));
  const library = await start({ wasmBinary, print, printErr: print });
  return (data, count) => {
    const wrong = headerWrong(data, count);
    if (wrong !== null) return wrong;
    said.length = 0;
    const decoder = new library.J2KDecoder();
    try {
      decoder.getEncodedBuffer(data.length).set(data);
      decoder.decode();
      if (said.length > 0) return `a damaged JPEG 2000 picture (${said[0] ?? ''})`;
      const { bitsPerSample, isSigned } = decoder.getFrameInfo();
      // A copy: the library's memory moves as it grows, and is used again.
      const { buffer } = decoder.getDecodedBuffer().slice();
      const Kind = bitsPerSample > 8 ? (isSigned ? Int16Array : Uint16Array) : isSigned ? Int8Array : Uint8Array;
      const samples = new Kind(buffer);
      return samples.length === count ? samples : 'a damaged JPEG 2000 picture (samples are missing)';
    } catch (error) {
      return `a damaged JPEG 2000 picture (${String(error)})`;
    } finally {
      decoder.delete();
    }
  };
}

/** What the picture says of itself (ITU-T T.800 §A.5.1), looked at before memory is taken for it. */
function headerWrong(data: Uint8Array, count: number): string | null {
  const view = new DataView(data.buffer, data.byteOffset, data.byteLength);
  if (data.length < 45 || view.getUint32(0) !== 0xff4fff51) return 'no JPEG 2000 codestream';
  const [right, bottom, left, top] = [8, 12, 16, 20].map((at) => view.getUint32(at));
  const [width, height] = [(right ?? 0) - (left ?? 0), (bottom ?? 0) - (top ?? 0)];
  if (!(width > 0 && height > 0 && width * height === count))
    return `a JPEG 2000 image of ${width} by ${height} for ${count} values`;
  if (view.getUint16(40) !== 1) return `a JPEG 2000 image of ${view.getUint16(40)} components; expected 1`;
  if (Math.max(width, height) > SIDE_MAX)
    return `a JPEG 2000 image of ${width} by ${height}; at most ${SIDE_MAX} a side are read`;
  const bits = (view.getUint8(42) & 0x7f) + 1;
  return bits > MAX_BITS ? `a JPEG 2000 image of ${bits} bits; at most ${MAX_BITS} are read` : null;
}
