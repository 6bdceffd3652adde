// Seeded random numbers: the same seed and stream give the same numbers on every machine, and streams do not overlap in practice.
// Generator: sfc32 (Doty-Humphrey, PractRand), 128 bits of state, here seeded by splitmix32 from (seed, stream).

function splitmix32(state: number): number {
  let z = (state + 0x9e3779b9) | 0;
  z = Math.imul(z ^ (z >>> 16), 0x21f0aaad);
  z = Math.imul(z ^ (z >>> 15), 0x735a2d97);
  return z ^ (z >>> 15);
}

export class Random {
  readonly #s = new Uint32Array(4);
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
    return t >>> 0;
  }

  /** Uniform in (0, 1). */
  uniform(): number {
    return (this.#next() + 0.5) / 4294967296;
  }

  /** Standard normal, by Marsaglia's polar method: two a turn, the second kept. */
  normal(): number {
    if (this.#spare === this.#spare) {
      const spare = this.#spare;
      this.#spare = NaN;
      return spare;
    }
    for (;;) {
      const x = 2 * this.uniform() - 1;
      const y = 2 * this.uniform() - 1;
      const r = x * x + y * y;
      if (r >= 1 || r === 0) continue;
      const scale = Math.sqrt((-2 * Math.log(r)) / r);
      this.#spare = y * scale;
      return x * scale;
    }
  }

  /** Standard normal cut at three standard deviations (drawn anew outside). */
  normalCut3(): number {
    for (;;) {
      const x = this.normal();
      if (x > -3 && x < 3) return x;
    }
  }
}
