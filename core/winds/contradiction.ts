// Two reports of one place, height and time that cannot both be right: shown side by side, so that a person decides.
import { backgroundCovariance, canonicalOrder, pointsOf, type Observation } from './analysis.ts';
import type { BackgroundErrors } from './errors.ts';
import { MISFIT } from './reversal.ts';

export interface Contradiction {
  /** The older one first. */
  readonly ids: readonly [string, string];
  /** Length of the difference of the two winds, m/s, and its square in units of what could be expected. */
  readonly apart_mps: number;
  readonly misfit: number;
}

/** "The same time": a quarter of an hour, within which a mean wind seldom turns without a front. */
const SAME_TIME_S = 900;
/** "The same height": a quarter of a correlation length. */
const SAME_ZETA = 0.25;
/** "The same place", as a part of the correlation distance: 3 km of 150. */
const SAME_PLACE = 0.02;
const MOST_PAIRS = 50;

/**
 * The pairs, newest first, at most 50. What two good reports may differ by is both their errors and what the wind itself changes
 * between the two points; a pair is listed where one good pair in a thousand would be farther apart.
 */
export function contradictions(observations: readonly Observation[], errors: BackgroundErrors): Contradiction[] {
  const sorted = [...observations].sort(canonicalOrder);
  const points = pointsOf(sorted, errors);
  const pairs: Contradiction[] = [];
  for (let j = sorted.length - 1; j > 0 && pairs.length < MOST_PAIRS; j--) {
    const b = sorted[j] as Observation;
    for (let i = j - 1; i >= 0 && pairs.length < MOST_PAIRS; i--) {
      const a = sorted[i] as Observation;
      if (b.time_s - a.time_s > SAME_TIME_S) break;
      if (Math.abs((points.zeta[i] as number) - (points.zeta[j] as number)) > SAME_ZETA) continue;
      const x = (points.x[i] as number) - (points.x[j] as number);
      const y = (points.y[i] as number) - (points.y[j] as number);
      const z = (points.z[i] as number) - (points.z[j] as number);
      if (Math.hypot(x, y, z) > SAME_PLACE) continue;
      const apart_mps = Math.hypot(a.u_mps - b.u_mps, a.v_mps - b.v_mps);
      const change =
        backgroundCovariance(points, i, points, i) +
        backgroundCovariance(points, j, points, j) -
        2 * backgroundCovariance(points, i, points, j);
      const misfit = (apart_mps * apart_mps) / (change + a.std_mps * a.std_mps + b.std_mps * b.std_mps);
      if (misfit > MISFIT) pairs.push({ ids: [a.id, b.id], apart_mps, misfit });
    }
  }
  return pairs;
}
