// The observing-system experiment: does the winds analysis keep what it promises, on winds that were measured or
// forecast in earnest? Is the truth where the ellipses say, is the miss smaller than by naive ways, are reversed
// reports held back and good ones not, does an observation gain what was foretold? The whole road from log lines to the
// ensemble is taken, as in the window. Seeded.
import { Ensemble } from '../../core/descent/ensemble.ts';
import { Flight, LANDED } from '../../core/descent/flight.ts';
import { outlookOf, pathOf } from '../../core/descent/outlook.ts';
import { scenarioOf, worldSamplerOf, worldOf, type Scenario } from '../../core/descent/scenario.ts';
import { windSensitivity } from '../../core/descent/sensitivity.ts';
import { drawInputs, spreadOf } from '../../core/descent/spread.ts';
import type { WindError } from '../../core/descent/windError.ts';
import { localFrame } from '../../core/earth/geodesic.ts';
import type { LogEvent } from '../../core/log/events.ts';
import { windFrom, type LonLat } from '../../core/base/units.ts';
import { analysisNodes, backgroundOf } from '../../core/winds/analysis.ts';
import { sourceStd_mps } from '../../core/log/sources.ts';
import { type WindOffset } from '../../core/winds/field.ts';
import { type WindsNow } from '../../core/winds/now.ts';
import { rankObservations } from '../../core/winds/observe.ts';
import { REVERSAL_LOG_RATIO } from '../../core/winds/reversal.ts';
import {
  airless,
  along,
  isoOf,
  makeTrial,
  NAIVE,
  naiveOffset,
  NOW_S,
  type Post,
  type Scene,
  SITE,
  type Trial,
  type TruthColumn,
  windsOf,
} from './experimentWorld.ts';

export { truthColumns } from './experimentWorld.ts';

export interface Rate {
  readonly hits: number;
  readonly of: number;
}

export interface ExperimentResult {
  readonly scene: Scene;
  readonly trials: number;
  readonly seed: number;
  readonly members: number;
  readonly columns: number;
  readonly reports: number;
  readonly in50: Rate;
  readonly in90: Rate;
  /**
   * Mean square of the true landing's distance from the ensemble's mean in its own units, over the 2 that it should be,
   * and of the true wind error at every height in units of what the analysis leaves, over 1: above 1, too sure of it.
   */
  readonly landingSquare: number;
  readonly windSquare: number;
  /** Mean distance from the predicted to the true landing, m, by way of using the reports. */
  readonly miss_m: Readonly<Record<string, number>>;
  /** Mean miss where only the wind was unknown. */
  readonly windMiss_m: Readonly<Record<string, number>>;
  /** Reports reversed on purpose, by wind speed and height: how many were held back. */
  readonly reversed: Readonly<Record<string, Rate>>;
  /** Good reports that were held back, likewise. */
  readonly alarms: Readonly<Record<string, Rate>>;
  /** What other thresholds would do: every report turned round by itself, judged by all others. */
  readonly tradeOff: readonly {
    readonly threshold: number;
    readonly hits: Rate;
    readonly surfaceHits: Rate;
    readonly alarms: Rate;
  }[];
  /**
   * A pilot balloon to 5 km: share of the 90 % area that it was said to take, and took in the ensemble, mean over its
   * trials.
   */
  readonly balloon: { readonly said: number; readonly took: number; readonly trials: number };
}

class Tally {
  readonly rates: Record<string, { hits: number; of: number }> = {};
  add(key: string, hit: boolean): void {
    const rate = (this.rates[key] ??= { hits: 0, of: 0 });
    rate.of += 1;
    if (hit) rate.hits += 1;
  }
}

const bin = (speed_mps: number): string =>
  speed_mps < 3 ? 'below 3 m/s' : speed_mps < 5 ? '3 to 5 m/s' : speed_mps < 10 ? '5 to 10 m/s' : 'above 10 m/s';
const CALM_BIN = 'below 3 m/s';

export interface ExperimentOptions {
  readonly scene: Scene;
  readonly columns: readonly TruthColumn[];
  readonly trials: number;
  readonly seed: number;
  /** Members of each trial's ensemble. */
  readonly members: number;
  /** How many trials also turn reports round, and how many check what a balloon would gain. */
  readonly reversalTrials: number;
  readonly balloonTrials: number;
}

