// Reports that look wrong: from and toward mixed up, knots for m/s, feet for metres, magnetic for true, or just far
// from all else. Each report is judged against forecast and all other reports without it; what looks wrong is held back
// until a person says more. Source: leave-one-out residuals of a Gaussian process, Rasmussen & Williams (2006), §5.4.2;
// the likelihood ratio of Neyman and Pearson.
import { nth } from '../base/nth.ts';
import { M_PER_FT, MPS_PER_KT, windFrom, windVector, wrap360, type LonLat } from '../base/units.ts';
import {
  backgroundCovariance,
  canonicalOrder,
  observationFactor,
  pointsOf,
  type Background,
  type Observation,
  type Points,
} from './analysis.ts';
import { dot, inverseMatrix } from './cholesky.ts';
import type { BackgroundErrors } from './errors.ts';
import { choose, sampleMean, samplesOf } from './thinning.ts';

export type SuspicionKind =
  | 'from and toward'
  | 'knots for m/s'
  | 'm/s for knots'
  | 'feet for metres'
  | 'metres for feet'
  | 'MSL for AGL'
  | 'AGL for MSL'
  | 'magnetic for true'
  | 'misfit';

/** A report that is held back, with what it looks like. */
export interface Suspicion {
  readonly id: string;
  readonly kind: SuspicionKind;
  /** Natural logarithm of how many times better the suspected meaning fits than the report as it stands. */
  readonly logRatio: number;
  /**
   * Squared distance from what all else says, in units of what could be expected; above 13.8 in one good report of a
   * thousand.
   */
  readonly misfit: number;
  /** What all else says there: direction FROM, speed, and the standard error of a component. */
  readonly expected: { readonly from_deg: number; readonly speed_mps: number; readonly std_mps: number };
  /** How many other samples spoke. */
  readonly others: number;
}

export interface JudgeInput {
  readonly background: Background;
  readonly errors: BackgroundErrors;
  readonly site: LonLat;
  readonly siteElevation_m: number;
  readonly valid_s: number;
  readonly observations: readonly Observation[];
  /** Ids of reports that a person confirmed: never held back. */
  readonly confirmed: ReadonlySet<string>;
  /** East positive; null where unknown. */
  readonly declination_deg: number | null;
}

export interface Judgement {
  readonly held: readonly Suspicion[];
  /** The samples that count, for the analysis: chosen, and without what is held. */
  readonly samples: readonly (readonly Observation[])[];
  readonly leftOut: number;
  /**
   * Of every judged report the logarithm of how many times better its reciprocal fits than itself, by what all else
   * says at the end.
   */
  readonly logRatios: ReadonlyMap<string, number>;
}

/**
 * A reversed report is held back when its reciprocal fits exp(2.7) = 15 times better than itself.
 *
 * The ratio of a good report of speed V against a prediction of error S (both errors together) exceeds T with
 * probability Φ(−(V/S + T S/2V)), at most Φ(−√(2T)) whatever the wind: T = 2.7 keeps false alarms to 1 % even in the
 * worst wind for it, and far below on average. A mix-up is found with probability Φ(V/S − T S/2V): 90 % from V = 2 S
 * on. Measured in `tests/bench/experiment.ts`.
 */
export const REVERSAL_LOG_RATIO = 2.7;
/**
 * Two components of a good report are farther off than this once in a thousand (χ² of two degrees of freedom: −2 ln
 * 0.001).
 */
export const MISFIT = -2 * Math.log(0.001);
/** An explanation must itself be likely: within what 99 of 100 good reports reach (−2 ln 0.01). */
const EXPLAINED = -2 * Math.log(0.01);
/** Smaller declinations hide in the error of any report. */
const SMALLEST_DECLINATION_DEG = 5;
/** Nearer to the ground than this a wrong height is a wrong reading of another kind. */
const LOWEST_MIX_UP_M = 300;
/** Sites lower than this cannot tell MSL from AGL by the wind. */
const SMALLEST_ELEVATION_M = 150;

/**
 * The state of the leave-one-out analysis: `a` is the inverse covariance of the samples still in, `w` its product with
 * the innovations.
 */
