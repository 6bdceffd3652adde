// Broken inputs out of whole ones: texts with words put in, cut and doubled, binary files with wounds, and plain noise.
import { fc } from '../property.ts';

/** One change: where (0 to 1 of the length), how far, and what is put there. */
interface Edit {
  readonly at: number;
  readonly length: number;
  readonly put: string;
  readonly kind: 'replace' | 'cut' | 'repeat' | 'truncate';
}

const TOKENS = (
  'NaN null -9999 -8888 999 99999 -1 0 1e308 -0 9900 7799 ///// // = - + . , ; : " { } [ ] < > &nbsp; # ° 日 FT height_m TTAA PPBB METAR ' +
  '00000KT VRB __proto__ constructor 31/02 25:61 \u0000 \u0001 \u0003 \uFEFF'
)
  .split(' ')
  .concat('\n', '\r\n', '\r', '\t', ' ', '        ', 'PRES   HGHT   DRCT   SKNT');

/**
 * A place in a file, 0 to 1, each part of it as likely as another. Not `fc.double`: it draws among the numbers that a
 * double can hold, most of which are smaller than any file is long, and so would change hardly anything but the first
 * character.
 */
const PLACES = 2 ** 24;
const place = fc.integer({ min: 0, max: PLACES }).map((n) => n / PLACES);

const edit: fc.Arbitrary<Edit> = fc.record({
  at: place,
  length: fc.oneof(fc.constant(0), fc.integer({ min: 1, max: 6 }), fc.integer({ min: 1, max: 200 })),
  put: fc.oneof(
    fc.constantFrom(...TOKENS),
    fc.integer({ min: -100_000, max: 100_000 }).map(String),
    fc.string({ maxLength: 6 }),
  ),
  kind: fc.constantFrom('replace', 'replace', 'replace', 'cut', 'repeat', 'truncate'),
});

function apply(seed: string, edits: readonly Edit[]): string {
  let changed = seed;
  for (const { at, length, put, kind } of edits) {
    const from = Math.floor(at * changed.length);
    const to = Math.min(changed.length, from + length);
    if (kind === 'truncate') changed = changed.slice(0, Math.max(from, 1));
    else if (kind === 'repeat') changed = changed.slice(0, to) + changed.slice(from);
    else changed = changed.slice(0, from) + (kind === 'cut' ? '' : put) + changed.slice(to);
  }
  return changed;
}

/** A wound of a binary file: flipped bits, numbers of all ones or zeros. Heads get as many as data. */
interface Wound {
  readonly inHead: boolean;
  readonly at: number;
  readonly byte: number;
  readonly kind: 'byte' | 'bit' | 'ones' | 'zeros' | 'fill';
}

const HEAD_BYTES = 3000;
const wound: fc.Arbitrary<Wound> = fc.record({
  inHead: fc.boolean(),
  at: place,
  byte: fc.nat(255),
  kind: fc.constantFrom('byte', 'bit', 'ones', 'zeros', 'fill'),
});

/** How a wounded file ends: whole, cut off, or with its beginning doubled. */
const ending = fc.oneof(
  { weight: 5, arbitrary: fc.constant(null) },
  { weight: 2, arbitrary: fc.tuple(fc.boolean(), place) },
);

function wounded(
  seed: Uint8Array,
  wounds: readonly Wound[],
  end: readonly [doubled: boolean, at: number] | null,
): Uint8Array {
  const bytes = Uint8Array.from(seed);
  for (const { inHead, at, byte, kind } of wounds) {
    const k = Math.floor(at * (inHead ? Math.min(HEAD_BYTES, bytes.length) : bytes.length));
    if (kind === 'byte') bytes[k] = byte;
    else if (kind === 'bit') bytes[k] = (bytes[k] ?? 0) ^ (1 << (byte & 7));
    else bytes.fill(kind === 'ones' ? 0xff : kind === 'zeros' ? 0 : byte, k, k + (byte & 7) + 1);
  }
  if (end === null) return bytes;
  const [doubled, at] = end;
  const cut = Math.floor(at * bytes.length);
  return doubled ? joined(bytes.subarray(0, cut), bytes) : bytes.subarray(0, cut);
}

function joined(a: Uint8Array, b: Uint8Array): Uint8Array {
  const both = new Uint8Array(a.length + b.length);
  both.set(a);
  both.set(b, a.length);
  return both;
}

const encoder = new TextEncoder();
/** Latin 1 where that is all there is, else UTF-8. */
export const encode = (value: string): Uint8Array => {
  const codes = Array.from(value, (character) => character.codePointAt(0) ?? 0);
  return codes.every((code) => code < 256) ? Uint8Array.from(codes) : encoder.encode(value);
};

export interface FuzzInputs {
  /** Whole inputs that the reader understands: texts are edited, binary files wounded. */
  readonly seeds: readonly (string | Uint8Array)[];
  /** First bytes by which a kind of file is known; noise stands behind them. */
  readonly marks?: readonly string[];
  /** Words of the reader's own language, mixed into lines of words alone. */
  readonly words?: readonly string[];
}

/** Inputs for one reader: mostly changed seeds, some plain noise. */
export function brokenInput({ seeds, marks = [], words = [] }: FuzzInputs): fc.Arbitrary<Uint8Array> {
  const texts = seeds.filter((seed) => typeof seed === 'string');
  const files = seeds.filter((seed) => typeof seed !== 'string');
  const noise = fc.uint8Array({ maxLength: 400 });
  // Only of what the reader has: a choice among nothing cannot be made.
  const choices: readonly (readonly [
    weight: number,
    from: readonly unknown[],
    make: () => fc.Arbitrary<Uint8Array>,
  ])[] = [
    [
      8,
      texts,
      () =>
        fc
          .tuple(fc.constantFrom(...texts), fc.array(edit, { maxLength: 8 }))
          .map(([seed, edits]) => encode(apply(seed, edits))),
    ],
    [
      8,
      files,
      () =>
        fc
          .tuple(fc.constantFrom(...files), fc.array(wound, { minLength: 1, maxLength: 6 }), ending)
          .map(([seed, wounds, end]) => wounded(seed, wounds, end)),
    ],
    [8, words, () => fc.array(fc.constantFrom(...words), { maxLength: 12 }).map((list) => encode(list.join(' ')))],
    [1, marks, () => fc.tuple(fc.constantFrom(...marks), noise).map(([mark, bytes]) => joined(encode(mark), bytes))],
    [1, seeds, () => noise],
    [1, seeds, () => fc.string({ unit: 'binary', maxLength: 300 }).map((value) => encoder.encode(value))],
  ];
  return fc.oneof(
    ...choices.filter(([, from]) => from.length > 0).map(([weight, , make]) => ({ weight, arbitrary: make() })),
  );
}
