// The window starts here: the desk is reached, the store made, the mission opened that the desk names, else the last one, else a demo.
import '@fontsource/ibm-plex-sans/latin-400.css';
import '@fontsource/ibm-plex-sans/latin-500.css';
import '@fontsource/ibm-plex-sans/latin-600.css';
import './theme/style.css';
import { signal, type ReadonlySignal } from '@preact/signals';
import { render } from 'preact';
import { assert } from '../core/problem.ts';
import { App } from './app.tsx';
import { connectDesk } from './desk.ts';
import { logged, openPath, say } from './state/actions.ts';
import { createStore, type Store } from './state/store.ts';
import { createView, type Kept } from './state/view.ts';
import { applyLook } from './theme/apply.ts';

function systemNight(): ReadonlySignal<boolean> {
  const query = window.matchMedia('(prefers-color-scheme: dark)');
  const night = signal(query.matches);
  query.addEventListener('change', () => {
    night.value = query.matches;
  });
  return night;
}

/** A page may be denied its storage; then the switches start where they always start. */
function keptView(): Kept | null {
  try {
    return window.localStorage;
  } catch {
    return null;
  }
}

function follow(store: Store): void {
  const { desk } = store;
  desk.onState((state) => {
    store.deskState.value = state;
  });
  desk.on('log/appended', ({ missionPath, event }) => {
    if (missionPath === store.file.peek()?.path) logged(store, event);
  });
  desk.on('mission/copied', ({ from, to }) => {
    const file = store.file.peek();
    if (file === null || file.path !== from) return;
    store.file.value = { ...file, path: to, demo: false };
    store.view.lastPath.value = to;
  });
  // Once a second, on the second, as a clock should.
  const tick = (): void => {
    store.now_ms.value = Date.now();
    window.setTimeout(tick, 1000 - (Date.now() % 1000));
  };
  tick();
  window.addEventListener('beforeunload', (event) => {
    if (store.unsaved.peek()) event.preventDefault();
  });
}

async function openFirst(store: Store): Promise<void> {
  const { desk } = store;
  const about = await desk.call('host/about');
  store.about.value = about;
  store.demos.value = await desk.call('mission/demos');
  const last = store.view.lastPath.peek();
  const demo = store.demos.peek()[0]?.path ?? null;
  for (const path of [about.mission, last, demo]) {
    if (path === null || store.mission.peek() !== null) continue;
    await openPath(store, path);
    if (about.mission !== null) return;
  }
}

async function start(): Promise<void> {
  const root = document.querySelector('#window');
  assert(root !== null, 'index.html holds the window');
  const view = createView(keptView(), systemNight());
  applyLook(document.documentElement, view.look.peek());
  root.textContent = 'Reaching the desk…';
  const desk = await connectDesk();
  root.textContent = '';
  const store = createStore(desk, view, Date.now());
  store.busy.value = 'Opening the mission…';
  render(<App store={store} />, root);
  follow(store);
  try {
    await openFirst(store);
  } catch (error) {
    say(store, error instanceof Error ? error.message : String(error), true);
  }
  store.busy.value = null;
}

void start();
