// What the workers found out, as the window shows it: the spread of the landings, growing; the advice; and the answer
// to a what-if.
import { signal, type Signal } from '@preact/signals';
import type { WhatIf } from '../../../core/advice/whatIf.ts';
import { contoursOf, type Contour } from '../../../core/descent/density.ts';
import type { Members } from '../../../core/descent/ensemble.ts';
import { statisticsOf, type LandingStatistics } from '../../../core/descent/statistics.ts';
import type { Mission } from '../../../core/plan/schema.ts';
import type { AdviceAnswer } from '../../../core/work/work.ts';

export interface SpreadPicture {
  readonly done: number;
  readonly total: number;
  /** Null where no member reached the ground. */
  readonly statistics: LandingStatistics | null;
  readonly contours: readonly Contour[];
  /** lon, lat by turns. */
  readonly dots: Float32Array;
}

/** `stopped`: a person stopped it; what had been flown stays. */
export type RunState = 'idle' | 'running' | 'stopped' | 'done';

export interface WhatIfShown {
  readonly asked: WhatIf;
  /** Null while it is worked out. */
  readonly answer: AdviceAnswer | null;
}

export interface Decision {
  readonly spread: Signal<SpreadPicture | null>;
  readonly run: Signal<RunState>;
  readonly advice: Signal<AdviceAnswer | null>;
  /** A newer advice is being worked out. */
  readonly advising: Signal<boolean>;
  readonly whatIf: Signal<WhatIfShown | null>;
  /** Why the workers do not answer; null: they do. */
  readonly trouble: Signal<string | null>;
  /** Turned up by one to stop the run, or to go on with it. */
  readonly wanted: Signal<'running' | 'stopped'>;
}

export function createDecision(): Decision {
  return {
    spread: signal<SpreadPicture | null>(null),
    run: signal<RunState>('idle'),
    advice: signal<AdviceAnswer | null>(null),
    advising: signal(false),
    whatIf: signal<WhatIfShown | null>(null),
    trouble: signal<string | null>(null),
    wanted: signal<'running' | 'stopped'>('running'),
  };
}

export const CONTOUR_SHARES = [0.5, 0.9] as const;

export function pictureOf(members: Members, total: number, mission: Mission): SpreadPicture {
  const dots = new Float32Array(2 * members.count);
  let n = 0;
  for (let i = 0; i < members.count; i++) {
    const lon = members.lon_deg[i] as number;
    if (lon !== lon) continue;
    dots[n++] = lon;
    dots[n++] = members.lat_deg[i] as number;
  }
  return {
    done: members.count,
    total,
    statistics: statisticsOf(members, mission.landingZones ?? [], mission.hazards ?? []),
    contours: contoursOf(members, CONTOUR_SHARES),
    dots: dots.subarray(0, n),
  };
}
