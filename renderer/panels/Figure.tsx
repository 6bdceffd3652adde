// A number of the decision that tells where it came from.
import type { ComponentChildren, JSX } from 'preact';
import { Teller } from '../parts/Teller.tsx';
import { askWhy } from '../state/acting/actions.ts';
import { useStore } from '../context.ts';
import type { Provenance } from '../state/stored/tellers.ts';

interface Props {
  /** Asked when the number is selected. */
  readonly why: () => Provenance;
  readonly of: string;
  readonly big?: boolean;
  /** Done as well when the number is selected. */
  readonly also?: () => void;
  readonly children: ComponentChildren;
}

export function Figure({ why, of, big, also, children }: Props): JSX.Element {
  const store = useStore();
  const open = store.provenance.value?.key === of;
  return (
    <button
      type="button"
      class={big === true ? 'num' : 'num text'}
      data-number={of}
      aria-expanded={open}
      onClick={() => {
        also?.();
        askWhy(store, why());
      }}
    >
      {children}
      {open ? <Teller key={of} store={store} why={why} /> : null}
    </button>
  );
}
