// The inputs along which the word's edges are looked for: how far, how large the input's own error is, and which report
// would tell soonest. Heights m MSL, times s since 1970.
import { nth } from '../base/nth.ts';
import { RAD_PER_DEG, wrap360 } from '../base/units.ts';
import { decidingWinds } from '../descent/deciding.ts';
import { epoch_s, zoneMiddle } from '../descent/scenario.ts';
import { onNodes } from '../descent/sensitivity.ts';
import { inverse } from '../earth/geodesic.ts';
import type { Situation } from '../mission/situation.ts';
import { BALLOON_MPS } from '../winds/observe.ts';
import type { Advised } from './advise.ts';
import { openingStage, type InputChange } from './changes.ts';
import { lineError_s } from './judgement.ts';
import { layerWeight, NOTHING_AGL_M, type WindLayer } from './whatIf.ts';

/** A report that would tell: what, and when it could be there. */
export interface Tells {
  readonly what: string;
  /** Null: at once. */
  readonly at_s: number | null;
}

/** One input in one direction. */
export interface Way {
  readonly input: InputChange['input'];
  /** `by` ≥ 0: how far along. */
  readonly change: (by: number) => InputChange;
  readonly range: number;
  /** Its standard error; null where it comes by itself. */
  readonly std: number | null;
  /** A smaller change than this makes no difference to anybody. */
  readonly least: number;
  readonly now: number;
  readonly tells: Tells | null;
}

const MOST_SURFACE_MPS = 12;
const MOST_ALOFT_MPS = 25;
const MOST_EXIT_S = 900;
const MOST_OPENING_M = 1500;
/** Part of the wind's share of the landing's variance that the layer makes whose wind is asked about. */
const DECIDING = 0.5;
const DIRECTIONS = 16;

export function waysFrom(situation: Situation, advised: Advised): Way[] {
  const aloft = aloftWay(situation, advised);
  return [
    ...momentWay(situation),
    ...surfaceWays(situation, advised),
    ...(aloft === null ? [] : [aloft]),
    ...exitWays(situation, advised),
    ...openingWays(situation, advised),
  ];
}

/** Time goes on and no newer report comes, until the exit. */
function momentWay({ mission, at_s }: Situation): Way[] {
  const range = epoch_s(mission.exit.time) - at_s;
  if (!(range > 0)) return [];
  const tells = { what: 'a newer surface wind', at_s: null };
  const change = (by: number): InputChange => ({ input: 'moment', by });
  return [{ input: 'moment', change, range, std: null, least: 1, now: at_s, tells }];
}

function surfaceWays({ mission, winds }: Situation, { judged }: Advised): Way[] {
  const limit = judged.limits.find((one) => one.limit.name === 'surfaceWind_mps');
  if (limit?.value.kind !== 'known') return [];
  const now = limit.value.value;
  const zone = (mission.landingZones ?? []).find(({ name }) => name === judged.zone);
  const place = zone === undefined ? mission.site.position : zoneMiddle(zone);
  const crew = (mission.teams ?? []).toSorted(
    (a, b) => inverse(a.standby ?? a.position, place).distance_m - inverse(b.standby ?? b.position, place).distance_m,
  )[0];
  const tells = { what: `a surface wind${crew === undefined ? '' : ` from ${crew.name}`}`, at_s: null };
  const common = { input: 'surface wind', std: winds.analysis.std_mps[0] ?? 0, least: 0.1, now, tells } as const;
  return [
    { ...common, range: MOST_SURFACE_MPS, change: (by) => ({ input: 'surface wind', by }) },
    { ...common, range: now, change: (by) => ({ input: 'surface wind', by: -by }) },
  ];
}

