// Rehearsals: begun in a copy of the mission that is open, and followed as the desk tells them. While one is there its
// clock is the mission's.
import { batch, effect } from '@preact/signals';
import { scoreData, scoreText } from '../../../core/rehearsal/scoreText.ts';
import type { RehearsalDeed, RehearsalState } from '../../../main/contract.ts';
import { openOutcome, planText, say } from './actions.ts';
import { focusWhenDrawn } from './focus.ts';
import type { Store } from '../derived/store.ts';
import { clockNow_ms } from '../stored/clock.ts';

/** Begins a rehearsal of the mission that is open, in a copy that is opened in its place. */
export async function startRehearsal(store: Store): Promise<void> {
  const [file, plan] = [store.file.peek(), store.plan.peek()];
  if (file === null || plan === null) return say(store, 'Open a mission first; a rehearsal is made of one.', true);
  const wanted = { ...store.rehearsal.wanted.peek(), planText: planText(plan) };
  const call = store.desk.call('rehearsal/start', wanted, file.path);
  if (!(await openOutcome(store, 'Making the rehearsal…', call))) return;
  batch(() => {
    store.view.panel.value = 'Rehearsal';
    store.rehearsal.instructs.value = false;
  });
  focusWhenDrawn('#rehearsal-go');
}

export async function doInRehearsal(store: Store, deed: RehearsalDeed): Promise<boolean> {
  try {
    const outcome = await store.desk.call('rehearsal/do', deed);
    if (outcome.ok) heard(store, outcome.value);
    else say(store, outcome.why, true);
    return outcome.ok;
  } catch (error) {
    say(store, `Not done: ${error instanceof Error ? error.message : String(error)}`, true);
    return false;
  }
}

/** What was heard goes onto the entry line, where it is read back before it counts. */
export function enterHeard(store: Store, text: string): void {
  store.entryText.value = text;
  focusWhenDrawn('#entry-line');
}

/** The score beside the rehearsal's copy, as text or for scripts. */
export async function writeScore(store: Store, kind: 'txt' | 'json'): Promise<void> {
  const [state, path] = [store.rehearsal.state.peek(), store.file.peek()?.path];
  if (state === null || state.score === null || path === undefined) return;
  const { run, score } = state.score;
  const text = kind === 'json' ? JSON.stringify(scoreData(run, score), null, 2) : scoreText(run, score);
  const outcome = await store.desk.call(
    'export/write',
    path,
    `rehearsal-score.${kind}`,
    new TextEncoder().encode(`${text}\n`),
  );
  say(store, outcome.ok ? `The score is written: ${outcome.value.path}.` : outcome.why, !outcome.ok);
}

function heard(store: Store, state: RehearsalState | null): void {
  const [before, said] = [store.rehearsal.state.peek(), state?.heard.at(-1)];
  const isNew = before?.missionPath === state?.missionPath && (before?.heard.length ?? 0) < (state?.heard.length ?? 0);
  if (isNew && said !== undefined && state?.missionPath === store.file.peek()?.path) say(store, `Radio: ${said.text}`);
  batch(() => {
    store.rehearsal.state.value = state;
    store.rehearsal.clock.value =
      state === null
        ? null
        : {
            at_ms: 1000 * state.at_s,
            since_ms: performance.now(),
            speed: state.stage === 'running' ? state.speed : 0,
          };
  });
}

/** Listens to what the desk says of its rehearsal. Returns its own end. */
export function listenToRehearsal(store: Store): () => void {
  const { desk, rehearsal } = store;
  const ends = [
    desk.on('rehearsal/state', ({ state }) => heard(store, state)),
    // At the start and after every lost connection.
    effect(() => {
      if (store.deskState.value !== 'connected') return;
      void desk.call('rehearsal/state').then(
        (state) => heard(store, state),
        () => undefined,
      );
      void desk.call('rehearsal/offered').then(
        (offered) => (rehearsal.offered.value = offered),
        () => undefined,
      );
    }),
    effect(() => {
      if (store.paced.value !== null) setNow(store);
    }),
  ];
  return () => {
    for (const end of ends) end();
  };
}

function setNow(store: Store): void {
  const now_ms = clockNow_ms(store.paced.peek(), store.ownClock_ms.peek());
  batch(() => {
    if (store.paced.peek() !== null) store.ownClock_ms.value = now_ms - Date.now();
    store.now_ms.value = now_ms;
  });
}

/** A clock that runs fast is shown so many times a second. */
const MOST_TICKS = 4;

/** Once a second, on the second, as a clock should; answers in how many ms again. */
export function tickClock(store: Store): number {
  const paced = store.paced.peek();
  setNow(store);
  if (paced === null || paced.speed === 0) return 1000 - (Date.now() % 1000);
  const every_ms = 1000 / Math.min(paced.speed, MOST_TICKS);
  // On its own second where it runs as the wall's.
  return paced.speed === 1 ? 1000 - (store.now_ms.peek() % 1000) : every_ms;
}
