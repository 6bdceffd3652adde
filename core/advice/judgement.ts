// What the word stands on: the descents of the planned exit and of the carrier's line in the winds of a situation, and
// every limit judged by them. The advice is one of these, with what is shown beside it; a question about a report asks
// for another, in the winds as they would be.
import { carrierAt, carrierPath, type CarrierPath } from '../descent/carrier.ts';
import { carrierError_m } from '../descent/carrierError.ts';
import type { Spread } from '../descent/spread.ts';
import { Ensemble, type EnsembleSetup, type Members } from '../descent/ensemble.ts';
import type { Outlook } from '../descent/outlook.ts';
import { zoneMiddle, zoneNameOf, type Scenario, type World } from '../descent/scenario.ts';
import { quantilesOf, statisticsOf, type LandingStatistics } from '../descent/statistics.ts';
import { inverse } from '../earth/geodesic.ts';
import type { Steps } from '../base/steps.ts';
import type { Situation } from '../mission/situation.ts';
import { windFrom, type LonLat } from '../base/units.ts';
import { endurances, type Endurance } from '../mission/endurance.ts';
import { expectedOf, type Expected } from '../mission/expected.ts';
import { BESIDE, Flyer, type Beside } from './flown.ts';
import { driftSample, driftScenario, ExitJudge, judgeExits, type ExitOption } from './exits.ts';
import {
  isDeadly,
  judgeLimit,
  limitsOf,
  wordOf,
  type AdviceWord,
  type Judged,
  type LimitKind,
  type LimitName,
} from './limits.ts';
import { LIMIT_VALUES, windAt, type LimitFacts } from './limitValues.ts';
import { waterChance } from './waterChance.ts';
import { exitsOn, searchLine, type ExitLine } from './window.ts';
import { fitsInSteps, type ZoneFit } from './zoneFit.ts';

export interface JudgeOptions {
  readonly seed: number;
  /** Size of the samples. */
  readonly members: number;
  readonly roads: readonly (readonly LonLat[])[];
  readonly beside: Beside;
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
  /** Of 100 drawn openings 95 are softer, g; null where no canopy opens. */
  readonly shock95_g: number | null;
  readonly questions: readonly string[];
  readonly cases: readonly Endurance[];
}

export function* judgementInSteps(situation: Situation, options: JudgeOptions): Steps<ExitJudgement> {
  const { mission } = situation;
  const expected = options.expected ?? expectedOf(situation);
  const { outlook, spread } = expected;
  const setup = { scenario: outlook.scenario, error: outlook.error, spread, seed: options.seed };
  const members = yield* new Ensemble(setup).inSteps(options.members);
  const zones = mission.landingZones ?? [];
  const hazards = mission.hazards ?? [];
  const statistics = statisticsOf(members, zones, hazards);
  const { limits, unknown } = limitsOf(mission.jumper, mission.limits);
  const flown = { expected, setup, members, statistics };
  const found = yield* exitsJudged(situation, flown, limits, options.beside);
  const { judge, planned, line, carrier, left } = found;
  const fits = yield* zoneFits(situation, outlook, planned ?? line.best, {
    roads: options.roads,
    zones: BESIDE[options.beside].zones ? zones : zones.filter((zone) => zone.name === judge.target),
  });
  const rest = {
    zone: judge.target,
    shock95_g: outlook.prediction.opening === null ? null : quantilesOf(members.shock_g).p95,
    questions: options.questions,
    cases: left ? [] : endurances(situation),
  };
  const facts: LimitFacts = {
    situation,
    outlook,
    planned,
    line,
    carrier,
    left,
    ...rest,
    fit: fits.find((one) => one.zone.name === judge.target) ?? null,
    water: waterChance(mission, { members, landing: outlook.prediction.landing?.position ?? null }, rest.cases),
    deadly: statisticsOf(members, [], hazards.filter(isDeadly))?.inAnyHazard ?? null,
  };
  const judged = limits.map((limit) => judgeLimit(limit, LIMIT_VALUES[limit.name](facts)));
  const { word, because } = wordOf(judged);
  const down = situation.state.marks.has('touchdown');
  return {
    word: down ? 'DOWN' : left ? 'IN FLIGHT' : word,
    // On the ground there is no limit left to keep.
    because: down ? [] : because,
    limits: judged,
    unknownLimits: unknown,
    planned,
    exits: line,
    zones: fits,
    statistics,
    members,
    carrier,
    expected,
    judge,
    left,
    ...rest,
  };
}