/** The layer that decides most, in the direction in which it takes the landing out of the zone, or into it, soonest. */
function aloftWay(situation: Situation, { judged, sensitivity, outlook, carrier }: Advised): Way | null {
  if (sensitivity === null) return null;
  const { error } = outlook;
  const [deciding] = decidingWinds(sensitivity, error, [DECIDING]);
  const ground_m = situation.mission.site.elevation_m;
  const lowest_m = ground_m + NOTHING_AGL_M;
  if (deciding === undefined || deciding === null || deciding.top_m < lowest_m + 300) return null;
  const step_m = deciding.top_m - ground_m > 3000 ? 500 : 100;
  const layer: WindLayer = {
    bottom_m: Math.max(Math.round(deciding.bottom_m / step_m) * step_m, Math.ceil(lowest_m / 100) * 100),
    top_m: Math.round(deciding.top_m / step_m) * step_m,
  };
  const nodes = Array.from(error.heights_m, (h) => layerWeight(layer, h));
  const weights = onNodes(sensitivity, error.heights_m);
  const sum = (of: Float64Array): number => nodes.reduce((total, node, i) => total + node * nth(of, i), 0);
  const [ee, en, ne, nn] = [sum(weights.ee), sum(weights.en), sum(weights.ne), sum(weights.nn)];
  const { judge } = judged;
  const began = judge.score(0, 0);
  const limit = judged.limits.find((one) => one.limit.name === 'zoneProbability')?.limit.number ?? NaN;
  const isIn = (share: number): boolean => share >= limit;
  /** How far along a direction the share of the zone crosses its limit; without that, what the margin loses. */
  const soonest = (from_deg: number): number => {
    const [u, v] = [-Math.sin(from_deg * RAD_PER_DEG), -Math.cos(from_deg * RAD_PER_DEG)];
    const [east, north] = [ee * u + en * v, ne * u + nn * v];
    for (let by = 1; by <= MOST_ALOFT_MPS; by++)
      if (isIn(judge.score(by * east, by * north).share) !== isIn(began.share)) return by;
    return MOST_ALOFT_MPS + 1e-6 * judge.score(east, north).margin_m * (isIn(began.share) ? 1 : -1);
  };
  const directions = Array.from({ length: DIRECTIONS }, (_, i) => (360 / DIRECTIONS) * i);
  const from_deg = directions.reduce((a, b) => (soonest(b) < soonest(a) ? b : a), 0);
  return {
    input: 'wind aloft',
    change: (by) => ({ input: 'wind aloft', by, layer, from_deg: wrap360(from_deg) }),
    range: MOST_ALOFT_MPS,
    std: layerStd_mps(nodes, error.factor),
    least: 0.1,
    now: 0,
    tells: tellsAloft(situation, layer, carrier),
  };
}

/** Standard error of a layer's mean wind, one component, by the factor of the errors on the nodes. */
function layerStd_mps(weights: readonly number[], factor: Float64Array): number {
  const n = weights.length;
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  let variance = 0;
  for (let j = 0; j < n; j++) {
    let sum = 0;
    for (let i = j; i < n; i++) sum += ((weights[i] ?? 0) / total) * nth(factor, i * n + j);
    variance += sum * sum;
  }
  return Math.sqrt(variance);
}

/**
 * What measures the middle of a layer soonest: a balloon that rises from the site now, or the carrier that passes it.
 */
function tellsAloft({ mission, at_s }: Situation, layer: WindLayer, carrier: Advised['carrier']): Tells | null {
  const middle_m = (layer.bottom_m + layer.top_m) / 2;
  const rise_m = middle_m - mission.site.elevation_m;
  const what = rise_m > 10_000 ? 'a sounding released now' : 'a pilot balloon released now';
  const released = { what, at_s: at_s + rise_m / BALLOON_MPS };
  const passes =
    mission.carrier?.kind !== 'balloon' ? undefined : carrier?.points.find((one) => one.height_m >= middle_m);
  const passed = passes === undefined || passes.time_s <= at_s ? null : passes;
  const soonest =
    passed !== null && passed.time_s < released.at_s
      ? { what: 'the balloon’s own fixes as it passes', at_s: passed.time_s }
      : released;
  return soonest.at_s < epoch_s(mission.exit.time) ? soonest : null;
}

function exitWays({ mission, world, at_s }: Situation, { judged, carrier }: Advised): Way[] {
  const [first, last] = [carrier?.points[carrier.levelFrom], carrier?.points.at(-1)];
  if (carrier === null || first === undefined || last === undefined) return [];
  const now = epoch_s(mission.exit.time);
  const { onLine, planned } = judged.expected;
  const std = lineError_s(carrier, world, planned.scenario, onLine, onLine.carrierPath_rel);
  const tells = { what: 'the carrier’s next fix', at_s: null };
  const way = (sign: 1 | -1, range: number): Way => ({
    input: 'exit time',
    change: (by) => ({ input: 'exit time', by: sign * by, line: carrier }),
    range: Math.min(range, MOST_EXIT_S),
    std,
    least: 1,
    now,
    tells,
  });
  return [way(1, last.time_s - now), way(-1, now - Math.max(first.time_s, at_s))].filter(({ range }) => range > 1);
}

function openingWays({ mission }: Situation, { outlook, judged }: Advised): Way[] {
  const until = openingStage(mission.jumper)?.until;
  const { opening, landing } = outlook.prediction;
  if (until === undefined || opening === null || landing === null) return [];
  const now = 'agl_m' in until ? until.agl_m : 'msl_m' in until ? until.msl_m : NaN;
  const tells = { what: 'the height that is set on the opening device, read back', at_s: null };
  const way = (sign: 1 | -1, range: number): Way => ({
    input: 'opening height',
    change: (by) => ({ input: 'opening height', by: sign * by }),
    range: Math.min(range, MOST_OPENING_M),
    std: judged.expected.spread.triggerHeight_m,
    least: 5,
    now,
    tells,
  });
  const up_m = mission.exit.altitude_m - opening.height_m - 300;
  const down_m = opening.height_m - landing.elevation_m - 300;
  return [way(1, up_m), way(-1, down_m)].filter(({ range }) => range > 5);
}
