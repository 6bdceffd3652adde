// Any bytes are read without a throw; what cannot be used is said; what is decoded is possible.
import fc from 'fast-check';
import { afterAll, describe, expect, it } from 'vitest';
import { READERS, runsOf } from './fuzz.ts';
import { brokenInput, encode } from './fuzzInputs.ts';

const inputs = Number(process.env['PLUMBLINE_FUZZ'] ?? 10_000);
const seed = Number(process.env['PLUMBLINE_FUZZ_SEED'] ?? Date.now() % 2 ** 31);
const HOURS_MS = 24 * 3600 * 1000;

describe('broken inputs', () => {
  console.log(`fuzz: seed ${seed}, at least ${inputs} inputs over ${READERS.length} readers`);
  const counts: number[] = [];
  afterAll(() => {
    const total = counts.reduce((sum, n) => sum + n, 0);
    console.log(`fuzz: ${total} inputs read in all, seed ${seed}`);
  });

  it.each(READERS.map((reader) => [reader.name, reader] as const))(
    '%s',
    async (name, reader) => {
      const runs = runsOf(reader, inputs);
      let count = 0;
      let understood = 0;
      let slowest_ms = 0;
      const started = performance.now();
      await fc.assert(
        fc.asyncProperty(brokenInput(reader), async (bytes) => {
          count += 1;
          const before = performance.now();
          const answer = await reader.check(bytes);
          slowest_ms = Math.max(slowest_ms, performance.now() - before);
          expect(answer.broken).toBeNull();
          if (answer.understood) understood += 1;
        }),
        { numRuns: runs, seed },
      );
      counts.push(count);
      const took = `${((performance.now() - started) / 1000).toFixed(1)} s, the slowest ${slowest_ms.toFixed(0)} ms`;
      console.log(`fuzz: ${name}: ${count} inputs, ${understood} understood in part, ${took}`);
      expect(count).toBeGreaterThanOrEqual(runs);
    },
    HOURS_MS,
  );

  it.each(
    READERS.flatMap((reader) =>
      reader.seeds.slice(0, reader.ownSeeds).map((input, i) => [reader.name, i, reader, input] as const),
    ),
  )('seed %s %i is understood', async (_name, _i, reader, input) => {
    const { broken, understood } = await reader.check(typeof input === 'string' ? encode(input) : input);
    expect([broken, understood]).toEqual([null, true]);
  });
});
