// The mission's clock. A mission whose log runs ahead of this computer's clock, and every demo, is an exercise: it runs
// on a clock of its own, from its newest event on, and what it logs carries that clock's time so that a replay keeps
// its order.
import { isoOf } from '../../../core/base/plainNumbers.ts';
import type { LogEvent } from '../../../core/log/events.ts';
import { factsOf } from '../../../core/log/fate.ts';
import { annulledIn } from '../../../core/log/fold.ts';
import type { Mission } from '../../../core/plan/schema.ts';

/** Two clocks that are set by hand differ by minutes; a log that is an hour ahead was not written by this one. */
const AHEAD_MS = 3_600_000;
/** Where an exercise has no log yet, it begins this long before its exit. */
const BEFORE_EXIT_MS = 1_800_000;

/** The newest time of a log up to a moment, ms since 1970; null: it has none. What was annulled does not count. */
export function newestOf(log: readonly LogEvent[], until_ms = Infinity): number | null {
  const annulled = annulledIn(log);
  let newest_s = -Infinity;
  for (const event of log) {
    const { at_s } = factsOf(event);
    if (at_s > newest_s && at_s * 1000 <= until_ms && !annulled.has(event.seq)) newest_s = at_s;
  }
  return Number.isFinite(newest_s) ? newest_s * 1000 : null;
}

/** Whether a log was written by a clock ahead of this one: most of it is, not one event under a wrong clock. */
function runsAhead(log: readonly LogEvent[], wall_ms: number): boolean {
  const ahead = log.filter((event) => factsOf(event).at_s * 1000 > wall_ms + AHEAD_MS).length;
  return ahead > log.length / 2;
}

/**
 * How far the mission's clock is ahead of the computer's, ms; 0: the mission runs on the computer's clock.
 *
 * demo     a mission that came with the program
 * wall_ms  the computer's clock, ms since 1970
 */
export function ownClockOf(mission: Mission, log: readonly LogEvent[], demo: boolean, wall_ms: number): number {
  if (!demo && !runsAhead(log, wall_ms)) return 0;
  const newest = newestOf(log);
  return (newest ?? Date.parse(mission.exit.time) - BEFORE_EXIT_MS) - wall_ms;
}

/** A clock that the desk paces, as a rehearsal's: it was there when this page's steady clock was here. */
export interface PacedClock {
  readonly at_ms: number;
  readonly since_ms: number;
  /** Seconds of it in one on the wall; 0: it stands. */
  readonly speed: number;
}

/**
 * The mission's clock at this moment, ms since 1970: its own, as the desk paces it, else the computer's with how far it
 * is ahead.
 */
export const clockNow_ms = (paced: PacedClock | null, ownClock_ms: number): number =>
  paced === null ? Date.now() + ownClock_ms : paced.at_ms + paced.speed * (performance.now() - paced.since_ms);

/** The time that an event gets in the log: left to the desk where the mission runs on the computer's clock. */
export function stampOf(now_ms: number, ownClock_ms: number): string | undefined {
  return ownClock_ms === 0 ? undefined : isoOf(Math.floor(now_ms / 1000));
}
