// Worlds whose truth the program did not make: what is wrong with a forecast is drawn here by covariances, waves and
// displaced jets of their own, which share no code with core/winds. m/s, m MSL, s since 1970.
import { never } from '../../core/base/problem.ts';
import { Random } from '../../core/base/random.ts';
import { windFrom, windVector, type LonLat } from '../../core/base/units.ts';
import type { ReportSource, WindReport } from '../../core/log/events.ts';
import { sourceStd_mps } from '../../core/log/sources.ts';
import { DRIFTER, EXIT_S, isoOf, NOW_S } from './experimentWorld.ts';

export const GROUND_M = 951;
/** Where a compass points 24° off (the World Magnetic Model's declination is that of the tests' demo). */
export const PLACE: LonLat = [22.41, -30.09];
const M_PER_DEG = 111_195;

type Knots = readonly (readonly [x: number, y: number])[];

/** A value between knots, straight, held outside. */
function between(knots: Knots, x: number): number {
  const k = knots.findIndex(([at]) => at > x);
  if (k === 0) return knots[0]?.[1] ?? NaN;
  if (k < 0) return knots.at(-1)?.[1] ?? NaN;
  const [x0, y0] = knots[k - 1] ?? [NaN, NaN];
  const [x1, y1] = knots[k] ?? [NaN, NaN];
  return y0 + ((y1 - y0) * (x - x0)) / (x1 - x0);
}

/** ref: confidence.md §1.1 column a (F), its upper end M: what the program assumes, and what some truths are not. */
const SIGMA_MPS: Knots = [[0, 1.6], [3000, 1.6], [7200, 2.6], [10_400, 3.2], [13_600, 2.4], [16_000, 2.1], [31_000, 2.1], [40_000, 5.5]]; // prettier-ignore
const LENGTH_M: Knots = [[0, 500], [10_000, 1500], [40_000, 4000]]; // prettier-ignore
/** The ground's own part at a height above ground: §1.4 (C), gone a kilometre up (M). */
const LOCAL: Knots = [[10, 0.57], [1000, 0]]; // prettier-ignore

/** Heights counted in correlation lengths, summed every 50 m. */
const COUNTED: readonly number[] = (() => {
  const sums = [0];
  for (let z = 25; z < 41_000; z += 50) sums.push((sums.at(-1) ?? 0) + 50 / between(LENGTH_M, z));
  return sums;
})();
const counted = (z: number): number => {
  const at = Math.max(z, 0) / 50;
  const i = Math.min(Math.floor(at), COUNTED.length - 2);
  const a = COUNTED[i] ?? NaN;
  return a + (at - i) * ((COUNTED[i + 1] ?? NaN) - a);
};

export interface At {
  readonly height_m: number;
  readonly time_s: number;
  readonly position: LonLat;
}

/** What the truth is like. */
export interface Truth {
  readonly name: string;
  /** Times what is assumed: the error's size, and its correlation lengths. */
  readonly size?: number;
  readonly length?: number;
  readonly shape?: 'gaussian' | 'matern' | 'two lengths' | 'exponential';
  readonly bulk?: number;
  readonly hours?: number;
  /** Beside the drawn error: a jet elsewhere than forecast, or waves. */
  readonly beside?: 'jet' | 'waves';
  /** The reports': errors of a balloon hang together over so many metres; rounding of direction and knots. */
  readonly balloon_m?: number;
  readonly rounded?: { readonly deg: number; readonly kt: number };
}

export const TRUTHS: readonly Truth[] = [
  { name: 'as assumed' },
  { name: 'Matérn 3/2 in height', shape: 'matern' },
  { name: 'exponential in height', shape: 'exponential' },
  { name: 'two lengths (⅓ and 2)', shape: 'two lengths' },
  { name: 'length × 0.5', length: 0.5 },
  { name: 'length × 2', length: 2 },
  { name: 'length × 3', length: 3 },
  { name: 'σ × 0.67', size: 0.67 },
  { name: 'σ × 1.5', size: 1.5 },
  { name: 'no bulk', bulk: 0 },
  { name: 'bulk 30 %', bulk: 0.3 },
  { name: 'bulk 60 %', bulk: 0.6 },
  { name: 'decorrelation in 1.5 h', hours: 1.5 },
  { name: 'decorrelation in 24 h', hours: 24 },
  { name: 'jet displaced, scaled, turned', size: 0.8, beside: 'jet' },
  { name: 'waves', size: 0.6, beside: 'waves' },
  { name: 'balloon errors over 1 km', balloon_m: 1000 },
  { name: 'rounded to 10° and 1 kt', rounded: { deg: 10, kt: 1 } },
];