/** So many drift landings tell how a chance changes from exit to exit. */
const SLOPE_MEMBERS = 500;

interface Flown {
  readonly expected: Expected;
  readonly setup: EnsembleSetup;
  readonly members: Members;
  readonly statistics: LandingStatistics | null;
}

interface ExitsJudged {
  readonly judge: ExitJudge;
  readonly planned: ExitOption | null;
  readonly line: ExitLine;
  readonly carrier: CarrierPath | null;
  readonly left: boolean;
}

/** The planned exit and those on the carrier's line, searched by estimate, and flown where they are shown. */
function* exitsJudged(
  situation: Situation,
  { expected, setup, members, statistics }: Flown,
  limits: readonly LimitKind[],
  beside: Beside,
): Steps<ExitsJudged> {
  const { mission, world } = situation;
  const { outlook, spread, onLine } = expected;
  const { scenario, error } = outlook;
  const left = expected.from !== 'plan';
  // An exit is chosen on the line as it is known: what the carrier may be off it by then is an error of the window's
  // times.
  const chosen = { ...setup, spread: onLine };
  // Where only the word is wanted the sample says how the chance changes along the line, not how large it is.
  const drawn = beside === 'none' ? Math.min(members.count, SLOPE_MEMBERS) : members.count;
  const judge = yield* exitJudge(situation, chosen, drawn, onLine === spread ? members : null);
  const numberOf = (name: LimitName): number => limits.find((limit) => limit.name === name)?.number ?? NaN;
  yield;
  const carrier = carrierPath(mission, world, expected.planned.offset, situation.state);
  const exits = carrier === null || left ? [] : exitsOn(carrier);
  const searched = yield* searchLine(judge, scenario, error, exits);
  yield;
  const flyer = new Flyer(setup, mission, judge.target, members.count, beside);
  const asked = judgeExits(judge, scenario, error, [scenario.exit])[0] ?? null;
  const planned = asked === null ? null : yield* flyer.planned(asked, statistics);
  const rule = {
    zoneProbability: numberOf('zoneProbability'),
    hazardProbability: numberOf('hazardProbability'),
    error_s: carrier === null ? 0 : lineError_s(carrier, world, scenario, onLine, 1),
  };
  const known = beside !== 'none' || asked === null || onLine !== spread ? null : { asked, flown: planned };
  const line = yield* new Flyer(chosen, mission, judge.target, members.count, beside).line(
    searched,
    judge,
    carrier,
    rule,
    known,
  );
  return { judge, planned, line, carrier, left };
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
  const sample = driftSample(scenario, error, drifting, spread.accuracy_m);
  return new ExitJudge(sample, mission.landingZones ?? [], mission.hazards ?? [], zoneNameOf(mission));
}

/**
 * How well the times of the window are known, s: the place of the carrier at the exit by its wind error since it was
 * last known, over its speed along the line, and the time from the call to the exit.
 * `path_rel`: share of the carrier's error that counts: 1 for times by the clock; the plan's own for an exit that may
 *             be called by its place
 */
export function lineError_s(
  carrier: CarrierPath,
  world: World,
  { exit }: Scenario,
  spread: Spread,
  path_rel: number,
): number {
  const there = carrierAt(carrier, exit.time_s);
  const speed = Math.hypot(there?.velocity_mps[0] ?? 0, there?.velocity_mps[1] ?? 0);
  const path_m = path_rel * carrierError_m(carrier, world, exit.time_s, spread.ascentRate_rel);
  const off_m = Math.hypot(path_m, spread.exitPosition_m);
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