interface Others {
  readonly n: number;
  readonly a: Float64Array;
  readonly wu: Float64Array;
  readonly wv: Float64Array;
  readonly in: Uint8Array;
}

interface Member {
  readonly of: Observation;
  readonly bu: number;
  readonly bv: number;
  held: boolean;
}

/**
 * Judges every report against all else, holds back the worst, judges again without it, until none looks wrong; then
 * judges the held ones once more by what is left.
 *
 * Order of the reports: no influence. Cost: one inverse of at most 192 samples, then n² a held report; 10 ms for 10 000
 * reports.
 */
export function judge(input: JudgeInput): Judgement {
  const { errors, background, site, valid_s } = input;
  const chosen = choose(samplesOf(input.observations, errors), errors, site, valid_s);
  const means = chosen.samples.map(sampleMean);
  const n = means.length;
  const members = chosen.samples.map((sample) =>
    sample.map((of): Member => {
      const [bu, bv] = background(of.height_m, of.time_s, of.position);
      return { of, bu, bv, held: false };
    }),
  );
  const points = pointsOf(means, errors);
  const others: Others = {
    n,
    a: inverseMatrix(observationFactor(points, means), n),
    wu: new Float64Array(n),
    wv: new Float64Array(n),
    in: new Uint8Array(n).fill(1),
  };
  members.forEach((list, g) => addInnovation(others, g, innovation(list)));
  const out: { readonly g: number; readonly member: Member }[] = [];
  for (let turn = 0; turn < input.observations.length; turn++) {
    const worst = findWorst(members, means, others, input.confirmed);
    if (worst === null) break;
    const { g, member } = worst;
    const list = members[g] ?? [];
    const before = innovation(list);
    member.held = true;
    const after = innovation(list);
    if (list.every((one) => one.held)) remove(others, g);
    else addInnovation(others, g, [after[0] - before[0], after[1] - before[1]]);
    out.push({ g, member });
  }
  // Judged again by what is left: of two that disagree the good one may have gone first, and what a bad one looks like
  // shows only now.
  const saidAtEnd = out.map(({ g, member }) =>
    saidOf(member, members[g] ?? [], means[g] as Observation, g, points, others, input),
  );
  const held: Suspicion[] = [];
  out.forEach(({ member }, i) => {
    const all = saidAtEnd[i] as Expected;
    if (excessOf(member.of, all) > 0) held.push(classify(member.of, all, points, others, input));
  });
  const logRatios = new Map<string, number>();
  members.forEach((list, g) => {
    if (others.in[g] === 0) return;
    const said = withoutSample(list, means[g] as Observation, others, g);
    for (const member of list) logRatios.set(member.of.id, reversalLogRatio(member.of, expectedBy(member, said)));
  });
  out.forEach(({ member }, i) => logRatios.set(member.of.id, reversalLogRatio(member.of, saidAtEnd[i] as Expected)));
  const stillHeld = new Set(held.map((one) => one.id));
  const samples = chosen.samples
    .map((sample) => sample.filter((one) => !stillHeld.has(one.id)))
    .filter((sample) => sample.length > 0);
  return {
    held: held.sort((a, b) => (a.id < b.id ? -1 : a.id > b.id ? 1 : 0)),
    samples,
    leftOut: chosen.leftOut,
    logRatios,
  };
}

