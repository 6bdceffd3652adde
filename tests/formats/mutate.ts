// Hostile inputs for the readers of coded reports and tracks: any characters, and real files with a few wounds. The
// seed and the number of inputs are printed; PLUMBLINE_FUZZ_SEED=n draws others, PLUMBLINE_FUZZ_RUNS makes it longer.
import { fc, SEED } from '../property.ts';
import { expect, it } from 'vitest';
import type { Read } from '../../core/base/problem.ts';

type Wound = (text: string) => string;

const place = fc.double({ min: 0, max: 1, noNaN: true });
const characters = fc.oneof(
  fc.string({ maxLength: 6 }),
  fc.nat(999_999).map(String),
  fc.constantFrom(
    '/',
    '=',
    '9',
    '-',
    ' ',
    '\n',
    '\u0003',
    '\u0000',
    ',',
    '$',
    '<',
    '>',
    '"',
    '{',
    '[',
    '&#x0;',
    'NaN',
    '1e999',
    'é',
  ),
);
const spot = (text: string, at: number): number => Math.floor(at * text.length);
const wound: fc.Arbitrary<Wound> = fc.oneof(
  // Something is missing, something is put in, something comes twice, and the whole is cut off.
  fc.tuple(place, fc.nat(40)).map(
    ([at, n]): Wound =>
      (text) =>
        text.slice(0, spot(text, at)) + text.slice(spot(text, at) + n),
  ),
  fc.tuple(place, characters).map(
    ([at, put]): Wound =>
      (text) =>
        text.slice(0, spot(text, at)) + put + text.slice(spot(text, at)),
  ),
  fc.tuple(place, fc.nat(60)).map(
    ([at, n]): Wound =>
      (text) =>
        text.slice(0, spot(text, at) + n) + text.slice(spot(text, at)),
  ),
  place.map(
    (at): Wound =>
      (text) =>
        text.slice(0, Math.max(spot(text, at), text.length - 400)),
  ),
);

/** The path to a number that is not finite, if there is one: missing is null, never NaN. */
function notFinite(value: unknown, path = 'value'): string | null {
  if (typeof value === 'number') return Number.isFinite(value) ? null : `${path} is ${value}`;
  if (typeof value !== 'object' || value === null) return null;
  for (const [key, part] of Object.entries(value)) {
    const found = notFinite(part, `${path}.${key}`);
    if (found !== null) return found;
  }
  return null;
}

/**
 * A test that `read` answers every input: it never throws, its numbers are finite, its problems are sentences with a
 * line.
 */
export function itSurvives(name: string, samples: readonly string[], read: (text: string) => Read<unknown>): void {
  const runs = Number(process.env['PLUMBLINE_FUZZ_RUNS'] ?? 800);
  it(
    `${name}: ${runs} hostile inputs are answered, never thrown at`,
    () => {
      const short = samples.map((sample) => (sample.length > 3000 ? sample.slice(0, 3000) : sample));
      const text = fc.oneof(
        { weight: 1, arbitrary: fc.string({ unit: 'binary', maxLength: 300 }) },
        { weight: 1, arbitrary: fc.uint8Array({ maxLength: 300 }).map((bytes) => String.fromCharCode(...bytes)) },
        {
          weight: 8,
          arbitrary: fc
            .tuple(fc.nat(Math.max(0, short.length - 1)), fc.array(wound, { minLength: 1, maxLength: 8 }))
            .map(([i, wounds]) => wounds.reduce((sample, hurt) => hurt(sample), short[i] ?? '')),
        },
      );
      let count = 0;
      fc.assert(
        fc.property(text, (input) => {
          count++;
          const { value, problems } = read(input);
          expect(notFinite(value)).toBeNull();
          expect(problems.filter((problem) => !(problem.line >= 0 && problem.text.length > 3))).toEqual([]);
        }),
        { numRuns: runs },
      );
      expect(count).toBeGreaterThanOrEqual(runs);
      console.log(`${name}: ${count} hostile inputs, seed ${SEED}`);
    },
    Math.max(60_000, runs * 20),
  );
}
