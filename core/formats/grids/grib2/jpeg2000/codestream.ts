// JPEG 2000 codestream: markers and parameters, for pictures of one component as gridded data use them.
// Source: ITU-T T.800 (ISO/IEC 15444-1), annex A; clause and table numbers below are its own.
import { Octets } from '../octets.ts';

/** Table A.15 to A.21: how the coefficients are cut up and coded. */
export interface Coding {
  readonly progression: number;
  readonly layers: number;
  readonly levels: number;
  /** Code-block width and height as powers of two. */
  readonly blockWidth: number;
  readonly blockHeight: number;
  readonly resetContexts: boolean;
  readonly verticallyCausal: boolean;
  readonly segmentationSymbols: boolean;
  readonly reversible: boolean;
  /** Width and height of the precincts of each resolution, as powers of two. */
  readonly precincts: readonly (readonly [number, number])[];
}

/** Tables A.27 to A.30. */
export interface Quantization {
  /** 0 none, 1 derived from the first, 2 one for each subband. */
  readonly style: number;
  readonly guardBits: number;
  readonly steps: readonly { readonly exponent: number; readonly mantissa: number }[];
}

export interface Rect {
  readonly x0: number;
  readonly y0: number;
  readonly x1: number;
  readonly y1: number;
}

export interface Tile {
  readonly rect: Rect;
  readonly coding: Coding;
  readonly quantization: Quantization;
  readonly data: Uint8Array;
}

export interface Codestream {
  readonly picture: Rect;
  readonly depth: number;
  readonly signed: boolean;
  readonly tiles: readonly Tile[];
}

interface Size {
  readonly picture: Rect;
  readonly tile: Rect;
  readonly depth: number;
  readonly signed: boolean;
}

interface TileParts {
  coding: Coding;
  quantization: Quantization;
  parts: Uint8Array[];
}

const SOC = 0xff4f;
const SIZ = 0xff51;
const COD = 0xff52;
const QCD = 0xff5c;
const SOT = 0xff90;
const SOD = 0xff93;
const EOC = 0xffd9;
/** What would change the decoding and is not read: each by its name in the standard. */
const REFUSED: Readonly<Record<number, string>> = { 0xff5e: 'RGN', 0xff5f: 'POC', 0xff60: 'PPM', 0xff61: 'PPT' };
/** COC and QCC: settings of one component. There is one, so they are COD and QCD with a component number before. */
const COC = 0xff53;
const QCC = 0xff5d;

/** The parameters and tiles of a codestream; a sentence where it is none or uses what is not read. */
export function readCodestream(data: Uint8Array, maxSamples: number): Codestream | string {
  const octets = new Octets(data);
  if (octets.unsigned(1, 2) !== SOC) return 'data that is no JPEG 2000 codestream';
  let size: Size | null = null;
  let coding: Coding | null = null;
  let quantization: Quantization | null = null;
  const tiles = new Map<number, TileParts>();
  let at = 2;
  for (;;) {
    if (at + 2 > data.length) break;
    const marker = octets.unsigned(at + 1, 2);
    if (marker === EOC) break;
    if (marker === SOT) {
      if (size === null || coding === null || quantization === null)
        return 'a JPEG 2000 tile before its picture is described';
      const next = readTilePart(octets, at, { coding, quantization }, tiles);
      if (typeof next === 'string') return next;
      at = next;
      continue;
    }
    const segment = segmentAt(octets, at);
    if (typeof segment === 'string') return segment;
    const read = readSegment(marker, segment, maxSamples, coding);
    if (typeof read === 'string') return read;
    size = read.size ?? size;
    coding = read.coding ?? coding;
    quantization = read.quantization ?? quantization;
    at += 2 + segment.length;
  }
  return size === null ? 'a JPEG 2000 picture without a size' : assembled(size, tiles);
}

