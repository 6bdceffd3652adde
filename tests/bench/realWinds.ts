// How wrong a wind can be, on winds that were measured: of two ascents of one station 12 or 24 h apart the older is the
// forecast and the newer the truth, and of two stations at one hour one is the forecast of the other. Is the true
// landing where the ellipses say? Source of the winds: the open soundings of May 1980 (four stations, 12-hourly) and of
// 4 May 1999 (three stations); one spring situation each, so a share is known to some ten in a hundred at best.
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { chord_m } from '../../core/earth/chord.ts';
import { localFrame } from '../../core/earth/geodesic.ts';
import { usableLevels, type WindLevel } from '../../core/air/levels.ts';
import { type LonLat } from '../../core/base/units.ts';
import { outlookOf } from '../../core/descent/outlook.ts';
import { predict } from '../../core/descent/predict.ts';
import { scenarioOf } from '../../core/descent/scenario.ts';
import { onNodes, windSensitivity } from '../../core/descent/sensitivity.ts';
import { DRIFTER } from './experimentWorld.ts';
import { landingCovariance } from '../descent/landingCovariance.ts';
import { ellipseOf } from '../../core/descent/statistics.ts';
import { readWindFile } from '../../core/formats/winds/winds.ts';
import { assemble } from '../../core/mission/load.ts';
import { mission as missionSchema, type Mission } from '../../core/plan/schema.ts';

export interface Ascent {
  readonly station: string;
  readonly time_s: number;
  readonly position: LonLat;
  readonly levels: readonly WindLevel[];
}

export interface WindPair {
  readonly kind: '12 h' | '24 h' | 'neighbours';
  readonly forecast: Ascent;
  readonly truth: Ascent;
}

/** Every ascent of the open data that names its time and place and reaches 12 km. */
export async function realAscents(openData: string): Promise<Ascent[]> {
  const folder = join(openData, 'soundings');
  const files = [
    ...readdirSync(join(folder, 'may1980-grid')).map((name) => join('may1980-grid', name)),
    'three-stations-19990504-00z-iem.json',
  ];
  const ascents: Ascent[] = [];
  for (const file of files.toSorted()) {
    const read = await readWindFile({ name: file, bytes: readFileSync(join(folder, file)) });
    for (const { source, validTime, position, levels } of read.value.decoded) {
      const usable = usableLevels(levels);
      if (validTime === null || position === null || (usable.at(-1)?.height_m ?? 0) < 12_000) continue;
      const station = position.map((x) => x.toFixed(2)).join(' ') || source;
      ascents.push({ station, time_s: Date.parse(validTime) / 1000, position, levels: usable });
    }
  }
  return ascents;
}

/** Beyond this a neighbour says no more than the climate. */
const NEIGHBOUR_M = 1_200_000;

export function windPairs(ascents: readonly Ascent[]): WindPair[] {
  const pairs: WindPair[] = [];
  for (const forecast of ascents) {
    for (const truth of ascents) {
      const hours = (truth.time_s - forecast.time_s) / 3600;
      const same = truth.station === forecast.station;
      if (same && (hours === 12 || hours === 24)) pairs.push({ kind: hours === 12 ? '12 h' : '24 h', forecast, truth });
      // The miss from A to B is that from B to A mirrored: two stations at one hour are one pair.
      const isFirst = forecast.station < truth.station;
      if (isFirst && hours === 0 && chord_m(truth.position, forecast.position) < NEIGHBOUR_M)
        pairs.push({ kind: 'neighbours', forecast, truth });
    }
  }
  return pairs;
}

const isoOf = (s: number): string => new Date(s * 1000).toISOString();

/** A descent at the truth's station and hour: 39 km under a drogue-less fall, or 4 km; both drift under the canopy. */
function missionOf({ truth }: WindPair, wind: Ascent, exit_m: number, bulk?: number): Mission {
  const elevation_m = Math.round(truth.levels[0]?.height_m ?? 0);
  return missionSchema.parse({
    format: 'plumbline/mission',
    version: 1,
    name: 'real winds',
    site: { name: 'Station', position: truth.position, elevation_m },
    exit: { position: truth.position, altitude_m: exit_m, time: isoOf(truth.time_s) },
    jumper: DRIFTER,
    ...(bulk === undefined ? {} : { uncertainty: { wind: { bulk } } }),
    winds: {
      forecast: [
        {
          source: 'ascent',
          kind: 'observed',
          validTime: isoOf(wind.time_s),
          position: wind.position,
          levels: wind.levels,
        },
      ],
    },
  });
}

/**
 * Squared distance of the true landing from the predicted one in units of the wind error's covariance, and the plain
 * distances. To first order in the wind (`sensitivity.ts`), so that no draw decides on which side of an ellipse a
 * landing lies: `tests/descent/sensitivity.test.ts` has ensembles agree.
 */
export interface PairResult {
  readonly pair: WindPair;
  readonly exit_m: number;
  readonly mahalanobis2: number;
  readonly miss_m: number;
  readonly semiMajor90_m: number;
  /** Logarithm of the density of the true landing, up to a constant. */
  readonly logDensity: number;
}

