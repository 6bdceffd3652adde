// Where a number came from: the sentence on how it is computed, and the inputs that it depends on, each a way to its
// field.
import type { JSX } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import { goToField } from '../state/acting/actions.ts';
import type { Store } from '../state/derived/store.ts';
import { Word } from '../parts/buttons.tsx';

export function Why({ store }: { readonly store: Store }): JSX.Element | null {
  const why = store.provenance.value;
  const box = useRef<HTMLElement>(null);
  useEffect(() => box.current?.scrollIntoView({ block: 'nearest' }), [why?.key]);
  if (why === null) return null;
  const close = (): void => {
    store.provenance.value = null;
  };
  return (
    <section ref={box} class="why" aria-label={`Where this comes from: ${why.title}`} id="why">
      <h2>{why.title}: where it comes from</h2>
      <p class="small">{why.sentence}</p>
      <ul>
        {why.inputs.map((input) => (
          <li key={input.label}>
            <Word onClick={() => goToField(store, input.field)}>
              {input.label} <span style={{ color: 'var(--ink)' }}>{input.value}</span>
            </Word>
          </li>
        ))}
      </ul>
      <Word small onClick={close}>
        Close <kbd>Esc</kbd>
      </Word>
    </section>
  );
}
