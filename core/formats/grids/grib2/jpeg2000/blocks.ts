// JPEG 2000: the coefficients of one code-block, bit plane by bit plane, under the MQ arithmetic decoder.
// Source: ITU-T T.800 (ISO/IEC 15444-1), annexes C (arithmetic coding) and D (coefficient bit modelling); tables by
// their numbers there.
import type { Coding } from './codestream.ts';

/**
 * Table C.2: probability estimate, next state after the more and the less probable symbol, and whether the sense
 * switches.
 */
const STATES = [
  [0x5601, 1, 1, 1],
  [0x3401, 2, 6, 0],
  [0x1801, 3, 9, 0],
  [0x0ac1, 4, 12, 0],
  [0x0521, 5, 29, 0],
  [0x0221, 38, 33, 0],
  [0x5601, 7, 6, 1],
  [0x5401, 8, 14, 0],
  [0x4801, 9, 14, 0],
  [0x3801, 10, 14, 0],
  [0x3001, 11, 17, 0],
  [0x2401, 12, 18, 0],
  [0x1c01, 13, 20, 0],
  [0x1601, 29, 21, 0],
  [0x5601, 15, 14, 1],
  [0x5401, 16, 14, 0],
  [0x5101, 17, 15, 0],
  [0x4801, 18, 16, 0],
  [0x3801, 19, 17, 0],
  [0x3401, 20, 18, 0],
  [0x3001, 21, 19, 0],
  [0x2801, 22, 19, 0],
  [0x2401, 23, 20, 0],
  [0x2201, 24, 21, 0],
  [0x1c01, 25, 22, 0],
  [0x1801, 26, 23, 0],
  [0x1601, 27, 24, 0],
  [0x1401, 28, 25, 0],
  [0x1201, 29, 26, 0],
  [0x1101, 30, 27, 0],
  [0x0ac1, 31, 28, 0],
  [0x09c1, 32, 29, 0],
  [0x08a1, 33, 30, 0],
  [0x0521, 34, 31, 0],
  [0x0441, 35, 32, 0],
  [0x02a1, 36, 33, 0],
  [0x0221, 37, 34, 0],
  [0x0141, 38, 35, 0],
  [0x0111, 39, 36, 0],
  [0x0085, 40, 37, 0],
  [0x0049, 41, 38, 0],
  [0x0025, 42, 39, 0],
  [0x0015, 43, 40, 0],
  [0x0009, 44, 41, 0],
  [0x0005, 45, 42, 0],
  [0x0001, 45, 43, 0],
  [0x5601, 46, 46, 0],
] as const;
/** The same by state and sense of the more probable symbol, at 2 · state + sense. */
const QE = Int32Array.from({ length: 2 * STATES.length }, (_, k) => STATES[k >> 1]?.[0] ?? 0);
const AFTER_MORE = Uint8Array.from({ length: 2 * STATES.length }, (_, k) => 2 * (STATES[k >> 1]?.[1] ?? 0) + (k & 1));
const AFTER_LESS = Uint8Array.from({ length: 2 * STATES.length }, (_, k) => {
  const [, , less, switches] = STATES[k >> 1] ?? [0, 0, 0, 0];
  return 2 * less + ((k & 1) ^ switches);
});

/** Contexts (tables D.1 to D.5): 0 to 8 significance, 9 to 13 sign, 14 to 16 refinement, then these two. */
const RUN = 17;
const UNIFORM = 18;
const CONTEXTS = 19;

/** Annex C.3: the MQ decoder. Past the end of its bytes it is fed with ones, as the standard has it. */
class ArithmeticDecoder {
  private readonly states = new Uint8Array(CONTEXTS);
  private readonly data: Uint8Array;
  private at = 0;
  private a = 0x8000;
  private c = 0;
  private ct = 0;

  constructor(data: Uint8Array) {
    this.data = data;
    this.reset();
    this.c = (data[0] ?? 0xff) << 16;
    this.byteIn();
    this.c <<= 7;
    this.ct -= 7;
  }

  /** Table D.7. */
  reset(): void {
    this.states.fill(0);
    this.states[0] = 2 * 4;
    this.states[RUN] = 2 * 3;
    this.states[UNIFORM] = 2 * 46;
  }

  private byteIn(): void {
    const { data } = this;
    const next = data[this.at + 1] ?? 0xff;
    if ((data[this.at] ?? 0xff) === 0xff) {
      if (next > 0x8f) {
        this.c += 0xff00;
        this.ct = 8;
        return;
      }
      this.at += 1;
      this.c += next << 9;
      this.ct = 7;
    } else {
      this.at += 1;
      this.c += next << 8;
      this.ct = 8;
    }
  }

