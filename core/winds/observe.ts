// What to observe next: by how much each possible observation would shrink the 90 % area of the landing, before anybody
// makes it. Linear theory: the landing moves by the weighted integral of the wind error (MODEL.md §8), and what an
// observation takes off the error's covariance does not depend on what it will say. Areas m², heights m MSL, times s
// since 1970.
import { nth } from '../base/nth.ts';
import type { LonLat } from '../base/units.ts';
import type { Mission } from '../plan/schema.ts';
import { evaluate, pointsOf, type PointOf, type Solved } from './analysis.ts';
import { cholesky, dot, forward } from './cholesky.ts';
import type { BackgroundErrors } from './errors.ts';
import { SOURCE_ERRORS, sourceStd_mps } from '../log/sources.ts';
import { DEFAULT_ROUGHNESS_M, LOG_LAYER_M, toTenMetres } from './nearGround.ts';

/**
 * K as quadrature points: a wind error δw(h) moves the landing by Σ weight(h_q) δw(h_q), m for 1 m/s. As
 * `windSensitivity` gives it.
 */
export interface WindKernel {
  readonly heights_m: Float64Array;
  /** East by east wind and north by north wind. */
  readonly ee: Float64Array;
  readonly nn: Float64Array;
  /** East by north wind, north by east wind; left out: none. */
  readonly en?: Float64Array;
  readonly ne?: Float64Array;
}

export interface Candidate {
  /** With its article, for the sentence: "a pilot balloon to 5 km". */
  readonly name: string;
  /** Each observes both components at a height, place and time with a standard error. */
  readonly observations: readonly (PointOf & { readonly std_mps: number })[];
}

export interface ObserveInput {
  readonly kernel: WindKernel;
  /** Heights, times and places that the descent passes, in any order (`pathOf`); at least one. */
  readonly path: readonly PointOf[];
  readonly errors: BackgroundErrors;
  /** The analysis as it stands; null where there are no reports. */
  readonly solved: Solved | null;
  /** The part of the landing's covariance that does not come from the wind: [[ee, en], [en, nn]], m². */
  readonly other_m2: readonly [readonly [number, number], readonly [number, number]];
  readonly candidates: readonly Candidate[];
}

export interface Ranked {
  readonly candidate: Candidate;
  /** 90 % area before and after, m². */
  readonly before_m2: number;
  readonly after_m2: number;
  /** Share of the area that would go, 0 to 1. */
  readonly shrinks: number;
}

type Covariance = { readonly ee: number; readonly en: number; readonly nn: number };

/** The 90 % ellipse of a normal distribution: π χ² √det, χ² = −2 ln 0.1 for two degrees of freedom. */
const area90_m2 = ({ ee, en, nn }: Covariance): number =>
  Math.PI * -2 * Math.log(0.1) * Math.sqrt(Math.max(ee * nn - en * en, 0));

/** Spreads quadrature weights over nodes between which the error runs straight: exact for such an error. */
function onNodes(heights_m: readonly number[], kernel: WindKernel, weights: Float64Array | undefined): Float64Array {
  const out = new Float64Array(heights_m.length);
  if (weights === undefined) return out;
  const last = heights_m.length - 1;
  for (let q = 0; q < kernel.heights_m.length; q++) {
    const h = nth(kernel.heights_m, q);
    const w = nth(weights, q);
    let low = 0;
    let high = last;
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if ((heights_m[middle] ?? 0) <= h) low = middle;
      else high = middle;
    }
    const a = heights_m[low] ?? h;
    const b = heights_m[high] ?? h;
    const f = b > a ? Math.min(Math.max((h - a) / (b - a), 0), 1) : 0;
    out[low] = nth(out, low) + w * (1 - f);
    out[high] = nth(out, high) + w * f;
  }
  return out;
}

/**
 * The candidates, the most helpful first.
 *
 * Cost   (nodes + observations)² times the reports in the analysis: some 20 ms for 100 nodes and six candidates
 * Exact  to first order: equal to adding the observation to the analysis (`tests/winds/observe.test.ts`)
 */