export function runExperiment(options: ExperimentOptions): ExperimentResult {
  const { columns, scene, trials, seed, members, reversalTrials, balloonTrials } = options;
  const misses: Record<string, number[]> = {};
  const windMisses: Record<string, number[]> = {};
  const push = (into: Record<string, number[]>, key: string, value: number): void =>
    void (into[key] ??= []).push(value);
  const [in50, in90] = [
    { hits: 0, of: 0 },
    { hits: 0, of: 0 },
  ];
  const alarms = new Tally();
  const reversed = new Tally();
  const scores: Score[] = [];
  const balloon = { said: 0, took: 0, trials: 0 };
  let reports = 0;
  let landingSquare = 0;
  const wind = { sum: 0, of: 0 };
  for (let i = 0; i < trials; i++) {
    const column = columns[i % columns.length];
    if (column === undefined) break;
    const trial = makeTrial(column, scene, seed, i);
    reports += trial.log.length;
    const now = windsOf(trial, trial.log);
    const world = worldOf(trial.mission, trial.field, airless, null, now.analysis);
    const outlook = outlookOf(scenarioOf(trial.mission, world));
    const { scenario } = outlook;
    const spread = spreadOf(undefined);
    const truth = fly(scenario, trial.error, (flight) => drawInputs(spread, trial.random, flight.draws));
    const windTruth = fly(scenario, trial.error);
    if (truth === null || windTruth === null) continue;
    const ways: [string, WindOffset | null][] = [
      ['analysis', outlook.offset],
      ['forecast alone', null],
      ...NAIVE.map((way): [string, WindOffset] => [way, naiveOffset(trial, way)]),
    ];
    for (const [way, offset] of ways) {
      const landing = fly(scenario, offset);
      if (landing === null) continue;
      push(misses, way, distance_m(landing, truth));
      push(windMisses, way, distance_m(landing, windTruth));
    }
    const sample = moments(
      new Ensemble({ scenario, error: outlook.error, spread, seed: seed + i }).run(0, members),
      truth,
    );
    const d2 = sample.mahalanobis2;
    landingSquare += d2 / 2 / trials;
    countWind(trial, outlook.error, wind);
    for (const [rate, share] of [
      [in50, 0.5],
      [in90, 0.9],
    ] as const) {
      rate.of += 1;
      if (d2 <= -2 * Math.log(1 - share)) rate.hits += 1;
    }
    countAlarms(trial, now, alarms);
    for (const one of scoresOf(trial, now)) scores.push(one);
    if (i < reversalTrials) countReversal(trial, reversed);
    if (i < balloonTrials) {
      const { said, took } = balloonGain(trial, outlook, sample.area, members, seed + i);
      balloon.said += said;
      balloon.took += took;
      balloon.trials += 1;
    }
  }
  const means = (of: Record<string, number[]>): Record<string, number> =>
    Object.fromEntries(
      Object.entries(of).map(([key, list]) => [key, list.reduce((sum, x) => sum + x, 0) / list.length]),
    );
  const mean = { said: balloon.said / balloon.trials, took: balloon.took / balloon.trials, trials: balloon.trials };
  return {
    scene,
    trials,
    seed,
    members,
    columns: columns.length,
    reports,
    in50,
    in90,
    landingSquare,
    windSquare: wind.sum / wind.of,
    miss_m: means(misses),
    windMiss_m: means(windMisses),
    reversed: reversed.rates,
    alarms: alarms.rates,
    tradeOff: THRESHOLDS.map((threshold) => tradeOffAt(threshold, scores)),
    balloon: mean,
  };
}

function fly(
  scenario: Scenario,
  offset: WindOffset | null,
  draw: (flight: Flight) => void = () => undefined,
): LonLat | null {
  const flight = new Flight(worldSamplerOf(scenario.world), scenario.body);
  draw(flight);
  flight.fly(scenario.exit, offset);
  const deg = 180 / Math.PI;
  return flight.outcome === LANDED ? [flight.landingLon_rad * deg, flight.landingLat_rad * deg] : null;
}

function distance_m(a: LonLat, b: LonLat): number {
  return Math.hypot(...localFrame(a).toLocal(b));
}

