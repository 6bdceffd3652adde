// Any bytes are read without a throw; what cannot be used is said; what is decoded is possible air (style.md §6).
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { brokenInput, brokenPromise, READERS } from './fuzz.ts';

const runs = Math.ceil(Number(process.env['PLUMBLINE_FUZZ'] ?? 4000) / READERS.length);
const seed = Number(process.env['PLUMBLINE_FUZZ_SEED'] ?? Date.now() % 2 ** 31);
const HOURS_MS = 12 * 3600 * 1000;

describe('broken inputs', () => {
  console.log(`fuzz: seed ${seed}, ${runs} inputs for each of ${READERS.length} readers`);

  it.each(READERS.map((reader) => [reader.name, reader] as const))(
    '%s',
    async (_, reader) => {
      let count = 0;
      await fc.assert(
        fc.asyncProperty(brokenInput(reader), async (bytes) => {
          count += 1;
          expect(brokenPromise(await reader.read(bytes))).toBeNull();
        }),
        { numRuns: runs, seed },
      );
      expect(count).toBeGreaterThanOrEqual(runs);
    },
    HOURS_MS,
  );

  it.each(READERS.flatMap((reader) => reader.seeds.map((text, i) => [reader.name, i, reader, text] as const)))(
    'seed %s %i is a file that the reader understands',
    async (name, i, reader, text) => {
      const { decoded } = await reader.read(Uint8Array.from(text, (character) => character.charCodeAt(0)));
      // The last seeds of the dispatcher are no files, only the marks of binary kinds; TEMP holds no PILOT of its own.
      if (/^[ -~\n]*$/.test(text) && !(name === 'PILOT' && i === 1)) expect(decoded.length).toBeGreaterThan(0);
    },
  );
});