const along = (shape: Truth['shape'], r: number): number => {
  switch (shape) {
    case 'matern':
      // Of the Gaussian's curvature at 0: exp(−½ r²) ≈ 1 − ½ r², Matérn 3/2 ≈ 1 − 3/2 (r/l)², so l = √3.
      return (1 + r) * Math.exp(-r);
    case 'exponential':
      return Math.exp(-r);
    case 'two lengths':
      return 0.5 * Math.exp(-0.5 * (3 * r) ** 2) + 0.5 * Math.exp(-0.5 * (r / 2) ** 2);
    case 'gaussian':
    case undefined:
      return Math.exp(-0.5 * r * r);
    default:
      return never(shape);
  }
};

const squareApart = (a: LonLat, b: LonLat): number =>
  (((a[0] - b[0]) * Math.cos(0.53)) ** 2 + (a[1] - b[1]) ** 2) * M_PER_DEG ** 2;

function covariance(truth: Truth, a: At, b: At): number {
  const { size = 1, length = 1, bulk = 0.2, hours = 6, shape } = truth;
  const layer = along(shape, Math.abs(counted(a.height_m) - counted(b.height_m)) / length);
  const local = Math.sqrt(between(LOCAL, a.height_m - GROUND_M) * between(LOCAL, b.height_m - GROUND_M));
  const broad = Math.sqrt((1 - between(LOCAL, a.height_m - GROUND_M)) * (1 - between(LOCAL, b.height_m - GROUND_M)));
  const d2 = squareApart(a.position, b.position);
  const there = broad * (bulk + (1 - bulk) * layer) * Math.exp(-0.5 * (d2 / 150_000 ** 2));
  const here = local * layer * Math.exp(-0.5 * (d2 / 5000 ** 2));
  const sizes = size * size * between(SIGMA_MPS, a.height_m) * between(SIGMA_MPS, b.height_m);
  return sizes * (there + here) * Math.exp(-Math.abs(a.time_s - b.time_s) / (3600 * hours));
}

/** Rows of the lower Cholesky factor. A little is added on the diagonal: points can lie close together. */
function factorOf(truth: Truth, at: readonly At[]): readonly Float64Array[] {
  const rows = at.map((a, i) => Float64Array.from(at.slice(0, i + 1), (b) => covariance(truth, a, b)));
  rows.forEach((row, i) => {
    for (let j = 0; j <= i; j++) {
      const other = rows[j] as Float64Array;
      let sum = row[j] as number;
      for (let k = 0; k < j; k++) sum -= (row[k] as number) * (other[k] as number);
      row[j] = j < i ? sum / (other[j] as number) : Math.sqrt(Math.max(sum, 0) + 1e-4);
    }
  });
  return rows;
}

/** A jet at its height, with so many m/s from such a direction. */
const jet = (z: number, top_m: number, mps: number, from_deg: number): readonly [number, number] =>
  windVector(from_deg, mps * Math.exp(-0.5 * ((z - top_m) / 2500) ** 2));

/** Error of both components at every point. */
function drawErrors(
  truth: Truth,
  at: readonly At[],
  factor: readonly Float64Array[],
  random: Random,
): [Float64Array, Float64Array] {
  const drawn = (): Float64Array => {
    const z = at.map(() => random.normal());
    return Float64Array.from(factor, (row) => row.reduce((sum, x, j) => sum + x * (z[j] ?? 0), 0));
  };
  const [u, v] = [drawn(), drawn()];
  const beside = truth.beside === 'jet' ? jetError(random) : truth.beside === 'waves' ? waves(random) : null;
  at.forEach((one, i) => {
    const [du, dv] = beside?.(one) ?? [0, 0];
    u[i] = (u[i] ?? NaN) + du;
    v[i] = (v[i] ?? NaN) + dv;
  });
  return [u, v];
}

type ErrorAt = (at: At) => readonly [number, number];

function jetError(random: Random): ErrorAt {
  const off_m = 500 * random.normal();
  const [more, turned] = [1 + 0.1 * random.normal(), 6 * random.normal()];
  return ({ height_m }) => {
    const [u, v] = jet(height_m, 10_500 + off_m, 30 * more, 250 + turned);
    const [fu, fv] = jet(height_m, 10_500, 30, 250);
    return [u - fu, v - fv];
  };
}