  decode(context: number): number {
    const { states } = this;
    const state = states[context] as number;
    const qe = QE[state] as number;
    let a = this.a - qe;
    let less: boolean;
    if (this.c >>> 16 < qe) {
      // The lower part: exchanged where it is the larger one.
      less = a >= qe;
      a = qe;
    } else {
      this.c -= qe << 16;
      if ((a & 0x8000) !== 0) {
        this.a = a;
        return state & 1;
      }
      less = a < qe;
    }
    states[context] = (less ? AFTER_LESS[state] : AFTER_MORE[state]) as number;
    do {
      if (this.ct === 0) this.byteIn();
      a <<= 1;
      this.c <<= 1;
      this.ct -= 1;
    } while ((a & 0x8000) === 0);
    this.a = a;
    return (state & 1) ^ (less ? 1 : 0);
  }
}

/**
 * Significance of the neighbours, packed: twos of them left and right, above and below (times 4), diagonal (times 16).
 */
const SIDE = 1;
const ABOVE = 4;
const DIAGONAL = 16;

/** Table D.1 by that packing; `kind` 0 for LL and LH, 1 for HL, 2 for HH. */
const SIGNIFICANCE = [0, 1, 2].map((kind) =>
  Uint8Array.from({ length: 128 }, (_, packed) => {
    const [side, above, d] = [packed & 3, (packed >> 2) & 3, packed >> 4];
    if (kind === 2) {
      const hv = side + above;
      return d >= 3 ? 8 : d === 2 ? (hv >= 1 ? 7 : 6) : d === 1 ? (hv >= 2 ? 5 : 3 + hv) : Math.min(hv, 2);
    }
    const [h, v] = kind === 0 ? [side, above] : [above, side];
    if (h === 2) return 8;
    if (h === 1) return v >= 1 ? 7 : d >= 1 ? 6 : 5;
    return v === 2 ? 4 : v === 1 ? 3 : Math.min(d, 2);
  }),
);

/** Table D.3 at index (H + 1)·3 + V + 1: context, and the bit that the decoded one is turned by. */
const SIGN_CONTEXT = Uint8Array.of(13, 12, 11, 10, 9, 10, 11, 12, 13);
const SIGN_TURN = Uint8Array.of(1, 1, 1, 1, 0, 0, 0, 0, 0);

/**
 * The coefficients of a code-block in half units: twice the magnitude, with the middle of the part that was not decoded
 * added, signed. Row by row.
 *
 * kind    0 for subbands LL and LH, 1 for HL, 2 for HH
 * planes  magnitude bit planes that are coded, at most 30
 */
export function decodeBlock(
  data: Uint8Array,
  width: number,
  height: number,
  kind: number,
  planes: number,
  passes: number,
  coding: Coding,
): Int32Array {
  const block = new BlockDecoder(
    data,
    width,
    height,
    SIGNIFICANCE[kind] ?? new Uint8Array(128),
    coding.verticallyCausal,
  );
  let plane = planes - 1;
  for (let pass = 0; pass < passes && plane >= 0; pass++) {
    const which = (pass + 2) % 3;
    if (which === 0) block.propagate(plane);
    else if (which === 1) block.refine(plane);
    else {
      block.cleanUp(plane);
      if (coding.segmentationSymbols) block.symbol();
      plane -= 1;
    }
    if (coding.resetContexts) block.coder.reset();
  }
  return block.signed();
}

class BlockDecoder {
  readonly coder: ArithmeticDecoder;
  private readonly width: number;
  private readonly height: number;
  private readonly contexts: Uint8Array;
  private readonly causal: boolean;
  /** All with a rim of one sample, so that neighbours need no bounds. */
  private readonly stride: number;
  private readonly near: Uint8Array;
  private readonly sign: Int8Array;
  private readonly significant: Uint8Array;
  private readonly visited: Uint8Array;
  private readonly refined: Uint8Array;
  private readonly magnitude: Int32Array;

  constructor(data: Uint8Array, width: number, height: number, contexts: Uint8Array, causal: boolean) {
    this.coder = new ArithmeticDecoder(data);
    this.width = width;
    this.height = height;
    this.contexts = contexts;
    this.causal = causal;
    this.stride = width + 2;
    const size = this.stride * (height + 2);
    this.near = new Uint8Array(size);
    this.sign = new Int8Array(size);
    this.significant = new Uint8Array(size);
    this.visited = new Uint8Array(size);
    this.refined = new Uint8Array(size);
    this.magnitude = new Int32Array(size);
  }

