// The lead's lists, as the window shows them: which one, who reads back, and the item that is being skipped.
import { signal, type Signal } from '@preact/signals';

export interface ListsView {
  /** The list that is read; null: the first that has an open item. */
  readonly chosen: Signal<string | null>;
  /** Who reads back, as it was typed; null: who did last in this log, else who sits here. */
  readonly by: Signal<string | null>;
  /** The item whose reason is being typed; null: none. */
  readonly skipping: Signal<string | null>;
  /** An entry is on its way into the log: a second press is of the same item, and is not taken. */
  readonly busy: Signal<boolean>;
}

export function createListsView(): ListsView {
  return {
    chosen: signal<string | null>(null),
    by: signal<string | null>(null),
    skipping: signal<string | null>(null),
    busy: signal(false),
  };
}
