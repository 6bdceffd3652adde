// Which hour: the plan with its exit moved to each whole hour of its forecasts, judged as the advice judges it, with
// the light, the lead, and how far the runs agree. A word stands only on winds that reach the hour. Times s since 1970.
import { clock, date } from '../words/times.ts';
import { Ensemble } from '../descent/ensemble.ts';
import { epoch_s, worldOf, zoneSteeredFor } from '../descent/scenario.ts';
import { statisticsOf, type Ellipse, type Share } from '../descent/statistics.ts';
import { lightLeft, sunPosition } from '../earth/sun.ts';
import type { Steps } from '../base/steps.ts';
import type { LonLat } from '../base/units.ts';
import type { TerrainGrid } from '../earth/terrain.ts';
import type { LogEvent } from '../log/events.ts';
import { missionAt } from '../log/fold.ts';
import type { LogGap } from '../log/gaps.ts';
import { atTheDoor, doorSentence, validTimesOf } from '../mission/door.ts';
import { exitAtTime, situationMoved } from '../mission/exitMoved.ts';
import { expectedOf, type Expected } from '../mission/expected.ts';
import { lackingIn } from '../mission/load.ts';
import { defaultMoment_s, type Situation } from '../mission/situation.ts';
import { WindsByExit } from '../mission/winds.ts';
import type { WindSource } from '../mission/windSource.ts';
import type { Mission } from '../plan/schema.ts';
import { bestAnywhere, type Advice } from './advise.ts';
import { judgementInSteps } from './judgement.ts';
import { judgeLimit, limitsOf, wordOf, type Judged, type LimitKind, type LimitName, type Word } from './limits.ts';
import { LIMIT_VALUES, type LimitFacts } from './limitValues.ts';
import { questionsInSteps } from './questions.ts';
import { notReached } from './reached.ts';
import { runsAt, runsOf, type Run, type RunsAgree } from './runs.ts';

export interface WhenAsked {
  readonly mission: Mission;
  readonly log: readonly LogEvent[];
  readonly windSources: readonly WindSource[];
  readonly terrain: TerrainGrid | null;
  /** What of the log's end could not be read; left out: nothing. */
  readonly unread?: LogGap | null;
  readonly roads: readonly (readonly LonLat[])[];
  /** The moment at which it is asked; null: the log's newest event, and without one each exit's own time. */
  readonly at_s: number | null;
  readonly seed: number;
  /** Drawn descents of each hour. */
  readonly members: number;
}

export interface WhenWord {
  readonly word: Word;
  readonly because: readonly Judged[];
}

export type Light = 'day' | 'twilight' | 'dark';

/** The parts of a plan that move with its exit. */
export type MovedParts = Pick<Mission, 'exit' | 'carrier' | 'gondola'>;

export interface WhenHour {
  readonly exit_s: number;
  /** What the plan says of itself with its exit at this hour: what a choice takes over. */
  readonly plan: MovedParts;
  /** As `advise` judges that plan now; never GO where the winds do not reach it. */
  readonly now: WhenWord;
  /** The same without the limits that only the day itself can answer, such as a fresh surface wind. */
  readonly asForecast: WhenWord;
  /** Why the winds do not reach the whole flight; null: they do. */
  readonly notReached: string | null;
  readonly zone: string | null;
  readonly inZone: Share | null;
  /** The most promising exit of this hour, wherever the carrier were; null where no exit can mend the word. */
  readonly anywhere: Advice['anywhere'];
  readonly light: Light;
  /** From the start of the newest run whose winds are used to the exit, s; null: no forecast says when it started. */
  readonly lead_s: number | null;
  readonly spread: Ellipse | null;
  readonly runs: RunsAgree;
}

/** Drawn descents of each hour where nobody says how many: a chance is then known to 4 of 100. */
export const WHEN_MEMBERS = 150;
/** Sixteen days, as far as a global forecast reaches. */
export const WHEN_HOURS_MAX = 16 * 24;
const HOUR_S = 3600;

/** Limits whose value is only known on the day: a report, a fix or a newer run answers them then. */
const OF_THE_DAY: ReadonlySet<LimitName> = new Set([
  'exitOverdue_s',
  'exitKnown_s',
  'forecastRun_s',
  'gust_mps',
  'surfaceWindAge_s',
  'listItems',
]);

/** Limits that forbid an exit and need no drawn descents: where one is broken the word is known at once. */
const KNOWN_AT_ONCE: ReadonlySet<LimitName> = new Set(['surfaceWind_mps', 'daylight_s', 'oxygenReserve_s']);