/** The marker segment whose marker stands at byte `at`, without the marker. */
function segmentAt(octets: Octets, at: number): Octets | string {
  const length = octets.unsigned(at + 3, 2);
  if (length < 2 || at + 2 + length > octets.length) return 'a JPEG 2000 codestream that is cut short in its head';
  return new Octets(octets.bytes.subarray(at + 2, at + 2 + length));
}

interface Segment {
  readonly size?: Size;
  readonly coding?: Coding;
  readonly quantization?: Quantization;
}

function readSegment(marker: number, segment: Octets, maxSamples: number, coding: Coding | null): Segment | string {
  const refused = REFUSED[marker];
  if (refused !== undefined) return `a JPEG 2000 codestream with a ${refused} segment, which is not read`;
  if (marker === SIZ) {
    const size = readSize(segment, maxSamples);
    return typeof size === 'string' ? size : { size };
  }
  if (marker === COD) {
    const read = readCoding(segment.octet(3), segment.octet(4), segment.unsigned(5, 2), segment, 8);
    return typeof read === 'string' ? read : { coding: read };
  }
  if (marker === COC && coding !== null) {
    const read = readCoding(segment.octet(4), coding.progression, coding.layers, segment, 5);
    return typeof read === 'string' ? read : { coding: read };
  }
  if (marker === QCD) return { quantization: readQuantization(segment, 3) };
  if (marker === QCC) return { quantization: readQuantization(segment, 4) };
  return {};
}

function readSize(segment: Octets, maxSamples: number): Size | string {
  const word = (k: number): number => segment.unsigned(5 + 4 * k, 4);
  const picture = { x0: word(2), y0: word(3), x1: word(0), y1: word(1) };
  const tile = { x0: word(6), y0: word(7), x1: word(6) + word(4), y1: word(7) + word(5) };
  const components = segment.unsigned(37, 2);
  const depth = (segment.octet(39) & 0x7f) + 1;
  if (components !== 1 || segment.octet(40) !== 1 || segment.octet(41) !== 1) {
    return `a JPEG 2000 picture of ${components} components; expected one, not subsampled`;
  }
  const [width, height] = [picture.x1 - picture.x0, picture.y1 - picture.y0];
  if (!(width > 0 && height > 0 && width * height <= maxSamples))
    return `a JPEG 2000 picture of ${width} by ${height} for ${maxSamples} values`;
  if (!(
    word(4) > 0 &&
    word(5) > 0 &&
    tile.x0 <= picture.x0 &&
    tile.y0 <= picture.y0 &&
    tile.x1 > picture.x0 &&
    tile.y1 > picture.y0
  )) {
    return 'a JPEG 2000 picture whose tiles do not cover it';
  }
  return { picture, tile, depth, signed: (segment.octet(39) & 0x80) !== 0 };
}

/** `at`: the octet with the number of decomposition levels (table A.20). */
function readCoding(style: number, progression: number, layers: number, segment: Octets, at: number): Coding | string {
  const levels = segment.octet(at);
  const [blockWidth, blockHeight] = [segment.octet(at + 1) + 2, segment.octet(at + 2) + 2];
  const blocks = segment.octet(at + 3);
  if (levels > 32 || blockWidth > 10 || blockHeight > 10 || blockWidth + blockHeight > 12) {
    return `JPEG 2000 blocks of 2^${blockWidth} by 2^${blockHeight} on ${levels} levels; expected up to 2^12 samples and 32 levels`;
  }
  if ((blocks & 0x05) !== 0)
    return `JPEG 2000 code-blocks of style ${blocks} (bypass or termination of passes), which is not read`;
  if (layers < 1 || progression > 4)
    return `${layers} JPEG 2000 layers in progression order ${progression}; expected 1 or more in order 0 to 4`;
  const own = (style & 1) !== 0;
  const precincts = Array.from({ length: levels + 1 }, (_, r) => {
    const octet = own ? segment.octet(at + 5 + r) : 0xff;
    return [octet & 0x0f, octet >> 4] as const;
  });
  if (precincts.some(([w, h], r) => r > 0 && (w === 0 || h === 0))) return 'JPEG 2000 precincts without extent';
  return {
    progression,
    layers,
    levels,
    blockWidth,
    blockHeight,
    resetContexts: (blocks & 0x02) !== 0,
    verticallyCausal: (blocks & 0x08) !== 0,
    segmentationSymbols: (blocks & 0x20) !== 0,
    reversible: segment.octet(at + 4) === 1,
    precincts,
  };
}

