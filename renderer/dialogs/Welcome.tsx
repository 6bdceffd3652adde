// Nothing is open: three ways on, the missions of last time and the demos. What could not be opened is said above them.
import type { JSX } from 'preact';
import { choose, openPath } from '../state/acting/actions.ts';
import type { Store } from '../state/derived/store.ts';
import { Act } from '../parts/buttons.tsx';

export function Welcome({ store }: { readonly store: Store }): JSX.Element {
  const busy = store.busy.value;
  const trouble = store.trouble.value;
  if (busy !== null) {
    return (
      <p class="empty quiet" role="status">
        {busy}
      </p>
    );
  }
  return (
    <div class="empty welcome">
      {trouble === null ? null : (
        <p role="alert" class="wrong-words">
          {trouble}
        </p>
      )}
      <h2>Begin with</h2>
      <div class="ways">
        <Act first onClick={() => (store.floating.value = 'new')}>
          A new mission
        </Act>
        <Act onClick={() => void choose(store)}>A mission file</Act>
        <Rehearse store={store} />
      </div>
      <Recent store={store} />
      <h2>Demo missions, all invented</h2>
      <Demos store={store} />
      <p class="small quiet">
        Plumbline advises; it does not decide. Local rules, the people on the spot and licensed practice come first.
      </p>
    </div>
  );
}

/** A rehearsal of the first demo: its panel, where the scenario is chosen. */
function Rehearse({ store }: { readonly store: Store }): JSX.Element | null {
  const [demo] = store.demos.value;
  if (demo === undefined) return null;
  const open = async (): Promise<void> => {
    await openPath(store, demo.path);
    store.view.panel.value = 'Rehearsal';
  };
  return <Act onClick={() => void open()}>A rehearsal</Act>;
}

function Recent({ store }: { readonly store: Store }): JSX.Element | null {
  const recent = store.view.recent.value;
  if (recent.length === 0) return null;
  return (
    <>
      <h2>Opened last time</h2>
      <ul>
        {recent.map(({ path, name }) => (
          <li key={path}>
            <Act onClick={() => void openPath(store, path)}>{name === '' ? path : name}</Act>
            <p class="small quiet">{path}</p>
          </li>
        ))}
      </ul>
    </>
  );
}

export function Demos({ store }: { readonly store: Store }): JSX.Element {
  return (
    <ul>
      {store.demos.value.map((demo) => (
        <li key={demo.path}>
          <Act data-demo={demo.path} onClick={() => void openPath(store, demo.path)}>
            {demo.title}
          </Act>
          <p class="small quiet">{demo.text}</p>
        </li>
      ))}
    </ul>
  );
}
