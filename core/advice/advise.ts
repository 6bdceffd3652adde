// The advice on a mission at a moment: the word with every limit behind it, the exit window, the best exit and its
// alternatives, the zones by fit. Everything is computed from plan, log and moment. Advisory only: local rules and
// licensed practice decide.
import { clock, clockRange } from '../words/times.ts';
import { chanceWords } from '../words/numbers.ts';
import type { CarrierPath } from '../descent/carrier.ts';
import type { Members } from '../descent/ensemble.ts';
import type { ExitState } from '../descent/flight.ts';
import type { Outlook } from '../descent/outlook.ts';
import { shareOf, type LandingStatistics } from '../descent/statistics.ts';
import { windSensitivity, type WindSensitivity } from '../descent/sensitivity.ts';
import { direct } from '../earth/geodesic.ts';
import type { LandingZone } from '../plan/schema.ts';
import { toEnd, type Steps } from '../base/steps.ts';
import type { Situation } from '../mission/situation.ts';
import { DEG_PER_RAD, type LonLat } from '../base/units.ts';
import { expectedOf, type Expected } from '../mission/expected.ts';
import type { ExitJudge, ExitOption } from './exits.ts';
import { Flyer, type Beside } from './flown.ts';
import { judgementInSteps, type ExitJudgement } from './judgement.ts';
import { limitSentence, type AdviceWord, type Judged } from './limits.ts';
import { questionsInSteps } from './questions.ts';
import { chanceOf, compareHeadings, type ExitLine, type RunHeading } from './window.ts';
import type { ZoneFit } from './zoneFit.ts';

export interface Advice {
  readonly at_s: number;
  readonly word: AdviceWord;
  /** One line, always in view. */
  readonly line: string;
  readonly because: readonly Judged[];
  readonly limits: readonly Judged[];
  /** Names in the mission's `limits` that are not limits of this program. */
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
    /** One standard error of the share. */
    readonly error: number;
    readonly away_m: number;
    readonly bearing_deg: number;
    /** Descents flown from there that the share is counted from; 0: the planned exit's sample, moved there. */
    readonly flown: number;
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
  /** What the word stands on. */
  readonly judged: ExitJudgement;
}

/** How much is flown beside the planned exit: less where the word cannot wait. */
export type AdvisedBeside = Extract<Beside, 'all' | 'few'>;

export interface AdviseOptions {
  readonly seed?: number;
  /** Size of the samples. */
  readonly members?: number;
  readonly beside?: AdvisedBeside;
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
  const { mission } = situation;
  const { seed = 1, members: count = 2000, roads = [], beside = 'all' } = options;
  const expected = options.expected ?? expectedOf(situation);
  const questions = yield* questionsInSteps(situation, expected, seed);
  const judged = yield* judgementInSteps(situation, {
    seed,
    members: count,
    roads,
    beside,
    questions,
    expected,
  });
  const { word, because, zone, planned, exits: line, judge, carrier, members, left } = judged;
  const { outlook } = expected;
  const { scenario } = outlook;
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
  const found = left ? null : bestAnywhere(judge, scenario.exit, mission.landingZones ?? []);
  const setup = { scenario, error: outlook.error, spread: expected.spread, seed };
  const flyer = new Flyer(setup, mission, judge.target, count, beside);
  const anywhere = found === null ? null : yield* flownThere(found, scenario.exit, flyer);
  yield;
  const sensitivity = windSensitivity(scenario, outlook.offset);
  yield;
  const { landing } = outlook.prediction;
  const touchdown_s = landing === null ? null : scenario.exit.time_s + landing.time_s;
  const core = { word, because, zone, planned, exits: line };
  const advice: Advice = {
    ...core,
    at_s: situation.at_s,
    line: adviceLine(core, left ? touchdown_s : null),
    limits: judged.limits,
    unknownLimits: judged.unknownLimits,
    drawn: judge.sample.east_m.length,
    anywhere,
    headings,
    zones: judged.zones,
    statistics: judged.statistics,
    basis: expected.basis,
    touchdown_s,
    cautions: [...CAUTIONS, ...outlook.prediction.warnings, ...situation.winds.sentences],
  };
  return { advice, outlook, planned: expected.planned, carrier, sensitivity, members, judged };
}

/** The most promising exit anywhere, and how far it is from the planned one; null without a zone or a landing. */
export function bestAnywhere(
  judge: ExitJudge,
  exit: { readonly lon_deg: number; readonly lat_deg: number },
  zones: readonly LandingZone[],
): Advice['anywhere'] {
  if (zones.length === 0 || judge.sample.east_m.length === 0) return null;
  const { east_m, north_m, share } = judge.best();
  const from: LonLat = [exit.lon_deg, exit.lat_deg];
  const away_m = Math.hypot(east_m, north_m);
  const bearing_deg = (Math.atan2(east_m, north_m) * DEG_PER_RAD + 360) % 360;
  const drawn = judge.sample.east_m.length;
  const { error } = shareOf(share * drawn, drawn);
  return { position: direct(from, bearing_deg, away_m), share, error, away_m, bearing_deg, flown: 0 };
}

/** Its share flown, as that of the planned exit and of the best on the line. `exit`: the planned one. */
function* flownThere(found: NonNullable<Advice['anywhere']>, exit: ExitState, flyer: Flyer): Steps<Advice['anywhere']> {
  const [lon_deg, lat_deg] = found.position;
  const flown = yield* flyer.shareFrom({ ...exit, lon_deg, lat_deg });
  return flown === null ? found : { ...found, ...flown };
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