function readQuantization(segment: Octets, at: number): Quantization {
  const style = segment.octet(at) & 0x1f;
  const steps: { exponent: number; mantissa: number }[] = [];
  const size = style === 0 ? 1 : 2;
  for (let n = at + 1; n + size - 1 <= segment.length; n += size) {
    const value = segment.unsigned(n, size);
    steps.push(
      style === 0 ? { exponent: value >> 3, mantissa: 0 } : { exponent: value >> 11, mantissa: value & 0x7ff },
    );
  }
  return { style, guardBits: segment.octet(at) >> 5, steps };
}

/** One tile-part (table A.5): its own settings and its data. Answers where the next begins. */
function readTilePart(
  octets: Octets,
  start: number,
  main: { readonly coding: Coding; readonly quantization: Quantization },
  tiles: Map<number, TileParts>,
): number | string {
  const index = octets.unsigned(start + 5, 2);
  const length = octets.unsigned(start + 7, 4);
  // A length of 0 means: up to the end of the codestream (which ends with EOC).
  const end = length === 0 ? octets.length - (octets.unsigned(octets.length - 1, 2) === EOC ? 2 : 0) : start + length;
  const tile = tiles.get(index) ?? { ...main, parts: [] };
  tiles.set(index, tile);
  let at = start + 12;
  for (;;) {
    if (at + 2 > octets.length) return 'a JPEG 2000 tile that is cut short in its head';
    const marker = octets.unsigned(at + 1, 2);
    if (marker === SOD) break;
    const segment = segmentAt(octets, at);
    if (typeof segment === 'string') return segment;
    const read = readSegment(marker, segment, 0, tile.coding);
    if (typeof read === 'string') return read;
    tile.coding = read.coding ?? tile.coding;
    tile.quantization = read.quantization ?? tile.quantization;
    at += 2 + segment.length;
  }
  if (end < at + 2) return `a JPEG 2000 tile-part of ${length} bytes, shorter than its own head`;
  tile.parts.push(octets.bytes.subarray(at + 2, Math.min(end, octets.length)));
  return Math.min(end, octets.length);
}

/** B.3: the rectangles of the tiles. */
function assembled(size: Size, parts: ReadonlyMap<number, TileParts>): Codestream | string {
  const { picture, tile } = size;
  const [width, height] = [tile.x1 - tile.x0, tile.y1 - tile.y0];
  const across = Math.ceil((picture.x1 - tile.x0) / width);
  const down = Math.ceil((picture.y1 - tile.y0) / height);
  if (parts.size !== across * down) return `${parts.size} of ${across * down} JPEG 2000 tiles`;
  const tiles: Tile[] = [];
  for (const [index, { coding, quantization, parts: pieces }] of parts) {
    if (index >= across * down) return `JPEG 2000 tile ${index} of ${across * down}`;
    const x = tile.x0 + (index % across) * width;
    const y = tile.y0 + Math.floor(index / across) * height;
    const rect = {
      x0: Math.max(x, picture.x0),
      y0: Math.max(y, picture.y0),
      x1: Math.min(x + width, picture.x1),
      y1: Math.min(y + height, picture.y1),
    };
    tiles.push({ rect, coding, quantization, data: joined(pieces) });
  }
  return { picture, depth: size.depth, signed: size.signed, tiles };
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
