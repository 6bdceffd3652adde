// The advice on a mission at a moment: the word with every limit behind it, the exit window, the best exit and its
// alternatives, the zones by fit. Everything is computed from plan, log and moment. Advisory only: local rules and
// licensed practice decide.
import { clock, clockRange } from '../words/times.ts';
import { chanceWords } from '../words/numbers.ts';
import { carrierAt, carrierPath, type CarrierPath } from '../descent/carrier.ts';
import { carrierError_m } from '../descent/carrierError.ts';
import type { Spread } from '../descent/spread.ts';
import { Ensemble, type Members } from '../descent/ensemble.ts';
import type { Outlook } from '../descent/outlook.ts';
import { zoneMiddle, type Scenario, type World } from '../descent/scenario.ts';
import { statisticsOf, type LandingStatistics } from '../descent/statistics.ts';
import { windSensitivity, type WindSensitivity } from '../descent/sensitivity.ts';
import { direct, inverse } from '../earth/geodesic.ts';
import type { LandingZone } from '../plan/schema.ts';
import { toEnd, type Steps } from '../base/steps.ts';
import type { Situation } from '../mission/situation.ts';
import type { LonLat } from '../base/units.ts';
import { DEG_PER_RAD, windFrom } from '../base/units.ts';
import { expectedOf, type Expected } from '../mission/expected.ts';
import { Flyer } from './flown.ts';
import { driftSample, driftScenario, ExitJudge, judgeExits, type ExitOption } from './exits.ts';
import { judgeLimit, limitSentence, limitsOf, wordOf, type Judged, type LimitName, type AdviceWord } from './limits.ts';
import { LIMIT_VALUES, windAt } from './limitValues.ts';
import { chanceOf, compareHeadings, exitLine, exitsOn, type ExitLine, type RunHeading } from './window.ts';
import { fitsInSteps, type ZoneFit } from './zoneFit.ts';

export interface Advice {
  readonly at_s: number;
  readonly word: AdviceWord;
  /** One line, always in view. */
  readonly line: string;
  readonly because: readonly Judged[];
  readonly limits: readonly Judged[];
  /** Names in the mission's `limits` that are no limit of this program. */
  readonly unknownLimits: readonly string[];
  /** The zone that the plan steers for; null where it names none. */
  readonly zone: string | null;
  /** Size of the sample that every exit is judged by: the drawn descents that reach the ground. */
  readonly drawn: number;
  readonly planned: ExitOption | null;
  readonly exits: ExitLine;
  /** The most promising exit anywhere at the planned height and time, and how far the planned one is from it. */
  readonly anywhere: {
    readonly position: LonLat;
    readonly share: number;
    readonly away_m: number;
    readonly bearing_deg: number;
  } | null;
  /** For an aircraft: run headings compared. */
  readonly headings: readonly RunHeading[];
  readonly zones: readonly ZoneFit[];
  readonly statistics: LandingStatistics | null;
  /** From where the descent is predicted, once the jumper has left; null: from the planned exit. */
  readonly basis: string | null;
  /** When the expected descent ends, s since 1970; null where it does not reach the ground. */
  readonly touchdown_s: number | null;
  readonly cautions: readonly string[];
}

export interface Advised {
  readonly advice: Advice;
  /** The descent that is expected, and the whole one from its exit that a fix is compared with. */
  readonly outlook: Outlook;
  readonly planned: Outlook;
  readonly carrier: CarrierPath | null;
  readonly sensitivity: WindSensitivity | null;
  /** The sample with the plan's own steering. */
  readonly members: Members;
}

export interface AdviseOptions {
  readonly seed?: number;
  /** Size of the samples. */
  readonly members?: number;
  readonly roads?: readonly (readonly LonLat[])[];
  /** The situation's, where it is worked out already. */
  readonly expected?: Expected;
}

export const CAUTIONS = [
  'Advisory only: local rules, the people on the spot and licensed practice decide.',
  'A forecast can be wrong in ways its spread does not show.',
] as const;

