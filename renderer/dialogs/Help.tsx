// All keys in one place, and the text of the first run: what is seen on the window.
import type { JSX } from 'preact';
import { useStore } from '../context.ts';
import { panelNames } from '../panels/table.ts';
import { commands } from '../state/acting/commands.ts';
import { Dialog } from './Dialog.tsx';
import { IntroText } from './Intro.tsx';
import { Act } from '../parts/buttons.tsx';

const inPlace: readonly (readonly [keys: string, what: string])[] = [
  ['↑ ↓', 'In a field: one step; in the wind levels: the next level'],
  ['Enter', 'In the wind levels: edit the level'],
  ['Delete', 'In the wind levels: strike the level or take it back'],
  ['Insert', 'In the wind levels: add a level'],
  ['Shift+Delete', 'In the wind levels: remove the level'],
  ['C', 'In the reports: confirm one that is held back'],
  ['E', 'In the reports: correct one; the line is begun for you'],
  ['W', 'In the reports: withdraw one, with the reason'],
  ['Enter', 'In the lists: the item is read back; S skips it with a reason, Backspace takes back'],
  ['1 2 3', 'In the alerts: one is silenced with that reason'],
  ['← →', 'On the hours of the wind column: ten minutes'],
  ['← →', 'On the time bar: 10 s; Page keys 5 min'],
  ['arrows', 'On the map: pan; on the exit: move it'],
  ['Esc', 'Back out: of a field, a text, a panel, this help'],
];

/** What begins a line that says more. */
const begun = ['note …', 'go …', 'exit …', 'level …', 'correct w5 …', 'withdraw w5 …', 'confirm w5', 'I am …'];

export function Help(): JSX.Element {
  const store = useStore();
  const all = commands(panelNames);
  const keyed = all.filter((command) => command.chords.length > 0);
  const words = [...all.flatMap((command) => command.words.slice(0, 1)), ...begun];
  return (
    <Dialog title="What you see, and all keys" close={() => (store.floating.value = null)}>
      <IntroText />
      <h2>Keys</h2>
      <dl class="keys small">
        {keyed.map((command) => (
          <div key={command.id}>
            <dt>{command.what}</dt>
            <dd>
              {command.chords.map((chord) => (
                <kbd key={chord}>{chord}</kbd>
              ))}
            </dd>
          </div>
        ))}
        {inPlace.map(([keys, what]) => (
          <div key={what}>
            <dt>{what}</dt>
            <dd>
              <kbd>{keys}</kbd>
            </dd>
          </div>
        ))}
      </dl>
      <h2>Words on the entry line</h2>
      <p class="small">{words.join(', ')}</p>
      <p class="small quiet">
        Advisory only: winds are never known well enough to be sure of a landing. Local rules and licensed practice
        decide.
      </p>
      <div class="row">
        <Act first onClick={() => (store.floating.value = null)}>
          Close
        </Act>
      </div>
    </Dialog>
  );
}
