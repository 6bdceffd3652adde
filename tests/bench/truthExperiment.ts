// Does the analysis know how wrong it may be, when the truth is of another kind than it assumes, and when an observer
// is wrong? Landings in the true wind against the ellipses that were promised; only the wind is unknown.
import { Flight, LANDED } from '../../core/descent/flight.ts';
import { outlookOf } from '../../core/descent/outlook.ts';
import { scenarioOf, worldOf, worldSamplerOf, type Scenario } from '../../core/descent/scenario.ts';
import { onNodes, windSensitivity } from '../../core/descent/sensitivity.ts';
import { localFrame } from '../../core/earth/geodesic.ts';
import { DEG_PER_RAD, windFrom, type LonLat } from '../../core/base/units.ts';
import type { LogEvent } from '../../core/log/events.ts';
import { missionAt } from '../../core/log/fold.ts';
import { analysisIn, windsAt } from '../../core/mission/situation.ts';
import { mission as missionSchema } from '../../core/plan/schema.ts';
import { WindField, type WindOffset } from '../../core/winds/field.ts';
import type { WindsNow } from '../../core/winds/now.ts';
import { landingCovariance } from '../descent/landingCovariance.ts';
import { airless, EXIT_S, NOW_S } from './experimentWorld.ts';
import { EXITS_M, GROUND_M, planOf, TRUTHS, worlds, type ExitOf, type Truth, type World } from './otherTruths.ts';

const MISSIONS = { high: missionSchema.parse(planOf('high')), low: missionSchema.parse(planOf('low')) };

/** What the program makes of a world and a log. */
export function seen({ exit, forecast }: World, log: readonly LogEvent[]) {
  const mission = MISSIONS[exit];
  const levels: { height_m: number; from_deg: number; speed_mps: number }[] = [];
  for (let z = GROUND_M + 10; z < Math.max(EXITS_M[exit] + 1500, 20_000); z += z < GROUND_M + 200 ? 20 : 250)
    levels.push({ height_m: z, ...windFrom(...forecast(z)) });
  // The same every 20 min: what is wrong with it is drawn, and it does not age.
  const times = Array.from({ length: 43 }, (_, i) => EXIT_S + 3600 - i * 1200);
  const field = WindField.ofColumns(times.map((time_s) => ({ source: 'forecast', time_s, levels })));
  const before = worldOf(mission, field, airless, null);
  const winds = windsAt(mission, missionAt(mission, log, NOW_S), before);
  const world = worldOf(mission, field, airless, null, analysisIn(winds));
  return { winds, scenario: scenarioOf(mission, world) };
}

export interface Hit {
  /** Of the true landing, squared, in units of the promised ellipse; and both misses. */
  readonly d2: number;
  readonly miss_m: number;
  readonly forecastMiss_m: number;
}

/** The true landing against what was promised of it; null where one of the descents does not land. */
export function hitOf(world: World, scenario: Scenario): Hit | null {
  const outlook = outlookOf(scenario);
  const truth = fly(scenario, { heights_m: world.heights_m, u_mps: world.eu_mps, v_mps: world.ev_mps });
  const [told, alone] = [fly(scenario, outlook.offset), fly(scenario, null)];
  const kernel = windSensitivity(scenario, outlook.offset);
  if (truth === null || told === null || alone === null || kernel === null) return null;
  const [e, n] = localFrame(told).toLocal(truth);
  const { error } = outlook;
  const [ee, en, nn] = landingCovariance(onNodes(kernel, error.heights_m), error.factor);
  const d2 = (nn * e * e - 2 * en * e * n + ee * n * n) / (ee * nn - en * en);
  return { d2, miss_m: Math.hypot(e, n), forecastMiss_m: Math.hypot(...localFrame(alone).toLocal(truth)) };
}

function fly(scenario: Scenario, offset: WindOffset | null): LonLat | null {
  const flight = new Flight(worldSamplerOf(scenario.world), scenario.body);
  flight.fly(scenario.exit, offset);
  return flight.outcome === LANDED ? [flight.landingLon_rad * DEG_PER_RAD, flight.landingLat_rad * DEG_PER_RAD] : null;
}

/** Shares and mean misses of some trials. */
export class Tally {
  readonly #hits: Hit[] = [];
  add(hit: Hit | null): void {
    if (hit !== null) this.#hits.push(hit);
  }
  get of(): number {
    return this.#hits.length;
  }
  /** Of the true landings in the ellipse that promises such a share: d² of two components is −2 ln(1 − share). */
  within(share: number): number {
    return this.#hits.filter(({ d2 }) => d2 <= -2 * Math.log(1 - share)).length / this.#hits.length;
  }
  mean(key: keyof Hit): number {
    return this.#hits.reduce((sum, hit) => sum + hit[key], 0) / this.#hits.length;
  }
}

export interface TruthRow {
  readonly truth: string;
  readonly exit: ExitOf;
  readonly trials: number;
  readonly in50: number;
  readonly in90: number;
  readonly miss_m: number;
  readonly forecastMiss_m: number;
  /** Mean of how much the error's size was changed, and of good reports that were held, a share. */
  readonly size: number;
  readonly held: number;
}

export function rowOf(truth: Truth, exit: ExitOf, trials: number, seed: number): TruthRow {
  const tally = new Tally();
  let [size, held, reports] = [0, 0, 0];
  for (const world of worlds(truth, exit, trials, seed)) {
    const { winds, scenario } = seen(world, world.log);
    tally.add(hitOf(world, scenario));
    size += winds.fit.size / trials;
    held += winds.held.length;
    reports += world.log.length;
  }
  const [miss_m, forecastMiss_m] = [tally.mean('miss_m'), tally.mean('forecastMiss_m')];
  return { truth: truth.name, exit, trials: tally.of, in50: tally.within(0.5), in90: tally.within(0.9), miss_m, forecastMiss_m, size, held: held / reports }; // prettier-ignore
}

/** What was wanted of every kind of truth, 200 trials each. */
export const isWithin = ({ in50, in90, miss_m, forecastMiss_m }: TruthRow): boolean =>
  in90 >= 0.82 && in90 <= 0.96 && in50 >= 0.4 && in50 <= 0.6 && miss_m <= 1.02 * forecastMiss_m;

const percent = (x: number, decimals = 0): string => (100 * x).toFixed(decimals).padStart(4);

export const truthHead = `${'truth'.padEnd(32)}from     in 50  in 90     miss  forecast's   size   held`;
export const truthLine = (row: TruthRow): string =>
  `${row.truth.padEnd(32)}${row.exit === 'high' ? '39.0 km' : ' 3.8 km'} ${percent(row.in50)} % ${percent(row.in90)} % ` +
  `${row.miss_m.toFixed(0).padStart(6)} m ${row.forecastMiss_m.toFixed(0).padStart(9)} m ${row.size.toFixed(2).padStart(6)} ` +
  `${percent(row.held, 1)} %  ${isWithin(row) ? '' : 'NOT within what was wanted'}`;

export { TRUTHS, type WindsNow };
