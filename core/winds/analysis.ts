// The winds analysis: forecast and reports brought together by optimal interpolation (MODEL.md §9). State: the error of
// the forecast's u and v on height nodes over the site at one time. m/s, m MSL, s since 1970. The two components share
// one covariance. Source: Daley, Atmospheric Data Analysis (1991), §4.2 (the minimum-variance estimate in observation
// space).
import { nth } from '../base/nth.ts';
import { assert } from '../base/problem.ts';
import type { LonLat } from '../base/units.ts';
import { RAD_PER_DEG } from '../base/units.ts';
import { backward, cholesky, dot, forward } from './cholesky.ts';
import { type BackgroundErrors } from './errors.ts';
import { chordPoint } from '../earth/chord.ts';
import { WindSampler, type WindField, type WindOffset } from './field.ts';

/**
 * A wind somebody measured, as the analysis takes it: a vector at a height, place and time with the standard error of a
 * component.
 */
export interface Observation {
  readonly id: string;
  /** Who or what measured: readings of one observer within minutes are one sample of the mean wind (`thinning.ts`). */
  readonly observer: string;
  /** Who is judged as a whole: the observer wherever they stand; left out: `observer`. */
  readonly by?: string;
  /** Set for a balloon's or sounding's levels: one ascent is judged as a whole, not all of its observer. */
  readonly ascent?: boolean;
  readonly time_s: number;
  readonly position: LonLat;
  readonly height_m: number;
  readonly u_mps: number;
  readonly v_mps: number;
  /** Above 0. */
  readonly std_mps: number;
  /** Set where the height was given above ground: then feet, metres and levels are mixed up from there. */
  readonly aboveGround_m?: number;
}

/** The forecast as the analysis asks it: [u, v] at a height, time and place. */
export type Background = (height_m: number, time_s: number, position: LonLat) => readonly [u: number, v: number];

export interface AnalysisInput {
  readonly background: Background;
  readonly errors: BackgroundErrors;
  readonly site: LonLat;
  /** The moment whose wind is wanted: the exit's, as a rule, which may lie ahead of the newest report. */
  readonly valid_s: number;
  /** Heights of the nodes, rising. */
  readonly nodes_m: Float64Array;
  readonly observations: readonly Observation[];
}

export interface WindsAnalysis {
  readonly site: LonLat;
  readonly valid_s: number;
  readonly errors: BackgroundErrors;
  /**
   * The increment on the nodes, analysis minus forecast: what the wind field adds (`WindSampler.start`). Held beyond
   * its ends.
   */
  readonly increment: WindOffset;
  /** The analysed wind itself on the nodes. */
  readonly u_mps: Float64Array;
  readonly v_mps: Float64Array;
  /** Standard error of one component on the nodes, after and before the reports. */
  readonly std_mps: Float64Array;
  readonly forecastStd_mps: Float64Array;
  /**
   * Covariance of one component's error between nodes, n × n row-major: what the ensemble draws from. East
   * and north are independent.
   */
  readonly covariance: Float64Array;
  /** The observations that went in, in canonical order, those of equal place, height and time combined. */
  readonly observations: readonly Observation[];
  readonly solved: Solved;
}

/** What is kept of the solution to ask it at other heights, places and times. */
export interface Solved {
  readonly points: Points;
  /** Cholesky factor of the observations' covariance (background plus report errors). */
  readonly factor: Float64Array;
  readonly weightsU: Float64Array;
  readonly weightsV: Float64Array;
}

/** Points in height, time and place as columns of numbers, ready for their covariance. */
export interface Points {
  readonly n: number;
  /** Standard error of a component, and the parts of it that the wind brought with it and that came with age. */
  readonly std_mps: Float64Array;
  readonly steady_mps: Float64Array;
  readonly aged_mps: Float64Array;
  /** Roots of the shares of the variance that hold over the region and about the place only. */
  readonly broad: Float64Array;
  readonly local: Float64Array;
  readonly zeta: Float64Array;
  readonly time: Float64Array;
  readonly x: Float64Array;
  readonly y: Float64Array;
  readonly z: Float64Array;
  readonly bulk: number;
  /** Square of how many local distances fit into the correlation distance. */
  readonly nearer: number;
}

export type PointOf = { readonly height_m: number; readonly time_s: number; readonly position: LonLat };

