// JPEG 2000: the picture of a codestream of one component, from blocks through subbands to samples.
// Source: ITU-T T.800 (ISO/IEC 15444-1), annexes E (quantization), F (wavelets) and G (level shift); equations by their
// numbers there.
import { decodeBlock } from './blocks.ts';
import { readCodestream, type Codestream, type Rect, type Tile } from './codestream.ts';
import { readPackets, type Subband } from './packets.ts';
import { heightOf, joinSubbands, subbandPart, widened, widthOf, type Part } from './wavelet.ts';

export interface Image {
  readonly width: number;
  readonly height: number;
  /** Row by row from the top. */
  readonly samples: Float64Array;
}

/** Magnitude bit planes at most: one more bit for the middle, one for the sign, and 32 are full. */
const MAX_PLANES = 30;

/**
 * The samples of a picture of at most `maxSamples`, or a sentence.
 *
 * wanted   indices of samples that are needed, null for all. Others may stay 0: only the code-blocks that reach into
 *          the rectangle
 *          around the wanted ones are decoded, which in a global grid are few
 */
export function jpeg2000Image(data: Uint8Array, maxSamples: number, wanted: Int32Array | null): Image | string {
  const stream = readCodestream(data, maxSamples);
  if (typeof stream === 'string') return stream;
  const { picture, tiles } = stream;
  const [width, height] = [picture.x1 - picture.x0, picture.y1 - picture.y0];
  const part = wanted === null ? picture : partOf(picture, wanted);
  const samples = new Float64Array(width * height);
  for (const tile of tiles) {
    const inTile = common(part, tile.rect);
    if (inTile === null) continue;
    const wrong = decodeTile(stream, tile, inTile, samples, width);
    if (wrong !== null) return wrong;
  }
  return { width, height, samples };
}

/** The rectangle around some samples. */
function partOf(picture: Rect, wanted: Int32Array): Rect {
  const width = picture.x1 - picture.x0;
  let [x0, y0, x1, y1] = [picture.x1, picture.y1, picture.x0, picture.y0];
  for (const index of wanted) {
    const x = picture.x0 + (index % width);
    const y = picture.y0 + Math.floor(index / width);
    x0 = Math.min(x0, x);
    y0 = Math.min(y0, y);
    x1 = Math.max(x1, x + 1);
    y1 = Math.max(y1, y + 1);
  }
  return { x0, y0, x1, y1: Math.min(y1, picture.y1) };
}

function common(a: Rect, b: Rect): Rect | null {
  const rect = {
    x0: Math.max(a.x0, b.x0),
    y0: Math.max(a.y0, b.y0),
    x1: Math.min(a.x1, b.x1),
    y1: Math.min(a.y1, b.y1),
  };
  return rect.x0 < rect.x1 && rect.y0 < rect.y1 ? rect : null;
}

function decodeTile(stream: Codestream, tile: Tile, wanted: Rect, samples: Float64Array, width: number): string | null {
  const resolutions = readPackets(tile);
  if (typeof resolutions === 'string') return resolutions;
  // From the finest down: what each coarser picture has to hold. Index 0 is the coarsest.
  const areas: Rect[] = [];
  let needed = wanted;
  for (const [r, resolution] of [...resolutions.entries()].reverse()) {
    const area = r === 0 ? needed : widened(needed, resolution);
    areas.unshift(area);
    if (r > 0) needed = subbandPart(area, 0, 0, resolutions[r - 1] ?? area);
  }
  let low: Part | null = null;
  for (const [r, resolution] of resolutions.entries()) {
    const area = areas[r] ?? resolution;
    const bands: { part: Part; xHigh: number; yHigh: number }[] =
      low === null ? [] : [{ part: low, xHigh: 0, yHigh: 0 }];
    for (const subband of resolution.subbands) {
      const rect = r === 0 ? area : subbandPart(area, subband.xHigh, subband.yHigh, subband);
      const values = decodeSubband(stream, tile, subband, rect);
      if (typeof values === 'string') return values;
      bands.push({ part: { ...rect, values }, xHigh: subband.xHigh, yHigh: subband.yHigh });
    }
    low = r === 0 ? (bands[0]?.part ?? null) : joinSubbands(bands, area, tile.coding.reversible);
  }
  if (low !== null) store(stream, low, wanted, samples, width);
  return null;
}

/** Annex E: coefficients of a part of a subband from the integers of the blocks that reach into it. */
function decodeSubband(stream: Codestream, tile: Tile, subband: Subband, part: Rect): Float64Array | string {
  const { coding, quantization } = tile;
  const { xHigh, yHigh } = subband;
  const width = widthOf(part);
  const out = new Float64Array(width * heightOf(part));
  const level = Math.max(0, Math.ceil(subband.index / 3) - 1);
  const step = quantization.steps[quantization.style === 1 ? 0 : subband.index];
  if (step === undefined || quantization.style > 2)
    return 'a JPEG 2000 picture without quantization steps for each subband';
  // Equation E-5: derived steps lose one bit of exponent with each finer level.
  const exponent = quantization.style === 1 ? step.exponent - level : step.exponent;
  // Equations E-2 and E-3: the nominal range grows by a bit for each high-pass.
  const range = stream.depth + xHigh + yHigh;
  const delta = coding.reversible ? 1 : 2 ** (range - exponent) * (1 + step.mantissa / 2048);
  const planes = quantization.guardBits + exponent - 1;
  const kind = xHigh === 1 ? (yHigh === 1 ? 2 : 1) : 0;
  for (const block of subband.blocks) {
    const inside = common(block, part);
    if (!block.included || block.passes === 0 || inside === null) continue;
    const coded = planes - block.zeroPlanes;
    if (!(coded >= 0 && coded <= MAX_PLANES))
      return `JPEG 2000 coefficients of ${coded} bits; expected 0 to ${MAX_PLANES}`;
    const [w, h] = [block.x1 - block.x0, block.y1 - block.y0];
    const values = decodeBlock(joined(block.pieces), w, h, kind, coded, block.passes, coding);
    for (let y = inside.y0; y < inside.y1; y++) {
      const to = (y - part.y0) * width - part.x0;
      const from = (y - block.y0) * w - block.x0;
      for (let x = inside.x0; x < inside.x1; x++) {
        const half = values[from + x] as number;
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
function store(stream: Codestream, part: Part, wanted: Rect, samples: Float64Array, width: number): void {
  const { picture, depth, signed } = stream;
  const w = widthOf(part);
  const shift = signed ? 0 : 2 ** (depth - 1);
  const [least, most] = [signed ? -(2 ** (depth - 1)) : 0, signed ? 2 ** (depth - 1) - 1 : 2 ** depth - 1];
  for (let y = wanted.y0; y < wanted.y1; y++) {
    const to = (y - picture.y0) * width - picture.x0;
    const from = (y - part.y0) * w - part.x0;
    for (let x = wanted.x0; x < wanted.x1; x++) {
      samples[to + x] = Math.min(Math.max(Math.round(part.values[from + x] as number) + shift, least), most);
    }
  }
}
