// What the workers found out, as the window shows it, each with what it was asked: the spread of the landings, growing;
// the advice; and the answer to a what-if.
import { computed, signal, type ReadonlySignal, type Signal } from '@preact/signals';
import type { Edge } from '../../../core/advice/edges.ts';
import type { WhatIf } from '../../../core/advice/whatIf.ts';
import type { Contour } from '../../../core/descent/density.ts';
import type { EnsembleSetup } from '../../../core/descent/ensemble.ts';
import type { World } from '../../../core/descent/scenario.ts';
import type { LandingStatistics } from '../../../core/descent/statistics.ts';
import type { LogEvent } from '../../../core/log/events.ts';
import type { Hazard, LandingZone, Mission } from '../../../core/plan/schema.ts';
import type { AdviceAnswer } from '../../../core/work/work.ts';
import type { Stamp } from '../../../core/work/moment.ts';

/** The drawn descents behind the landing, and what is counted among them. */
export interface SpreadAsked {
  readonly setup: EnsembleSetup;
  readonly zones: readonly LandingZone[];
  readonly hazards: readonly Hazard[];
}

/** A mission at the moment that is shown: what advice, crews and brief are worked out for. */
export interface MomentAsked {
  readonly path: string;
  readonly mission: Mission;
  readonly log: readonly LogEvent[];
  readonly at_s: number;
  /** The forecast's, without reports. */
  readonly world: World;
  readonly roads: unknown;
  /** A moment before now: what was known then. */
  readonly past: boolean;
}

export interface SpreadPicture {
  readonly done: number;
  readonly total: number;
  /** Null where no member reached the ground. */
  readonly statistics: LandingStatistics | null;
  readonly contours: readonly Contour[];
  /** lon, lat, lon, lat, … */
  readonly dots: Float32Array;
}

/** `stopped`: a person stopped it; what had been flown stays. */
export type RunState = 'idle' | 'running' | 'stopped' | 'done';

export interface WhatIfShown {
  readonly asked: WhatIf;
  /** Null while it is worked out. */
  readonly answer: AdviceAnswer | null;
}

export interface Found {
  readonly asked: MomentAsked;
  readonly stamp: Stamp;
  readonly answer: AdviceAnswer;
  /** Of few drawn descents. */
  readonly rough: boolean;
}

/** What would change the word, and the moment whose word it is. */
export interface EdgesFound {
  readonly asked: MomentAsked;
  readonly edges: readonly Edge[];
}

/** Holds the word until a person has seen it. */
export interface LogTrouble {
  readonly text: string;
  readonly seen: boolean;
}

export interface Decision {
  readonly spread: Signal<SpreadPicture | null>;
  readonly run: Signal<RunState>;
  readonly found: Signal<Found | null>;
  /** The advice that was found last; whether it is of now says the verdict. */
  readonly advice: ReadonlySignal<AdviceAnswer | null>;
  readonly edges: Signal<EdgesFound | null>;
  /** What is asked has waited too long for any answer. */
  readonly late: Signal<boolean>;
  readonly whatIf: Signal<WhatIfShown | null>;
  /** A part of the window that failed, in a sentence; null: none did. */
  readonly fault: Signal<string | null>;
  /** Why the log did not take what was entered last; null: it did. */
  readonly unlogged: Signal<string | null>;
  /** What other programs did to the log of this mission, oldest first. */
  readonly logTroubles: Signal<readonly LogTrouble[]>;
  /** Why the workers do not answer; null: they do. */
  readonly trouble: Signal<string | null>;
  /** Whether the run is wanted: a person may stop it, and go on with it. */
  readonly wanted: Signal<'running' | 'stopped'>;
}

export function createDecision(): Decision {
  const found = signal<Found | null>(null);
  return {
    spread: signal<SpreadPicture | null>(null),
    run: signal<RunState>('idle'),
    found,
    advice: computed(() => found.value?.answer ?? null),
    edges: signal<EdgesFound | null>(null),
    late: signal(false),
    fault: signal<string | null>(null),
    unlogged: signal<string | null>(null),
    logTroubles: signal<readonly LogTrouble[]>([]),
    whatIf: signal<WhatIfShown | null>(null),
    trouble: signal<string | null>(null),
    wanted: signal<'running' | 'stopped'>('running'),
  };
}
