// What moved: each change of the winds or the plan with the landing before and after, why, and what changed its answer.
// The landings of the last two hours are the trail on the map. Those from before the window was opened are flown again
// from the log.
import { effect } from '@preact/signals';
import { landmarkToward, whereOf, type Where } from '../../core/recovery/where.ts';
import { expectedOf } from '../../core/mission/expected.ts';
import type { World } from '../../core/descent/scenario.ts';
import { inverse } from '../../core/earth/geodesic.ts';
import type { Correction, LogEvent, WindReport } from '../../core/log/events.ts';
import type { Mission } from '../../core/plan/schema.ts';
import { situationAt, type Situation } from '../../core/mission/situation.ts';
import { never } from '../../core/base/problem.ts';
import type { LonLat } from '../../core/base/units.ts';
import { age, direction, distance, octant, type Units } from '../format.ts';
import { say } from './actions.ts';
import type { History } from './history.ts';
import { markLandingDrawn } from './reportMarks.ts';
import type { Store } from './store.ts';

export interface Move {
  readonly at_s: number;
  /** Number of the log's event behind it; null: the plan was edited. */
  readonly seq: number | null;
  readonly from: LonLat | null;
  readonly to: LonLat | null;
  /** "Team 2's wind (w6) came in and replaced …", "exit moved": reads after "because". */
  readonly because: string;
  readonly where: { readonly before: Where | null; readonly after: Where | null };
  /** Limits whose answer changed, a phrase each. */
  readonly limits: readonly string[];
  /** Flown again from the log, not seen as it happened. */
  readonly again: boolean;
}

/** Landings that differ less are the same: predictions are given to ten metres. */
const SAME_M = 5;
export const TRAIL_S = 7200;
export const PLAN = 'the plan changed: ';
/** Landings that are flown again at the opening, at most: some ten milliseconds each, one at a time. */
const MOST_AGAIN = 40;
const MOST_KEPT = 500;

export const movedBy_m = ({ from, to }: Move): number =>
  from === null || to === null ? NaN : inverse(from, to).distance_m;

/** Kinds of events that can change the winds. */
const movesLanding = (event: LogEvent): boolean =>
  event.kind === 'wind-report' ||
  event.kind === 'correction' ||
  event.kind === 'withdrawal' ||
  event.kind === 'confirmation' ||
  (event.kind === 'mark' && ['exit', 'opening', 'touchdown'].includes(event.mark)) ||
  (event.kind === 'fix' && event.body === 'jumper');

/** Why an event changed the winds, after "because"; `now` is the mission with it in. */
export function becauseOf(event: LogEvent, now: Situation): string {
  switch (event.kind) {
    case 'wind-report': {
      return heldSentence(event.seq, now) ?? `${windOf(event)} came in${replacedBy(event.seq, now)}`;
    }
    case 'correction':
      return heldSentence(event.seq, now) ?? `${event.corrects} was corrected to ${event.id}`;
    case 'withdrawal':
      return `${event.of} was withdrawn${event.reason === undefined ? '' : `: ${event.reason}`}`;
    case 'confirmation':
      return `${event.of} was confirmed`;
    case 'mark':
      return `the ${event.mark} was marked`;
    case 'fix':
      return `a fix of ${event.body === 'jumper' || event.body === 'gondola' ? `the ${event.body}` : event.body} came in`;
    case 'advice':
    case 'decision':
    case 'call':
    case 'check':
    case 'note':
      return 'the log went on';
    default:
      return never(event);
  }
}

/** "Team 2’s wind (w6)", "the wind of a station at Salt Flat North (w7)". */
function windOf({ by, source, place, id }: WindReport | Correction): string {
  if (by !== undefined) return `${by}’s wind (${id})`;
  const kind = source.replace('-', ' ');
  return `the wind of ${/^[aeiou]/.test(kind) ? 'an' : 'a'} ${kind}${place === undefined ? '' : ` at ${place}`} (${id})`;
}

function heldSentence(seq: number, { winds }: Situation): string | null {
  const held = winds.held.find((one) => one.report.seq === seq);
  return held === undefined ? null : `${held.report.id} came in and is held back`;
}

/**
 * ", newer by 40 min than the station’s (w4)": the surface wind that was the newest before, where this one is a newer
 * one.
 */
function replacedBy(seq: number, { state, winds }: Situation): string {
  if (winds.newestSurface?.report.seq !== seq) return '';
  let before: (typeof state.counting)[number] | null = null;
  for (const one of state.counting) {
    if (one.seq !== seq && winds.used.has(one.id) && (before === null || one.observed_s > before.observed_s))
      before = one;
  }
  if (before === null) return '';
  const newer_s = winds.newestSurface.report.observed_s - before.observed_s;
  return newer_s < 60 ? '' : `, ${age(newer_s)} newer than ${windOf(before.event)}`;
}

function whereAt(landing: LonLat | null, mission: Mission): Where | null {
  return landing === null ? null : whereOf(landing, mission.landingZones ?? []);
}

/** "Saltbell North: inside before, now 40 m outside"; null where the answer is the same. */
export function zoneChange({ where: { before, after } }: Move, units: Units): string | null {
  if (before === null || after === null || before.kind === 'no zones' || after.kind === 'no zones') return null;
  if (before.kind === after.kind && before.zone === after.zone) return null;
  if (after.kind === 'inside') return `now inside ${after.zone}`;
  const was = before.kind === 'inside' ? before.zone : after.zone;
  return `now ${distance(after.short_m, units)} outside ${after.zone}${was === after.zone ? '' : `, before in ${was}`}`;
}

/**
 * "Landing moved 410 m toward 075° (Long Ridge side) because Team 2's wind (w6) came in; now outside Salt Flat North".
 */
export function moveWords(move: Move, mission: Mission, units: Units): string {
  const { from, to, because } = move;
  const changes = [zoneChange(move, units), ...move.limits].filter((one) => one !== null);
  const after = changes.length === 0 ? '' : `; ${changes.join('; ')}`;
  if (from === null || to === null) {
    if (to === null) return `No landing is predicted any more because ${because}${after}.`;
    return `A landing is predicted because ${because}${after}.`;
  }
  const { distance_m, bearing_deg } = inverse(from, to);
  if (!(distance_m >= SAME_M)) return `Landing stays where it was: ${because}${after}.`;
  const side = landmarkToward(from, mission.landmarks ?? [], bearing_deg);
  const toward = `${direction(bearing_deg)} (${octant(bearing_deg)}${side === null ? '' : `, ${side} side`})`;
  return `Landing moved ${distance(distance_m, units)} toward ${toward}, because ${because}${after}.`;
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
  else say(store, moveWords(move, mission, store.view.units.peek()));
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

/**
 * The landings before the one that is shown, oldest first, as they were known at a moment: for the trail on the map.
 */
export function trailAt(
  moves: readonly Move[],
  shown_s: number,
): { readonly position: LonLat; readonly age_s: number; readonly label: string }[] {
  return moves.flatMap((move) => {
    const age_s = shown_s - move.at_s;
    if (move.from === null || !(age_s >= 0 && age_s <= TRAIL_S) || movedBy_m(move) < SAME_M) return [];
    return [{ position: move.from, age_s, label: `before ${labelOf(move)}` }];
  });
}

const labelOf = ({ seq, because }: Move): string =>
  seq === null ? because.replace(PLAN, '') : (because.split(/[,:]/)[0] ?? because);
