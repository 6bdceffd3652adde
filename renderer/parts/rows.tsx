// Rows that every panel has: the head of a table, a pair of name and value, words that are only said.
import type { ComponentChildren, JSX } from 'preact';
import { MISSING } from '../../core/words/numbers.ts';

/** A table's head, a column each. */
export function Heads({ names }: { readonly names: readonly ComponentChildren[] }): JSX.Element {
  return (
    <thead>
      <tr>
        {names.map((name, i) => (
          <th key={i} scope="col">
            {name}
          </th>
        ))}
      </tr>
    </thead>
  );
}

interface PairProps {
  readonly name: ComponentChildren;
  readonly children: ComponentChildren;
}

/** A name over its value, in a list of them. */
export function Pair({ name, children }: PairProps): JSX.Element {
  return (
    <div>
      <dt>{name}</dt>
      <dd>{children}</dd>
    </div>
  );
}

/** A value that is missing: a dash, with the reason for eye and ear. */
export function Missing({ why, big }: { readonly why: string; readonly big?: boolean }): JSX.Element {
  return (
    <span class={big === true ? 'value' : undefined} title={why}>
      {MISSING}
      <span class="said">: {why}</span>
    </span>
  );
}
