// The log played again: the moment that is looked at goes on by itself, with the window's clock, until the log's newest
// event or now. Whatever is shown is what was known then.
import { effect, untracked } from '@preact/signals';
import { spanOfLog } from '../../../core/log/fold.ts';
import { newestOf } from '../stored/clock.ts';
import { REPLAY_SPEEDS } from '../stored/replay.ts';
import { nextOf } from '../stored/view.ts';
import type { Store } from '../derived/store.ts';
import { say } from './actions.ts';

/** A clock that leapt, or a page that slept, moves a replay by no more than this. */
const STEP_MS_MAX = 2000;

/** Where a replay ends: now, or at the newest event where that is before it. */
const endOf = (store: Store): number => Math.min(newestOf(store.log.peek()) ?? -Infinity, store.now_ms.peek());

/** From the moment that is looked at; from the first event where that is now, or where nothing is left to be played. */
export function play(store: Store): void {
  const span = spanOfLog(store.log.peek());
  if (span === null) return say(store, 'Nothing is logged yet that could be played again.', true);
  const at = store.moment_ms.peek();
  if (at === null || at >= endOf(store)) store.moment_ms.value = span.first_s * 1000;
  store.replay.playing.value = true;
}

export function togglePlaying(store: Store): void {
  if (store.replay.playing.peek()) store.replay.playing.value = false;
  else play(store);
}

export function turnReplaySpeed({ replay }: Store): void {
  replay.speed.value = nextOf(REPLAY_SPEEDS, replay.speed.peek());
}

/** Moves a replay on with each second of the window's clock. Runs until its answer is called. */
export function watchReplay(store: Store): () => void {
  const { playing, speed } = store.replay;
  let before_ms = store.now_ms.peek();
  const endSteps = effect(() => {
    const now_ms = store.now_ms.value;
    const passed_ms = Math.min(Math.max(now_ms - before_ms, 0), STEP_MS_MAX);
    before_ms = now_ms;
    untracked(() => {
      const at_ms = store.moment_ms.value;
      if (!playing.value || at_ms === null) return;
      const end_ms = endOf(store);
      const next_ms = at_ms + passed_ms * speed.value;
      store.moment_ms.value = Math.max(at_ms, Math.min(next_ms, end_ms));
      if (next_ms < end_ms) return;
      playing.value = false;
      say(store, 'The replay is at the end of the log. Alt+N goes back to now.');
    });
  });
  const endNow = effect(() => {
    if (store.moment_ms.value === null) playing.value = false;
  });
  return () => {
    endSteps();
    endNow();
  };
}
