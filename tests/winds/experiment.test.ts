// A short run of the observing-system experiment (tests/bench/experiment.mjs is the whole one, 500 trials in two
// scenes): real winds as truth, where ../shared is there soundings too, a forecast with the error of MODEL.md §8,
// reports with the errors of their sources.
import { dirname } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { runExperiment, tableOf, truthColumns } from '../bench/experiment.ts';
import { REVERSAL_LOG_RATIO } from '../../core/winds/reversal.ts';
import { openData } from '../openData.ts';

const root = dirname(dirname(dirname(fileURLToPath(import.meta.url))));
const TRIALS = 50;
/** Turning a report round costs two more analyses. */
const REVERSAL_TRIALS = 10;
/** Three standard errors of a share of so many trials. */
const three = (share: number): number => 3 * Math.sqrt((share * (1 - share)) / TRIALS);

describe('the observing-system experiment', () => {
  it('finds the truth where the ellipses say, misses by a third less than naive ways, and holds back what is reversed', async () => {
    const columns = await truthColumns(root, openData('.'));
    expect(columns.length).toBeGreaterThanOrEqual(20);
    const result = runExperiment({
      scene: 'day',
      columns,
      trials: TRIALS,
      seed: 7,
      members: 100,
      reversalTrials: REVERSAL_TRIALS,
      balloonTrials: 4,
    });
    console.log(tableOf(result));
    expect(result.in90.of).toBe(TRIALS);
    expect(Math.abs(result.in50.hits / TRIALS - 0.5)).toBeLessThan(three(0.5));
    expect(Math.abs(result.in90.hits / TRIALS - 0.9)).toBeLessThan(three(0.9));
    // Of so many trials a share of 90 % cannot be known to be too large. Squares can: a landing's is known to 3 × 16 %,
    // that of the wind, with some twelve independent heights in a column, to 3 × 5 %, and the fit of the error's size
    // costs some 10 %. An ensemble that is a fifth too wide has a square of 0.7.
    expect(Math.abs(result.landingSquare - 1)).toBeLessThan(0.48);
    expect(Math.abs(result.windSquare - 1)).toBeLessThan(0.2);
    for (const way of ['forecast alone', 'newest report alone', 'nearest-level replacement', 'plain averaging']) {
      // A third less with only the wind unknown. With everything unknown less as well, but glide, spin, opening and
      // turns miss by as much whatever is known of the wind.
      expect(result.miss_m['analysis'], way).toBeLessThan(result.miss_m[way] ?? NaN);
      expect(result.windMiss_m['analysis'], way).toBeLessThan(((result.windMiss_m[way] ?? NaN) * 2) / 3);
    }
    const reversed = result.reversed['all above 3 m/s'] ?? { hits: 0, of: 0 };
    expect(reversed.of).toBeGreaterThan(REVERSAL_TRIALS);
    expect(reversed.hits / reversed.of).toBeGreaterThanOrEqual(0.9);
    // Every report turned round by itself, by what all others say.
    const each = result.tradeOff.find(({ threshold }) => threshold === REVERSAL_LOG_RATIO)?.hits ?? { hits: 0, of: 0 };
    expect(each.of).toBeGreaterThan(50 * TRIALS);
    expect(each.hits / each.of).toBeGreaterThanOrEqual(0.9);
    const alarms = result.alarms['all'] ?? { hits: 0, of: 0 };
    expect(alarms.of).toBeGreaterThan(50 * TRIALS);
    expect(alarms.hits / alarms.of).toBeLessThanOrEqual(0.01);
    // Of four trials; the ensembles of 100 members know an area to some 10 %, the same draws before and after to less.
    expect(Math.abs(result.balloon.said - result.balloon.took)).toBeLessThan(0.06);
  });
});
