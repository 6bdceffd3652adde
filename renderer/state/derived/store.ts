// The window's state. Signals hold what a person or the desk can change: the plan with its history, the log, what was
// loaded beside it, the clock, the view. Everything else is computed, synchronously: a key press or a drag is a redrawn
// track within a frame.
import type { Mission } from '../../../core/plan/schema.ts';
import type { LonLat } from '../../../core/base/units.ts';
import { computed, signal, type ReadonlySignal, type Signal } from '@preact/signals';
import type { LogEvent } from '../../../core/log/events.ts';
import type { About, DemoMission } from '../../../main/contract.ts';
import type { ConnectedDesk, DeskState } from '../../desk.ts';
import type { Beside } from '../../model.ts';
import { createAlertsView, type AlertsView } from '../stored/alerts.ts';
import { alertsFrom, type AlertsShown } from './alerts.ts';
import { amissFrom } from './amiss.ts';
import { askedFrom, type Asked } from './asked.ts';
import { derivedFrom, type Derived } from './graph.ts';
import { createDecision, type Decision } from '../stored/decision.ts';
import { arrivalsInto, type Arrivals } from '../stored/arrivals.ts';
import { type PacedClock } from '../stored/clock.ts';
import type { Drawing } from '../stored/drawing.ts';
import type { History } from '../stored/history.ts';
import type { Json } from '../stored/json.ts';
import { createRecoveryView, type RecoveryView } from '../stored/recovery.ts';
import type { UnitChoice, Units } from '../../../core/words/numbers.ts';
import { dayShown } from '../../../core/words/times.ts';
import { createReportsView, type ReportsView } from '../stored/reportsView.ts';
import { createListsView, type ListsView } from '../stored/lists.ts';
import { createRehearsalView, type RehearsalView } from '../stored/rehearsal.ts';
import { createReplayView, type ReplayView } from '../stored/replay.ts';
import { createWhenView, type WhenView } from '../stored/when.ts';
import { Tellers, type Provenance } from '../stored/tellers.ts';
import type { Kept, View } from '../stored/view.ts';

/** The mission's file: where it lies and what of it is on the disk. */
export interface MissionFile {
  readonly path: string;
  /** A mission that came with the program; saving makes a copy. */
  readonly demo: boolean;
  /** The plan as it was last read or written; the same object as the history's present while nothing is unsaved. */
  readonly saved: Json;
  readonly savedAt: string | null;
  /** Of the file as it was last read or written here; left out: the desk's own knowledge of it counts. */
  readonly digest?: string;
}

export interface Notice {
  readonly text: string;
  readonly amiss: boolean;
}

/** `pages`: the brief as it is printed. */
export type Floating = 'help' | 'open' | 'new' | 'import' | 'pages' | null;

export type InputGroup = 'exit' | 'body' | 'canopy' | 'uncertainty';

export interface Store extends Derived, Asked, AlertsShown {
  readonly desk: ConnectedDesk;
  readonly view: View;
  /** Where the browser keeps things between two starts; null where it does not. */
  readonly kept: Kept | null;
  readonly deskState: Signal<DeskState>;
  readonly about: Signal<About | null>;
  readonly demos: Signal<readonly DemoMission[]>;
  /** The mission's clock, once a second: the computer's, or its own (`clock.ts`). */
  readonly now_ms: Signal<number>;
  /** How far the mission's own clock is ahead of the computer's, ms; 0: it runs on the computer's. */
  readonly ownClock_ms: Signal<number>;
  /** The mission's clock where the desk paces it: this mission is its rehearsal. */
  readonly paced: ReadonlySignal<PacedClock | null>;
  /** The moment looked at; null: now. */
  readonly moment_ms: Signal<number | null>;
  readonly file: Signal<MissionFile | null>;
  readonly history: Signal<History | null>;
  readonly beside: Signal<Beside | null>;
  readonly log: Signal<readonly LogEvent[]>;
  /** Events on their way into the log. */
  readonly arrivals: Arrivals;
  /** What is under way, as a sentence; null: nothing. */
  readonly busy: Signal<string | null>;
  /** Why there is no mission on the window. */
  readonly trouble: Signal<string | null>;
  readonly notice: Signal<Notice | null>;
  readonly floating: Signal<Floating>;
  readonly pointedHeight_m: Signal<number | null>;
  /** Height of the slice of what is in reach; null: the opening's. */
  readonly slice_m: Signal<number | null>;
  /** Key of the wind level that is chosen for editing; null: none. */
  readonly chosenLevel: Signal<string | null>;
  /** Key of the wind column that is shown; null: the one nearest to the exit in time. */
  readonly chosenColumn: Signal<string | null>;
  /** The explanation that is open. Whatever shows its number keeps it up to date. */
  readonly provenance: Signal<Provenance | null>;
  readonly tellers: Tellers;
  readonly inputGroup: Signal<InputGroup>;
  /** What stands on the entry line; set from elsewhere to begin a line for the person. */
  readonly entryText: Signal<string>;
  readonly reports: ReportsView;
  /** What the workers find out: spread, advice, what-ifs. */
  readonly decision: Decision;
  /** What they find out about cases, crews and brief. */
  readonly recovery: RecoveryView;
  /** Which hour: what a worker found for the hours of the forecasts. */
  readonly when: WhenView;
  /** The lead's lists: which one, and who reads back. */
  readonly lists: ListsView;
  readonly replay: ReplayView;
  readonly rehearsal: RehearsalView;
  /** The alerts as this sitting saw them begin. */
  readonly alerting: AlertsView;
  /** The place that the map is asked to go to; a new object each time. */
  /** What is being drawn on the map; null: nothing. */
  readonly drawing: Signal<Drawing | null>;
  /** The part of the plan that stands open in its panel; null: none. */
  readonly planOpen: Signal<string | null>;
  readonly goal: Signal<{ readonly position: readonly [number, number] } | null>;

