// The keyboard of the whole window: chords run their command; anything else that is typed outside a field goes to the
// entry line; Escape backs out of what is open.
import { panelNames } from '../../panels/table.ts';
import { chordOf, commands } from './commands.ts';
import { focusOn } from './focus.ts';
import type { Store } from '../derived/store.ts';

const isField = (target: EventTarget | null): boolean =>
  target instanceof HTMLElement &&
  target.closest('input:not([type=range]), textarea, select, [contenteditable]') !== null;

/** Listens until the answer is called. */
export function listenToKeys(target: Window, store: Store): () => void {
  const all = commands(panelNames);
  const onKey = (event: KeyboardEvent): void => {
    if (event.defaultPrevented || event.isComposing) return;
    const chord = chordOf(event);
    const plain = !event.ctrlKey && !event.metaKey && !event.altKey;
    const field = isField(event.target);
    // In a field, plain keys and the field's own editing chords belong to the field.
    if (field && plain && event.key !== 'F1') return;
    if (store.floating.value !== null && event.key !== 'F1') return;
    if (event.key === 'Escape') return backOut(store);
    const command = all.find((one) => one.chords.includes(chord));
    if (command !== undefined) {
      event.preventDefault();
      command.run(store);
      return;
    }
    if (plain && event.key.length === 1 && event.key !== ' ') focusOn('#entry-line');
  };
  target.addEventListener('keydown', onKey);
  return () => target.removeEventListener('keydown', onKey);
}

/** One thing at a time: the explanation, the what-if, the level, the moment, the introduction, the notice. */
function backOut(store: Store): void {
  if (store.provenance.value !== null) store.provenance.value = null;
  else if (store.decision.whatIf.value !== null) store.decision.whatIf.value = null;
  else if (store.chosenLevel.value !== null) {
    store.chosenLevel.value = null;
    focusOn('#wind-levels');
  } else if (store.moment_ms.value !== null) store.moment_ms.value = null;
  else if (!store.view.introduced.value) store.view.introduced.value = true;
  else if (store.notice.value !== null) store.notice.value = null;
  else if (document.activeElement instanceof HTMLElement) document.activeElement.blur();
}
