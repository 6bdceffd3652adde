// Any bytes are read without a throw; what cannot be used is said; what is decoded is possible.
import { fc, SEED } from '../property.ts';
import { afterAll, describe, expect, it } from 'vitest';
import { BINARY_SHARE, QUICK_INPUTS, READERS, runsOf } from './fuzz.ts';
import { brokenInput, encode } from './fuzzInputs.ts';

const inputs = Number(process.env['PLUMBLINE_FUZZ'] ?? QUICK_INPUTS);
const HOURS_MS = 24 * 3600 * 1000;

describe('broken inputs', () => {
  console.log(`fuzz: seed ${SEED}, at least ${inputs} inputs over ${READERS.length} readers`);
  const counts: number[] = [];
  afterAll(() => {
    const total = counts.reduce((sum, n) => sum + n, 0);
    console.log(`fuzz: ${total} inputs read in all, seed ${SEED}`);
  });

  it('go to each binary format by a tenth at least', () => {
    const long = 10 * QUICK_INPUTS;
    const binary = READERS.filter(({ quick }) => quick !== null);
    expect(binary.map(({ name }) => name)).toEqual(['GRIB2', 'netCDF classic', 'netCDF-4', 'GeoTIFF', 'hgt']);
    for (const one of binary) expect(runsOf(one, long)).toBeGreaterThanOrEqual(BINARY_SHARE * long);
    const all = READERS.reduce((sum, one) => sum + runsOf(one, long), 0);
    expect(all).toBeGreaterThanOrEqual(long);
    expect(all).toBeLessThan(1.01 * long);
    for (const one of READERS) expect(runsOf(one, QUICK_INPUTS)).toBeGreaterThanOrEqual(30);
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
        { numRuns: runs },
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
