// What all else says of a report: forecast and the other samples without it, from the inverse of their covariance, from
// which samples can be taken. Source: leave-one-out residuals of a Gaussian process, Rasmussen & Williams (2006),
// §5.4.2, and the same for a group of samples.
import { nth } from '../base/nth.ts';
import { assert } from '../base/problem.ts';
import {
  backgroundCovariance,
  observationFactor,
  pointsOf,
  type Background,
  type Observation,
  type Points,
} from './analysis.ts';
import { cholesky, dot, forward, inverseMatrix } from './cholesky.ts';
import type { BackgroundErrors } from './errors.ts';

/** What all else says at a place, and the variance of one component of its error, the report's own error left out. */
export interface ExpectedWind {
  readonly pu: number;
  readonly pv: number;
  readonly variance: number;
}

/** A report among those that are judged. */
export interface Member {
  readonly of: Observation;
  /** The forecast there. */
  readonly bu: number;
  readonly bv: number;
  held: boolean;
}

/** What is said at several points: the wind, and the covariance (m × m) of one component's error. */
export interface Jointly {
  readonly pu: Float64Array;
  readonly pv: Float64Array;
  readonly covariance: Float64Array;
}

/** Samples with their covariance's inverse, and what is left when some are taken out. */
export class Others {
  readonly members: readonly (readonly Member[])[];
  readonly means: readonly Observation[];
  readonly #points: Points;
  readonly #errors: BackgroundErrors;
  readonly #background: Background;
  readonly #a: Float64Array;
  readonly #wu: Float64Array;
  readonly #wv: Float64Array;
  readonly #in: Uint8Array;