export function rankObservations(input: ObserveInput): Ranked[] {
  const { kernel, errors, other_m2 } = input;
  const nodes = nodesOf(input.path);
  const heights = nodes.map((node) => node.height_m);
  // Rows: landing east and north by u, then by v.
  const eastU = onNodes(heights, kernel, kernel.ee);
  const eastV = onNodes(heights, kernel, kernel.en);
  const northU = onNodes(heights, kernel, kernel.ne);
  const northV = onNodes(heights, kernel, kernel.nn);
  const all: PointOf[] = [...nodes, ...input.candidates.flatMap((one) => one.observations)];
  const solved = input.solved ?? nothingSolved(errors);
  const { covariance } = evaluate(solved, pointsOf(all, errors));
  const size = all.length;
  const n = nodes.length;
  const form = (a: Float64Array, b: Float64Array): number => {
    let sum = 0;
    for (let i = 0; i < n; i++) sum += nth(a, i) * dot(covariance, i * size, b, 0, n);
    return sum;
  };
  const before: Covariance = {
    ee: form(eastU, eastU) + form(eastV, eastV) + other_m2[0][0],
    en: form(eastU, northU) + form(eastV, northV) + other_m2[0][1],
    nn: form(northU, northU) + form(northV, northV) + other_m2[1][1],
  };
  const before_m2 = area90_m2(before);
  let at = n;
  const ranked = input.candidates.map((candidate): Ranked => {
    const start = at;
    at += candidate.observations.length;
    const gain = (weights: Float64Array): Float64Array =>
      gained({ covariance, size, nodes: n, start }, candidate, weights);
    const overlap = (a: Float64Array, b: Float64Array): number => dot(a, 0, b, 0, a.length);
    const [eu, ev, nu, nv] = [gain(eastU), gain(eastV), gain(northU), gain(northV)];
    const after: Covariance = {
      ee: before.ee - overlap(eu, eu) - overlap(ev, ev),
      en: before.en - overlap(eu, nu) - overlap(ev, nv),
      nn: before.nn - overlap(nu, nu) - overlap(nv, nv),
    };
    const after_m2 = area90_m2(after);
    return { candidate, before_m2, after_m2, shrinks: before_m2 > 0 ? 1 - after_m2 / before_m2 : 0 };
  });
  return ranked.sort((a, b) => b.shrinks - a.shrinks);
}

/** The covariance of nodes and candidates together; of a candidate whose rows begin at `start`. */
interface Joint {
  readonly covariance: Float64Array;
  readonly size: number;
  readonly nodes: number;
  readonly start: number;
}

/** L⁻¹ P_on w, with L Lᵀ = P_oo + R of the candidate: its square is what the candidate takes off wᵀ P w. */
function gained({ covariance, size, nodes, start }: Joint, candidate: Candidate, weights: Float64Array): Float64Array {
  const m = candidate.observations.length;
  const s = new Float64Array(m * m);
  const out = new Float64Array(m);
  candidate.observations.forEach(({ std_mps }, i) => {
    const row = (start + i) * size;
    s.set(covariance.subarray(row + start, row + start + i + 1), i * m);
    s[i * m + i] = nth(s, i * m + i) + std_mps ** 2;
    out[i] = dot(covariance, row, weights, 0, nodes);
  });
  if (!cholesky(s, m)) return out.fill(0);
  forward(s, m, out);
  return out;
}

const nothingSolved = (errors: BackgroundErrors): Solved => {
  const none = new Float64Array(0);
  return { points: pointsOf([], errors), factor: none, weightsU: none, weightsV: none };
};

/** The path in rising order, each height once. */
function nodesOf(path: readonly PointOf[]): PointOf[] {
  const rising = path.toSorted((a, b) => a.height_m - b.height_m);
  return rising.filter((one, i) => i === 0 || one.height_m > (rising[i - 1]?.height_m ?? -Infinity));
}

/** What a mission could observe: a thing and where it would be made, from now on. */
export interface CandidatePlace {
  readonly mission: Mission;
  readonly errors: BackgroundErrors;
  readonly now_s: number;
  /** Highest height that matters: the exit's. */
  readonly top_m: number;
  /** Height of the ground at the site and at the zone, m MSL. */
  readonly ground_m: number;
  /** The zone that smoke and a crew would stand in; left out: the site. */
  readonly zone?: LonLat;
}