/** `bulk`: the part of the variance that the whole column shares; left out: the program's. */
export function runPair(pair: WindPair, exit_m: number, bulk?: number): PairResult | null {
  const mission = missionOf(pair, pair.forecast, exit_m, bulk);
  const flown = missionOf(pair, pair.truth, exit_m);
  const none = { windSources: [], terrain: null };
  const { scenario, prediction, error, offset } = outlookOf(scenarioOf(mission, assemble(mission, none).world));
  const truth = predict(scenarioOf(flown, assemble(flown, none).world)).landing;
  const kernel = windSensitivity(scenario, offset);
  if (truth === null || prediction.landing === null || kernel === null) return null;
  const [ee, en, nn] = landingCovariance(onNodes(kernel, error.heights_m), error.factor);
  const [e, n] = localFrame(truth.position).toLocal(prediction.landing.position);
  const det = ee * nn - en * en;
  const mahalanobis2 = (nn * e * e - 2 * en * e * n + ee * n * n) / det;
  return {
    pair,
    exit_m,
    mahalanobis2,
    miss_m: Math.hypot(e, n),
    semiMajor90_m: ellipseOf(ee, en, nn, 0.9).semiMajor_m,
    logDensity: -mahalanobis2 / 2 - Math.log(det) / 2,
  };
}

export interface Held {
  readonly name: string;
  readonly of: number;
  readonly in50: number;
  readonly in90: number;
  readonly medianMiss_m: number;
  readonly medianSemiMajor90_m: number;
}

export function heldBy(name: string, results: readonly PairResult[]): Held {
  const share = (p: number): number =>
    results.filter((one) => one.mahalanobis2 <= -2 * Math.log(1 - p)).length / results.length;
  const median = (of: (one: PairResult) => number): number =>
    results.map(of).toSorted((a, b) => a - b)[Math.floor(results.length / 2)] ?? NaN;
  return {
    name,
    of: results.length,
    in50: share(0.5),
    in90: share(0.9),
    medianMiss_m: median((one) => one.miss_m),
    medianSemiMajor90_m: median((one) => one.semiMajor90_m),
  };
}

const EXITS_M = [39_000, 4000];

/** The table: each height, with each kind of pair and all of them. */
export async function realWinds(openData: string): Promise<Held[]> {
  const pairs = windPairs(await realAscents(openData));
  return EXITS_M.flatMap((exit_m) => {
    const results = pairs.flatMap((pair) => runPair(pair, exit_m) ?? []);
    const kinds = ['12 h', '24 h', 'neighbours'] as const;
    return [
      ...kinds.map((kind) =>
        heldBy(
          `${exit_m / 1000} km, ${kind}`,
          results.filter((one) => one.pair.kind === kind),
        ),
      ),
      heldBy(`${exit_m / 1000} km, all`, results),
    ];
  });
}

const BULKS = [0.1, 0.15, 0.2, 0.25, 0.4];

/**
 * The same with nothing of a station known: the bulk share is the likeliest of the pairs without it, and its own pairs
 * are judged by that. Answers the rows of both heights, and which share each station's others chose.
 */
export async function leaveOneStationOut(openData: string): Promise<{ rows: Held[]; chosen: number[] }> {
  const pairs = windPairs(await realAscents(openData));
  const all = BULKS.map((bulk) =>
    EXITS_M.flatMap((exit_m) => pairs.flatMap((pair) => runPair(pair, exit_m, bulk) ?? [])),
  );
  const chosen: number[] = [];
  const held: PairResult[] = [];
  for (const station of new Set(pairs.map(({ truth }) => truth.station))) {
    const isOf = ({ pair }: PairResult): boolean => pair.truth.station === station || pair.forecast.station === station;
    const likelihoods = all.map((of) => of.reduce((sum, one) => sum + (isOf(one) ? 0 : one.logDensity), 0));
    const best = likelihoods.indexOf(Math.max(...likelihoods));
    chosen.push(BULKS[best] ?? NaN);
    held.push(...(all[best] ?? []).filter(({ pair }) => pair.truth.station === station));
  }
  const rows = EXITS_M.map((exit_m) =>
    heldBy(
      `${exit_m / 1000} km, left out`,
      held.filter((one) => one.exit_m === exit_m),
    ),
  );
  return { rows, chosen };
}

export const tableOfHeld = (rows: readonly Held[]): string =>
  rows
    .map(
      ({ name, of, in50, in90, medianMiss_m, medianSemiMajor90_m }) =>
        `${name.padEnd(20)} ${String(of).padStart(3)} pairs  50 %: ${(100 * in50).toFixed(0).padStart(3)}  90 %: ${(100 * in90).toFixed(0).padStart(3)}` +
        `  miss ${(medianMiss_m / 1000).toFixed(2)} km, 90 % half axis ${(medianSemiMajor90_m / 1000).toFixed(2)} km (medians)`,
    )
    .join('\n');