  /** D.3.1: samples that have a significant neighbour. */
  propagate(plane: number): void {
    const { coder, stride, near, significant, contexts, visited } = this;
    for (let top = 0; top < this.height; top += 4) {
      const bottom = Math.min(top + 4, this.height);
      for (let x = 1; x <= this.width; x++) {
        for (let y = top; y < bottom; y++) {
          const k = (y + 1) * stride + x;
          if (significant[k] === 1 || near[k] === 0) continue;
          visited[k] = 1;
          if (coder.decode(contexts[near[k] as number] as number) === 1) this.found(k, y, plane);
        }
      }
    }
  }

  /** D.3.3: one more bit of samples that were significant before this plane. */
  refine(plane: number): void {
    const { coder, stride, near, significant, visited, refined, magnitude } = this;
    const middle = 2 ** plane;
    for (let top = 0; top < this.height; top += 4) {
      const bottom = Math.min(top + 4, this.height);
      for (let x = 1; x <= this.width; x++) {
        for (let y = top; y < bottom; y++) {
          const k = (y + 1) * stride + x;
          if (significant[k] === 0 || visited[k] === 1) continue;
          const context = refined[k] === 1 ? 16 : near[k] === 0 ? 14 : 15;
          refined[k] = 1;
          const bit = coder.decode(context);
          magnitude[k] = (magnitude[k] as number) + (bit === 1 ? middle : -middle);
        }
      }
    }
  }

  /**
   * D.3.4: all the rest, with runs of four insignificant samples under one symbol. Ends the plane: visits are
   * forgotten.
   */
  cleanUp(plane: number): void {
    const { coder, stride, near, significant, visited, contexts } = this;
    for (let top = 0; top < this.height; top += 4) {
      const bottom = Math.min(top + 4, this.height);
      for (let x = 1; x <= this.width; x++) {
        let y = top;
        if (bottom - top === 4 && this.quiet(top, x)) {
          if (coder.decode(RUN) === 0) continue;
          y = top + coder.decode(UNIFORM) * 2;
          y += coder.decode(UNIFORM);
          this.found((y + 1) * stride + x, y, plane);
          y += 1;
        }
        for (; y < bottom; y++) {
          const k = (y + 1) * stride + x;
          if (significant[k] === 1 || visited[k] === 1) continue;
          if (coder.decode(contexts[near[k] as number] as number) === 1) this.found(k, y, plane);
        }
      }
    }
    visited.fill(0);
  }

  /** D.5: four bits that mark the end of a plane; they tell errors apart and carry nothing else. */
  symbol(): void {
    for (let k = 0; k < 4; k++) this.coder.decode(UNIFORM);
  }

  private quiet(top: number, x: number): boolean {
    const { stride, near, significant, visited } = this;
    for (let k = (top + 1) * stride + x, n = 0; n < 4; n++, k += stride) {
      if (near[k] !== 0 || significant[k] === 1 || visited[k] === 1) return false;
    }
    return true;
  }

  /**
   * D.3.2: a sample becomes significant: its sign, its first bit and half of the next, and the news to its neighbours.
   */
  private found(k: number, y: number, plane: number): void {
    const { coder, stride, near, sign } = this;
    // The vertically causal mode (D.7) keeps a stripe of four rows from seeing the one below it.
    const blindBelow = this.causal && (y & 3) === 3;
    const h = (sign[k - 1] as number) + (sign[k + 1] as number);
    const v = (sign[k - stride] as number) + (blindBelow ? 0 : (sign[k + stride] as number));
    const index = (Math.sign(h) + 1) * 3 + Math.sign(v) + 1;
    const negative = coder.decode(SIGN_CONTEXT[index] as number) ^ (SIGN_TURN[index] as number);
    sign[k] = negative === 1 ? -1 : 1;
    this.significant[k] = 1;
    this.magnitude[k] = 3 * 2 ** plane;
    near[k - 1] = (near[k - 1] as number) + SIDE;
    near[k + 1] = (near[k + 1] as number) + SIDE;
    near[k + stride] = (near[k + stride] as number) + ABOVE;
    near[k + stride - 1] = (near[k + stride - 1] as number) + DIAGONAL;
    near[k + stride + 1] = (near[k + stride + 1] as number) + DIAGONAL;
    if (this.causal && (y & 3) === 0) return;
    near[k - stride] = (near[k - stride] as number) + ABOVE;
    near[k - stride - 1] = (near[k - stride - 1] as number) + DIAGONAL;
    near[k - stride + 1] = (near[k - stride + 1] as number) + DIAGONAL;
  }

  signed(): Int32Array {
    const { width, height, stride, magnitude, sign } = this;
    const out = new Int32Array(width * height);
    for (let y = 0; y < height; y++) {
      for (let x = 0; x < width; x++) {
        const k = (y + 1) * stride + x + 1;
        out[y * width + x] = (magnitude[k] as number) * (sign[k] as number);
      }
    }
    return out;
  }
}