/** What all else says of a held report: of one whose sample is still in, the sample is left out too. */
function saidOf(
  member: Member,
  list: readonly Member[],
  mean: Observation,
  g: number,
  points: Points,
  others: Others,
  input: JudgeInput,
): Expected {
  if (others.in[g] === 0) return predict(member.of, points, others, input);
  return expectedBy(member, withoutSample(list, mean, others, g));
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

function addInnovation({ n, a, wu, wv }: Others, g: number, [du, dv]: readonly [number, number]): void {
  for (let i = 0; i < n; i++) {
    const c = nth(a, g * n + i);
    wu[i] = nth(wu, i) + c * du;
    wv[i] = nth(wv, i) + c * dv;
  }
}

/** Takes sample g out: the inverse of the covariance without its row and column. */
function remove(others: Others, g: number): void {
  const { n, a, wu, wv } = others;
  const pivot = nth(a, g * n + g);
  const row = a.slice(g * n, g * n + n);
  const u = nth(wu, g) / pivot;
  const v = nth(wv, g) / pivot;
  for (let i = 0; i < n; i++) {
    const c = nth(row, i);
    wu[i] = nth(wu, i) - c * u;
    wv[i] = nth(wv, i) - c * v;
    if (c === 0) continue;
    for (let j = 0; j < n; j++) a[i * n + j] = nth(a, i * n + j) - (c * nth(row, j)) / pivot;
  }
  for (let i = 0; i < n; i++) {
    a[g * n + i] = 0;
    a[i * n + g] = 0;
  }
  wu[g] = 0;
  wv[g] = 0;
  others.in[g] = 0;
}

/**
 * What all else says at a report's place, and the variance of one component of its error, the report's own error left
 * out.
 */
interface Expected {
  readonly pu: number;
  readonly pv: number;
  readonly variance: number;
}

/** What all other samples make of the forecast at sample g: the leave-one-out residual, from the inverse alone. */
function withoutSample(
  list: readonly Member[],
  mean: Observation,
  others: Others,
  g: number,
): { eu: number; ev: number; variance: number } {
  const pivot = nth(others.a, g * others.n + g);
  const [yu, yv] = innovation(list);
  return {
    eu: yu - nth(others.wu, g) / pivot,
    ev: yv - nth(others.wv, g) / pivot,
    variance: Math.max(0, 1 / pivot - mean.std_mps * mean.std_mps),
  };
}

const expectedBy = ({ bu, bv }: Member, said: { eu: number; ev: number; variance: number }): Expected => ({
  pu: bu + said.eu,
  pv: bv + said.ev,
  variance: said.variance,
});

/**
 * ln of how many times better the reciprocal of a report fits than itself: −2 w·p/S, from two normal densities of one
 * error.
 */
function reversalLogRatio(of: Observation, { pu, pv, variance }: Expected): number {
  return (-2 * (of.u_mps * pu + of.v_mps * pv)) / (variance + of.std_mps * of.std_mps);
}

/** How far a report is over the limits, as a logarithm of likelihood; not above 0 for one that is left alone. */
function excessOf(of: Observation, all: Expected): number {
  const { pu, pv, variance } = all;
  const s = variance + of.std_mps * of.std_mps;
  const reversal = reversalLogRatio(of, all) - REVERSAL_LOG_RATIO;
  const misfit = 0.5 * (((of.u_mps - pu) ** 2 + (of.v_mps - pv) ** 2) / s - MISFIT);
  return Math.max(reversal, misfit);
}

function findWorst(
  members: readonly (readonly Member[])[],
  means: readonly Observation[],
  others: Others,
  confirmed: ReadonlySet<string>,
): { readonly g: number; readonly member: Member } | null {
  let worst: { g: number; member: Member; excess: number } | null = null;
  for (let g = 0; g < members.length; g++) {
    if (others.in[g] === 0) continue;
    const list = members[g] ?? [];
    const said = withoutSample(list, means[g] as Observation, others, g);
    for (const member of list) {
      if (member.held || confirmed.has(member.of.id)) continue;
      const excess = excessOf(member.of, expectedBy(member, said));
      const worse =
        worst === null ||
        excess > worst.excess ||
        (excess === worst.excess && canonicalOrder(member.of, worst.member.of) < 0);
      if (excess > 0 && worse) worst = { g, member, excess };
    }
  }
  return worst;
}

/** Another meaning of a report: the wind it would be, where, and by how much its numbers were stretched. */
interface Meaning {
  readonly kind: SuspicionKind;
  readonly u: number;
  readonly v: number;
  readonly height_m: number;
  readonly scale: number;
}

function meanings(of: Observation, input: JudgeInput): Meaning[] {
  const { u_mps: u, v_mps: v, height_m } = of;
  const list: Meaning[] = [
    { kind: 'from and toward', u: -u, v: -v, height_m, scale: 1 },
    { kind: 'knots for m/s', u: u * MPS_PER_KT, v: v * MPS_PER_KT, height_m, scale: MPS_PER_KT },
    { kind: 'm/s for knots', u: u / MPS_PER_KT, v: v / MPS_PER_KT, height_m, scale: 1 / MPS_PER_KT },
  ];
  const { declination_deg, siteElevation_m } = input;
  if (declination_deg !== null && Math.abs(declination_deg) >= SMALLEST_DECLINATION_DEG) {
    const { from_deg, speed_mps } = windFrom(u, v);
    const [mu, mv] = windVector(wrap360(from_deg + declination_deg), speed_mps);
    list.push({ kind: 'magnetic for true', u: mu, v: mv, height_m, scale: 1 });
  }
  const { aboveGround_m } = of;
  const base = aboveGround_m === undefined ? 0 : height_m - aboveGround_m;
  const above = height_m - base;
  if (height_m - siteElevation_m > LOWEST_MIX_UP_M) {
    list.push({ kind: 'feet for metres', u, v, height_m: base + above * M_PER_FT, scale: 1 });
    list.push({ kind: 'metres for feet', u, v, height_m: base + above / M_PER_FT, scale: 1 });
    if (siteElevation_m >= SMALLEST_ELEVATION_M) {
      const fromSea = aboveGround_m === undefined;
      list.push({
        kind: fromSea ? 'AGL for MSL' : 'MSL for AGL',
        u,
        v,
        height_m: height_m + (fromSea ? 1 : -1) * siteElevation_m,
        scale: 1,
      });
    }
  }
  return list;
}

/** What a held report looks like: the meaning that fits best, where one fits well enough to be offered. */
function classify(of: Observation, all: Expected, points: Points, others: Others, input: JudgeInput): Suspicion {
  const own = all.variance + of.std_mps * of.std_mps;
  const misfit = ((of.u_mps - all.pu) ** 2 + (of.v_mps - all.pv) ** 2) / own;
  const asItStands = -0.5 * misfit - Math.log(own);
  let best: { meaning: Meaning; logRatio: number } | null = null;
  for (const meaning of meanings(of, input)) {
    const there =
      meaning.height_m === of.height_m ? all : predict({ ...of, height_m: meaning.height_m }, points, others, input);
    // The same report in other units has an error in other units too, and its density is stretched in both components.
    const s = there.variance + (of.std_mps * meaning.scale) ** 2;
    const off = ((meaning.u - there.pu) ** 2 + (meaning.v - there.pv) ** 2) / s;
    const logRatio = -0.5 * off - Math.log(s) + 2 * Math.log(meaning.scale) - asItStands;
    if (off <= EXPLAINED && logRatio > REVERSAL_LOG_RATIO && (best === null || logRatio > best.logRatio))
      best = { meaning, logRatio };
  }
  const { from_deg, speed_mps } = windFrom(all.pu, all.pv);
  const expected = { from_deg, speed_mps, std_mps: Math.sqrt(all.variance) };
  const spoke = others.in.reduce((sum, one) => sum + one, 0);
  if (best === null) return { id: of.id, kind: 'misfit', logRatio: 0, misfit, expected, others: spoke };
  const { meaning, logRatio } = best;
  return { id: of.id, kind: meaning.kind, logRatio, misfit, expected, others: spoke };
}

/** What forecast and the samples still in say at a point, and the variance of one component of its error. */
function predict(at: Observation, points: Points, others: Others, input: JudgeInput): Expected {
  const { n, a, wu, wv } = others;
  const here = pointsOf([at], input.errors);
  const k = new Float64Array(n);
  let [pu, pv] = input.background(at.height_m, at.time_s, at.position);
  for (let i = 0; i < n; i++) {
    const c = backgroundCovariance(here, 0, points, i);
    k[i] = c;
    pu += c * nth(wu, i);
    pv += c * nth(wv, i);
  }
  let variance = backgroundCovariance(here, 0, here, 0);
  for (let i = 0; i < n; i++) {
    variance -= nth(k, i) * dot(a, i * n, k, 0, n);
  }
  return { pu, pv, variance: Math.max(variance, 0) };
}
