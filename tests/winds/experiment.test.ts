// A short run of the observing-system experiment (tests/bench/experiment.mjs is the whole one, 500 trials in two
// scenes): real winds as truth, where ../shared is there soundings too, a forecast with the error of MODEL.md §8,
// reports with the errors of their sources.
import { dirname } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { runExperiment, tableOf, truthColumns } from '../bench/experiment.ts';
import { openData } from '../openData.ts';

const root = dirname(dirname(dirname(fileURLToPath(import.meta.url))));
const TRIALS = 50;
/** Three standard errors of a share of so many trials. */
const three = (share: number): number => 3 * Math.sqrt((share * (1 - share)) / TRIALS);

describe('the observing-system experiment', () => {
  it('finds the truth where the ellipses say, misses by a third less than naive ways, and holds back what is reversed', async () => {
    const columns = await truthColumns(root, openData('.'));
    expect(columns.length).toBeGreaterThanOrEqual(20);
    const result = runExperiment({ scene: 'day', columns, trials: TRIALS, seed: 7, members: 150, balloonTrials: 8 });
    console.log(tableOf(result));
    expect(result.in90.of).toBe(TRIALS);
    expect(Math.abs(result.in50.hits / TRIALS - 0.5)).toBeLessThan(three(0.5));
    expect(Math.abs(result.in90.hits / TRIALS - 0.9)).toBeLessThan(three(0.9));
    for (const way of ['forecast alone', 'newest report alone', 'nearest-level replacement', 'plain averaging']) {
      // With everything unknown, and with only the wind unknown.
      expect(result.miss_m['analysis'], way).toBeLessThan(((result.miss_m[way] ?? NaN) * 2) / 3);
      expect(result.windMiss_m['analysis'], way).toBeLessThan(((result.windMiss_m[way] ?? NaN) * 2) / 3);
    }
    const reversed = result.reversed['all above 3 m/s'] ?? { hits: 0, of: 0 };
    expect(reversed.of).toBeGreaterThan(TRIALS);
    expect(reversed.hits / reversed.of).toBeGreaterThanOrEqual(0.9);
    const alarms = result.alarms['all'] ?? { hits: 0, of: 0 };
    expect(alarms.of).toBeGreaterThan(50 * TRIALS);
    expect(alarms.hits / alarms.of).toBeLessThanOrEqual(0.01);
    // Of eight trials; the ensembles of 150 members know an area to some 10 %, the same draws before and after to less.
    expect(Math.abs(result.balloon.said - result.balloon.took)).toBeLessThan(0.06);
  });
});