/**
 * The ensemble's normal distribution against one landing: squared distance in its own units, and √det of its
 * covariance.
 */
function moments(
  members: { readonly lon_deg: Float64Array; readonly lat_deg: Float64Array },
  truth: LonLat,
): { mahalanobis2: number; area: number } {
  const frame = localFrame(truth);
  const at = Array.from(members.lon_deg, (lon, i) => frame.toLocal([lon, members.lat_deg[i] ?? NaN])).filter(
    ([e]) => e === e,
  );
  const n = at.length;
  const e0 = at.reduce((sum, [e]) => sum + e, 0) / n;
  const n0 = at.reduce((sum, [, north]) => sum + north, 0) / n;
  let [ee, en, nn] = [0, 0, 0];
  for (const [e, north] of at) {
    ee += (e - e0) ** 2 / (n - 1);
    en += ((e - e0) * (north - n0)) / (n - 1);
    nn += (north - n0) ** 2 / (n - 1);
  }
  const det = ee * nn - en * en;
  return { mahalanobis2: (nn * e0 * e0 - 2 * en * e0 * n0 + ee * n0 * n0) / det, area: Math.sqrt(det) };
}

/**
 * The true wind error less what the analysis makes of it, in units of what it leaves, squared: at each node, u and v.
 */
function countWind({ error }: Trial, left: WindError, wind: { sum: number; of: number }): void {
  const n = left.heights_m.length;
  left.heights_m.forEach((height_m, k) => {
    const variance = left.factor.subarray(k * n, k * n + k + 1).reduce((sum, x) => sum + x * x, 0);
    const u = along(error.heights_m, error.u_mps, height_m) - (left.meanU_mps[k] ?? NaN);
    const v = along(error.heights_m, error.v_mps, height_m) - (left.meanV_mps[k] ?? NaN);
    wind.sum += (u * u + v * v) / variance;
    wind.of += 2;
  });
}

const classOf = (post: Post): string => (post.agl_m === undefined ? 'aloft' : 'surface');

function countAlarms(trial: Trial, now: WindsNow, tally: Tally): void {
  const held = new Set(now.held.map((one) => one.report.id));
  trial.log.forEach((event, i) => {
    const post = trial.posts[i];
    if (event.kind !== 'wind-report' || post === undefined) return;
    const isHeld = held.has(event.id);
    tally.add('all', isHeld);
    tally.add(`${classOf(post)}, ${bin(event.speed_mps)}`, isHeld);
  });
}

interface Score {
  readonly surface: boolean;
  readonly speed_mps: number;
  /**
   * ln of how many times better the reciprocal fits; of the report turned round it is the negative, by what the others
   * say.
   */
  readonly logRatio: number;
}

const THRESHOLDS = [0, 1, 2, REVERSAL_LOG_RATIO, 4, 6];

function scoresOf(trial: Trial, now: WindsNow): Score[] {
  return trial.log.flatMap((event, i) => {
    const post = trial.posts[i];
    const logRatio = event.kind === 'wind-report' ? now.logRatios.get(event.id) : undefined;
    if (event.kind !== 'wind-report' || post === undefined || logRatio === undefined) return [];
    return [{ surface: post.agl_m !== undefined, speed_mps: event.speed_mps, logRatio }];
  });
}

function tradeOffAt(threshold: number, scores: readonly Score[]): ExperimentResult['tradeOff'][number] {
  const rate = (of: readonly Score[], sign: number): Rate => ({
    hits: of.filter((one) => sign * one.logRatio > threshold).length,
    of: of.length,
  });
  const strong = scores.filter((one) => one.speed_mps > 3);
  return {
    threshold,
    hits: rate(strong, -1),
    surfaceHits: rate(
      strong.filter((one) => one.surface),
      -1,
    ),
    alarms: rate(scores, 1),
  };
}

