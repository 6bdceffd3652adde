// Whether a forecast reaches a flight: winds that are held beyond its times, or drawn across a gap in it, are not a
// forecast. Times s since 1970.
import { clock, roughDuration } from '../words/times.ts';
import type { WindField } from '../winds/field.ts';

/** The valid times of the forecasts in a field, rising. */
export const forecastTimes = ({ times_s, facts, isAssumedCalm }: WindField): number[] =>
  isAssumedCalm ? [] : [...times_s].filter((_, i) => facts[i]?.kind === 'forecast');

/** From the farther end of a flight to the valid time that is nearest to it, s; Infinity without one. */
export function farthest_s(times: readonly number[], [from_s, to_s]: readonly [from_s: number, to_s: number]): number {
  const away = (time_s: number): number =>
    times.reduce((least, time) => Math.min(least, Math.abs(time - time_s)), Infinity);
  return Math.max(away(from_s), away(to_s));
}

/**
 * Why the winds do not reach a flight, a sentence; null: they do.
 *
 * most_s  farthest that the nearest valid time may be from either end of the flight
 */
export function notReached(
  wind: WindField,
  [from_s, to_s]: readonly [from_s: number, to_s: number],
  most_s: number,
): string | null {
  const times = forecastTimes(wind);
  const [first, last] = [times[0], times.at(-1)];
  if (first === undefined || last === undefined) return 'no forecast is given for this hour';
  if (first > from_s)
    return `the forecast begins at ${clock(first)}, ${roughDuration(first - from_s)} after the flight begins`;
  if (last < to_s) return `the forecast ends at ${clock(last)}, ${roughDuration(to_s - last)} before the landing`;
  const gap_s = farthest_s(times, [from_s, to_s]);
  return gap_s > most_s
    ? `the forecast has no time within ${roughDuration(most_s)} of this flight: the nearest is ` +
        `${roughDuration(gap_s)} away`
    : null;
}