function waves(random: Random): ErrorAt {
  const trains = [1500, 2500, 4000].map((long_m) => ({
    m: (2 * Math.PI) / long_m,
    w: (2 * Math.PI) / (3600 * (2 + 4 * random.uniform())),
    turn: 2 * Math.PI * random.uniform(),
    u: random.normal(),
    v: random.normal(),
  }));
  // Three trains of one component: a mean square of 3 × ½, together with 0.6 of the drawn error about what is assumed.
  return ({ height_m, time_s }) => {
    const size = 0.65 * between(SIGMA_MPS, height_m);
    let [u, v] = [0, 0];
    for (const one of trains) {
      const wave = Math.sin(one.m * height_m - one.w * (time_s - EXIT_S) + one.turn);
      u += size * one.u * wave;
      v += size * one.v * wave;
    }
    return [u, v];
  };
}

/** A report before its wind is known. */
export interface Sent extends At {
  readonly source: ReportSource;
  readonly by: string;
  readonly agl_m?: number;
  readonly std_mps?: number;
}

export const EXITS_M = { high: 39_000, low: 3800 + GROUND_M } as const;
export type ExitOf = keyof typeof EXITS_M;

/** Who reports what by the exit: `low` an hour of a small crew, `high` half a day with the carrier's own ascent. */
export function sentBy(exit: ExitOf, random: Random): Sent[] {
  const high = exit === 'high';
  const around = (km: number): LonLat => {
    const r = (1000 * km * Math.sqrt(random.uniform())) / M_PER_DEG;
    const turn = 2 * Math.PI * random.uniform();
    return [PLACE[0] + (r * Math.cos(turn)) / Math.cos(0.53), PLACE[1] + r * Math.sin(turn)];
  };
  const low = (source: ReportSource, by: string, agl_m: number, position: LonLat, ages_s: readonly number[]): Sent[] =>
    ages_s.map((age_s) => ({ source, by, agl_m, position, height_m: GROUND_M + 10, time_s: NOW_S - age_s }));
  const ascent = (
    source: ReportSource,
    by: string,
    begun_s: number,
    position: LonLat,
    to: readonly number[],
  ): Sent[] => {
    const [top_m = 0, every_m = 500, std_mps] = to;
    const list: Sent[] = [];
    for (let z = GROUND_M + every_m; z < top_m; z += every_m) {
      const time_s = begun_s + (z - GROUND_M) / 5;
      const own = std_mps === undefined ? {} : { std_mps };
      if (time_s <= NOW_S) list.push({ source, by, position, height_m: z, time_s, ...own });
    }
    return list;
  };
  const crews = ['Team 1', 'Team 2', 'Team 3'].flatMap((by) =>
    low('crew', by, 2, around(20), high ? [600, 4000, 9000] : [600 + 1200 * random.uniform()]),
  );
  const mast = low('station', 'Mast', 10, around(15), Array.from({ length: high ? 10 : 6 }, (_, i) => 300 + (high ? 3600 : 600) * i)); // prettier-ignore
  const balloons = (high ? [10_000, 5000, 1800] : [2400]).map((age_s) =>
    ascent('pilot-balloon', 'Balloon', NOW_S - age_s - 600 * random.uniform(), PLACE, [GROUND_M + 4000, 330]),
  );
  const rest = high
    ? [
        ...ascent('sounding', 'Sonde', NOW_S - 3600 * (7 + 3 * random.uniform()), around(80), [EXITS_M.high, 1000]),
        ...ascent('pilot-balloon', 'Carrier', EXIT_S - 8200, PLACE, [EXITS_M.high, 600, 0.6]),
      ]
    : [];
  return [...crews, ...mast, ...balloons.flat(), ...rest];
}

/** The forecast: a ground wind, a turning above it, a jet, and the winds of the stratosphere. */
export function forecastAt(
  z: number,
  ground: { readonly from_deg: number; readonly mps: number },
): readonly [number, number] {
  const agl_m = Math.max(z - GROUND_M, 10);
  // The neutral profile over open grass (z₀ 0.03 m) up to 100 m.
  const share = Math.min(Math.log(agl_m / 0.03) / Math.log(100 / 0.03), 1);
  const [u, v] = windVector(ground.from_deg + Math.min(agl_m / 100, 30), share * ground.mps);
  const [ju, jv] = jet(z, 10_500, 30, 250);
  const aloft = Math.max(0, (z - 20_000) / 1000);
  return [u + ju - aloft, v + jv];
}

export interface World {
  readonly exit: ExitOf;
  readonly forecast: (z: number) => readonly [number, number];
  /** The true error of the forecast on the descent's heights. */
  readonly heights_m: Float64Array;
  readonly eu_mps: Float64Array;
  readonly ev_mps: Float64Array;
  readonly sent: readonly Sent[];
  readonly log: readonly WindReport[];
}

