// A line of the strip in which numbers can be selected. The line is read out whenever it changes, so its words stay
// what they were: what can be selected is a stretch of them, named by them, and nothing is hidden between them that
// would be read out as well. No <button>: it would break and be cut off as one block, and the line would have other
// words where there is little room.
import type { JSX } from 'preact';
import { Teller } from '../parts/Teller.tsx';
import { askWhyIn } from '../state/acting/actions.ts';
import type { Store } from '../state/derived/store.ts';
import type { Provenance } from '../state/stored/tellers.ts';

/** What is told of a stretch of words, and the panel in which that number stands. */
export interface LineTold {
  readonly key: string;
  readonly panel: string;
  /** What the number is, for whoever meets it alone: a description, which is not read out with the line. */
  readonly what: string;
  /** Words that its name needs before its own. */
  readonly before?: string;
  readonly why: () => Provenance;
}

export interface LinePart {
  readonly words: string;
  readonly told?: LineTold;
}

interface Props {
  readonly store: Store;
  readonly id: string;
  readonly parts: readonly LinePart[];
}

export function LineWords({ store, id, parts }: Props): JSX.Element {
  return (
    <span id={id}>
      {parts.map(({ words, told }) =>
        told === undefined ? words : <Told key={told.key} store={store} words={words} told={told} />,
      )}
    </span>
  );
}

interface ToldProps {
  readonly store: Store;
  readonly words: string;
  readonly told: LineTold;
}

function Told({ store, words, told: { key, panel, what, before, why } }: ToldProps): JSX.Element {
  const run = (): void => askWhyIn(store, panel, why());
  const asked = store.provenance.value?.key === key;
  const open = asked && store.view.panel.value === panel;
  return (
    <span
      role="button"
      tabIndex={0}
      class="told"
      data-told={key}
      aria-label={before === undefined ? undefined : `${before} ${words}`}
      aria-description={what}
      aria-expanded={open}
      aria-controls={open ? 'why' : undefined}
      onClick={run}
      onKeyDown={(event) => {
        if (event.key !== 'Enter' && event.key !== ' ') return;
        event.preventDefault();
        if (!event.repeat) run();
      }}
    >
      {words}
      {asked ? <Teller key={key} store={store} why={why} /> : null}
    </span>
  );
}
