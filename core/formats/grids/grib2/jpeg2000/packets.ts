// JPEG 2000: from a tile's data to the coded bytes of each code-block. Resolutions, subbands, precincts, tag trees and
// packets. Source: ITU-T T.800 (ISO/IEC 15444-1), annex B; equation and clause numbers below are its own.
import type { Coding, Rect, Tile } from './codestream.ts';

export interface Block extends Rect {
  /** Position within its precinct's grid of blocks of this subband. */
  readonly leaf: number;
  included: boolean;
  zeroPlanes: number;
  passes: number;
  lengthBits: number;
  readonly pieces: Uint8Array[];
}

/** One subband's part of a precinct. */
interface Cluster {
  readonly blocks: Block[];
  readonly inclusion: TagTree;
  readonly planes: TagTree;
}

export interface Subband extends Rect {
  /** High-pass in x, in y. */
  readonly xHigh: number;
  readonly yHigh: number;
  /** Index among all subbands of the tile, lowest first: the order of the quantization steps. */
  readonly index: number;
  readonly blocks: Block[];
}

interface Precinct {
  /** Upper left corner on the reference grid: what the orders by position go by. */
  readonly x: number;
  readonly y: number;
  readonly clusters: Cluster[];
}

export interface Resolution extends Rect {
  readonly subbands: Subband[];
  readonly precincts: Precinct[];
}

/** Code-blocks of one tile at most: a tile of 2^25 samples in the customary blocks of 64 by 64 has 8192. */
const MAX_BLOCKS = 200_000;

/**
 * Resolutions with their subbands, every block with the bytes that the packets hold for it; a sentence where that
 * fails.
 */
export function readPackets(tile: Tile): readonly Resolution[] | string {
  const { coding, rect, data } = tile;
  const resolutions: Resolution[] = [];
  let blocks = 0;
  for (let r = 0; r <= coding.levels; r++) {
    const resolution = resolutionOf(coding, rect, r);
    if (resolution === null) return 'JPEG 2000 precincts or code-blocks without number';
    for (const subband of resolution.subbands) blocks += subband.blocks.length;
    if (blocks > MAX_BLOCKS) return `more than ${MAX_BLOCKS} JPEG 2000 code-blocks`;
    resolutions.push(resolution);
  }
  const reader = new PacketReader(data);
  for (const { precinct, layer } of packetOrder(coding, resolutions)) {
    // A codestream may be cut off after any packet: what came so far is a coarser picture, and then the data were not
    // whole.
    if (reader.at >= data.length) return 'JPEG 2000 data that end before the last packet';
    const wrong = reader.packet(precinct, layer);
    if (wrong !== null) return wrong;
  }
  return resolutions;
}

const ceilDiv = (a: number, b: number): number => Math.ceil(a / b);

/** B.5 and B.6: equations B-14 to B-16. Null where there would be too many precincts. */
function resolutionOf(coding: Coding, rect: Rect, r: number): Resolution | null {
  const { levels } = coding;
  const scale = 2 ** (levels - r);
  const area = {
    x0: ceilDiv(rect.x0, scale),
    y0: ceilDiv(rect.y0, scale),
    x1: ceilDiv(rect.x1, scale),
    y1: ceilDiv(rect.y1, scale),
  };
  const [ppx, ppy] = coding.precincts[r] ?? [15, 15];
  const [pw, ph] = [2 ** ppx, 2 ** ppy];
  const empty = area.x1 <= area.x0 || area.y1 <= area.y0;
  const px0 = Math.floor(area.x0 / pw);
  const py0 = Math.floor(area.y0 / ph);
  const across = empty ? 0 : ceilDiv(area.x1, pw) - px0;
  const down = empty ? 0 : ceilDiv(area.y1, ph) - py0;
  if (across * down > MAX_BLOCKS) return null;
  const orientations =
    r === 0
      ? [[0, 0] as const]
      : ([
          [1, 0],
          [0, 1],
          [1, 1],
        ] as const);
  const subbands = orientations.map(([xHigh, yHigh], k) =>
    subbandOf(rect, r === 0 ? levels : levels - r + 1, xHigh, yHigh, r === 0 ? 0 : 3 * r - 2 + k),
  );
  const precincts: Precinct[] = [];
  for (let p = 0; p < across * down; p++) {
    const px = px0 + (p % across);
    const py = py0 + Math.floor(p / across);
    const half = r === 0 ? 1 : 2;
    const part = { x0: (px * pw) / half, y0: (py * ph) / half, x1: ((px + 1) * pw) / half, y1: ((py + 1) * ph) / half };
    const [bw, bh] = [Math.min(2 ** coding.blockWidth, pw / half), Math.min(2 ** coding.blockHeight, ph / half)];
    const clusters = subbands.map((subband) => clusterOf(subband, part, bw, bh));
    if (clusters.some((cluster) => cluster === null)) return null;
    precincts.push({
      x: Math.max(rect.x0, px * pw * scale),
      y: Math.max(rect.y0, py * ph * scale),
      clusters: clusters.filter((cluster) => cluster !== null),
    });
  }
  return { ...area, subbands, precincts };
}