  /** `samples` and their `means`, in one order. */
  constructor(
    samples: readonly (readonly Observation[])[],
    means: readonly Observation[],
    errors: BackgroundErrors,
    background: Background,
  ) {
    const n = means.length;
    this.means = means;
    this.#errors = errors;
    this.#background = background;
    this.#points = pointsOf(means, errors);
    this.#a = inverseMatrix(observationFactor(this.#points, means), n);
    this.#wu = new Float64Array(n);
    this.#wv = new Float64Array(n);
    this.#in = new Uint8Array(n).fill(1);
    this.members = samples.map((sample) =>
      sample.map((of): Member => {
        const [bu, bv] = background(of.height_m, of.time_s, of.position);
        return { of, bu, bv, held: false };
      }),
    );
    this.members.forEach((list, g) => this.#add(g, innovation(list)));
  }

  has(g: number): boolean {
    return this.#in[g] === 1;
  }

  /** How many samples speak. */
  get count(): number {
    return this.#in.reduce((sum, one) => sum + one, 0);
  }

  /** Takes one report out: its sample goes on with the rest, or goes with the last. */
  hold(g: number, member: Member): void {
    const list = this.members[g] ?? [];
    const before = innovation(list);
    member.held = true;
    const after = innovation(list);
    if (list.every((one) => one.held)) this.#remove(g);
    else this.#add(g, [after[0] - before[0], after[1] - before[1]]);
  }

  /** What all else says of a sample's reports: without the sample, where it still speaks. */
  of(g: number): (member: Member) => ExpectedWind {
    const mean = this.means[g];
    if (mean === undefined || !this.has(g)) return ({ of }) => this.at(of);
    const pivot = nth(this.#a, g * this.means.length + g);
    const [yu, yv] = innovation(this.members[g] ?? []);
    const eu = yu - nth(this.#wu, g) / pivot;
    const ev = yv - nth(this.#wv, g) / pivot;
    const variance = Math.max(0, 1 / pivot - mean.std_mps * mean.std_mps);
    return ({ bu, bv }) => ({ pu: bu + eu, pv: bv + ev, variance });
  }

  /** What forecast and the samples that still speak say at a point. */
  at(point: Observation): ExpectedWind {
    const { pu, pv, covariance } = this.jointly([point]);
    return { pu: nth(pu, 0), pv: nth(pv, 0), variance: Math.max(0, nth(covariance, 0)) };
  }

  /**
   * The same at several points, with the covariance (m × m) of one component's error there; `group`: samples that do
   * not speak for once. Without them the inverse is A − A_·G A_GG⁻¹ A_G·.
   */
  jointly(points: readonly Observation[], group: readonly number[] = []): Jointly {
    const n = this.means.length;
    const m = points.length;
    const speaking = this.#in.slice();
    for (const g of group) speaking[g] = 0;
    const out = group.filter((g) => this.has(g));
    const factor = this.#factorOf(out);
    const [outU, outV] = [this.#solved(factor, out, this.#wu), this.#solved(factor, out, this.#wv)];
    const here = pointsOf(points, this.#errors);
    const c = new Float64Array(m * n);
    const ca = new Float64Array(m * n);
    const taken = new Float64Array(m * out.length);
    const pu = new Float64Array(m);
    const pv = new Float64Array(m);
    points.forEach((point, i) => {
      for (let j = 0; j < n; j++) if (speaking[j] === 1) c[i * n + j] = backgroundCovariance(here, i, this.#points, j);
      for (let j = 0; j < n; j++) ca[i * n + j] = dot(this.#a, j * n, c, i * n, n);
      out.forEach((g, k) => (taken[i * out.length + k] = nth(ca, i * n + g)));
      forward(factor, out.length, taken, i * out.length);
      const [u, v] = this.#background(point.height_m, point.time_s, point.position);
      pu[i] = u + dot(c, i * n, this.#wu, 0, n) - dot(taken, i * out.length, outU, 0, out.length);
      pv[i] = v + dot(c, i * n, this.#wv, 0, n) - dot(taken, i * out.length, outV, 0, out.length);
    });
    const covariance = new Float64Array(m * m);
    for (let i = 0; i < m; i++) {
      for (let k = 0; k < m; k++) {
        const known = dot(ca, i * n, c, k * n, n) - dot(taken, i * out.length, taken, k * out.length, out.length);
        covariance[i * m + k] = backgroundCovariance(here, i, here, k) - known;
      }
    }
    return { pu, pv, covariance };
  }

  /** Cholesky factor of the part of the inverse that belongs to a group. */
  #factorOf(group: readonly number[]): Float64Array {
    const m = group.length;
    const factor = new Float64Array(m * m);
    group.forEach((g, i) => group.forEach((k, j) => (factor[i * m + j] = nth(this.#a, g * this.means.length + k))));
    assert(cholesky(factor, m), 'a part of an inverse covariance is positive definite');
    return factor;
  }

  #solved(factor: Float64Array, group: readonly number[], w: Float64Array): Float64Array {
    const part = Float64Array.from(group, (g) => nth(w, g));
    forward(factor, group.length, part);
    return part;
  }

  #add(g: number, [du, dv]: readonly [number, number]): void {
    const n = this.means.length;
    for (let i = 0; i < n; i++) {
      const c = nth(this.#a, g * n + i);
      this.#wu[i] = nth(this.#wu, i) + c * du;
      this.#wv[i] = nth(this.#wv, i) + c * dv;
    }
  }

  /** The inverse of the covariance without row and column g. */
  #remove(g: number): void {
    const n = this.means.length;
    const a = this.#a;
    const pivot = nth(a, g * n + g);
    const row = a.slice(g * n, g * n + n);
    const u = nth(this.#wu, g) / pivot;
    const v = nth(this.#wv, g) / pivot;
    for (let i = 0; i < n; i++) {
      const c = nth(row, i);
      this.#wu[i] = nth(this.#wu, i) - c * u;
      this.#wv[i] = nth(this.#wv, i) - c * v;
      if (c === 0) continue;
      for (let j = 0; j < n; j++) a[i * n + j] = nth(a, i * n + j) - (c * nth(row, j)) / pivot;
    }
    for (let i = 0; i < n; i++) {
      a[g * n + i] = 0;
      a[i * n + g] = 0;
    }
    this.#wu[g] = 0;
    this.#wv[g] = 0;
    this.#in[g] = 0;
  }
}

/** Mean of the members that still count, minus forecast. */
function innovation(list: readonly Member[]): readonly [number, number] {
  let weight = 0;
  let u = 0;
  let v = 0;
  for (const { of, bu, bv, held } of list) {
    if (held) continue;
    const w = 1 / (of.std_mps * of.std_mps);
    weight += w;
    u += w * (of.u_mps - bu);
    v += w * (of.v_mps - bv);
  }
  return weight === 0 ? [0, 0] : [u / weight, v / weight];
}
