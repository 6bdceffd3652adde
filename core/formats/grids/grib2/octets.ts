// Octets of a GRIB2 message. Everything read past the end is 0: a section's length is checked before it is used, and a
// reader of damaged bytes must not throw. Octet numbers in this folder count from 1 within a section, as the WMO manual
// prints them.

/** One section: `bytes` starts at its first octet and ends after its last. */
export class Octets {
  readonly bytes: Uint8Array;

  constructor(bytes: Uint8Array) {
    this.bytes = bytes;
  }

  get length(): number {
    return this.bytes.length;
  }

  /** The octet with this number, counted from 1. */
  octet(n: number): number {
    return this.bytes[n - 1] ?? 0;
  }

  /** Unsigned, big-endian, `size` octets from octet `n`. Exact up to six octets. */
  unsigned(n: number, size: number): number {
    let value = 0;
    for (let k = 0; k < size; k++) value = value * 256 + this.octet(n + k);
    return value;
  }

  /** Sign and magnitude: the first bit is the sign (regulation 92.1.5 of the manual). */
  signed(n: number, size: number): number {
    const value = this.unsigned(n, size);
    const half = 2 ** (8 * size - 1);
    return value >= half ? half - value : value;
  }

  /** True where every bit is set: "missing" (regulation 92.1.4). */
  missing(n: number, size: number): boolean {
    return this.unsigned(n, size) === 2 ** (8 * size) - 1;
  }

  /** IEEE 754 single precision. */
  float32(n: number): number {
    const bits = this.unsigned(n, 4);
    const sign = bits >= 2 ** 31 ? -1 : 1;
    const exponent = (bits >>> 23) & 0xff;
    const fraction = bits & 0x7fffff;
    if (exponent === 0xff) return fraction === 0 ? sign * Infinity : NaN;
    return sign * (exponent === 0 ? fraction * 2 ** -149 : (1 + fraction * 2 ** -23) * 2 ** (exponent - 127));
  }

  /** `scaled` · 10^−`factor`, both as the manual's pairs "scale factor, scaled value"; null where missing. */
  scaled(factorAt: number, valueAt: number, size = 4): number | null {
    if (this.missing(factorAt, 1) || this.missing(valueAt, size)) return null;
    return this.unsigned(valueAt, size) / 10 ** this.signed(factorAt, 1);
  }
}

/** Some of the packed values of a field. */
export interface Wanted {
  /** How many there are. */
  readonly count: number;
  /** Which are wanted: places among them, each behind the one before. */
  readonly at: Int32Array;
}

/** Bits, most significant first. Past the end it gives zeros and says so by `overrun`. */
export class Bits {
  readonly bytes: Uint8Array;
  /** Position in bits. */
  at: number;

  constructor(bytes: Uint8Array, at = 0) {
    this.bytes = bytes;
    this.at = at;
  }

  get overrun(): boolean {
    return this.at > this.bytes.length * 8;
  }

  /** The next `count` bits, 0 to 48, as an unsigned number. */
  read(count: number): number {
    const { bytes } = this;
    let at = this.at;
    if (count <= 25 && count > 0) {
      // Four bytes hold 25 bits from any bit of the first; most numbers are that short, and this is three times as
      // fast.
      const k = at >>> 3;
      const word =
        ((bytes[k] ?? 0) << 24) | ((bytes[k + 1] ?? 0) << 16) | ((bytes[k + 2] ?? 0) << 8) | (bytes[k + 3] ?? 0);
      this.at = at + count;
      return (word << (at & 7)) >>> (32 - count);
    }
    let left = count;
    let value = 0;
    while (left > 0) {
      const byte = bytes[at >>> 3] ?? 0;
      const free = 8 - (at & 7);
      const take = left < free ? left : free;
      value = value * (1 << take) + ((byte >>> (free - take)) & ((1 << take) - 1));
      at += take;
      left -= take;
    }
    this.at = at;
    return value;
  }

  /**
   * The next `count` numbers of `width` bits, 0 to 48, each with `base` added, into `out`: those that `read` gives, and
   * each byte is fetched once.
   */
  list(width: number, count: number, out: Float64Array, base = 0): void {
    if (width === 0 || width > 24) {
      for (let n = 0; n < count; n++) out[n] = base + this.read(width);
      return;
    }
    const { bytes } = this;
    const mask = 2 ** width - 1;
    let k = this.at >>> 3;
    // The bits that were taken from the bytes and not yet given.
    let held = bytes[k] ?? 0;
    let free = 8 - (this.at & 7);
    k += 1;
    for (let n = 0; n < count; n++) {
      while (free < width) {
        held = (held << 8) | (bytes[k] ?? 0);
        k += 1;
        free += 8;
      }
      free -= width;
      out[n] = base + ((held >>> free) & mask);
    }
    this.at += width * count;
  }

  /** On to the next whole octet. */
  align(): void {
    this.at = Math.ceil(this.at / 8) * 8;
  }

  /** Zeros before the next 1, which is taken too; −1 where the bits end first. */
  unary(): number {
    const { bytes, at } = this;
    const k = at >>> 3;
    // As in `read`: most runs are short, and end within the 25 bits that four bytes give.
    const word =
      (((bytes[k] ?? 0) << 24) | ((bytes[k + 1] ?? 0) << 16) | ((bytes[k + 2] ?? 0) << 8) | (bytes[k + 3] ?? 0)) <<
      (at & 7);
    const short = Math.clz32(word);
    if (short < 25) {
      this.at = at + short + 1;
      return short;
    }
    const end = bytes.length * 8;
    let zeros = 0;
    while (this.at < end) {
      const byte = this.bytes[this.at >>> 3] ?? 0;
      const rest = (byte << (this.at & 7)) & 0xff;
      if (rest === 0) {
        const skipped = 8 - (this.at & 7);
        zeros += skipped;
        this.at += skipped;
        continue;
      }
      const run = Math.clz32(rest) - 24;
      this.at += run + 1;
      return zeros + run;
    }
    return -1;
  }
}