/** Turns one report of the trial round, and asks whether just that one is held back. */
function countReversal(trial: Trial, tally: Tally): void {
  // One at the surface and one aloft in turn, where there is one: most mistakes are made by crews.
  for (const wanted of ['surface', 'aloft']) {
    const candidates = trial.log.flatMap((event, i) => {
      const post = trial.posts[i];
      return event.kind === 'wind-report' && post !== undefined && classOf(post) === wanted ? [{ event, i }] : [];
    });
    const chosen = candidates[Math.floor(trial.random.uniform() * candidates.length)];
    if (chosen === undefined) continue;
    const turned: LogEvent = { ...chosen.event, from_deg: (chosen.event.from_deg + 180) % 360 };
    const now = windsOf(
      trial,
      trial.log.map((event, i) => (i === chosen.i ? turned : event)),
    );
    const hit = now.held.some((one) => one.report.id === chosen.event.id);
    const key = bin(chosen.event.speed_mps);
    if (key !== CALM_BIN) tally.add('all above 3 m/s', hit);
    if (key !== CALM_BIN) tally.add(`${wanted}, all above 3 m/s`, hit);
    tally.add(`${wanted}, ${key}`, hit);
  }
}

/**
 * What linear theory says a balloon would take off the 90 % area, and what it takes off the ensemble's once it is
 * added.
 */
function balloonGain(
  trial: Trial,
  outlook: ReturnType<typeof outlookOf>,
  area: number,
  members: number,
  seed: number,
): { said: number; took: number } {
  const { scenario, error } = outlook;
  const { errors, analysis } = scenario.world;
  const spread = spreadOf(undefined);
  const kernel = windSensitivity(scenario, outlook.offset);
  if (kernel === null || analysis === null) return { said: 0, took: 0 };
  // What is not wind: the ensemble with the wind error switched off.
  const still = { ...error, factor: new Float64Array(error.factor.length) };
  const none = new Ensemble({ scenario, error: still, spread, seed }).run(0, members);
  const other_m2 = covarianceOf(none);
  const heights = analysisNodes(errors, trial.ground_m + 100, trial.ground_m + 5000);
  const observations = Array.from(heights, (height_m) => ({
    height_m,
    // As if it had just been flown: a report from the future does not count.
    time_s: NOW_S,
    position: SITE,
    std_mps: sourceStd_mps('pilot-balloon', height_m),
  }));
  const candidates = [{ name: 'a pilot balloon to 5 km', observations }];
  const path = pathOf(scenario, outlook.prediction);
  const [ranked] = rankObservations({ kernel, path, errors, solved: analysis.solved, other_m2, candidates });
  const forecast = backgroundOf(trial.field);
  const log = observations.map((one, i): LogEvent => {
    const [u, v] = forecast(one.height_m, one.time_s, SITE);
    const offset = outlook.offset;
    const du = offset === null ? 0 : along(offset.heights_m, offset.u_mps, one.height_m);
    const dv = offset === null ? 0 : along(offset.heights_m, offset.v_mps, one.height_m);
    const base = {
      seq: 1000 + i,
      at: isoOf(NOW_S),
      observedAt: isoOf(NOW_S),
      kind: 'wind-report',
      id: `b${i}`,
      source: 'pilot-balloon',
    } as const;
    return { ...base, by: `balloon ${i}`, position: SITE, height_m: one.height_m, ...windFrom(u + du, v + dv) };
  });
  const now = windsOf(trial, [...trial.log, ...log]);
  const after = outlookOf(scenarioOf(trial.mission, worldOf(trial.mission, trial.field, airless, null, now.analysis)));
  const sample = moments(
    new Ensemble({ scenario: after.scenario, error: after.error, spread, seed }).run(0, members),
    SITE,
  );
  return { said: ranked?.shrinks ?? 0, took: 1 - sample.area / area };
}

function covarianceOf(members: {
  readonly lon_deg: Float64Array;
  readonly lat_deg: Float64Array;
}): [[number, number], [number, number]] {
  const frame = localFrame(SITE);
  const at = Array.from(members.lon_deg, (lon, i) => frame.toLocal([lon, members.lat_deg[i] ?? NaN])).filter(
    ([e]) => e === e,
  );
  const n = at.length;
  const e0 = at.reduce((sum, [e]) => sum + e, 0) / n;
  const n0 = at.reduce((sum, [, north]) => sum + north, 0) / n;
  const cov = (a: (p: readonly [number, number]) => number, b: (p: readonly [number, number]) => number): number =>
    at.reduce((sum, p) => sum + a(p) * b(p), 0) / (n - 1);
  const east = ([e]: readonly [number, number]): number => e - e0;
  const north = ([, x]: readonly [number, number]): number => x - n0;
  return [
    [cov(east, east), cov(east, north)],
    [cov(east, north), cov(north, north)],
  ];
}

