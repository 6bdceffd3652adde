// The desk's rehearsal as it concerns the mission that is open.
import { computed, type ReadonlySignal } from '@preact/signals';
import type { RehearsalState } from '../../../main/contract.ts';
import type { Store } from './store.ts';

/** The rehearsal whose copy is open; null: another mission is, or the desk has none. */
export function rehearsalHere({ rehearsal, file }: Pick<Store, 'rehearsal' | 'file'>): RehearsalState | null {
  const state = rehearsal.state.value;
  return state !== null && state.missionPath === file.value?.path ? state : null;
}

/** Lines of the radio that were not on the panel yet. */
export const radioUnseen = (store: Pick<Store, 'rehearsal' | 'file'>): ReadonlySignal<number> =>
  computed(() => Math.max(0, (rehearsalHere(store)?.heard.length ?? 0) - store.rehearsal.seen.value));
