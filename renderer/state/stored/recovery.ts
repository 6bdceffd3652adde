// What a person sees of the recovery: the workers' answers, which cases stand on the map, the crew that is tried
// somewhere else, and what of the brief is read. Nothing of it is in the plan.
import { signal, type Signal } from '@preact/signals';
import type { Debrief } from '../../../core/debrief/debrief.ts';
import type { BoardRow } from '../../../core/recovery/crewBoard.ts';
import type {
  BriefAnswer,
  BriefFile,
  BriefFileAnswer,
  CrewChanges,
  RecoveryAnswer,
} from '../../../core/work/recoveryWork.ts';
import type { LonLat } from '../../../core/base/units.ts';
import type { MomentAsked } from './decision.ts';

/** A crew tried at a place: its times from there, or null while they are worked out or where nobody can be reached. */
export interface Tried {
  readonly crew: string;
  readonly position: LonLat;
  readonly times: BoardRow | null;
}

/** Which part of the brief is read. */
export type BriefPart =
  | { readonly kind: 'sheet' }
  | { readonly kind: 'crew'; readonly crew: string }
  | { readonly kind: 'radio' }
  | { readonly kind: 'corrections'; readonly crew: string };

export interface RecoveryView {
  readonly answer: Signal<RecoveryAnswer | null>;
  /** The moment that the answer is about. */
  readonly answered: Signal<MomentAsked | null>;
  /** What is being worked out, as a sentence; null: nothing. */
  readonly working: Signal<string | null>;
  /** Why the worker does not answer; null: it does. */
  readonly trouble: Signal<string | null>;
  /** Cases that were taken off the map, by name: a new case is on it. */
  readonly hidden: Signal<ReadonlySet<string>>;
  /** Crews whose details are open, by name. */
  readonly openCrews: Signal<ReadonlySet<string>>;
  /** Height of an exit on the way up that is tried, m MSL; null: the height at which the balloon is now. */
  readonly ascent_m: Signal<number | null>;
  /** The crew and the place that are asked about; a new object each time. */
  readonly trying: Signal<{ readonly crew: string; readonly position: LonLat } | null>;
  readonly tried: Signal<Tried | null>;
  readonly brief: Signal<BriefAnswer | null>;
  readonly changes: Signal<readonly CrewChanges[]>;
  readonly writing: Signal<string | null>;
  readonly part: Signal<BriefPart>;
  /** Works the debrief out; it answers null before the touchdown is in the log. Null: nobody can be asked. */
  readonly debrief: Signal<(() => Promise<Debrief | null>) | null>;
  /** Asks the worker for a page or an export of the brief that is shown. */
  readonly files: Signal<((wanted: BriefFile) => Promise<BriefFileAnswer>) | null>;
}

export function createRecoveryView(): RecoveryView {
  return {
    answer: signal<RecoveryAnswer | null>(null),
    answered: signal<MomentAsked | null>(null),
    working: signal<string | null>(null),
    trouble: signal<string | null>(null),
    hidden: signal<ReadonlySet<string>>(new Set()),
    openCrews: signal<ReadonlySet<string>>(new Set()),
    ascent_m: signal<number | null>(null),
    trying: signal<{ readonly crew: string; readonly position: LonLat } | null>(null),
    tried: signal<Tried | null>(null),
    brief: signal<BriefAnswer | null>(null),
    changes: signal<readonly CrewChanges[]>([]),
    writing: signal<string | null>(null),
    part: signal<BriefPart>({ kind: 'sheet' }),
    debrief: signal<(() => Promise<Debrief | null>) | null>(null),
    files: signal<((wanted: BriefFile) => Promise<BriefFileAnswer>) | null>(null),
  };
}

function toggle(names: Signal<ReadonlySet<string>>, name: string): void {
  const next = new Set(names.peek());
  if (!next.delete(name)) next.add(name);
  names.value = next;
}

/** Opens a crew's details or closes them. */
export const toggleCrew = (view: RecoveryView, name: string): void => toggle(view.openCrews, name);

/** Takes a case off the map or puts it back. */
export const toggleCase = (view: RecoveryView, name: string): void => toggle(view.hidden, name);

/** All cases on the map; where all are on it already, none. */
export function toggleAllCases(view: RecoveryView, names: readonly string[]): void {
  const hidden = view.hidden.peek();
  view.hidden.value = names.some((name) => hidden.has(name)) ? new Set() : new Set(names);
}
