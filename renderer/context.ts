// The store as the components get it: from the nearest provider, never from a module.
import { createContext } from 'preact';
import { useContext } from 'preact/hooks';
import { assert } from '../core/base/problem.ts';
import type { Store } from './state/derived/store.ts';

export const StoreContext = createContext<Store | null>(null);

export function useStore(): Store {
  const store = useContext(StoreContext);
  assert(store !== null, 'components stand inside the provider of the store');
  return store;
}
