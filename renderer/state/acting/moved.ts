// What moved: each change of the winds or the plan is written down with the landing before and after, why, and what
// changed its answer. Those from before the window was opened are flown again from the log.
import { effect } from '@preact/signals';
import { whereOf, type Where } from '../../../core/recovery/where.ts';
import type { LonLat } from '../../../core/base/units.ts';
import type { World } from '../../../core/descent/scenario.ts';
import { inverse } from '../../../core/earth/geodesic.ts';
import type { LogEvent } from '../../../core/log/events.ts';
import { expectedOf } from '../../../core/mission/expected.ts';
import { situationAt, type Situation } from '../../../core/mission/situation.ts';
import type { Mission } from '../../../core/plan/schema.ts';
import { becauseOf, moveWords, PLAN, SAME_M, TRAIL_S } from '../derived/moves.ts';
import type { Store } from '../derived/store.ts';
import type { History } from '../stored/history.ts';
import type { Move } from '../stored/reportsView.ts';
import { say } from './actions.ts';
import { markLandingDrawn } from './reportMarks.ts';

/** Landings that are flown again at the opening, at most: some ten milliseconds each, one at a time. */
const MOST_AGAIN = 40;
const MOST_KEPT = 500;

/** Kinds of events that can change the winds. */
const movesLanding = (event: LogEvent): boolean =>
  event.kind === 'wind-report' ||
  event.kind === 'correction' ||
  event.kind === 'withdrawal' ||
  event.kind === 'annulment' ||
  event.kind === 'confirmation' ||
  (event.kind === 'mark' && ['exit', 'opening', 'touchdown'].includes(event.mark)) ||
  (event.kind === 'fix' && event.body === 'jumper');

function whereAt(landing: LonLat | null, mission: Mission): Where | null {
  return landing === null ? null : whereOf(landing, mission.landingZones ?? []);
}

interface Seen {
  readonly plan: unknown;
  readonly log: readonly LogEvent[];
  readonly landing: LonLat | null;
  readonly where: Where | null;
}

function seen(store: Store): Seen | null {
  const mission = store.mission.peek();
  const prediction = store.prediction.peek();
  if (mission === null || prediction === null) return null;
  const landing = prediction.landing?.position ?? null;
  return { plan: store.plan.peek(), log: store.log.peek(), landing, where: whereAt(landing, mission) };
}

/** A plan that was just read: nothing was done to it, and nothing undone. */
const isOpened = (history: History | null): boolean =>
  history !== null && history.past.length === 0 && history.future.length === 0;

/**
 * Watches the live landing and writes down each move; says it where the log moved it. Returns its own end.
 *
 * While the past is looked at nothing is written down: the next look at now compares with the last now.
 */
export function watchMoves(store: Store): () => void {
  let last: Seen | null = null;
  let flying = 0;
  const open = (): void => {
    store.reports.moves.value = [];
    flying += 1;
    void flyAgain(store, flying, () => flying);
  };
  return effect(() => {
    void store.prediction.value;
    void store.log.value;
    if (store.past.value) return;
    const now = seen(store);
    if (now === null) return;
    const before = last;
    last = now;
    if (before === null || (before.plan !== now.plan && isOpened(store.history.peek()))) return open();
    if (before.log !== now.log) return movedByLog(store, before, now);
    if (before.plan !== now.plan) movedByPlan(store, before, now);
  });
}

