// A replay of the log: whether it runs, and how fast.
import { signal, type Signal } from '@preact/signals';

/** Seconds of the log in one of the clock. */
export const REPLAY_SPEEDS = [1, 10, 60] as const;
export type ReplaySpeed = (typeof REPLAY_SPEEDS)[number];

export interface ReplayView {
  readonly playing: Signal<boolean>;
  readonly speed: Signal<ReplaySpeed>;
}

export const createReplayView = (): ReplayView => ({
  playing: signal(false),
  speed: signal<ReplaySpeed>(10),
});