/** Equation B-15. */
function subbandOf(rect: Rect, level: number, xHigh: 0 | 1, yHigh: 0 | 1, index: number): Subband {
  const whole = 2 ** level;
  const half = level === 0 ? 0 : 2 ** (level - 1);
  const of = (x: number, high: number): number => ceilDiv(x - half * high, whole);
  return {
    x0: of(rect.x0, xHigh),
    y0: of(rect.y0, yHigh),
    x1: of(rect.x1, xHigh),
    y1: of(rect.y1, yHigh),
    xHigh,
    yHigh,
    index,
    blocks: [],
  };
}

/** B.7: the code-blocks of a subband within one precinct. */
function clusterOf(subband: Subband, part: Rect, bw: number, bh: number): Cluster | null {
  const [x0, y0] = [Math.max(subband.x0, part.x0), Math.max(subband.y0, part.y0)];
  const [x1, y1] = [Math.min(subband.x1, part.x1), Math.min(subband.y1, part.y1)];
  if (x1 <= x0 || y1 <= y0) return { blocks: [], inclusion: new TagTree(0, 0), planes: new TagTree(0, 0) };
  const [bx0, by0] = [Math.floor(x0 / bw), Math.floor(y0 / bh)];
  const [across, down] = [ceilDiv(x1, bw) - bx0, ceilDiv(y1, bh) - by0];
  if (across * down > MAX_BLOCKS) return null;
  const blocks: Block[] = [];
  for (let leaf = 0; leaf < across * down; leaf++) {
    const bx = (bx0 + (leaf % across)) * bw;
    const by = (by0 + Math.floor(leaf / across)) * bh;
    blocks.push({
      x0: Math.max(bx, x0),
      y0: Math.max(by, y0),
      x1: Math.min(bx + bw, x1),
      y1: Math.min(by + bh, y1),
      leaf,
      included: false,
      zeroPlanes: 0,
      passes: 0,
      lengthBits: 3,
      pieces: [],
    });
  }
  subband.blocks.push(...blocks);
  return { blocks, inclusion: new TagTree(across, down), planes: new TagTree(across, down) };
}

interface Packet {
  readonly precinct: Precinct;
  readonly layer: number;
}

/** B.12: the five orders. With one component the orders by position differ only in what comes before the position. */
function packetOrder(coding: Coding, resolutions: readonly Resolution[]): readonly Packet[] {
  const layers = Array.from({ length: coding.layers }, (_, layer) => layer);
  const precincts = resolutions.flatMap(({ precincts }) => precincts);
  if (coding.progression === 0) return layers.flatMap((layer) => precincts.map((precinct) => ({ precinct, layer })));
  if (coding.progression === 1) {
    return resolutions.flatMap(({ precincts }) =>
      layers.flatMap((layer) => precincts.map((precinct) => ({ precinct, layer }))),
    );
  }
  const byPosition = coding.progression === 2 ? precincts : [...precincts].sort((a, b) => a.y - b.y || a.x - b.x);
  return byPosition.flatMap((precinct) => layers.map((layer) => ({ precinct, layer })));
}

/** B.10.2: numbers of a grid, coded by their minima over ever larger squares. */
class TagTree {
  /** Per level, finest first: width and where its nodes start. */
  readonly widths: number[] = [];
  readonly starts: number[] = [];
  /** Lower bound so far, and whether it is the value. */
  readonly low: Int32Array;
  readonly known: Uint8Array;