export function pointsOf(list: readonly PointOf[], errors: BackgroundErrors): Points {
  const n = list.length;
  const make = (): Float64Array => new Float64Array(n);
  const points: Points = {
    n,
    std_mps: make(),
    steady_mps: make(),
    aged_mps: make(),
    broad: make(),
    local: make(),
    zeta: make(),
    time: make(),
    x: make(),
    y: make(),
    z: make(),
    bulk: errors.bulk,
    nearer: (errors.distance_m / errors.localDistance_m) ** 2,
  };
  let last: LonLat | null = null;
  let chord: readonly [number, number, number] = [0, 0, 0];
  list.forEach(({ height_m, time_s, position }, i) => {
    if (last === null || position[0] !== last[0] || position[1] !== last[1]) chord = chordPoint(position);
    last = position;
    setError(points, i, errors, height_m, time_s);
    points.zeta[i] = errors.zeta(height_m);
    // In correlation times and distances already: the inner loop is left with differences.
    points.time[i] = time_s / errors.time_s;
    points.x[i] = chord[0] / errors.distance_m;
    points.y[i] = chord[1] / errors.distance_m;
    points.z[i] = chord[2] / errors.distance_m;
  });
  return points;
}

/** Writes the error of point i, as it is at a height and time. */
export function setError(points: Points, i: number, errors: BackgroundErrors, height_m: number, time_s: number): void {
  const std_mps = errors.std_mps(height_m, time_s);
  const aged = errors.agedShare(height_m, time_s);
  const local = errors.localShare(height_m);
  points.std_mps[i] = std_mps;
  points.steady_mps[i] = std_mps * Math.sqrt(1 - aged);
  points.aged_mps[i] = std_mps * Math.sqrt(aged);
  points.broad[i] = Math.sqrt(1 - local);
  points.local[i] = Math.sqrt(local);
}

/**
 * Covariance of the background's error between point i of a and point j of b, (m/s)²: a part over the region, common to
 * the column or to the layer, and near the ground a part about the place.
 */
export function backgroundCovariance(a: Points, i: number, b: Points, j: number): number {
  const h = nth(a.zeta, i) - nth(b.zeta, j);
  const x = nth(a.x, i) - nth(b.x, j);
  const y = nth(a.y, i) - nth(b.y, j);
  const z = nth(a.z, i) - nth(b.z, j);
  const t = Math.abs(nth(a.time, i) - nth(b.time, j));
  const d = 0.5 * (x * x + y * y + z * z);
  const layer = Math.exp(-0.5 * h * h);
  const size = nth(a.steady_mps, i) * nth(b.steady_mps, j) + nth(a.aged_mps, i) * nth(b.aged_mps, j);
  const broad = nth(a.broad, i) * nth(b.broad, j) * (a.bulk + (1 - a.bulk) * layer) * Math.exp(-d - t);
  const local = nth(a.local, i) * nth(b.local, j);
  return size * (local === 0 ? broad : broad + local * layer * Math.exp(-d * a.nearer - t));
}

const byNumber = (a: number, b: number): number => (a < b ? -1 : a > b ? 1 : 0);

/**
 * The one order in which observations are worked on, whatever order they came in: then the same set gives the same
 * bits.
 */
export function canonicalOrder(a: Observation, b: Observation): number {
  return (
    byNumber(a.time_s, b.time_s) ||
    byNumber(a.height_m, b.height_m) ||
    byNumber(a.position[0], b.position[0]) ||
    byNumber(a.position[1], b.position[1]) ||
    byNumber(a.u_mps, b.u_mps) ||
    byNumber(a.v_mps, b.v_mps) ||
    byNumber(a.std_mps, b.std_mps) ||
    (a.id < b.id ? -1 : a.id > b.id ? 1 : 0)
  );
}

const samePoint = (a: Observation, b: Observation): boolean =>
  a.time_s === b.time_s &&
  a.height_m === b.height_m &&
  a.position[0] === b.position[0] &&
  a.position[1] === b.position[1];

/**
 * Observations of one place, height and time become one by inverse variance, which changes no number of the analysis.
 */
export function combineEqual(observations: readonly Observation[]): Observation[] {
  const sorted = [...observations].sort(canonicalOrder);
  const out: Observation[] = [];
  for (let i = 0; i < sorted.length;) {
    const first = sorted[i] as Observation;
    let end = i + 1;
    while (end < sorted.length && samePoint(first, sorted[end] as Observation)) end += 1;
    out.push(end === i + 1 ? first : inverseVarianceMean(sorted.slice(i, end)));
    i = end;
  }
  return out;
}