/** Trials of one kind of truth: every tenth has other places and times of its reports, each another error. */
export function* worlds(truth: Truth, exit: ExitOf, trials: number, seed: number): Generator<World> {
  let laid: { sent: Sent[]; at: At[]; factor: readonly Float64Array[]; nodes: number } | null = null;
  for (let i = 0; i < trials; i++) {
    if (laid === null || i % 10 === 0) laid = layOut(truth, exit, new Random(seed, 1_000_000 + i));
    const random = new Random(seed, i);
    const ground = { from_deg: 360 * random.uniform(), mps: 3 + 8 * random.uniform() };
    const { sent, at, factor, nodes } = laid;
    const [eu, ev] = drawErrors(truth, at, factor, random);
    const forecast = (z: number): readonly [number, number] => forecastAt(z, ground);
    const winds = sent.map(({ height_m }, k): readonly [number, number] => {
      const [u, v] = forecast(height_m);
      return [u + (eu[nodes + k] ?? NaN), v + (ev[nodes + k] ?? NaN)];
    });
    yield {
      exit,
      forecast,
      heights_m: Float64Array.from(at.slice(0, nodes), ({ height_m }) => height_m),
      eu_mps: eu.slice(0, nodes),
      ev_mps: ev.slice(0, nodes),
      sent,
      log: said(truth, sent, winds, random),
    };
  }
}

function layOut(truth: Truth, exit: ExitOf, random: Random) {
  const sent = sentBy(exit, random);
  const nodes: At[] = [];
  // Every 100 m low down, wider aloft; each when the descent passes it, to the minute.
  for (let z = GROUND_M + 10; z < EXITS_M[exit]; z += Math.max(100, between(LENGTH_M, z) / 4)) {
    const fallen_s = z > GROUND_M + 1500 ? 60 : 60 + (GROUND_M + 1500 - z) / 4.6;
    nodes.push({ height_m: z, time_s: EXIT_S + fallen_s, position: PLACE });
  }
  const at = [...nodes, ...sent];
  return { sent, at, factor: factorOf(truth, at), nodes: nodes.length };
}

function said(
  truth: Truth,
  sent: readonly Sent[],
  winds: readonly (readonly [number, number])[],
  random: Random,
): WindReport[] {
  // A balloon's error at a level goes on at the next with exp(−Δz/length); of others each is its own.
  let [lastU, lastV, lastZ, lastBy] = [0, 0, 0, ''];
  return sent.map((one, i): WindReport => {
    const { source, by, position, agl_m, height_m, std_mps = sourceStd_mps(source, height_m) } = one;
    const [u, v] = winds[i] ?? [NaN, NaN];
    const isNext = truth.balloon_m !== undefined && source === 'pilot-balloon' && by === lastBy && height_m > lastZ;
    const keeps = isNext ? Math.exp(-(height_m - lastZ) / (truth.balloon_m ?? NaN)) : 0;
    const fresh = Math.sqrt(1 - keeps * keeps);
    [lastU, lastV] = [keeps * lastU + fresh * random.normal(), keeps * lastV + fresh * random.normal()];
    [lastZ, lastBy] = [height_m, by];
    // The neutral profile from 10 m down to where a crew holds its meter.
    const share = agl_m === undefined || agl_m >= 10 ? 1 : Math.log(agl_m / 0.03) / Math.log(10 / 0.03);
    const wind = windFrom(share * u + std_mps * lastU, share * v + std_mps * lastV);
    const { deg, kt } = truth.rounded ?? { deg: 1, kt: 0.1 };
    const step_mps = (kt * 1852) / 3600;
    return {
      seq: i,
      at: isoOf(NOW_S),
      kind: 'wind-report',
      id: `w${i}`,
      source,
      by,
      observedAt: isoOf(one.time_s),
      position,
      ...(agl_m === undefined ? { height_m } : { agl_m }),
      ...(one.std_mps === undefined ? {} : { std_mps }),
      from_deg: (deg * Math.round(wind.from_deg / deg)) % 360,
      speed_mps: step_mps * Math.round(wind.speed_mps / step_mps),
    };
  });
}

/** The plan of a world, as a file would hold it. */
export const planOf = (exit: ExitOf) => ({
  format: 'plumbline/mission',
  version: 1,
  name: 'other truths',
  site: { name: 'Home', position: PLACE, elevation_m: GROUND_M, roughness_m: 0.03 },
  exit: { position: PLACE, altitude_m: EXITS_M[exit], time: isoOf(EXIT_S) },
  jumper: DRIFTER,
});