/** What was promised, and whether it was kept: sentences of what was not. The shares are those of 500 trials. */
export function brokenPromises(result: ExperimentResult): string[] {
  const share = ({ hits, of }: Rate): number => hits / of;
  const broken: string[] = [];
  const check = (kept: boolean, what: string): void => void (kept ? 0 : broken.push(what));
  check(
    share(result.in50) >= 0.45 && share(result.in50) <= 0.55,
    'the true landing in the 50 % ellipse in 45 to 55 % of trials',
  );
  check(
    share(result.in90) >= 0.87 && share(result.in90) <= 0.93,
    'the true landing in the 90 % ellipse in 87 to 93 % of trials',
  );
  for (const way of ['forecast alone', ...NAIVE]) {
    // A third is promised of what a mission from great height has by its exit; an hour of surface winds cannot give it.
    const least = result.scene === 'day' ? 2 / 3 : 1;
    check((result.miss_m['analysis'] ?? NaN) <= least * (result.miss_m[way] ?? NaN), `a smaller miss than by ${way}`);
  }
  check(
    share(result.reversed['all above 3 m/s'] ?? { hits: 0, of: 1 }) >= 0.9,
    '90 % of mix-ups above 3 m/s held back',
  );
  check(share(result.alarms['all'] ?? { hits: 1, of: 1 }) <= 0.01, 'at most 1 % of good reports held back');
  check(
    Math.abs(result.balloon.said - result.balloon.took) <= 0.03,
    'the gain of a balloon foretold to 3 % of the area',
  );
  return broken;
}

const percent = ({ hits, of }: Rate): string => `${((100 * hits) / of).toFixed(1)} % of ${of}`;

/** The result as a table for people. */
export function tableOf(result: ExperimentResult): string {
  const { miss_m, windMiss_m } = result;
  const best = miss_m['analysis'] ?? NaN;
  const bestWind = windMiss_m['analysis'] ?? NaN;
  const ways = Object.keys(miss_m).map((way) => {
    const [a, b] = [miss_m[way] ?? NaN, windMiss_m[way] ?? NaN];
    const less =
      way === 'analysis'
        ? ''
        : `   analysis less by ${Math.round(100 * (1 - best / a))} %, ${Math.round(100 * (1 - bestWind / b))} %`;
    return `  ${way.padEnd(28)}${a.toFixed(0).padStart(6)} m ${b.toFixed(0).padStart(6)} m${less}`;
  });
  const rows = (rates: Readonly<Record<string, Rate>>): string[] =>
    Object.keys(rates)
      .toSorted()
      .map((key) => `  ${key.padEnd(28)} ${percent(rates[key] ?? { hits: 0, of: 0 })}`);
  return [
    `Observing-system experiment, ${result.scene === 'day' ? 'the log of half a day' : 'the log of an hour'}: ${result.trials} trials over ${result.columns} real columns, ${result.reports} reports, seed ${result.seed}, ${result.members} members each`,
    `true landing in the 50 % ellipse: ${percent(result.in50)}; in the 90 % ellipse: ${percent(result.in90)}`,
    `mean square of what is wrong over what was expected: of the landing ${result.landingSquare.toFixed(2)}, of the wind ${result.windSquare.toFixed(2)}`,
    'mean miss: with everything unknown, and with only the wind unknown',
    ...ways,
    'reversed reports held back, by the speed that was reported',
    ...rows(result.reversed),
    'good reports held back',
    ...rows(result.alarms),
    'other thresholds of the likelihood ratio: reversed above 3 m/s held (of these at the surface), good ones held',
    ...result.tradeOff.map(
      ({ threshold, hits, surfaceHits, alarms }) =>
        `  ${(threshold === REVERSAL_LOG_RATIO ? `${threshold} (as set)` : String(threshold)).padEnd(28)} ${percent(hits)} (${percent(surfaceHits)}), ${percent(alarms)}`,
    ),
    `a pilot balloon to 5 km takes off the 90 % area: said ${(100 * result.balloon.said).toFixed(1)} %, took ${(100 * result.balloon.took).toFixed(1)} % (mean of ${result.balloon.trials})`,
  ].join('\n');
}
