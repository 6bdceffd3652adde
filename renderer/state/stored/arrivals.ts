// Events on their way into the window's log: each is taken once and stands in order of its number. The first of a burst
// is shown at once, the rest of it a few times a second: a feed that brings a hundred winds does not redraw the window
// a hundred times.
import type { Signal } from '@preact/signals';
import type { LogEvent } from '../../../core/log/events.ts';

const BURST_MS = 80;

export interface Arrivals {
  /** Takes an event that is on the disk, from this window, another, or both. */
  take(event: LogEvent): void;
  /** Forgets what is waiting: another mission was opened. */
  clear(): void;
}

/** Where an event of a number stands in a log, or would stand. */
function placeOf(log: readonly LogEvent[], seq: number): { readonly index: number; readonly found: boolean } {
  let low = 0;
  let high = log.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((log[middle]?.seq ?? Infinity) < seq) low = middle + 1;
    else high = middle;
  }
  return { index: low, found: log[low]?.seq === seq };
}

/** `waiting` joined into a log in order of number, each number once; the same array where nothing is new. */
export function joined(log: readonly LogEvent[], waiting: readonly LogEvent[]): readonly LogEvent[] {
  const fresh = waiting.filter((event) => !placeOf(log, event.seq).found);
  if (fresh.length === 0) return log;
  const next = [...log];
  for (const event of fresh) {
    const { index, found } = placeOf(next, event.seq);
    if (!found) next.splice(index, 0, event);
  }
  return next;
}

export function arrivalsInto(log: Signal<readonly LogEvent[]>): Arrivals {
  let waiting: LogEvent[] = [];
  let timer: number | null = null;
  let last_ms = -Infinity;
  const flush = (): void => {
    timer = null;
    last_ms = performance.now();
    const now = waiting;
    waiting = [];
    log.value = joined(log.peek(), now);
  };
  return {
    take(event) {
      waiting.push(event);
      if (timer !== null) return;
      const rest_ms = last_ms + BURST_MS - performance.now();
      if (rest_ms <= 0) flush();
      else timer = window.setTimeout(flush, rest_ms);
    },
    clear() {
      waiting = [];
      if (timer !== null) window.clearTimeout(timer);
      timer = null;
    },
  };
}
