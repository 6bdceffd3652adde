// Opening another mission: the host's dialog where it has one, a path, or a demo.
import { useSignal } from '@preact/signals';
import type { JSX } from 'preact';
import { useStore } from '../context.ts';
import { openPath } from '../state/acting/actions.ts';
import type { Store } from '../state/derived/store.ts';
import { Dialog } from './Dialog.tsx';
import { Demos } from './Welcome.tsx';

export function Open(): JSX.Element {
  const store = useStore();
  return (
    <Dialog title="Open a mission" close={() => (store.floating.value = null)}>
      <OpenChoices store={store} />
    </Dialog>
  );
}

function OpenChoices({ store }: { readonly store: Store }): JSX.Element {
  const path = useSignal('');
  const open = (event: Event): void => {
    event.preventDefault();
    if (path.value.trim() !== '') void openPath(store, path.value.trim());
  };
  return (
    <>
      {store.unsaved.value ? (
        <p class="small">
          The mission that is open has changes that are not saved; opening another leaves them behind. Ctrl+S saves them
          first.
        </p>
      ) : null}
      <form class="row one" onSubmit={open}>
        <div class="field" style={{ flex: '1' }}>
          <label for="open-path">Path of a mission file</label>
          <div class="box">
            <input
              id="open-path"
              value={path.value}
              onInput={(event) => (path.value = event.currentTarget.value)}
              placeholder="/home/…/name.mission.json"
              autocomplete="off"
              spellcheck={false}
            />
          </div>
        </div>
        <button type="submit" class="act">
          Open
        </button>
      </form>
      {store.notice.value?.amiss === true ? <p class="wrong-words">{store.notice.value.text}</p> : null}
      <h2>Demo missions, all invented</h2>
      <Demos store={store} />
    </>
  );
}