export const adviseOn = (situation: Situation, options: AdviseOptions = {}): Advised =>
  toEnd(adviseInSteps(situation, options));

export function* adviseInSteps(situation: Situation, options: AdviseOptions = {}): Steps<Advised> {
  const { mission, world } = situation;
  const seed = options.seed ?? 1;
  const count = options.members ?? 2000;
  const expected = options.expected ?? expectedOf(situation);
  const { outlook, spread } = expected;
  const { scenario } = outlook;
  // Once the jumper has left, no exit is chosen any more.
  const left = expected.from !== 'plan';
  const setup = { scenario, error: outlook.error, spread, seed };
  const members = yield* new Ensemble(setup).inSteps(count);
  const zones = mission.landingZones ?? [];
  const hazards = mission.hazards ?? [];
  const statistics = statisticsOf(members, zones, hazards);
  const drift = driftScenario(scenario);
  const drifting = drift === scenario ? members : yield* new Ensemble({ ...setup, scenario: drift }).inSteps(count);
  const sample = driftSample(scenario, outlook.error, drifting, spread.accuracy_m);
  const judge = new ExitJudge(sample, zones, hazards, targetName(situation));
  const { limits, unknown } = limitsOf(mission.jumper, mission.limits);
  const numberOf = (name: LimitName): number => limits.find((limit) => limit.name === name)?.number ?? NaN;
  yield;
  const carrier = carrierPath(mission, world, expected.planned.offset, situation.state);
  const exits = carrier === null || left ? [] : exitsOn(carrier);
  const searched = yield* exitLine(judge, scenario, outlook.error, exits, {
    zoneProbability: numberOf('zoneProbability'),
    hazardProbability: numberOf('hazardProbability'),
    error_s: carrier === null ? 0 : lineError_s(carrier, world, scenario, spread),
  });
  yield;
  const flyer = new Flyer(setup, mission, judge.target, count);
  const asked = judgeExits(judge, scenario, outlook.error, [scenario.exit])[0] ?? null;
  const planned = asked === null ? null : yield* flyer.planned(asked, statistics);
  const line = yield* flyer.best(searched, numberOf);
  const fits = yield* zoneFits(situation, outlook, planned, line.best, options.roads ?? []);
  const fit = fits.find((one) => one.zone.name === judge.target) ?? null;
  const facts = { situation, outlook, members, planned, zone: judge.target, line, carrier, fit, left };
  const judged = limits.map((limit) => judgeLimit(limit, LIMIT_VALUES[limit.name](facts)));
  const { word, because } = wordOf(judged);
  const said: AdviceWord = situation.state.marks.has('touchdown') ? 'DOWN' : left ? 'IN FLIGHT' : word;
  yield;
  const headings =
    mission.carrier?.kind === 'aircraft' && !left
      ? compareHeadings(
          judge,
          scenario,
          outlook.error,
          mission.carrier,
          mission.carrier.through ?? mission.exit.position,
        )
      : [];
  yield;
  const anywhere = left ? null : bestAnywhere(judge, scenario.exit, zones);
  yield;
  const sensitivity = windSensitivity(scenario, outlook.offset);
  yield;
  const { landing } = outlook.prediction;
  const touchdown_s = landing === null ? null : scenario.exit.time_s + landing.time_s;
  const core = { word: said, because, zone: judge.target, planned, exits: line };
  const advice: Advice = {
    ...core,
    at_s: situation.at_s,
    line: adviceLine(core, left ? touchdown_s : null),
    limits: judged,
    unknownLimits: unknown,
    drawn: sample.east_m.length,
    anywhere,
    headings,
    zones: fits,
    statistics,
    basis: expected.basis,
    touchdown_s,
    cautions: [...CAUTIONS, ...outlook.prediction.warnings, ...situation.winds.sentences],
  };
  return { advice, outlook, planned: expected.planned, carrier, sensitivity, members };
}

