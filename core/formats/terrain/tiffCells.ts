// The cells of a TIFF's first picture, first band: strips or tiles; not packed, LZW, deflate or PackBits; predictors 1
// to 3; whole and floating-point numbers of 8 to 64 bits in either byte order. TIFF 6.0 (1992) §§3, 9, 13 to 15;
// Technical Note 3 (2005) for predictor 3.
import { inflateSync, unzlibSync } from 'fflate';
import type { TiffDirectory } from './tiffDirectory.ts';

export interface TiffLayout {
  readonly columns: number;
  readonly rows: number;
  readonly samples: number;
  readonly bits: number;
  /** 1 whole numbers without sign, 2 with sign, 3 floating point. */
  readonly format: number;
  readonly compression: number;
  readonly predictor: number;
  /** Samples of one cell stand together (1) or each band by itself (2). */
  readonly planar: number;
  readonly pieceColumns: number;
  readonly pieceRows: number;
  readonly offsets: readonly number[];
  readonly byteCounts: readonly number[];
}

const PACKINGS = new Map([
  [1, 'none'],
  [5, 'LZW'],
  [8, 'deflate'],
  [32946, 'deflate'],
  [32773, 'PackBits'],
]);

/** The largest piece that is unpacked at once, and the most cells in all. */
const PIECE_BYTES_MAX = 300_000_000;

/** How the cells stand in the file, or a sentence why they cannot be read. `cellsMax`: of a picture. */
export function layoutOf(directory: TiffDirectory, cellsMax: number): TiffLayout | string {
  const columns = directory.first(256) ?? NaN;
  const rows = directory.first(257) ?? NaN;
  if (!(columns >= 2 && rows >= 2)) return `${columns} × ${rows} cells; expected at least 2 × 2`;
  if (!(columns * rows <= cellsMax)) {
    return `${columns} × ${rows} cells; at most ${cellsMax / 1e6} million are read: cut the file to the region of the descent`;
  }
  const tiled = directory.has(322);
  const layout: TiffLayout = {
    columns,
    rows,
    samples: directory.first(277) ?? 1,
    bits: directory.first(258) ?? 1,
    format: directory.first(339) ?? 1,
    compression: directory.first(259) ?? 1,
    predictor: directory.first(317) ?? 1,
    planar: directory.first(284) ?? 1,
    pieceColumns: tiled ? (directory.first(322) ?? NaN) : columns,
    pieceRows: tiled ? (directory.first(323) ?? NaN) : Math.min(rows, directory.first(278) ?? rows),
    offsets: directory.numbers(tiled ? 324 : 273),
    byteCounts: directory.numbers(tiled ? 325 : 279),
  };
  return (
    wrongWith(layout) ??
    (directory.first(266) === 2 ? 'bits in reverse order (fill order 2); expected fill order 1' : layout)
  );
}

function wrongWith(layout: TiffLayout): string | null {
  const { bits, format, samples, pieceColumns, pieceRows } = layout;
  const whole = (format === 1 || format === 2) && (bits === 8 || bits === 16 || bits === 32);
  const floating = format === 3 && (bits === 32 || bits === 64);
  if (!whole && !floating)
    return `cells of ${bits} bits in format ${format}; expected whole numbers of 8, 16 or 32 bits or floating point of 32 or 64`;
  if (!PACKINGS.has(layout.compression)) {
    const known = 'none (1), LZW (5), deflate (8) or PackBits (32773)';
    return `packing ${layout.compression}; expected ${known}: gdal_translate -co COMPRESS=DEFLATE changes it`;
  }
  if (!(layout.predictor === 1 || layout.predictor === 2 || (layout.predictor === 3 && floating))) {
    return `predictor ${layout.predictor} with ${bits} bits in format ${format}; expected 1, 2, or 3 with floating point`;
  }
  if (!(samples >= 1 && samples <= 64 && (layout.planar === 1 || layout.planar === 2)))
    return `${samples} bands; expected 1`;
  if (!(pieceColumns >= 1 && pieceRows >= 1 && pieceBytes(layout) <= PIECE_BYTES_MAX)) {
    return `pieces of ${pieceColumns} × ${pieceRows} cells; at most ${PIECE_BYTES_MAX / 1e6} MB are unpacked at once`;
  }
  const pieces = Math.ceil(layout.columns / pieceColumns) * Math.ceil(layout.rows / pieceRows);
  const listed = Math.min(layout.offsets.length, layout.byteCounts.length);
  if (!(listed >= pieces)) return `${listed} pieces; expected ${pieces}: the file is cut off or damaged`;
  return null;
}

const together = (layout: TiffLayout): number => (layout.planar === 1 ? layout.samples : 1);
const pieceBytes = (layout: TiffLayout): number =>
  (layout.pieceColumns * layout.pieceRows * together(layout) * layout.bits) / 8;

/**
 * All cells of the first band, row by row; a cell that lies in no readable piece is NaN. `missing` counts the pieces
 * that are absent (an offset of 0, as sparse files have) and `damaged` those that could not be unpacked.
 */
export function readCells(
  directory: TiffDirectory,
  layout: TiffLayout,
): { cells: Float32Array; missing: number; damaged: number } {
  const { columns, rows, pieceColumns, pieceRows } = layout;
  const cells = new Float32Array(columns * rows).fill(NaN);
  const across = Math.ceil(columns / pieceColumns);
  const down = Math.ceil(rows / pieceRows);
  let missing = 0;
  let damaged = 0;
  for (let piece = 0; piece < across * down; piece++) {
    const offset = layout.offsets[piece] ?? 0;
    const length = layout.byteCounts[piece] ?? 0;
    if (offset === 0 || length === 0) {
      missing++;
      continue;
    }
    const left = (piece % across) * pieceColumns;
    const top = Math.floor(piece / across) * pieceRows;
    const high = Math.min(pieceRows, rows - top);
    const raw = unpack(directory, layout, offset, length, high);
    if (raw === null) damaged++;
    else place(cells, layout, raw, { left, top, wide: Math.min(pieceColumns, columns - left), high }, directory.little);
  }
  return { cells, missing, damaged };
}