/** The hours of a mission's forecasts, each worked out when it is asked for. */
export class When {
  /** Times of the exit, rising. */
  readonly hours_s: readonly number[];
  /** Why there are no hours, or not all. */
  readonly problems: readonly string[];
  readonly #asked: WhenAsked;
  readonly #winds: WindsByExit;
  readonly #runs: readonly Run[];
  readonly #limits: readonly LimitKind[];

  constructor(asked: WhenAsked) {
    const { mission, windSources } = asked;
    this.#asked = asked;
    this.#winds = new WindsByExit(mission, windSources);
    this.#runs = runsOf(mission, windSources);
    this.#limits = limitsOf(mission.jumper, mission.limits).limits;
    const { hours_s, problems } = hoursOf(asked, this.#runs);
    this.hours_s = hours_s;
    this.problems = [...problems, ...keptOut(mission, windSources, hours_s)];
  }

  /** Where the exit of a plan would be at a time, and what is known of it at the moment that is asked about. */
  #situation(exit_s: number): Situation {
    const { mission, log, terrain, at_s } = this.#asked;
    const { wind, air } = this.#winds.at(exit_s);
    const moment_s = at_s ?? defaultMoment_s(exitAtTime(mission, exit_s), log);
    const world = { ...worldOf(mission, wind, air, terrain), lacking: lackingIn(mission, this.#asked) };
    return situationMoved(mission, log, world, { exit_s, at_s: moment_s });
  }

  *hour(exit_s: number): Steps<WhenHour> {
    const situation = this.#situation(exit_s);
    const { mission } = situation;
    const expected = expectedOf(situation);
    yield;
    const { prediction } = expected.outlook;
    const end_s = exit_s + (prediction.landing?.time_s ?? 0);
    const { carrier } = mission;
    const begin_s = carrier?.kind === 'balloon' ? Math.min(epoch_s(carrier.launch.time), exit_s) : exit_s;
    const most_s = this.#limits.find(({ name }) => name === 'windsAloftAge_s')?.number ?? 0;
    const missing = notReached(situation.world.wind, [begin_s, end_s], most_s);
    const judged = yield* this.#judged(situation, expected);
    yield;
    const words = wordsOf(judged.limits, missing !== null);
    const { terrain } = this.#asked;
    return {
      exit_s,
      plan: movedParts(mission),
      ...words,
      notReached: missing,
      zone: judged.zone,
      inZone: judged.inZone,
      anywhere: judged.anywhere,
      light: lightAt(prediction.landing?.position ?? mission.site.position, end_s),
      lead_s: leadOf(situation, exit_s),
      spread: judged.spread,
      runs: runsAt(this.#runs, this.#asked.mission, terrain, exit_s, most_s),
    };
  }

  /** Where the word is known at once, the descents are drawn for the chance alone. */
  *#judged(situation: Situation, expected: Expected): Steps<HourJudged> {
    const { seed, members: count, roads } = this.#asked;
    const stops = stopsAtOnce(situation, expected, this.#limits);
    if (stops.length > 0) {
      const { outlook, spread } = expected;
      const setup = { scenario: outlook.scenario, error: outlook.error, spread, seed };
      const members = yield* new Ensemble(setup).inSteps(count);
      const zone = zoneSteeredFor(situation.mission)?.name ?? null;
      const statistics = statisticsOf(members, situation.mission.landingZones ?? [], []);
      const inZone = zone === null ? null : (statistics?.inZone[zone] ?? null);
      return { limits: stops, zone, inZone, anywhere: null, spread: statistics?.ellipses['90'] ?? null };
    }
    const questions = yield* questionsInSteps(situation, expected, seed);
    const options = { seed, members: count, roads, beside: 'window' as const, questions, expected };
    const { limits, zone, planned, judge, statistics } = yield* judgementInSteps(situation, options);
    const inZone = zone === null || planned === null ? null : (planned.inZone[zone] ?? null);
    yield;
    const anywhere = bestAnywhere(judge, expected.outlook.scenario.exit, situation.mission.landingZones ?? []);
    return { limits, zone, inZone, anywhere, spread: statistics?.ellipses['90'] ?? null };
  }
}

type HourJudged = Pick<WhenHour, 'zone' | 'inZone' | 'anywhere' | 'spread'> & { readonly limits: readonly Judged[] };

const movedParts = ({ exit, carrier, gondola }: Mission): MovedParts => ({
  exit,
  ...(carrier === undefined ? {} : { carrier }),
  ...(gondola === undefined ? {} : { gondola }),
});

/** Limits that are broken and forbid the exit whatever the descents would be. */
function stopsAtOnce(situation: Situation, expected: Expected, limits: readonly LimitKind[]): Judged[] {
  const facts: LimitFacts = {
    situation,
    outlook: expected.outlook,
    shock95_g: null,
    deadly: null,
    water: null,
    planned: null,
    zone: null,
    line: { options: [], best: null, window: null, ends: null },
    carrier: null,
    fit: null,
    left: false,
    questions: [],
    cases: [],
  };
  return limits
    .filter(({ name }) => KNOWN_AT_ONCE.has(name))
    .map((limit) => judgeLimit(limit, LIMIT_VALUES[limit.name](facts)))
    .filter(({ limit, state }) => state === 'broken' && limit.severity === 'no-go');
}

/** A word that would be GO is HOLD where the winds do not reach the flight. */
function wordsOf(judged: readonly Judged[], outside: boolean): Pick<WhenHour, 'now' | 'asForecast'> {
  const held = (found: WhenWord): WhenWord => (outside && found.word === 'GO' ? { ...found, word: 'HOLD' } : found);
  return {
    now: held(wordOf(judged)),
    asForecast: held(wordOf(judged.filter(({ limit }) => !OF_THE_DAY.has(limit.name)))),
  };
}

function lightAt(place: LonLat, time_s: number): Light {
  const { kind } = lightLeft(place, time_s);
  if (kind === 'no night') return sunPosition(place, time_s).elevation_deg >= 0 ? 'day' : 'twilight';
  return kind === 'day' ? 'day' : kind === 'night' ? 'dark' : 'twilight';
}

/** The newest of the runs whose winds are used at a time: of the valid times on its two sides. */
function leadOf({ world: { wind } }: Situation, exit_s: number): number | null {
  const { times_s, facts } = wind;
  const after = times_s.findIndex((time_s) => time_s > exit_s);
  const near = after < 0 ? [facts.length - 1] : [after - 1, after];
  const runs = near.flatMap((i) => facts[i]?.run_s ?? []);
  return runs.length === 0 ? null : exit_s - Math.max(...runs);
}

/** Whole hours from the first valid time of the forecasts to the last. Past hours cannot be chosen any more. */
function hoursOf(
  { mission, log, at_s }: WhenAsked,
  runs: readonly Run[],
): { readonly hours_s: number[]; readonly problems: string[] } {
  const flown = ['launch', 'exit', 'touchdown'].find((mark) =>
    missionAt(mission, log, at_s ?? Infinity).marks.has(mark),
  );
  if (flown !== undefined)
    return { hours_s: [], problems: [`The log has the ${flown}: the hour of this flight is chosen already.`] };
  const exit_s = epoch_s(mission.exit.time);
  const times = runs.flatMap(({ winds }) => winds.validTimes_s).filter((time_s) => Number.isFinite(time_s));
  if (times.length === 0)
    return { hours_s: [], problems: ['No forecast with a valid time is in the plan: there is no hour to choose.'] };
  const [first_s, last_s] = [times.reduce((a, b) => Math.min(a, b)), times.reduce((a, b) => Math.max(a, b))];
  const from_s = at_s ?? (log.length === 0 ? first_s : Math.min(defaultMoment_s(mission, log), exit_s));
  const begin_s = HOUR_S * Math.ceil(Math.max(first_s, from_s) / HOUR_S);
  const count = Math.max(0, Math.floor((last_s - begin_s) / HOUR_S) + 1);
  const hours_s = Array.from({ length: Math.min(count, WHEN_HOURS_MAX) }, (_, i) => begin_s + i * HOUR_S);
  if (count === 0)
    return {
      hours_s,
      problems: [`The forecasts end on ${date(last_s)} at ${clock(last_s)}: no hour of them is left.`],
    };
  return count <= WHEN_HOURS_MAX
    ? { hours_s, problems: [] }
    : { hours_s, problems: [`Hours after ${date(hours_s.at(-1) ?? 0)} are not looked at: sixteen days are the most.`] };
}

/** Files that are kept out at the hour to which they are nearest, and why. */
function keptOut(mission: Mission, sources: readonly WindSource[], hours_s: readonly number[]): string[] {
  const [first] = hours_s;
  if (first === undefined) return [];
  return sources.flatMap((source) => {
    const valid_s = validTimesOf(source)[0] ?? first;
    const nearest_s = hours_s.reduce((a, b) => (Math.abs(b - valid_s) < Math.abs(a - valid_s) ? b : a), first);
    const door = atTheDoor(exitAtTime(mission, nearest_s), source);
    return door.comesIn ? [] : [doorSentence(door)];
  });
}
