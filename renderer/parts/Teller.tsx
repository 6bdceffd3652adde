// Stands beside a number whose explanation is open, shows nothing, and keeps the explanation that of the number as it
// is drawn.
import { useLayoutEffect, useRef } from 'preact/hooks';
import type { Store } from '../state/derived/store.ts';
import type { Provenance } from '../state/stored/tellers.ts';

interface Props {
  readonly store: Store;
  readonly why: () => Provenance;
}

export function Teller({ store, why }: Props): null {
  const told = why();
  const words = JSON.stringify(told);
  const before = useRef(words);
  useLayoutEffect(() => store.tellers.begin(told), [told.key]);
  useLayoutEffect(() => {
    // Only a change is told again: two numbers under one key would otherwise overwrite each other for ever.
    if (before.current !== words) store.tellers.renew(told);
    before.current = words;
  }, [words]);
  return null;
}