/** A pilot balloon and a sounding rise at about 5 m/s (common practice). */
export const BALLOON_MPS = 5;
const BALLOON_HEIGHTS_M = [2000, 5000, 10_000] as const;

/**
 * The usual candidates: balloons to several heights, a sounding, station, crew and smoke at the zone, and the aircraft
 * where it flies.
 */
export function usualCandidates(of: CandidatePlace): Candidate[] {
  const { mission, now_s, top_m, ground_m } = of;
  const site = mission.site.position;
  const zone = of.zone ?? site;
  const roughness_m = mission.site.roughness_m ?? DEFAULT_ROUGHNESS_M;
  const surface = (name: string, source: 'station' | 'crew' | 'smoke', position: LonLat): Candidate => {
    const factor = toTenMetres(SOURCE_ERRORS[source].usual_agl_m ?? LOG_LAYER_M, roughness_m);
    const height_m = ground_m + LOG_LAYER_M;
    return {
      name,
      observations: [{ height_m, time_s: now_s, position, std_mps: sourceStd_mps(source, height_m) * factor }],
    };
  };
  const list = BALLOON_HEIGHTS_M.filter((height) => ground_m + height < top_m).map((height): Candidate => {
    return {
      name: `a pilot balloon to ${height / 1000} km`,
      observations: ascent(of, 'pilot-balloon', ground_m + height),
    };
  });
  list.push({
    name: `a sounding to ${Math.round((top_m - ground_m) / 1000)} km`,
    observations: ascent(of, 'sounding', top_m),
  });
  list.push(surface('a surface wind from a station at the site', 'station', site));
  list.push(surface('a crew’s wind at the zone', 'crew', zone));
  list.push(surface('smoke at the zone', 'smoke', zone));
  const { carrier } = mission;
  if (carrier?.kind === 'aircraft') {
    const height_m = carrier.altitude_m;
    const one = {
      height_m,
      time_s: now_s,
      position: mission.exit.position,
      std_mps: sourceStd_mps('aircraft', height_m),
    };
    list.push({ name: 'the aircraft’s own wind at its height', observations: [one] });
  }
  return list;
}

/**
 * One observation every quarter of a correlation length, as samples of one ascent count (`thinning.ts` joins closer
 * ones).
 */
function ascent(of: CandidatePlace, source: 'pilot-balloon' | 'sounding', top_m: number): Candidate['observations'] {
  const { errors, now_s, ground_m } = of;
  const position = of.mission.site.position;
  const out: (PointOf & { std_mps: number })[] = [];
  let height_m = ground_m + LOG_LAYER_M;
  while (height_m <= top_m && out.length < MOST_LEVELS) {
    out.push({
      height_m,
      time_s: now_s + (height_m - ground_m) / BALLOON_MPS,
      position,
      std_mps: sourceStd_mps(source, height_m),
    });
    const perLength = errors.zeta(height_m + 50) - errors.zeta(height_m - 50);
    height_m += Math.min(Math.max(25 / perLength, 50), 2000);
  }
  return out;
}

const MOST_LEVELS = 150;

/**
 * "A pilot balloon to 5 km would shrink the 90 % area by 38 %; a crew's wind at the zone by 2 %." Those below half a
 * per cent are left out.
 */
export function rankingWords(ranked: readonly Ranked[], most = 4): string {
  const told = ranked.filter((one) => one.shrinks >= 0.005).slice(0, most);
  const [first, ...rest] = told;
  if (first === undefined) return 'No usual observation would shrink the 90 % area by even half a per cent.';
  const percent = (one: Ranked): string => `by ${Math.round(one.shrinks * 100)} %`;
  const head = `${first.candidate.name} would shrink the 90 % area ${percent(first)}`;
  return `${head.charAt(0).toUpperCase()}${head.slice(1)}${rest.map((one) => `; ${one.candidate.name} ${percent(one)}`).join('')}.`;
}
