// The wind error along a descent: the mean correction that the reports make to the forecast, and the factor from which
// a member of an ensemble draws what is still unknown. A descent meets each height once, at a known time and place to
// within minutes and some kilometres, so the error of the wind in height, time and distance (MODEL.md §8) is along it a
// process in height alone.
import { nth } from '../base/nth.ts';
import { analysisNodes, evaluate, pointsOf, type PointOf, type Solved, type WindsAnalysis } from '../winds/analysis.ts';
import { covarianceFactor } from '../winds/cholesky.ts';
import type { BackgroundErrors } from '../winds/errors.ts';
import type { WindOffset } from '../winds/field.ts';
import type { Random } from '../base/random.ts';

export interface WindError {
  /** Nodes, rising, m MSL; between them the error runs straight. */
  readonly heights_m: Float64Array;
  /** What the reports add to the forecast, m/s. */
  readonly meanU_mps: Float64Array;
  readonly meanV_mps: Float64Array;
  /** Lower triangular factor of one component's error covariance, n × n row-major; east and north are independent. */
  readonly factor: Float64Array;
}

/** The heights, times and places that a descent passes: from a flight of the plan. */
export type DescentPath = readonly PointOf[];

/** An analysis without reports: the forecast with its error. */
export function noReports(errors: BackgroundErrors): Solved {
  const none = new Float64Array(0);
  return { points: pointsOf([], errors), factor: none, weightsU: none, weightsV: none };
}

/** Nodes from the lowest to the highest point of a path, each where and when the path passes it. */
function nodesOn(path: DescentPath, errors: BackgroundErrors): PointOf[] {
  const rising = path.toSorted((a, b) => a.height_m - b.height_m);
  const bottom = rising[0];
  const top = rising[rising.length - 1];
  if (bottom === undefined || top === undefined) return [];
  if (!(top.height_m > bottom.height_m + 1)) return [bottom];
  let at = 0;
  return Array.from(analysisNodes(errors, bottom.height_m, top.height_m), (height_m) => {
    while (at + 1 < rising.length && (rising[at + 1]?.height_m ?? Infinity) <= height_m) at += 1;
    const near = rising[at] ?? bottom;
    return { height_m, time_s: near.time_s, position: near.position };
  });
}

/**
 * path      any order, at least one point; a node takes time and place of the next lower point: give one every few
 *           hundred metres
 * analysis  null where there are no reports
 */
export function windErrorAlong(path: DescentPath, errors: BackgroundErrors, analysis: WindsAnalysis | null): WindError {
  const nodes = nodesOn(path, errors);
  const { du, dv, covariance } = evaluate(analysis?.solved ?? noReports(errors), pointsOf(nodes, errors));
  return {
    heights_m: Float64Array.from(nodes, (node) => node.height_m),
    meanU_mps: du,
    meanV_mps: dv,
    factor: covarianceFactor(covariance, nodes.length),
  };
}

/** The correction of the reports alone, as a prediction of the plan flies it. */
export const meanOffset = (error: WindError): WindOffset => ({
  heights_m: error.heights_m,
  u_mps: error.meanU_mps,
  v_mps: error.meanV_mps,
});

/**
 * Draws one wind: writes correction plus error into `offset`, whose heights are the error's. `normals` is scratch,
 * twice as long.
 */
export function drawWind(error: WindError, random: Random, normals: Float64Array, offset: WindOffset): void {
  const { factor, meanU_mps, meanV_mps } = error;
  const n = meanU_mps.length;
  random.fillNormals(normals);
  // Both components in one pass over the factor, and each in two sums: one long sum would wait for every addition.
  for (let i = 0; i < n; i++) {
    const row = i * n;
    let u = nth(meanU_mps, i);
    let v = nth(meanV_mps, i);
    let uOdd = 0;
    let vOdd = 0;
    let j = 0;
    for (; j < i; j += 2) {
      const even = nth(factor, row + j);
      const odd = nth(factor, row + j + 1);
      u += even * nth(normals, j);
      v += even * nth(normals, n + j);
      uOdd += odd * nth(normals, j + 1);
      vOdd += odd * nth(normals, n + j + 1);
    }
    if (j === i) {
      u += nth(factor, row + i) * nth(normals, i);
      v += nth(factor, row + i) * nth(normals, n + i);
    }
    offset.u_mps[i] = u + uOdd;
    offset.v_mps[i] = v + vOdd;
  }
}
