// Which winds decide, for the wind column: the sensitivity as bars by height, and the stretch of height that decides,
// in words.
import { decidingWinds, layerWeights, type LayerWeight } from '../../core/descent/deciding.ts';
import type { WindSensitivity } from '../../core/descent/sensitivity.ts';
import type { WindError } from '../../core/descent/windError.ts';
import { height, lengthUp } from '../../core/words/lengths.ts';
import { number, THIN, type Units } from '../../core/words/numbers.ts';

/**
 * The parts that winds must have to be said to decide, the better first, and of how much of the descent they may be at
 * most.
 */
const DECIDES = [0.7, 0.5] as const;
const NARROW = 0.4;

/**
 * A bar each 500 m; of a descent that is lower than some kilometres each 250 m, so that there are enough to tell apart.
 */
export function barsOf(k: WindSensitivity, ground_m: number): LayerWeight[] {
  const top = k.heights_m[0] ?? ground_m;
  return layerWeights(k, ground_m, top - ground_m > 8000 ? 500 : 250);
}

/**
 * "The winds from 9000 m to 13 000 m MSL decide 70 % of the spread that wind makes"; that no layer does where it takes
 * most of the descent to make half of the spread; null where the wind has no error or does not reach the landing.
 */
export function decidesWords(k: WindSensitivity, error: WindError, units: Units, ground_m: number): string | null {
  const whole_m = (k.heights_m[0] ?? ground_m) - ground_m;
  const all = decidingWinds(k, error, DECIDES);
  if (all[0] === null) return null;
  const found = all.find((one) => one !== undefined && one !== null && one.top_m - one.bottom_m <= NARROW * whole_m);
  if (found === undefined || found === null) return 'Winds at all heights make the spread; no layer decides it';
  const share = `${number(Math.round(100 * Math.min(found.share, 1)))}${THIN}%`;
  // Where a wind begins to decide is not known to better than its correlation length: hundreds of metres.
  const round = (h: number): number => ground_m + Math.round((h - ground_m) / 100) * 100;
  const top = height(round(found.top_m), units, ground_m);
  const low = found.bottom_m - ground_m < 150;
  const stretch = low
    ? `up to ${top}`
    : `from ${height(round(found.bottom_m), units, ground_m).replace(/ (MSL|AGL)$/, '')} to ${top}`;
  return `The winds ${stretch} decide ${share} of the spread that wind makes`;
}

/** What the wind of one layer does to the landing: "1 m/s in these 500 m moves the landing 31 m". */
export function layerWords(bars: readonly LayerWeight[], height_m: number, units: Units): string | null {
  const layer = bars.find((one) => height_m >= one.bottom_m && height_m < one.top_m);
  if (layer === undefined) return null;
  return (
    `1${THIN}m/s more in these ${lengthUp(layer.top_m - layer.bottom_m, units)} moves the landing ` +
    `${lengthUp(layer.metresPerMps, units)}.`
  );
}