  constructor(width: number, height: number) {
    let total = 0;
    let [w, h] = [width, height];
    while (w > 0 && h > 0) {
      this.widths.push(w);
      this.starts.push(total);
      total += w * h;
      if (w === 1 && h === 1) break;
      [w, h] = [(w + 1) >> 1, (h + 1) >> 1];
    }
    this.low = new Int32Array(total);
    this.known = new Uint8Array(total);
  }

  /** Reads until the leaf's number is known or is at least `threshold`; true where it is below. */
  below(reader: PacketReader, leaf: number, threshold: number): boolean {
    const width = this.widths[0] ?? 1;
    const x = leaf % width;
    const y = Math.floor(leaf / width);
    let bound = 0;
    let known = false;
    for (let level = this.widths.length - 1; level >= 0; level--) {
      const node = (this.starts[level] ?? 0) + (y >> level) * (this.widths[level] ?? 1) + (x >> level);
      bound = Math.max(bound, this.low[node] ?? 0);
      known = this.known[node] === 1;
      while (!known && bound < threshold) {
        if (reader.bit() === 1) known = true;
        else bound += 1;
      }
      this.low[node] = bound;
      this.known[node] = known ? 1 : 0;
    }
    return known && bound < threshold;
  }
}

/** B.10: packet headers, bit by bit with a stuffed 0 after each byte of ones, and the bodies after them. */
class PacketReader {
  readonly data: Uint8Array;
  at = 0;
  byte = 0;
  left = 0;

  constructor(data: Uint8Array) {
    this.data = data;
  }

  bit(): number {
    if (this.left === 0) {
      const stuffed = this.byte === 0xff;
      this.byte = this.data[this.at] ?? 0;
      this.at += 1;
      this.left = stuffed ? 7 : 8;
    }
    this.left -= 1;
    return (this.byte >> this.left) & 1;
  }

  bits(count: number): number {
    let value = 0;
    for (let k = 0; k < count; k++) value = value * 2 + this.bit();
    return value;
  }

  /** Ends a header: a last byte of ones is followed by a stuffed byte. */
  private align(): void {
    if (this.byte === 0xff) this.at += 1;
    this.left = 0;
    this.byte = 0;
  }

  private marker(low: number): boolean {
    return this.data[this.at] === 0xff && this.data[this.at + 1] === low;
  }

  packet(precinct: Precinct, layer: number): string | null {
    if (this.marker(0x91)) this.at += 6;
    this.left = 0;
    this.byte = 0;
    const bodies: { block: Block; length: number }[] = [];
    if (this.bit() === 1) {
      for (const cluster of precinct.clusters) {
        for (const block of cluster.blocks) {
          const length = this.blockHeader(cluster, block, layer);
          if (length === null) return 'a JPEG 2000 packet header that makes no sense';
          if (length >= 0) bodies.push({ block, length });
        }
      }
    }
    this.align();
    if (this.marker(0x92)) this.at += 2;
    for (const { block, length } of bodies) {
      if (this.at + length > this.data.length) return 'JPEG 2000 data that end within a packet';
      block.pieces.push(this.data.subarray(this.at, this.at + length));
      this.at += length;
    }
    return null;
  }

  /** Bytes of the block in this packet; −1 where it has none; null where the header makes no sense. */
  private blockHeader(cluster: Cluster, block: Block, layer: number): number | null {
    const here = block.included ? this.bit() === 1 : cluster.inclusion.below(this, block.leaf, layer + 1);
    if (!here) return -1;
    if (!block.included) {
      let planes = 1;
      while (!cluster.planes.below(this, block.leaf, planes)) {
        planes += 1;
        if (planes > 40) return null;
      }
      block.zeroPlanes = planes - 1;
      block.included = true;
    }
    const passes = this.passes();
    while (this.bit() === 1) {
      block.lengthBits += 1;
      if (block.lengthBits > 40) return null;
    }
    block.passes += passes;
    return this.bits(block.lengthBits + Math.floor(Math.log2(passes)));
  }

  /** Table B.4: the number of coding passes. */
  private passes(): number {
    if (this.bit() === 0) return 1;
    if (this.bit() === 0) return 2;
    const two = this.bits(2);
    if (two < 3) return 3 + two;
    const five = this.bits(5);
    return five < 31 ? 6 + five : 37 + this.bits(7);
  }
}
