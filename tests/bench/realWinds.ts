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
import { Ensemble } from '../../core/descent/ensemble.ts';
import { outlookOf } from '../../core/descent/outlook.ts';
import { predict } from '../../core/descent/predict.ts';
import { scenarioOf } from '../../core/descent/scenario.ts';
import { spreadOf } from '../../core/descent/spread.ts';
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
      if (!same && hours === 0 && chord_m(truth.position, forecast.position) < NEIGHBOUR_M)
        pairs.push({ kind: 'neighbours', forecast, truth });
    }
  }
  return pairs;
}

const isoOf = (s: number): string => new Date(s * 1000).toISOString();

/** A descent at the truth's station and hour: 39 km under a drogue-less fall, or 4 km; both drift under the canopy. */
function missionOf({ truth }: WindPair, wind: Ascent, exit_m: number): Mission {
  const elevation_m = Math.round(truth.levels[0]?.height_m ?? 0);
  return missionSchema.parse({
    format: 'plumbline/mission',
    version: 1,
    name: 'real winds',
    site: { name: 'Station', position: truth.position, elevation_m },
    exit: { position: truth.position, altitude_m: exit_m, time: isoOf(truth.time_s) },
    jumper: {
      mass_kg: 118,
      stages: [{ name: 'freefall', dragArea_m2: 0.8, until: { agl_m: 1500 } }],
      canopy: {
        referenceMass_kg: 118,
        fill_s: 4,
        settings: [{ name: 'full drive', airspeed_mps: 11.5, sink_mps: 4.6 }],
        steering: { policy: 'drift' },
      },
    },
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

/** Squared distance of the true landing from the ensemble's mean in units of its covariance, and the plain distances. */
export interface PairResult {
  readonly pair: WindPair;
  readonly exit_m: number;
  readonly mahalanobis2: number;
  readonly miss_m: number;
  readonly semiMajor90_m: number;
}

export function runPair(pair: WindPair, exit_m: number, members: number): PairResult | null {
  const mission = missionOf(pair, pair.forecast, exit_m);
  const flown = missionOf(pair, pair.truth, exit_m);
  const none = { windSources: [], terrain: null };
  const outlook = outlookOf(scenarioOf(mission, assemble(mission, none).world));
  const truth = predict(scenarioOf(flown, assemble(flown, none).world)).landing;
  if (truth === null) return null;
  const { scenario, error } = outlook;
  const sample = new Ensemble({ scenario, error, spread: spreadOf(undefined), seed: 7 }).run(0, members);
  const frame = localFrame(truth.position);
  const at = Array.from(sample.lon_deg, (lon, i) => frame.toLocal([lon, sample.lat_deg[i] ?? NaN])).filter(
    ([e]) => e === e,
  );
  const n = at.length;
  const e0 = at.reduce((sum, [e]) => sum + e, 0) / n;
  const n0 = at.reduce((sum, [, x]) => sum + x, 0) / n;
  let [ee, en, nn] = [0, 0, 0];
  for (const [e, x] of at) {
    ee += (e - e0) ** 2 / (n - 1);
    en += ((e - e0) * (x - n0)) / (n - 1);
    nn += (x - n0) ** 2 / (n - 1);
  }
  const mahalanobis2 = (nn * e0 * e0 - 2 * en * e0 * n0 + ee * n0 * n0) / (ee * nn - en * en);
  const largest = (ee + nn) / 2 + Math.hypot((ee - nn) / 2, en);
  return { pair, exit_m, mahalanobis2, miss_m: Math.hypot(e0, n0), semiMajor90_m: Math.sqrt(4.605 * largest) };
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

/** The table: each height, with each kind of pair and all of them. */
export async function realWinds(openData: string, members: number): Promise<Held[]> {
  const pairs = windPairs(await realAscents(openData));
  return [39_000, 4000].flatMap((exit_m) => {
    const results = pairs.flatMap((pair) => runPair(pair, exit_m, members) ?? []);
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

export const tableOfHeld = (rows: readonly Held[]): string =>
  rows
    .map(
      ({ name, of, in50, in90, medianMiss_m, medianSemiMajor90_m }) =>
        `${name.padEnd(20)} ${String(of).padStart(3)} pairs  50 %: ${(100 * in50).toFixed(0).padStart(3)}  90 %: ${(100 * in90).toFixed(0).padStart(3)}` +
        `  miss ${(medianMiss_m / 1000).toFixed(2)} km, 90 % half axis ${(medianSemiMajor90_m / 1000).toFixed(2)} km (medians)`,
    )
    .join('\n');
