// What the word stands on: the descents of the planned exit and of the carrier's line in the winds of a situation, and
// every limit judged by them. The advice is one of these, with what is shown beside it; a question about a report asks
// for another, in the winds as they would be.
import { carrierAt, carrierPath, type CarrierPath } from '../descent/carrier.ts';
import { carrierError_m } from '../descent/carrierError.ts';
import type { Spread } from '../descent/spread.ts';
import { Ensemble, type EnsembleSetup, type Members } from '../descent/ensemble.ts';
import type { Outlook } from '../descent/outlook.ts';
import { zoneMiddle, type Scenario, type World } from '../descent/scenario.ts';
import { statisticsOf, type LandingStatistics } from '../descent/statistics.ts';
import { inverse } from '../earth/geodesic.ts';
import type { Steps } from '../base/steps.ts';
import type { Situation } from '../mission/situation.ts';
import { windFrom, type LonLat } from '../base/units.ts';
import { expectedOf, type Expected } from '../mission/expected.ts';
import { Flyer } from './flown.ts';
import { driftSample, driftScenario, ExitJudge, judgeExits, type ExitOption } from './exits.ts';
import { judgeLimit, limitsOf, wordOf, type AdviceWord, type Judged, type LimitName } from './limits.ts';
import { LIMIT_VALUES, windAt } from './limitValues.ts';
import { exitLine, exitsOn, type ExitLine } from './window.ts';
import { fitsInSteps, type ZoneFit } from './zoneFit.ts';

export interface JudgeOptions {
  readonly seed: number;
  /** Size of the samples. */
  readonly members: number;
  readonly roads: readonly (readonly LonLat[])[];
  /** Whether the zones that are not steered to are looked at too: the word does not need them. */
  readonly beside: boolean;
  /** Questions about the winds that hold the word, a sentence each. */
  readonly questions: readonly string[];
  /** The situation's, where it is worked out already. */
  readonly expected?: Expected | undefined;
}

export interface ExitJudgement {
  readonly word: AdviceWord;
  readonly because: readonly Judged[];
  readonly limits: readonly Judged[];
  readonly unknownLimits: readonly string[];
  /** The zone that the plan steers for; null where it names none. */
  readonly zone: string | null;
  readonly planned: ExitOption | null;
  readonly exits: ExitLine;
  readonly zones: readonly ZoneFit[];
  readonly statistics: LandingStatistics | null;
  readonly members: Members;
  readonly carrier: CarrierPath | null;
  readonly expected: Expected;
  readonly judge: ExitJudge;
  /** Whether the jumper has left: no exit is chosen any more. */
  readonly left: boolean;
}

export function* judgementInSteps(situation: Situation, options: JudgeOptions): Steps<ExitJudgement> {
  const { mission, world } = situation;
  const { seed, members: count } = options;
  const expected = options.expected ?? expectedOf(situation);
  const { outlook, spread, onLine } = expected;
  const { scenario } = outlook;
  const left = expected.from !== 'plan';
  const setup = { scenario, error: outlook.error, spread, seed };
  const zones = mission.landingZones ?? [];
  const hazards = mission.hazards ?? [];
  const members = yield* new Ensemble(setup).inSteps(count);
  const statistics = statisticsOf(members, zones, hazards);
  // An exit is chosen on the line as it is known: what the carrier may be off it by then is an error of the window's
  // times.
  const chosen = { ...setup, spread: onLine };
  const judge = yield* exitJudge(situation, chosen, count, onLine === spread ? members : null);
  const { limits, unknown } = limitsOf(mission.jumper, mission.limits);
  const numberOf = (name: LimitName): number => limits.find((limit) => limit.name === name)?.number ?? NaN;
  yield;
  const carrier = carrierPath(mission, world, expected.planned.offset, situation.state);
  const exits = carrier === null || left ? [] : exitsOn(carrier);
  const searched = yield* exitLine(judge, scenario, outlook.error, exits, {
    zoneProbability: numberOf('zoneProbability'),
    hazardProbability: numberOf('hazardProbability'),
    error_s: carrier === null ? 0 : lineError_s(carrier, world, scenario, onLine),
  });
  yield;
  const flyer = new Flyer(setup, mission, judge.target, count);
  const asked = judgeExits(judge, scenario, outlook.error, [scenario.exit])[0] ?? null;
  const planned = asked === null ? null : yield* flyer.planned(asked, statistics, options.beside);
  const line = yield* new Flyer(chosen, mission, judge.target, count).best(searched, numberOf);
  const fits = yield* zoneFits(situation, outlook, planned ?? line.best, {
    roads: options.roads,
    zones: options.beside ? zones : zones.filter((zone) => zone.name === judge.target),
  });
  const fit = fits.find((one) => one.zone.name === judge.target) ?? null;
  const { questions } = options;
  const facts = { situation, outlook, members, planned, zone: judge.target, line, carrier, fit, left, questions };
  const judged = limits.map((limit) => judgeLimit(limit, LIMIT_VALUES[limit.name](facts)));
  const { word, because } = wordOf(judged);
  return {
    word: situation.state.marks.has('touchdown') ? 'DOWN' : left ? 'IN FLIGHT' : word,
    because,
    limits: judged,
    unknownLimits: unknown,
    zone: judge.target,
    planned,
    exits: line,
    zones: fits,
    statistics,
    members,
    carrier,
    expected,
    judge,
    left,
  };
}

