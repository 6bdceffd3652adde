// Reports that look wrong: from and toward mixed up, knots for m/s, feet for metres, magnetic for true, or just far
// from all else. Each observer, instrument and ascent is judged as a whole, then each report by itself, against
// forecast and all others without it; what looks wrong is held back until a person says more. Source: the likelihood
// ratio of Neyman and Pearson.
import { nth } from '../base/nth.ts';
import { windFrom, type LonLat } from '../base/units.ts';
import { canonicalOrder, type Background, type Observation } from './analysis.ts';
import { cholesky, dot, forward } from './cholesky.ts';
import type { BackgroundErrors } from './errors.ts';
import { meaningAs, mixUpsOf, type Meaning, type MeaningInput, type MixUp, type SuspicionKind } from './meanings.ts';
import { Others, type ExpectedWind, type Member } from './others.ts';
import { choose, sampleMean, samplesOf } from './thinning.ts';
import { turnedAmong } from './turned.ts';

/** A report that is held back, with what it looks like. */
export interface Suspicion {
  readonly id: string;
  readonly kind: SuspicionKind;
  /**
   * Whose whole word looks so: the same for all reports of that observer or ascent; null where it is this report alone.
   */
  readonly whole: string | null;
  /** How many reports that observer or ascent has. */
  readonly outOf: number;
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

export interface JudgeInput extends MeaningInput {
  readonly background: Background;
  readonly errors: BackgroundErrors;
  readonly site: LonLat;
  readonly valid_s: number;
  readonly observations: readonly Observation[];
  /** Ids of reports that a person confirmed: never held back. */
  readonly confirmed: ReadonlySet<string>;
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
/** Other mix-ups of a whole observer are tried several at a time: each must fit 100 times better. */
const OTHER_LOG_RATIO = Math.log(100);
/** Readings of one balloon or sounding farther apart in time are of two ascents. */
const ASCENT_GAP_S = 1800;

interface Held {
  readonly g: number;
  readonly member: Member;
  /** The observer or ascent that was held as a whole with it. */
  readonly whole: Group | null;
}

/** The samples of one observer, instrument or ascent. */
interface Group {
  readonly name: string;
  readonly samples: readonly number[];
  readonly reports: number;
}

/**
 * Judges every observer and ascent as a whole and holds back the worst until none looks wrong; then every report by
 * itself likewise; then the held ones once more by what is left.
 *
 * Order of the reports: no influence. Cost: one inverse of at most 192 samples, two products of their size for each
 * round of wholes, then n² a held report; 20 ms for 10 000 reports.
 */
export function judge(input: JudgeInput): Judgement {
  const { errors, background, site, valid_s } = input;
  const chosen = choose(samplesOf(input.observations, errors), errors, site, valid_s);
  const others = new Others(chosen.samples, chosen.samples.map(sampleMean), errors, background);
  const groups = groupsOf(others, input.confirmed);
  const out: Held[] = [...holdWholes(others, groups, input), ...holdSingles(others, input)];
  const kindOfWhole = new Map<Group, Whole>();
  for (const { whole } of out)
    if (whole !== null && !kindOfWhole.has(whole)) kindOfWhole.set(whole, wholeOf(others, whole, input));
  // Judged again by what is left: of two that disagree the good one may have gone first, and what a bad one looks like
  // shows only now.
  const held: Suspicion[] = [];
  const logRatios = new Map<string, number>();
  for (const { g, member, whole } of out) {
    const all = others.of(g)(member);
    logRatios.set(member.of.id, reversalLogRatio(member.of, all));
    const asWhole = whole === null ? undefined : kindOfWhole.get(whole);
    if (
      whole !== null &&
      asWhole !== undefined &&
      asWhole.excess > 0 &&
      asWhole.kind !== null &&
      asWhole.which.has(g)
    ) {
      const { kind, logRatio } = asWhole;
      const asked = { whole: whole.name, outOf: whole.reports };
      held.push({ ...suspicionOf(member.of, all, others), kind, logRatio, ...asked });
    } else if (excessOf(member.of, all) > 0) held.push(classify(member.of, all, others, input));
  }
  others.members.forEach((list, g) => {
    if (!others.has(g)) return;
    const said = others.of(g);
    for (const member of list) if (!member.held) logRatios.set(member.of.id, reversalLogRatio(member.of, said(member)));
  });
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

/** Every observer with two samples or more, ascents apart; what a person confirmed belongs to none. */
function groupsOf({ members, means }: Others, confirmed: ReadonlySet<string>): Group[] {
  const groups: { name: string; samples: number[]; reports: number; last_s: number }[] = [];
  const open = new Map<string, (typeof groups)[number]>();
  const order = means.map((_, g) => g).toSorted((a, b) => canonicalOrder(means[a] ?? NOBODY, means[b] ?? NOBODY));
  for (const g of order) {
    const mean = means[g];
    if (mean === undefined || members[g]?.some(({ of }) => confirmed.has(of.id)) === true) continue;
    const name = mean.by ?? mean.observer;
    const reports = members[g]?.length ?? 0;
    const before = open.get(name);
    const isNewAscent = mean.ascent === true && mean.time_s - (before?.last_s ?? -Infinity) > ASCENT_GAP_S;
    if (before !== undefined && !isNewAscent) {
      before.samples.push(g);
      before.reports += reports;
      before.last_s = mean.time_s;
    } else {
      const group = { name: `${name}@${mean.time_s}`, samples: [g], reports, last_s: mean.time_s };
      groups.push(group);
      open.set(name, group);
    }
  }
  return groups.filter(({ samples }) => samples.length > 1);
}

function holdWholes(others: Others, groups: readonly Group[], input: JudgeInput): Held[] {
  const out: Held[] = [];
  let left = groups;
  while (left.length > 0) {
    const judged = left.map((group) => ({ group, whole: wholeOf(others, group, input) }));
    const worst = judged.reduce((a, b) => (b.whole.excess > a.whole.excess ? b : a));
    if (!(worst.whole.excess > 0)) break;
    for (const g of worst.group.samples.filter((one) => worst.whole.which.has(one)))
      for (const member of others.members[g] ?? []) {
        others.hold(g, member);
        out.push({ g, member, whole: worst.group });
      }
    left = left.filter((group) => group !== worst.group);
  }
  return out;
}

function holdSingles(others: Others, { confirmed }: JudgeInput): Held[] {
  const out: Held[] = [];
  for (;;) {
    let worst: { g: number; member: Member; excess: number } | null = null;
    others.members.forEach((list, g) => {
      if (!others.has(g)) return;
      const said = others.of(g);
      for (const member of list) {
        if (member.held || confirmed.has(member.of.id)) continue;
        const excess = excessOf(member.of, said(member));
        const worse =
          worst === null ||
          excess > worst.excess ||
          (excess === worst.excess && canonicalOrder(member.of, worst.member.of) < 0);
        if (excess > 0 && worse) worst = { g, member, excess };
      }
    });
    const found = worst as { g: number; member: Member } | null;
    if (found === null) return out;
    others.hold(found.g, found.member);
    out.push({ ...found, whole: null });
  }
}

/** How an observer looks as a whole. */
interface Whole {
  /** The mix-up that fits best; null where none fits better than the word as it stands. */
  readonly kind: MixUp | null;
  readonly logRatio: number;
  /** The samples that look so: some of them, where from and toward are mixed up now and then. */
  readonly which: ReadonlySet<number>;
  /** Above 0 where these are to be held back. */
  readonly excess: number;
}

/** Other mix-ups than a reversal are only looked for where a good observer would seldom be. */
function wholeOf(others: Others, group: Group, input: JudgeInput): Whole {
  const means = group.samples.flatMap((g) => others.means[g] ?? []);
  const asSaid = means.map((of): Meaning => ({ kind: 'from and toward', u: of.u_mps, v: of.v_mps, height_m: of.height_m, scale: 1 })); // prettier-ignore
  const own = others.jointly(means, group.samples);
  const asItStands = densityOf(means, asSaid, own);
  const isOff = asItStands.misfit > chi2At(2 * means.length, SELDOM);
  const turned = turnedAmong(means, own, REVERSAL_LOG_RATIO);
  // A single one is judged by itself.
  const isTurned = turned.which.length > 1 && turned.excess > 0;
  const which = new Set(turned.which.map((i) => group.samples[i] ?? NaN));
  if (isTurned && which.size < group.samples.length) return { kind: 'from and toward', ...turned, which };
  let best: { kind: MixUp; logRatio: number } | null = isTurned ? { kind: 'from and toward', ...turned } : null;
  for (const kind of isOff ? mixUpsOf(means[0] ?? NOBODY, input) : []) {
    if (kind === 'from and toward') continue;
    const meant = means.flatMap((of) => meaningAs(kind, of, input) ?? []);
    if (meant.length < means.length) continue;
    const moved = meant.some(({ height_m }, i) => height_m !== means[i]?.height_m);
    const there = moved ? means.map((of, i) => ({ ...of, height_m: meant[i]?.height_m ?? of.height_m })) : means;
    const density = densityOf(there, meant, moved ? others.jointly(there, group.samples) : own);
    const logRatio = density.log - asItStands.log;
    const explained = density.misfit <= chi2At(2 * means.length, NEVER);
    if (explained && (best === null || logRatio > best.logRatio)) best = { kind, logRatio };
  }
  const all = new Set(group.samples);
  if (best === null) return { kind: null, logRatio: 0, which: all, excess: 0 };
  return {
    ...best,
    which: all,
    excess: best.logRatio - (best.kind === 'from and toward' ? REVERSAL_LOG_RATIO : OTHER_LOG_RATIO),
  };
}

const NOBODY: Observation = { id: '', observer: '', time_s: 0, position: [0, 0], height_m: 0, u_mps: 0, v_mps: 0, std_mps: 1 }; // prettier-ignore

/**
 * Logarithm of the likelihood of some winds against what all else says of them, and their squared distance from it.
 * Winds in other units have an error in other units too, and their density is stretched in both components.
 */
function densityOf(
  of: readonly Observation[],
  meant: readonly Meaning[],
  { pu, pv, covariance }: ReturnType<Others['jointly']>,
): { readonly log: number; readonly misfit: number } {
  const m = of.length;
  const s = covariance.slice();
  const du = new Float64Array(m);
  const dv = new Float64Array(m);
  let stretched = 0;
  meant.forEach(({ u, v, scale }, i) => {
    du[i] = u - nth(pu, i);
    dv[i] = v - nth(pv, i);
    s[i * m + i] = nth(s, i * m + i) + ((of[i]?.std_mps ?? 1) * scale) ** 2;
    stretched += 2 * Math.log(scale);
  });
  if (!cholesky(s, m)) return { log: -Infinity, misfit: Infinity };
  forward(s, m, du);
  forward(s, m, dv);
  const misfit = dot(du, 0, du, 0, m) + dot(dv, 0, dv, 0, m);
  let logDet = 0;
  for (let i = 0; i < m; i++) logDet += 2 * Math.log(nth(s, i * m + i));
  return { log: -0.5 * misfit - logDet + stretched, misfit };
}

/** χ² of k degrees of freedom at a normal quantile z, by the cube root of Wilson and Hilferty (1931). */
const chi2At = (k: number, z: number): number => k * (1 - 2 / (9 * k) + z * Math.sqrt(2 / (9 * k))) ** 3;
/** Quantiles that a good observer exceeds once in twenty and once in a thousand. */
const [SELDOM, NEVER] = [1.645, 3.09];

/**
 * ln of how many times better the reciprocal of a report fits than itself: −2 w·p/S, from two normal densities of one
 * error.
 */
function reversalLogRatio(of: Observation, { pu, pv, variance }: ExpectedWind): number {
  return (-2 * (of.u_mps * pu + of.v_mps * pv)) / (variance + of.std_mps * of.std_mps);
}

/** How far a report is over the limits, as a logarithm of likelihood; not above 0 for one that is left alone. */
function excessOf(of: Observation, all: ExpectedWind): number {
  const { pu, pv, variance } = all;
  const s = variance + of.std_mps * of.std_mps;
  const reversal = reversalLogRatio(of, all) - REVERSAL_LOG_RATIO;
  const misfit = 0.5 * (((of.u_mps - pu) ** 2 + (of.v_mps - pv) ** 2) / s - MISFIT);
  return Math.max(reversal, misfit);
}

/** A report against all else, as a misfit that nothing explains. */
function suspicionOf(of: Observation, { pu, pv, variance }: ExpectedWind, others: Others): Suspicion {
  const misfit = ((of.u_mps - pu) ** 2 + (of.v_mps - pv) ** 2) / (variance + of.std_mps * of.std_mps);
  const { from_deg, speed_mps } = windFrom(pu, pv);
  const expected = { from_deg, speed_mps, std_mps: Math.sqrt(variance) };
  return { id: of.id, kind: 'misfit', whole: null, outOf: 1, logRatio: 0, misfit, expected, others: others.count };
}

/** What a held report looks like: the meaning that fits best, where one fits well enough to be offered. */
function classify(of: Observation, all: ExpectedWind, others: Others, input: JudgeInput): Suspicion {
  const plain = suspicionOf(of, all, others);
  const asItStands = -0.5 * plain.misfit - Math.log(all.variance + of.std_mps * of.std_mps);
  let best: { kind: MixUp; logRatio: number } | null = null;
  for (const kind of mixUpsOf(of, input)) {
    const meaning = meaningAs(kind, of, input);
    if (meaning === null) continue;
    const there = meaning.height_m === of.height_m ? all : others.at({ ...of, height_m: meaning.height_m });
    const s = there.variance + (of.std_mps * meaning.scale) ** 2;
    const off = ((meaning.u - there.pu) ** 2 + (meaning.v - there.pv) ** 2) / s;
    const logRatio = -0.5 * off - Math.log(s) + 2 * Math.log(meaning.scale) - asItStands;
    if (off <= EXPLAINED && logRatio > REVERSAL_LOG_RATIO && (best === null || logRatio > best.logRatio))
      best = { kind, logRatio };
  }
  return best === null ? plain : { ...plain, ...best };
}
