// The window starts here: the desk is reached, the store made, the mission opened that the desk names, else the last
// one, else the welcome with its ways on.
import '@fontsource/ibm-plex-sans/latin-400.css';
import '@fontsource/ibm-plex-sans/latin-500.css';
import '@fontsource/ibm-plex-sans/latin-600.css';
import './theme/style.css';
import { effect } from '@preact/signals';
import { render } from 'preact';
import { assert } from '../core/base/problem.ts';
import { App } from './app.tsx';
import { connectDesk } from './desk.ts';
import { panelsAfterMap } from './frame.ts';
import { keepUnsaved, logged, openPath, say } from './state/acting/actions.ts';
import { watchAlerts } from './state/acting/alertActions.ts';
import { catchUp, leapWatch, noteLeap, takeLogTrouble, watchFaults } from './state/acting/catchingUp.ts';
import { listenToFeeds } from './state/acting/feeds.ts';
import { listenToRehearsal, tickClock } from './state/acting/rehearsing.ts';
import { watchReplay } from './state/acting/replay.ts';
import { watchMoves } from './state/acting/moved.ts';
import { createStore, type Store } from './state/derived/store.ts';
import { createView, type Kept } from './state/stored/view.ts';
import { holds } from './parts/media.ts';
import { startWork } from './work/start.ts';
import { applyLook } from './theme/apply.ts';
import './theme/recovery.css';
import './theme/rehearsal.css';
import './theme/narrow.css';
import './theme/print.css';

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
  watchFaults(window, store);
  desk.onState((state) => {
    const before = store.deskState.peek();
    // The word stays held until what came meanwhile is here.
    if (state === 'connected' && before !== 'connected')
      void catchUp(store).then(() => (store.deskState.value = desk.state()));
    else store.deskState.value = state;
  });
  desk.on('log/appended', ({ missionPath, event }) => {
    if (missionPath === store.file.peek()?.path) logged(store, event);
  });
  desk.on('log/trouble', ({ missionPath, why, lost }) => {
    if (missionPath === store.file.peek()?.path) void takeLogTrouble(store, why, lost);
  });
  desk.on('mission/copied', ({ from, to }) => {
    const file = store.file.peek();
    if (file === null || file.path !== from) return;
    store.file.value = { ...file, path: to, demo: false };
    store.view.lastPath.value = to;
  });
  desk.on('mission/offered', ({ path }) => void openPath(store, path));
  desk.on('host/said', ({ text }) => say(store, text, true));
  watchMoves(store);
  watchReplay(store);
  watchAlerts(store);
  startWork(store);
  listenToFeeds(store);
  listenToRehearsal(store);
  // Once a second, on the second, as a clock should.
  const leaps = leapWatch(
    () => Date.now(),
    () => performance.now(),
  );
  const tick = (): void => {
    const leap_ms = leaps.look();
    if (leap_ms !== 0) void noteLeap(store, leap_ms);
    window.setTimeout(tick, tickClock(store));
  };
  tick();
  // A second after the last change, and when the page goes: what is not saved is there again at the next start.
  let waiting = 0;
  effect(() => {
    void store.plan.value;
    void store.file.value;
    window.clearTimeout(waiting);
    waiting = window.setTimeout(() => keepUnsaved(store), 1000);
  });
  window.addEventListener('pagehide', () => keepUnsaved(store));
}

const LINE_KEY = 'plumbline.line';

/** A half-typed line survives a reload of the page; it belongs to this window, not to the next start. */
function keepLine(store: Store): void {
  try {
    const session = window.sessionStorage;
    store.entryText.value = session.getItem(LINE_KEY) ?? '';
    effect(() => session.setItem(LINE_KEY, store.entryText.value));
  } catch {
    // A page that is denied its storage begins with an empty line.
  }
}

async function openFirst(store: Store): Promise<void> {
  const { desk } = store;
  const about = await desk.call('host/about');
  store.about.value = about;
  store.demos.value = await desk.call('mission/demos');
  if (about.mission !== null) return openPath(store, about.mission);
  const last = store.view.lastPath.peek();
  if (last !== null) await openPath(store, last);
  const why = store.trouble.peek();
  if (why !== null) store.trouble.value = `The mission that was open last could not be opened. ${why}`;
}

async function start(): Promise<void> {
  const root = document.querySelector('#window');
  assert(root !== null, 'index.html holds the window');
  const kept = keptView();
  const view = createView(kept, holds('(prefers-color-scheme: dark)'));
  applyLook(document.documentElement, view.look.peek());
  root.textContent = 'Reaching the desk…';
  const desk = await connectDesk();
  root.textContent = '';
  const store = createStore(desk, view, kept, Date.now());
  keepLine(store);
  store.busy.value = 'Opening the mission…';
  panelsAfterMap();
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
