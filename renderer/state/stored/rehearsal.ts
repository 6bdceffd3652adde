// What the window knows of the desk's rehearsal, and what is filled in for the next one.
import { signal, type Signal } from '@preact/signals';
import type { RehearsalOffered, RehearsalState } from '../../../main/contract.ts';
import type { PacedClock } from './clock.ts';

export interface RehearsalView {
  /** The desk's, of whichever mission; null: it has none. */
  readonly state: Signal<RehearsalState | null>;
  /** Its clock, as it was last told. */
  readonly clock: Signal<PacedClock | null>;
  readonly offered: Signal<readonly RehearsalOffered[]>;
  readonly wanted: Signal<{ readonly scenario: string; readonly seed: number; readonly speed: number }>;
  /** How many lines of the radio have been on the panel. */
  readonly seen: Signal<number>;
  /** Whether the instructor's part stands open. */
  readonly instructs: Signal<boolean>;
}

export const createRehearsalView = (): RehearsalView => ({
  state: signal<RehearsalState | null>(null),
  clock: signal<PacedClock | null>(null),
  offered: signal<readonly RehearsalOffered[]>([]),
  wanted: signal({ scenario: 'any', seed: 1, speed: 1 }),
  seen: signal(0),
  instructs: signal(false),
});