/** `members`: those of the plan's own steering, which serve again where it is drift already; null: they do not. */
export function* exitJudge(
  { mission }: Situation,
  setup: EnsembleSetup,
  count: number,
  members: Members | null,
): Steps<ExitJudge> {
  const { scenario, error, spread } = setup;
  const drift = driftScenario(scenario);
  const drifting =
    drift === scenario && members !== null
      ? members
      : yield* new Ensemble({ ...setup, scenario: drift }).inSteps(count);
  const steering = mission.jumper.canopy?.steering;
  const homing = steering?.policy === 'to target' || steering?.policy === 'pattern';
  const sample = driftSample(scenario, error, drifting, spread.accuracy_m);
  return new ExitJudge(sample, mission.landingZones ?? [], mission.hazards ?? [], homing ? steering.zone : undefined);
}

/**
 * How well the times of the window are known, s: the place of the carrier at the exit by its wind error since it was
 * last known, over its speed along the line, and the time from the call to the exit.
 */
export function lineError_s(carrier: CarrierPath, world: World, { exit }: Scenario, spread: Spread): number {
  const there = carrierAt(carrier, exit.time_s);
  const speed = Math.hypot(there?.velocity_mps[0] ?? 0, there?.velocity_mps[1] ?? 0);
  const off_m = Math.hypot(carrierError_m(carrier, world, exit.time_s, spread.ascentRate_rel), spread.exitPosition_m);
  return Math.hypot(off_m / Math.max(speed, 1), spread.exitTime_s);
}

function* zoneFits(
  { mission, world }: Situation,
  outlook: Outlook,
  option: ExitOption | null,
  { roads, zones }: { roads: readonly (readonly LonLat[])[]; zones: Situation['mission']['landingZones'] },
): Steps<ZoneFit[]> {
  const { scenario, prediction } = outlook;
  const touchdown_s = scenario.exit.time_s + (prediction.landing?.time_s ?? 0);
  const place = prediction.landing?.position ?? mission.site.position;
  const wind = windFrom(...windAt(outlook, place, 10));
  return yield* fitsInSteps({
    mission: { ...mission, landingZones: zones },
    terrain: world.ground.terrain,
    roads,
    wind,
    touchdown_s,
    // A crew's way here is the straight line at its speed: the crews' own page has the roads and the wind.
    arrival_s: (zone) => {
      const ways = (mission.teams ?? []).map(
        (team) =>
          (team.ready_s ?? 0) + inverse(team.standby ?? team.position, zoneMiddle(zone)).distance_m / team.speed_mps,
      );
      return touchdown_s + (ways.length === 0 ? 0 : Math.min(...ways));
    },
    chance: (zone) => {
      if (option === null) return null;
      const reach = meanReach(outlook);
      const d = inverse(option.driftLanding, zoneMiddle(zone)).distance_m;
      return { p: option.inZone[zone.name]?.p ?? 0, margin_m: reach === null ? null : reach - d };
    },
  });
}

/**
 * How far the canopy could be driven from its drift landing, m; null where it does not home: reach does not matter
 * then.
 */
function meanReach({ scenario, prediction }: Outlook): number | null {
  const canopy = scenario.body.canopy;
  const { opening, landing } = prediction;
  if (canopy === null || opening === null || landing === null || driftScenario(scenario) === scenario) return null;
  return (canopy.airspeed_mps / canopy.sink_mps) * Math.max(0, opening.height_m - landing.elevation_m);
}