/**
 * One piece unpacked and its predictor undone; null where it is damaged. Strips at the foot of a picture may be short.
 */
function unpack(
  directory: TiffDirectory,
  layout: TiffLayout,
  offset: number,
  length: number,
  rows: number,
): Uint8Array | null {
  const { view } = directory;
  if (!(offset + length <= view.byteLength)) return null;
  const packed = new Uint8Array(view.buffer, view.byteOffset + offset, length);
  const out = new Uint8Array(pieceBytes(layout));
  const needed = (out.length / layout.pieceRows) * rows;
  if (unpackInto(packed, layout.compression, out) < needed) return null;
  if (layout.predictor === 2) undoDifferences(out, layout, directory.little);
  if (layout.predictor === 3) undoFloatingPoint(out, layout, directory.little);
  return out;
}

/** Bytes written. */
function unpackInto(packed: Uint8Array, compression: number, out: Uint8Array): number {
  const packing = PACKINGS.get(compression);
  if (packing === 'LZW') return unpackLzw(packed, out);
  if (packing === 'PackBits') return unpackBits(packed, out);
  if (packing === 'deflate') return inflate(packed, out);
  out.set(packed.subarray(0, out.length));
  return Math.min(packed.length, out.length);
}

/** The library throws on a damaged stream: here that is an answer. A stream longer than the piece is cut. */
function inflate(packed: Uint8Array, out: Uint8Array): number {
  try {
    const zlib = ((packed[0] ?? 0) & 15) === 8 && (((packed[0] ?? 0) << 8) | (packed[1] ?? 0)) % 31 === 0;
    return (zlib ? unzlibSync(packed, { out }) : inflateSync(packed, { out })).length;
  } catch {
    return 0;
  }
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

/**
 * Predictor 2: each cell was written as its difference from the one before it in the row, in whole numbers of its size.
 */
function undoDifferences(data: Uint8Array, layout: TiffLayout, little: boolean): void {
  const stride = together(layout);
  const perRow = layout.pieceColumns * stride;
  const bytes = layout.bits / 8;
  const view = new DataView(data.buffer, data.byteOffset, data.byteLength);
  for (let row = 0; row < layout.pieceRows; row++) {
    const from = row * perRow * bytes;
    for (let k = stride; k < perRow; k++) {
      const at = from + k * bytes;
      const last = at - stride * bytes;
      if (bytes === 1) data[at] = ((data[at] ?? 0) + (data[last] ?? 0)) & 255;
      else if (bytes === 2) view.setUint16(at, view.getUint16(at, little) + view.getUint16(last, little), little);
      else if (bytes === 4) view.setUint32(at, view.getUint32(at, little) + view.getUint32(last, little), little);
      else view.setBigUint64(at, view.getBigUint64(at, little) + view.getBigUint64(last, little), little);
    }
  }
}

/** Predictor 3: a row's bytes were sorted by their place in the number, highest first, and written as differences. */
function undoFloatingPoint(data: Uint8Array, layout: TiffLayout, little: boolean): void {
  const stride = together(layout);
  const perRow = layout.pieceColumns * stride;
  const bytes = layout.bits / 8;
  const row = new Uint8Array(perRow * bytes);
  for (let j = 0; j < layout.pieceRows; j++) {
    const from = j * row.length;
    for (let k = stride; k < row.length; k++)
      data[from + k] = ((data[from + k] ?? 0) + (data[from + k - stride] ?? 0)) & 255;
    row.set(data.subarray(from, from + row.length));
    for (let i = 0; i < perRow; i++) {
      for (let b = 0; b < bytes; b++) data[from + i * bytes + (little ? bytes - 1 - b : b)] = row[b * perRow + i] ?? 0;
    }
  }
}

interface Window {
  readonly left: number;
  readonly top: number;
  readonly wide: number;
  readonly high: number;
}

/** Reads the first band's numbers of a piece into the picture. */
function place(cells: Float32Array, layout: TiffLayout, raw: Uint8Array, window: Window, little: boolean): void {
  const stride = (together(layout) * layout.bits) / 8;
  const view = new DataView(raw.buffer, raw.byteOffset, raw.byteLength);
  const read = numberReader(view, layout, little);
  for (let j = 0; j < window.high; j++) {
    let at = j * layout.pieceColumns * stride;
    let to = (window.top + j) * layout.columns + window.left;
    for (let i = 0; i < window.wide; i++, at += stride) cells[to++] = read(at);
  }
}

function numberReader(view: DataView, layout: TiffLayout, little: boolean): (at: number) => number {
  if (layout.format === 3)
    return layout.bits === 32 ? (at) => view.getFloat32(at, little) : (at) => view.getFloat64(at, little);
  const signed = layout.format === 2;
  if (layout.bits === 8) return signed ? (at) => view.getInt8(at) : (at) => view.getUint8(at);
  if (layout.bits === 16) return signed ? (at) => view.getInt16(at, little) : (at) => view.getUint16(at, little);
  return signed ? (at) => view.getInt32(at, little) : (at) => view.getUint32(at, little);
}
