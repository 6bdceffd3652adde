// What became of a descent, set beside what was known of it while it lasted: where each report, mark and fix moved the
// expected landing, and how far that was from where the jumper came down; what the winds were told, forecast and used
// as; what was said, and when it was corrected; when the crews were there. A function of plan, log and forecast; times
// s since 1970, directions true.
import { adviseInSteps } from '../advice/advise.ts';
import { limitSentence, type AdviceWord } from '../advice/limits.ts';
import type { Steps } from '../base/steps.ts';
import type { LonLat } from '../base/units.ts';
import { nth } from '../base/nth.ts';
import { Ensemble, type Members } from '../descent/ensemble.ts';
import { epoch_s, type World } from '../descent/scenario.ts';
import { statisticsOf, type Ellipse, type LandingStatistics } from '../descent/statistics.ts';
import { inverse } from '../earth/geodesic.ts';
import type { LogEvent } from '../log/events.ts';
import { eventWords } from '../log/eventWords.ts';
import { annulledIn, Folding, spanOfLog } from '../log/fold.ts';
import { expectedOf, type Expected } from '../mission/expected.ts';
import { defaultMoment_s, situationAt, situationOf } from '../mission/situation.ts';
import { touchdownIn, type Touchdown } from '../mission/touchdown.ts';
import type { Mission } from '../plan/schema.ts';
import { whereOf, type Where } from '../recovery/where.ts';
import { calledIn, correctedIn, crewsThere, type Called, type PutRight, type CrewThere } from './said.ts';
import { windsFound, type WindFound } from './windsFound.ts';

export interface DebriefOf {
  readonly mission: Mission;
  readonly log: readonly LogEvent[];
  /** The forecast's, without reports. */
  readonly world: World;
  readonly roads: readonly (readonly LonLat[])[];
}

export interface DebriefOptions {
  /** Drawn descents of each moment. */
  readonly members: number;
  readonly seed: number;
}

/** The landing that was expected from a moment on, and how far from it the jumper came down. */
export interface ExpectedThen {
  readonly at_s: number;
  /** What was new. */
  readonly because: string;
  readonly from: Expected['from'];
  readonly landing: LonLat;
  /** From the expected landing to where the jumper came down. */
  readonly miss_m: number;
  readonly toward_deg: number;
  /** By how much the touchdown came after the expected one. */
  readonly late_s: number;
  readonly ellipse90: Ellipse | null;
  /** The share of the drawn landings that lie in the smallest ellipse that holds the true one; null: none was drawn. */
  readonly within: number | null;
}

/** What the program says today of a moment at which a person decided, or the jumper left. */
export interface AdvisedThen {
  readonly at_s: number;
  /** The decision or the mark that stands in the log. */
  readonly logged: string;
  readonly word: AdviceWord;
  readonly because: readonly string[];
}

export interface Debrief {
  readonly mission: string;
  readonly touchdown: Touchdown;
  readonly where: Where;
  readonly exit: {
    readonly time_s: number;
    /** After the planned time. */
    readonly late_s: number;
    /** From the planned place; null where the log does not say where it was. */
    readonly away: { readonly distance_m: number; readonly toward_deg: number } | null;
  } | null;
  readonly moments: readonly ExpectedThen[];
  /** Moments of the log that are not shown: they moved the landing least. */
  readonly leftOut: number;
  readonly advised: readonly AdvisedThen[];
  readonly winds: readonly WindFound[];
  readonly called: readonly Called[];
  readonly corrected: readonly PutRight[];
  readonly crews: readonly CrewThere[];
}

/** Drawn descents of each moment: the axes of its ellipse are then known to 3.5 %. */
export const DEBRIEF_MEMBERS = 400;
/** A moment is shown where the expected landing has moved so far since the last one that is. Ours. */
const MOVED_M = 50;
const MOMENTS_MAX = 40;
/** Of fixes that come each second one in so many seconds is looked at. */
const FIXES_EVERY_S = 10;
const MOVES: ReadonlySet<LogEvent['kind']> = new Set([
  'wind-report',
  'correction',
  'withdrawal',
  'confirmation',
  'annulment',
  'mark',
  'fix',
]);