/**
 * How well the times of the window are known, s: the place of the carrier at the exit by its wind error since it was last
 * known, over its speed along the line, and the time from the call to the exit.
 */
function lineError_s(carrier: CarrierPath, world: World, { exit }: Scenario, spread: Spread): number {
  const there = carrierAt(carrier, exit.time_s);
  const speed = Math.hypot(there?.velocity_mps[0] ?? 0, there?.velocity_mps[1] ?? 0);
  const level = carrier.levelFrom === 0 && carrier.points.every((point) => point.height_m === exit.height_m);
  const off_m = Math.hypot(level ? 0 : carrierError_m(carrier, world, exit.time_s), spread.exitPosition_m);
  return Math.hypot(off_m / Math.max(speed, 1), spread.exitTime_s);
}

function targetName({ mission }: Situation): string | undefined {
  const steering = mission.jumper.canopy?.steering;
  return steering !== undefined && (steering.policy === 'to target' || steering.policy === 'pattern')
    ? steering.zone
    : undefined;
}

function bestAnywhere(
  judge: ExitJudge,
  exit: { readonly lon_deg: number; readonly lat_deg: number },
  zones: readonly LandingZone[],
): Advice['anywhere'] {
  if (zones.length === 0 || judge.sample.east_m.length === 0) return null;
  const { east_m, north_m, share } = judge.best();
  const from: LonLat = [exit.lon_deg, exit.lat_deg];
  const away_m = Math.hypot(east_m, north_m);
  const bearing_deg = (Math.atan2(east_m, north_m) * DEG_PER_RAD + 360) % 360;
  return { position: direct(from, bearing_deg, away_m), share, away_m, bearing_deg };
}

function* zoneFits(
  situation: Situation,
  outlook: Outlook,
  planned: ExitOption | null,
  best: ExitOption | null,
  roads: readonly (readonly LonLat[])[],
): Steps<ZoneFit[]> {
  const { mission, world } = situation;
  const { scenario, prediction } = outlook;
  const touchdown_s = scenario.exit.time_s + (prediction.landing?.time_s ?? 0);
  const place = prediction.landing?.position ?? mission.site.position;
  const wind = windFrom(...windAt(outlook, place, 10));
  const option = planned ?? best;
  return yield* fitsInSteps({
    mission,
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

/** How far the canopy could be driven from its drift landing, m; null where it does not home: reach is no matter then. */
function meanReach({ scenario, prediction }: Outlook): number | null {
  const canopy = scenario.body.canopy;
  const { opening, landing } = prediction;
  if (canopy === null || opening === null || landing === null || driftScenario(scenario) === scenario) return null;
  return (canopy.airspeed_mps / canopy.sink_mps) * Math.max(0, opening.height_m - landing.elevation_m);
}

/**
 * "HOLD: gust 9.0 m/s over the 8.0 m/s limit · 87 % in Salt Flat North · EXIT 14:02:10 to 14:05:40Z · best 14:03:55Z".
 * The word and its reasons come first, then the chance of the exit that they are about.
 */
function adviceLine(
  advice: Pick<Advice, 'word' | 'because' | 'zone' | 'planned' | 'exits'>,
  end_s: number | null,
): string {
  const { word, because, zone, planned, exits } = advice;
  const reasons = because.map((one) => limitSentence(one));
  const parts = [reasons.length === 0 ? word : `${word}: ${reasons.join('; ')}`];
  if (end_s !== null && word !== 'DOWN') parts.push(`touchdown expected ${clock(end_s)}`);
  if (zone !== null && planned !== null && word !== 'DOWN')
    parts.push(`${chanceWords(chanceOf(zone, planned))} in ${zone}`);
  const { window, best } = exits;
  if (window !== null && best !== null)
    parts.push(`EXIT ${clockRange(window.opens_s, window.closes_s)}`, `best ${clock(best.exit.time_s)}`);
  return parts.join(' · ');
}