function movedByLog(store: Store, before: Seen, now: Seen): void {
  const situation = store.situation.peek();
  const mission = store.mission.peek();
  if (situation === null || mission === null) return;
  const known = new Set(before.log.map((event) => event.seq));
  const fresh = now.log.filter((event) => !known.has(event.seq));
  const events = fresh.filter(movesLanding);
  const last = events.at(-1);
  if (last === undefined) return;
  const first = becauseOf(last, situation);
  const because = events.length === 1 ? first : `${events.length} reports came in, the last: ${first}`;
  const where = { before: before.where, after: now.where };
  const move: Move = {
    at_s: store.live_s.peek(),
    seq: last.seq,
    from: before.landing,
    to: now.landing,
    because,
    where,
    limits: [],
    again: false,
  };
  keep(store, move);
  markLandingDrawn();
  const held = situation.winds.held.find((one) => one.report.seq === last.seq);
  const refused = situation.state.reports.find((one) => one.seq === last.seq && one.outcome.kind !== 'counts');
  if (held !== undefined) say(store, `${last.kind === 'withdrawal' ? '' : 'Held back: '}${held.sentence}`, true);
  else if (refused !== undefined && refused.outcome.kind !== 'counts')
    say(store, `${refused.id} does not count: ${refused.outcome.sentence}.`, true);
  else say(store, moveWords(move, mission, store.units.peek()));
}

/** Steps of one edit (a drag, the digits of one number) are one move. */
function movedByPlan(store: Store, before: Seen, now: Seen): void {
  const history = store.history.peek();
  const because = `${PLAN}${history?.present.label ?? 'edited'}`;
  const moves = store.reports.moves.peek();
  const open = moves.at(-1);
  const merges = history?.merge !== null && open !== undefined && open.seq === null && open.because === because;
  const from = merges ? open.from : before.landing;
  const where = { before: merges ? open.where.before : before.where, after: now.where };
  const move: Move = {
    at_s: store.live_s.peek(),
    seq: null,
    from,
    to: now.landing,
    because,
    where,
    limits: [],
    again: false,
  };
  const still = from !== null && now.landing !== null && inverse(from, now.landing).distance_m < SAME_M;
  const kept = merges ? moves.slice(0, -1) : moves;
  if (!still || from === null) store.reports.moves.value = [...kept, move].slice(-MOST_KEPT);
  else if (merges) store.reports.moves.value = kept;
}

function keep(store: Store, move: Move): void {
  store.reports.moves.value = [...store.reports.moves.peek(), move].slice(-MOST_KEPT);
}

const pause = (): Promise<void> => new Promise((resolve) => window.setTimeout(resolve, 0));

/** The landings of the last two hours of a log, flown again one at a time between other work. */
async function flyAgain(store: Store, turn: number, current: () => number): Promise<void> {
  const mission = store.mission.peek();
  const base = store.forecastWorld.peek();
  const log = store.log.peek();
  const live_s = store.live_s.peek();
  if (mission === null || base === null) return;
  // Each landing folds the log as it was: of a long log fewer are flown.
  const again = Math.max(6, Math.min(MOST_AGAIN, Math.floor(40_000 / Math.max(1, log.length))));
  const events = log
    .filter((event) => movesLanding(event) && Date.parse(event.at) / 1000 > live_s - TRAIL_S)
    .slice(-again);
  const first = events[0];
  if (first === undefined) return;
  const found: Move[] = [];
  let before = landingAt(
    mission,
    log.filter((event) => event.seq < first.seq),
    base,
    Date.parse(first.at) / 1000,
  );
  for (const event of events) {
    await pause();
    if (current() !== turn) return;
    const at_s = Date.parse(event.at) / 1000;
    const after = landingAt(
      mission,
      log.filter((one) => one.seq <= event.seq),
      base,
      at_s,
    );
    const where = { before: whereAt(before.landing, mission), after: whereAt(after.landing, mission) };
    const because = becauseOf(event, after.situation);
    found.push({
      at_s,
      seq: event.seq,
      from: before.landing,
      to: after.landing,
      because,
      where,
      limits: [],
      again: true,
    });
    before = after;
  }
  store.reports.moves.value = [...found, ...store.reports.moves.peek()];
}

interface Then {
  readonly situation: Situation;
  readonly landing: LonLat | null;
}

function landingAt(mission: Mission, log: readonly LogEvent[], base: World, at_s: number): Then {
  const situation = situationAt(mission, log, base, at_s);
  const { prediction } = expectedOf(situation).outlook;
  return { situation, landing: prediction.landing?.position ?? null };
}