/**
 * The debrief of a descent; null before the log has its touchdown and the place of it.
 *
 * Cost  some 20 ms for each report, and a tenth of a millisecond for each drawn descent of each moment that is shown
 */
export function* debriefInSteps(of: DebriefOf, options: DebriefOptions): Steps<Debrief | null> {
  const { mission, log, world } = of;
  const last = situationAt(mission, log, world, defaultMoment_s(mission, log));
  const touchdown = touchdownIn(last.state);
  if (touchdown === null) return null;
  const { shown, leftOut } = yield* expectedThen(of, touchdown, options);
  const advised = yield* advisedThen(of, options);
  const left = last.state.marks.get('exit');
  const atExit = situationAt(mission, log, world, left?.time_s ?? touchdown.time_s);
  const way = left?.position == null ? null : inverse(mission.exit.position, left.position);
  return {
    mission: mission.name,
    touchdown,
    where: whereOf(touchdown.place, mission.landingZones ?? []),
    exit:
      left === undefined
        ? null
        : {
            time_s: left.time_s,
            late_s: left.time_s - epoch_s(mission.exit.time),
            away: way === null ? null : { distance_m: way.distance_m, toward_deg: way.bearing_deg },
          },
    moments: shown,
    leftOut,
    advised,
    winds: windsFound(last, atExit, world),
    called: calledIn(log),
    corrected: correctedIn(last.state),
    crews: crewsThere(mission, last.state, touchdown),
  };
}

/** The events that may move the expected landing, in their order; of a row of fixes few. */
function movingEvents(log: readonly LogEvent[], touchdown: Touchdown): LogEvent[] {
  const annulled = annulledIn(log);
  const found: LogEvent[] = [];
  let fixed_s = -Infinity;
  for (const event of log.toSorted((a, b) => a.seq - b.seq)) {
    if (!MOVES.has(event.kind) || annulled.has(event.seq)) continue;
    const at_s = epoch_s(event.at);
    if (at_s >= touchdown.time_s || (event.kind === 'mark' && event.mark === 'touchdown')) continue;
    if (event.kind === 'fix') {
      if (at_s < fixed_s + FIXES_EVERY_S) continue;
      fixed_s = at_s;
    }
    found.push(event);
  }
  return found;
}

interface Then {
  readonly at_s: number;
  readonly because: string;
  readonly expected: Expected;
  readonly landing: LonLat;
  readonly moved_m: number;
}

function* expectedThen(
  of: DebriefOf,
  touchdown: Touchdown,
  { members, seed }: DebriefOptions,
): Steps<{ readonly shown: ExpectedThen[]; readonly leftOut: number }> {
  const all = yield* movesOf(of, touchdown);
  // The first and the last stand whatever they moved.
  const farthest = all.slice(1, -1).toSorted((a, b) => b.moved_m - a.moved_m);
  const kept = new Set([all[0], all.at(-1), ...farthest.slice(0, MOMENTS_MAX - 2)]);
  const shown: ExpectedThen[] = [];
  for (const then of all) {
    yield;
    if (kept.has(then)) shown.push(yield* besideTruth(then, touchdown, { members, seed }));
  }
  return { shown, leftOut: all.length - shown.length };
}

