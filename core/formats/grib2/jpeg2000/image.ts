// JPEG 2000: the picture of a codestream of one component, from blocks through subbands to samples.
// Source: ITU-T T.800 (ISO/IEC 15444-1), annexes E (quantization), F (wavelets) and G (level shift); equations by their numbers there.
import { decodeBlock } from './blocks.ts';
import { readCodestream, type Codestream, type Tile } from './codestream.ts';
import { readPackets, type Resolution, type Subband } from './packets.ts';
import { joinSubbands } from './wavelet.ts';

export interface Image {
  readonly width: number;
  readonly height: number;
  /** Row by row from the top. */
  readonly samples: Float64Array;
}

/** Magnitude bit planes at most: one more bit for the middle, one for the sign, and 32 are full. */
const MAX_PLANES = 30;

/** The samples of a picture of at most `maxSamples`, or a sentence. Every code-block is decoded: a point depends on all around it. */
export function jpeg2000Image(data: Uint8Array, maxSamples: number): Image | string {
  const stream = readCodestream(data, maxSamples);
  if (typeof stream === 'string') return stream;
  const { picture, tiles } = stream;
  const [width, height] = [picture.x1 - picture.x0, picture.y1 - picture.y0];
  const samples = new Float64Array(width * height);
  for (const tile of tiles) {
    const wrong = decodeTile(stream, tile, samples, width);
    if (wrong !== null) return wrong;
  }
  return { width, height, samples };
}

function decodeTile(stream: Codestream, tile: Tile, samples: Float64Array, width: number): string | null {
  const resolutions = readPackets(tile);
  if (typeof resolutions === 'string') return resolutions;
  let low: Float64Array = new Float64Array(0);
  for (const [r, resolution] of resolutions.entries()) {
    const bands: Float64Array[] = [];
    for (const subband of resolution.subbands) {
      const band = decodeSubband(stream, tile, subband);
      if (typeof band === 'string') return band;
      bands.push(band);
    }
    const [first] = bands;
    low = r === 0 && first !== undefined ? first : joinSubbands(low, bands, resolution, tile.coding.reversible);
  }
  store(stream, tile, resolutions, low, samples, width);
  return null;
}

/** Annex E: coefficients from the blocks' integers. */
function decodeSubband(stream: Codestream, tile: Tile, subband: Subband): Float64Array | string {
  const { coding, quantization } = tile;
  const { xHigh, yHigh } = subband;
  const width = Math.max(0, subband.x1 - subband.x0);
  const out = new Float64Array(width * Math.max(0, subband.y1 - subband.y0));
  const level = Math.max(0, Math.ceil(subband.index / 3) - 1);
  const step = quantization.steps[quantization.style === 1 ? 0 : subband.index];
  if (step === undefined || quantization.style > 2) return 'a JPEG 2000 picture without quantization steps for each subband';
  // Equation E-5: derived steps lose one bit of exponent with each finer level.
  const exponent = quantization.style === 1 ? step.exponent - level : step.exponent;
  // Equations E-2 and E-3: the nominal range grows by a bit for each high-pass.
  const range = stream.depth + xHigh + yHigh;
  const delta = coding.reversible ? 1 : 2 ** (range - exponent) * (1 + step.mantissa / 2048);
  const planes = quantization.guardBits + exponent - 1;
  const kind = xHigh === 1 ? (yHigh === 1 ? 2 : 1) : 0;
  for (const block of subband.blocks) {
    if (!block.included || block.passes === 0) continue;
    const coded = planes - block.zeroPlanes;
    if (!(coded >= 0 && coded <= MAX_PLANES)) return `JPEG 2000 coefficients of ${coded} bits; expected 0 to ${MAX_PLANES}`;
    const [w, h] = [block.x1 - block.x0, block.y1 - block.y0];
    const values = decodeBlock(joined(block.pieces), w, h, kind, coded, block.passes, coding);
    for (let y = 0; y < h; y++) {
      const to = (block.y0 - subband.y0 + y) * width + block.x0 - subband.x0;
      for (let x = 0; x < w; x++) {
        const half = values[y * w + x] as number;
        out[to + x] = coding.reversible ? Math.trunc(half / 2) : (half / 2) * delta;
      }
    }
  }
  return out;
}

function joined(pieces: readonly Uint8Array[]): Uint8Array {
  const [only] = pieces;
  if (pieces.length === 1 && only !== undefined) return only;
  const out = new Uint8Array(pieces.reduce((sum, piece) => sum + piece.length, 0));
  let at = 0;
  for (const piece of pieces) {
    out.set(piece, at);
    at += piece.length;
  }
  return out;
}

/** Annex G: the level shift of unsigned samples, and the range that samples have. */
function store(
  stream: Codestream,
  tile: Tile,
  resolutions: readonly Resolution[],
  values: Float64Array,
  samples: Float64Array,
  width: number,
): void {
  const { picture, depth, signed } = stream;
  const last = resolutions[resolutions.length - 1] ?? tile.rect;
  const [w, h] = [last.x1 - last.x0, last.y1 - last.y0];
  const shift = signed ? 0 : 2 ** (depth - 1);
  const [least, most] = [signed ? -(2 ** (depth - 1)) : 0, signed ? 2 ** (depth - 1) - 1 : 2 ** depth - 1];
  for (let y = 0; y < h; y++) {
    const to = (last.y0 - picture.y0 + y) * width + last.x0 - picture.x0;
    for (let x = 0; x < w; x++) {
      samples[to + x] = Math.min(Math.max(Math.round(values[y * w + x] as number) + shift, least), most);
    }
  }
}