function inverseVarianceMean(group: readonly Observation[]): Observation {
  let weight = 0;
  let u = 0;
  let v = 0;
  for (const one of group) {
    const w = 1 / (one.std_mps * one.std_mps);
    weight += w;
    u += w * one.u_mps;
    v += w * one.v_mps;
  }
  const first = group[0] as Observation;
  return {
    ...first,
    id: group.map((one) => one.id).join('+'),
    u_mps: u / weight,
    v_mps: v / weight,
    std_mps: 1 / Math.sqrt(weight),
  };
}

/**
 * How far up and how long the error of an ascent's level lasts, m and s, and the share of its variance that lasts at
 * all: what tracks a balloon, its pendulum and a clock that is off go through several levels. No published figure was
 * found; the three are ours.
 */
const ASCENT_ERROR_M = 500;
const ASCENT_ERROR_S = 1800;
const ASCENT_ERROR_SHARE = 0.95;

/** Covariance of the errors of two reports, a component: those of one ascent hang together. */
function sharedError(a: Observation, b: Observation): number {
  if (a.ascent !== true || b.ascent !== true || (a.by ?? a.observer) !== (b.by ?? b.observer)) return 0;
  const apart = Math.abs(a.height_m - b.height_m) / ASCENT_ERROR_M + Math.abs(a.time_s - b.time_s) / ASCENT_ERROR_S;
  return ASCENT_ERROR_SHARE * a.std_mps * b.std_mps * Math.exp(-apart);
}

/** Cholesky factor of the covariance of what is observed minus forecast: background error plus report error. */
export function observationFactor(points: Points, observations: readonly Observation[]): Float64Array {
  const n = points.n;
  const k = new Float64Array(n * n);
  for (let i = 0; i < n; i++) {
    const one = observations[i] as Observation;
    for (let j = 0; j < i; j++)
      k[i * n + j] = backgroundCovariance(points, i, points, j) + sharedError(one, observations[j] as Observation);
    k[i * n + i] = backgroundCovariance(points, i, points, i) + one.std_mps * one.std_mps;
  }
  assert(cholesky(k, n), 'the covariance of observations with errors above 0 is positive definite');
  return k;
}

/**
 * The minimum-variance combination of forecast and observations.
 *
 * Every observation counts: bound their number first (`thinning.ts`); the cost is n³/6 for n distinct points, 2 ms at n
 * = 192. Order of the observations: no influence, to the bit. Exact: `tests/winds/analysis.test.ts` compares with the
 * information form and with one-at-a-time Kalman updates, below 1e-10 m/s.
 */
export function analyse(input: AnalysisInput): WindsAnalysis {
  const { background, errors, site, valid_s, nodes_m } = input;
  const observations = combineEqual(input.observations);
  const n = observations.length;
  const points = pointsOf(observations, errors);
  const factor = observationFactor(points, observations);
  const weightsU = new Float64Array(n);
  const weightsV = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    const one = observations[i] as Observation;
    const [u, v] = background(one.height_m, one.time_s, one.position);
    weightsU[i] = one.u_mps - u;
    weightsV[i] = one.v_mps - v;
  }
  for (const weights of [weightsU, weightsV]) {
    forward(factor, n, weights);
    backward(factor, n, weights);
  }
  const solved: Solved = { points, factor, weightsU, weightsV };
  const nodes = pointsOf(
    Array.from(nodes_m, (height_m) => ({ height_m, time_s: valid_s, position: site })),
    errors,
  );
  const { du, dv, covariance } = evaluate(solved, nodes);
  const m = nodes_m.length;
  const u_mps = new Float64Array(m);
  const v_mps = new Float64Array(m);
  const std_mps = new Float64Array(m);
  for (let k = 0; k < m; k++) {
    const [u, v] = background(nth(nodes_m, k), valid_s, site);
    u_mps[k] = u + nth(du, k);
    v_mps[k] = v + nth(dv, k);
    std_mps[k] = Math.sqrt(nth(covariance, k * m + k));
  }
  const increment: WindOffset = { heights_m: nodes_m, u_mps: du, v_mps: dv };
  return {
    site,
    valid_s,
    errors,
    increment,
    u_mps,
    v_mps,
    std_mps,
    forecastStd_mps: nodes.std_mps,
    covariance,
    observations,
    solved,
  };
}