/** Each moment at which the expected landing moved; the first is the forecast alone. */
function* movesOf({ mission, log, world }: DebriefOf, touchdown: Touchdown): Steps<Then[]> {
  const folding = new Folding();
  const found: Then[] = [];
  const look = (at_s: number, because: string): void => {
    const expected = expectedOf(situationOf(mission, folding.at(mission, log, at_s), world));
    const landing = expected.outlook.prediction.landing?.position;
    if (landing === undefined || expected.from === 'touchdown') return;
    const before = found.at(-1);
    const moved_m = before === undefined ? Infinity : inverse(before.landing, landing).distance_m;
    if (moved_m < MOVED_M && before?.expected.from === expected.from) return;
    found.push({ at_s, because, expected, landing, moved_m });
  };
  const events = movingEvents(log, touchdown);
  look((spanOfLog(log)?.first_s ?? touchdown.time_s) - 1, 'the forecast alone');
  for (const [i, event] of events.entries()) {
    yield;
    const at_s = epoch_s(event.at);
    const next = events[i + 1];
    // What was logged in one second was known together.
    if (next === undefined || epoch_s(next.at) > at_s) look(at_s, eventWords(event));
  }
  return found;
}

function* besideTruth(
  { at_s, because, expected, landing }: Then,
  touchdown: Touchdown,
  { members, seed }: DebriefOptions,
): Steps<ExpectedThen> {
  const { outlook, spread, from } = expected;
  const drawn = yield* new Ensemble({ scenario: outlook.scenario, error: outlook.error, spread, seed }).inSteps(
    members,
  );
  const statistics = statisticsOf(drawn, [], []);
  const miss = inverse(landing, touchdown.place);
  return {
    at_s,
    because,
    from,
    landing,
    miss_m: miss.distance_m,
    toward_deg: miss.bearing_deg,
    late_s: touchdown.time_s - outlook.scenario.exit.time_s - (outlook.prediction.landing?.time_s ?? NaN),
    ellipse90: statistics?.ellipses['90'] ?? null,
    within: statistics === null ? null : drawnWithin(drawn, statistics, touchdown.place),
  };
}

/** Counted, as they were drawn: landings of a canopy that is steered are no normal cloud. */
function drawnWithin(drawn: Members, { mean, ellipses }: LandingStatistics, place: LonLat): number {
  const reached = shareWithin(mean, ellipses['50'], place);
  let [landed, nearer] = [0, 0];
  for (let i = 0; i < drawn.count; i++) {
    const [lon, lat] = [nth(drawn.lon_deg, i), nth(drawn.lat_deg, i)];
    if (lon !== lon) continue;
    landed += 1;
    if (shareWithin(mean, ellipses['50'], [lon, lat]) <= reached) nearer += 1;
  }
  return nearer / landed;
}

/**
 * The share of a normal cloud whose ellipse about the mean passes through a place: 1 − 2^(−q) where q is 1 on the
 * ellipse of 50 %.
 */
export function shareWithin(mean: LonLat, half: Ellipse, place: LonLat): number {
  const { distance_m, bearing_deg } = inverse(mean, place);
  const off_rad = ((bearing_deg - half.bearing_deg) * Math.PI) / 180;
  const along = (distance_m * Math.cos(off_rad)) / half.semiMajor_m;
  const across = (distance_m * Math.sin(off_rad)) / half.semiMinor_m;
  return 1 - 2 ** -(along ** 2 + across ** 2);
}

/** At each decision of a person, and at the exit: what today's settings say of that moment. */
function* advisedThen({ mission, log, world, roads }: DebriefOf, options: DebriefOptions): Steps<AdvisedThen[]> {
  const annulled = annulledIn(log);
  const found: AdvisedThen[] = [];
  for (const event of log) {
    const left = event.kind === 'mark' && event.mark === 'exit';
    if (annulled.has(event.seq) || !(event.kind === 'decision' || left)) continue;
    // The last moment before the jumper was gone: from then on there is no word.
    const at_s = left ? epoch_s(event.observedAt ?? event.at) - 1 : epoch_s(event.at);
    const situation = situationAt(mission, log, world, at_s);
    const { advice } = yield* adviseInSteps(situation, { ...options, roads, beside: 'few' });
    found.push({
      at_s,
      logged: eventWords(event),
      word: advice.word,
      because: advice.because.map((one) => limitSentence(one)),
    });
  }
  return found;
}
