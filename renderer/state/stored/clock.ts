// The mission's clock. A mission whose log runs ahead of this computer's clock, and every demo, is an exercise: it runs
// on a clock of its own, from its newest event on, and what it logs carries that clock's time so that a replay keeps
// its order.
import { isoOf } from '../../../core/base/plainNumbers.ts';
import type { LogEvent } from '../../../core/log/events.ts';
import type { Mission } from '../../../core/plan/schema.ts';

/** Two clocks that are set by hand differ by minutes; a log that is an hour ahead was not written by this one. */
const AHEAD_MS = 3_600_000;
/** Where an exercise has no log yet, it begins this long before its exit. */
const BEFORE_EXIT_MS = 1_800_000;

/** The newest time of a log, ms since 1970; null of an empty one. */
export function newestOf(log: readonly LogEvent[]): number | null {
  let newest = -Infinity;
  for (const event of log) newest = Math.max(newest, Date.parse(event.at));
  return Number.isFinite(newest) ? newest : null;
}

/**
 * How far the mission's clock is ahead of the computer's, ms; 0: the mission runs on the computer's clock.
 *
 * demo     a mission that came with the program
 * wall_ms  the computer's clock, ms since 1970
 */
export function ownClockOf(mission: Mission, log: readonly LogEvent[], demo: boolean, wall_ms: number): number {
  const newest = newestOf(log);
  const ahead = newest !== null && newest > wall_ms + AHEAD_MS;
  if (!demo && !ahead) return 0;
  return (newest ?? Date.parse(mission.exit.time) - BEFORE_EXIT_MS) - wall_ms;
}

/** The time that an event gets in the log: left to the desk where the mission runs on the computer's clock. */
export function stampOf(now_ms: number, ownClock_ms: number): string | undefined {
  return ownClock_ms === 0 ? undefined : isoOf(Math.floor(now_ms / 1000));
}