/** Increments and posterior covariance (m × m) at any points: also away from the site's column and at other times. */
export function evaluate(solved: Solved, at: Points): { du: Float64Array; dv: Float64Array; covariance: Float64Array } {
  const { points, weightsU, weightsV } = solved;
  const n = points.n;
  const m = at.n;
  const du = new Float64Array(m);
  const dv = new Float64Array(m);
  const reduced = new Float64Array(m * n);
  for (let k = 0; k < m; k++) {
    let u = 0;
    let v = 0;
    for (let i = 0; i < n; i++) {
      const c = backgroundCovariance(at, k, points, i);
      reduced[k * n + i] = c;
      u += c * nth(weightsU, i);
      v += c * nth(weightsV, i);
    }
    du[k] = u;
    dv[k] = v;
    forward(solved.factor, n, reduced, k * n);
  }
  const covariance = new Float64Array(m * m);
  for (let k = 0; k < m; k++) {
    for (let l = 0; l <= k; l++) {
      const left = backgroundCovariance(at, k, at, l) - dot(reduced, k * n, reduced, l * n, n);
      // Rounding can leave a variance a hair below 0 where the reports fix the wind.
      const sum = k === l ? Math.max(left, 0) : left;
      covariance[k * m + l] = sum;
      covariance[l * m + k] = sum;
    }
  }
  return { du, dv, covariance };
}

/**
 * The increment over another place or at another time, on the same nodes: for a field that is corrected along a long
 * drift.
 */
export function incrementAt(analysis: WindsAnalysis, position: LonLat, time_s: number): WindOffset {
  const { heights_m } = analysis.increment;
  const list = Array.from(heights_m, (height_m) => ({ height_m, time_s, position }));
  const at = pointsOf(list, analysis.errors);
  const { points, weightsU, weightsV } = analysis.solved;
  const u_mps = new Float64Array(at.n);
  const v_mps = new Float64Array(at.n);
  for (let k = 0; k < at.n; k++) {
    for (let i = 0; i < points.n; i++) {
      const c = backgroundCovariance(at, k, points, i);
      u_mps[k] = nth(u_mps, k) + c * nth(weightsU, i);
      v_mps[k] = nth(v_mps, k) + c * nth(weightsV, i);
    }
  }
  return { heights_m, u_mps, v_mps };
}

/**
 * Heights for the analysis from `bottom_m` to `top_m`, a quarter of a correlation length apart or less: between two
 * such nodes a straight line misses the error process by less than 1.4 % of its standard deviation.
 */
export function analysisNodes(errors: BackgroundErrors, bottom_m: number, top_m: number): Float64Array {
  assert(top_m > bottom_m, 'the nodes end above their beginning');
  const from = errors.zeta(bottom_m);
  const to = errors.zeta(top_m);
  const count = Math.min(Math.max(2, Math.ceil((to - from) * 4) + 1), MOST_NODES);
  const nodes = new Float64Array(count);
  nodes[0] = bottom_m;
  for (let k = 1; k < count - 1; k++) {
    const wanted = from + ((to - from) * k) / (count - 1);
    let low = bottom_m;
    let high = top_m;
    // ζ rises strictly, so halving finds the height; 50 halvings bring 100 km below a nanometre.
    for (let turn = 0; turn < 50; turn++) {
      const middle = 0.5 * (low + high);
      if (errors.zeta(middle) < wanted) low = middle;
      else high = middle;
    }
    nodes[k] = 0.5 * (low + high);
  }
  nodes[count - 1] = top_m;
  return nodes;
}

/**
 * The posterior covariance is kept whole: 400 nodes are 1.3 MB and 60 ms; correlation lengths that need more are
 * coarsened to this.
 */
const MOST_NODES = 400;

/** The forecast as a wind field gives it. One sampler, walked by one caller at a time. */
export function backgroundOf(field: WindField): Background {
  const sampler = new WindSampler(field);
  sampler.start(0, null);
  return (height_m, time_s, position) => {
    sampler.sample(position[1] * RAD_PER_DEG, position[0] * RAD_PER_DEG, height_m, time_s);
    return [nth(sampler.out, 0), nth(sampler.out, 1)];
  };
}
