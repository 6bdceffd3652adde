// A store as the window has it, without a window: a demo mission opened on a desk that answers nothing.
import { signal } from '@preact/signals';
import type { LogEvent } from '../../core/log/events.ts';
import type { Loaded } from '../../core/mission/load.ts';
import type { ConnectedDesk } from '../../renderer/desk.ts';
import type { Beside } from '../../renderer/model.ts';
import { createStore, type Store } from '../../renderer/state/derived/store.ts';
import { opened } from '../../renderer/state/stored/history.ts';
import type { Json } from '../../renderer/state/stored/json.ts';
import { createView } from '../../renderer/state/stored/view.ts';

const desk: ConnectedDesk = {
  call: (): never => {
    throw new Error('no desk in this test');
  },
  on: () => () => {},
  onState: () => () => {},
  state: () => 'connected',
  close: () => {},
};

export interface Inputs {
  readonly plan: Json;
  readonly beside: Beside;
  readonly log: readonly LogEvent[];
  readonly now_ms: number;
  readonly moment_ms: number | null;
}

export const inputsOf = (
  { raw, log, unread, windSources, terrain, roads, problems }: Loaded,
  now_ms: number,
): Inputs => ({
  plan: raw as Json,
  beside: { windSources, terrain, roads, log, unread, problems: [...problems] },
  log,
  now_ms,
  moment_ms: null,
});

/** What a store holds, as another one is made from it. */
export const inputsIn = (store: Store): Inputs => {
  const plan = store.plan.value;
  const beside = store.beside.value;
  if (plan === null || beside === null) throw new Error('a mission is open');
  return { plan, beside, log: store.log.value, now_ms: store.now_ms.value, moment_ms: store.moment_ms.value };
};

export function storeOf({ plan, beside, log, now_ms, moment_ms }: Inputs): Store {
  const store = createStore(desk, createView(null, signal(false)), null, now_ms);
  store.beside.value = beside;
  store.log.value = log;
  store.moment_ms.value = moment_ms;
  store.history.value = opened(plan);
  store.file.value = { path: '/mission.json', demo: true, saved: plan, savedAt: null };
  return store;
}
