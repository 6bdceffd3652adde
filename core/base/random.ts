// Seeded random numbers: the same seed and stream give the same numbers on every machine, and streams do not overlap in
// practice. Generator: sfc32 (Doty-Humphrey, PractRand), 128 bits of state, here seeded by splitmix32 from (seed,
// stream).

function splitmix32(state: number): number {
  let z = (state + 0x9e3779b9) | 0;
  z = Math.imul(z ^ (z >>> 16), 0x21f0aaad);
  z = Math.imul(z ^ (z >>> 15), 0x735a2d97);
  return z ^ (z >>> 15);
}

/** In (0, 1), of 32 bits. */
const uniformOf = (bits: number): number => ((bits >>> 0) + 0.5) / 4294967296;

export class Random {
  readonly #s = new Uint32Array(4);
  readonly #two = new Float64Array(2);
  #spare = NaN;

  constructor(seed: number, stream = 0) {
    this.restart(seed, stream);
  }

  /** Begins again as a new generator of this seed and stream. */
  restart(seed: number, stream: number): void {
    const a = splitmix32(seed | 0);
    const b = splitmix32(a ^ Math.imul(stream | 0, 0x85ebca6b));
    this.#s[0] = a;
    this.#s[1] = b;
    this.#s[2] = splitmix32(b ^ stream);
    this.#s[3] = 1;
    this.#spare = NaN;
    for (let i = 0; i < 12; i++) this.#next();
  }

  #next(): number {
    const s = this.#s;
    const a = s[0] as number;
    const b = s[1] as number;
    const c = s[2] as number;
    const d = s[3] as number;
    const t = (a + b + d) | 0;
    s[0] = b ^ (b >>> 9);
    s[1] = (c + (c << 3)) | 0;
    s[2] = ((c << 21) | (c >>> 11)) + t;
    s[3] = d + 1;
    return t;
  }

  /** Uniform in (0, 1). */
  uniform(): number {
    return uniformOf(this.#next());
  }

  /** Standard normal: two a turn of the polar method, the second kept. */
  normal(): number {
    if (this.#spare === this.#spare) {
      const spare = this.#spare;
      this.#spare = NaN;
      return spare;
    }
    this.#pairs(this.#two, 0);
    this.#spare = this.#two[1] as number;
    return this.#two[0] as number;
  }

  /** Fills an array with standard normals: those that as many calls of `normal` answer, in half the time. */
  fillNormals(out: Float64Array): void {
    let filled = 0;
    if (this.#spare === this.#spare && out.length > 0) out[filled++] = this.normal();
    filled = this.#pairs(out, filled);
    if (filled < out.length) out[filled] = this.normal();
  }

  /**
   * Writes pairs of standard normals from a place on, as many as fit, by Marsaglia's polar method; answers the place
   * behind them. The state is in local variables meanwhile: a member of an ensemble draws a hundred and more, which
   * would be a tenth of its time.
   */
  #pairs(out: Float64Array, from: number): number {
    const s = this.#s;
    let a = s[0] as number;
    let b = s[1] as number;
    let c = s[2] as number;
    let d = s[3] as number;
    let at = from;
    // The generator of `#next`, written out twice.
    while (at + 1 < out.length) {
      const t = (a + b + d) | 0;
      a = b ^ (b >>> 9);
      b = (c + (c << 3)) | 0;
      c = (((c << 21) | (c >>> 11)) + t) | 0;
      const t2 = (a + b + d + 1) | 0;
      a = b ^ (b >>> 9);
      b = (c + (c << 3)) | 0;
      c = (((c << 21) | (c >>> 11)) + t2) | 0;
      d = (d + 2) | 0;
      const x = 2 * uniformOf(t) - 1;
      const y = 2 * uniformOf(t2) - 1;
      const r = x * x + y * y;
      if (r >= 1 || r === 0) continue;
      const scale = Math.sqrt((-2 * Math.log(r)) / r);
      out[at] = x * scale;
      out[at + 1] = y * scale;
      at += 2;
    }
    s[0] = a;
    s[1] = b;
    s[2] = c;
    s[3] = d;
    return at;
  }

  /** Standard normal cut at three standard deviations (draws outside are repeated). */
  normalCut3(): number {
    for (;;) {
      const x = this.normal();
      if (x > -3 && x < 3) return x;
    }
  }
}
