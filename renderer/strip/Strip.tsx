// Always in view: which mission, which phase, what time it is, and the advice in one line. At its right the few things
// that are done to the mission as a whole.
import type { JSX } from 'preact';
import type { MissionState } from '../../core/log/fold.ts';
import { nameUnmarked } from '../../core/plan/read.ts';
import type { Mission } from '../../core/plan/schema.ts';
import { useStore } from '../context.ts';
import { redo, save, undo, choose } from '../state/acting/actions.ts';
import { wrongNow } from '../state/derived/asked.ts';
import type { Store } from '../state/derived/store.ts';
import { capital } from '../../core/words/numbers.ts';
import { clock, date } from '../../core/words/times.ts';
import { phaseAt } from '../timebar/timeMarks.ts';
import { AdviceLine } from './AdviceLine.tsx';
import { AlertBar } from './AlertBar.tsx';
import { CountDown } from './CountDown.tsx';
import { Flight, inFlightNow } from './Flight.tsx';
import { Word } from '../parts/buttons.tsx';
import { RehearsalMark } from './RehearsalMark.tsx';

const NO_MARKS: MissionState['marks'] = new Map();

export function Strip(): JSX.Element {
  const store = useStore();
  const mission = store.mission.value;
  const at_ms = store.moment_ms.value ?? store.now_ms.value;
  const marks = store.situation.value?.state.marks ?? NO_MARKS;
  return (
    <header class="strip">
      <div class="times">
        <h1 title={mission?.name}>{mission === null ? 'No mission open' : nameUnmarked(mission)}</h1>
        <RehearsalMark store={store} />
        <p class="small quiet nowrap phase">
          {mission === null ? '' : phaseWords(mission, phaseAt(mission, store.expected.value, marks, at_ms))}
        </p>
        <Clock store={store} />
      </div>
      <Flight store={store} />
      <AdviceLine store={store} />
      <Tools store={store} />
      <AlertBar store={store} />
    </header>
  );
}

/** Beside the mark of a rehearsal there is room for the phase alone. */
const phaseWords = ({ rehearsal }: Mission, phase: string): string =>
  rehearsal === true ? capital(phase) : `Phase: ${phase}`;

const EXERCISE_CLOCK =
  'An exercise: the clock starts at the newest event of the log, and new events are logged at its time.';

function Clock({ store }: { readonly store: Store }): JSX.Element {
  const now = store.now_ms.value;
  const zone = store.mission.value?.site.timeZone;
  return (
    <div class="clock" role="timer" aria-label="Clock" aria-live="off">
      <span class="utc">{clock(now / 1000)}</span>
      <span class="small quiet">
        {zone === undefined
          ? date(now / 1000)
          : `${clock(now / 1000, { ...store.units.value, time: 'local' })} · ${date(now / 1000)}`}
        {store.ownClock_ms.value === 0 ? null : <span title={EXERCISE_CLOCK}> · exercise clock</span>}
      </span>
      {inFlightNow(store) === null ? <CountDown store={store} /> : null}
    </div>
  );
}

function savedWords(store: Store): string {
  const file = store.file.value;
  if (file === null) return '';
  if (store.unsaved.value) return 'Edited, not saved';
  return file.savedAt === null ? 'All saved' : `Saved ${clock(Date.parse(file.savedAt) / 1000)}`;
}

function Tools({ store }: { readonly store: Store }): JSX.Element {
  const history = store.history.value;
  const wrong = wrongNow(store.verdict.value, store.decision.logTroubles.value);
  const problems = wrong.length + store.problems.value.length + (store.prediction.value?.warnings.length ?? 0);
  const show = (panel: string) => (): void => {
    store.view.panel.value = panel;
  };
  const help = (): void => {
    store.floating.value = 'help';
  };
  return (
    <div class="tools small" role="toolbar" aria-label="Mission">
      <div>
        <Tool text="Undo" title="Undo (Ctrl+Z)" off={(history?.past.length ?? 0) === 0} run={() => undo(store)} />
        <Tool
          text="Redo"
          title="Redo (Ctrl+Shift+Z)"
          off={(history?.future.length ?? 0) === 0}
          run={() => redo(store)}
        />
        <Tool text="Save" title="Save (Ctrl+S)" off={history === null} run={() => void save(store)} />
        <Tool
          text="New"
          title="A new mission, or this one moved (Alt+K)"
          off={false}
          run={() => (store.floating.value = 'new')}
        />
        <Tool text="Open" title="Open a mission (Ctrl+O)" off={false} run={() => void choose(store)} />
        <Tool text="Help" title="Keys, and what is seen here (?)" off={false} run={help} />
      </div>
      <div>
        <Tool
          text={problemWords(history === null, problems)}
          title="What was found wrong, and what had to be assumed"
          off={history === null}
          run={show('Problems')}
        />
        <span class="saved quiet nowrap" id="saved-state" role="status">
          {savedWords(store)}
        </span>
      </div>
    </div>
  );
}

/** Of a mission that is not open nobody knows its problems. */
function problemWords(closed: boolean, problems: number): string {
  if (closed) return 'Nothing open';
  return problems === 0 ? 'No problems' : problems === 1 ? '1 problem' : `${problems} problems`;
}

interface ToolProps {
  readonly text: string;
  readonly title: string;
  readonly off: boolean;
  readonly run: () => void;
}

function Tool({ text, title, off, run }: ToolProps): JSX.Element {
  return (
    <Word title={title} disabled={off} onClick={run}>
      {text}
    </Word>
  );
}
