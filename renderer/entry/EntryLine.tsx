// One line, always a key away: a wind, a note, a place, a command; beside it what was understood, or what just happened.
import { useSignal } from '@preact/signals';
import type { JSX } from 'preact';
import { useStore } from '../context.ts';
import { height } from '../format.ts';
import { edit, endEdit, note, say } from '../state/actions.ts';
import { commands } from '../state/commands.ts';
import { moveExit, setExitHeight } from '../state/edits.ts';
import { landmarkToward } from '../state/landing.ts';
import type { Store } from '../state/store.ts';
import { columnsOf, nearestInTime } from '../state/winds.ts';
import { namedSources } from '../model.ts';
import { panelNames } from '../panels/table.ts';
import { addByHand } from '../winds/LevelEditor.tsx';
import { EXAMPLES, readEntry, readingBack, type Entry, type EntryContext } from './read.ts';

function contextOf(store: Store): EntryContext {
  const mission = store.mission.value;
  return {
    units: store.view.units.value,
    ground_m: mission?.site.elevation_m ?? 0,
    commands: commands(panelNames),
    toward: (from_deg) => (mission === null ? null : landmarkToward(mission.site.position, mission.landmarks ?? [], from_deg + 180)),
  };
}

export function EntryLine(): JSX.Element {
  const store = useStore();
  const text = useSignal('');
  const context = contextOf(store);
  const entry = readEntry(text.value, context);
  const typing = text.value.trim() !== '';
  const notice = store.notice.value;
  const submit = (event: Event): void => {
    event.preventDefault();
    if (entry.kind === 'nothing') return;
    if (entry.kind === 'unknown') return say(store, entry.why, true);
    text.value = '';
    perform(store, entry);
  };
  const onKeyDown = (event: JSX.TargetedKeyboardEvent<HTMLInputElement>): void => {
    if (event.key !== 'Escape') return;
    event.stopPropagation();
    if (typing) text.value = '';
    else event.currentTarget.blur();
  };
  const amiss = typing ? entry.kind === 'unknown' : (notice?.amiss ?? false);
  const words = typing ? readingBack(entry, context) : (store.busy.value ?? notice?.text ?? '');
  return (
    <section class="entry" aria-label="Entry">
      <form onSubmit={submit}>
        <kbd aria-hidden="true">/</kbd>
        <input
          id="entry-line"
          value={text.value}
          onInput={(event) => {
            text.value = event.currentTarget.value;
          }}
          onKeyDown={onKeyDown}
          placeholder="A wind, a note, a place, a command"
          aria-label="Entry line"
          aria-describedby="entry-words"
          autocomplete="off"
          spellcheck={false}
        />
      </form>
      <output id="entry-words" class={amiss ? 'amiss' : ''} aria-live="polite">
        {words === '' ? <span class="quiet small">Type {EXAMPLES}.</span> : words}
      </output>
    </section>
  );
}

function perform(store: Store, entry: Exclude<Entry, { kind: 'nothing' | 'unknown' }>): void {
  store.notice.value = null;
  switch (entry.kind) {
    case 'note':
      void note(store, entry.text).then((done) => (done ? say(store, 'Noted in the log.') : undefined));
      return;
    case 'go':
      store.goal.value = { position: entry.position };
      return;
    case 'exit': {
      const done = edit(store, 'exit moved', (plan) => moveExit(plan, entry.position));
      endEdit(store);
      return say(store, done.ok ? 'Exit moved.' : done.why, !done.ok);
    }
    case 'exit height': {
      const done = edit(store, 'exit height', (plan) => setExitHeight(plan, entry.altitude_m));
      endEdit(store);
      const ground = store.mission.value?.site.elevation_m ?? 0;
      return say(store, done.ok ? `Exit height ${height(entry.altitude_m, store.view.units.value, ground)}.` : done.why, !done.ok);
    }
    case 'wind':
      return addWind(store, entry);
    case 'command':
      entry.command.run(store);
      return;
  }
}

/** Into the column that is looked at, as the level editor does it. */
function addWind(store: Store, entry: Extract<Entry, { kind: 'wind' }>): void {
  const plan = store.plan.value;
  const mission = store.mission.value;
  const beside = store.beside.value;
  if (plan === null || mission === null || beside === null) return say(store, 'Open a mission first; a wind belongs to one.', true);
  const columns = columnsOf(plan, mission, namedSources(mission, beside));
  const column = columns.find((one) => one.key === store.chosenColumn.value) ?? nearestInTime(columns, Date.parse(mission.exit.time));
  addByHand(store, column, entry.level);
}