  /** A leap of the computer's clock that nobody has answered. */
  readonly leap: ReadonlySignal<LogEvent | null>;
  /** What another program did to the log and nobody has seen yet. */
  readonly logTrouble: ReadonlySignal<string | null>;
  /** How the person reads numbers, at this site and on the day that is looked at. */
  readonly units: ReadonlySignal<Units>;
  readonly plan: ReadonlySignal<Json | null>;
  readonly unsaved: ReadonlySignal<boolean>;
}

export function createStore(desk: ConnectedDesk, view: View, kept: Kept | null, now_ms: number): Store {
  const signals = {
    history: signal<History | null>(null),
    beside: signal<Beside | null>(null),
    file: signal<MissionFile | null>(null),
    log: signal<readonly LogEvent[]>([]),
    now_ms: signal(now_ms),
    moment_ms: signal<number | null>(null),
  };
  const plan = computed(() => signals.history.value?.present.plan ?? null);
  const path = computed(() => signals.file.value?.path ?? null);
  const given = { ...signals, plan };
  const derived = derivedFrom(given);
  const decision = createDecision();
  const deskState = signal<DeskState>(desk.state());
  const units = unitsOf(view.units, derived);
  const { unlogged, logTroubles } = decision;
  const { leap, logTrouble, amiss } = amissFrom({ ...signals, ...derived, deskState, unlogged, logTroubles, units });
  const provenance = signal<Provenance | null>(null);
  const panelViews = createPanelViews();
  const ownClock_ms = signal(0);
  const crewsTrouble = panelViews.recovery.trouble;
  const asked = askedFrom({ ...given, path, amiss, crewsTrouble }, derived, decision);
  return {
    desk,
    view,
    kept,
    ...signals,
    ...derived,
    ...asked,
    ...alertsFrom({ ...signals, ...derived, ...asked, ...panelViews, path, decision, ownClock_ms, units }),
    leap,
    logTrouble,
    plan,
    units,
    unsaved: computed(() => {
      const { file } = signals;
      return plan.value !== null && file.value !== null && plan.value !== file.value.saved;
    }),
    arrivals: arrivalsInto(signals.log),
    deskState,
    about: signal<About | null>(null),
    demos: signal<readonly DemoMission[]>([]),
    ownClock_ms,
    paced: computed(() =>
      panelViews.rehearsal.state.value?.missionPath === path.value ? panelViews.rehearsal.clock.value : null,
    ),
    ...createShownViews(),
    provenance,
    tellers: new Tellers(provenance),
    inputGroup: signal<InputGroup>('exit'),
    entryText: signal(''),
    ...panelViews,
    decision,
    drawing: signal<Drawing | null>(null),
    planOpen: signal<string | null>(null),
    goal: signal<{ readonly position: readonly [number, number] } | null>(null),
  };
}

/** What is said and pointed at on the window as a whole. */
const createShownViews = () => ({
  busy: signal<string | null>(null),
  trouble: signal<string | null>(null),
  notice: signal<Notice | null>(null),
  floating: signal<Floating>(null),
  pointedHeight_m: signal<number | null>(null),
  slice_m: signal<number | null>(null),
  chosenLevel: signal<string | null>(null),
  chosenColumn: signal<string | null>(null),
});

/** What single panels remember. */
const createPanelViews = () => ({
  reports: createReportsView(),
  recovery: createRecoveryView(),
  when: createWhenView(),
  lists: createListsView(),
  replay: createReplayView(),
  rehearsal: createRehearsalView(),
  alerting: createAlertsView(),
});

/** Where a landing is expected, else the site: from there landmarks are named. */
export const expectedLanding = (store: Store, mission: Mission): LonLat =>
  store.prediction.value?.landing?.position ?? mission.site.position;

function unitsOf(
  choice: ReadonlySignal<UnitChoice>,
  { mission, shown_s }: Pick<Store, 'mission' | 'shown_s'>,
): ReadonlySignal<Units> {
  const timeZone = computed(() => mission.value?.site.timeZone);
  const read = computed((): Units => ({ ...choice.value, timeZone: timeZone.value }));
  const today = computed(() => dayShown(shown_s.value, read.value));
  return computed(() => ({ ...read.value, today: today.value }));
}
