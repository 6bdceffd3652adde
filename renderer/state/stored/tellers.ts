// Who tells the explanation that is open: the numbers on the window that it belongs to. While one stands there the
// explanation is of the number as it is now; when the last of them is gone it closes, so that it never explains a
// number that nobody sees.
import type { Signal } from '@preact/signals';

/** Where a number came from: what stands in the panel's "where this comes from", with the fields that lead there. */
export interface Provenance {
  readonly key: string;
  readonly title: string;
  readonly sentence: string;
  readonly inputs: readonly { readonly label: string; readonly value: string; readonly field: string }[];
}

export class Tellers {
  readonly #open: Signal<Provenance | null>;
  readonly #counts = new Map<string, number>();
  /**
   * Key of the open explanation whose last number went; another one may come in the same drawing, for instance in
   * another row.
   */
  #left: string | null = null;

  constructor(open: Signal<Provenance | null>) {
    this.#open = open;
  }

  /** A number is drawn whose explanation is open. Answers what to do when it is no longer drawn. */
  begin(told: Provenance): () => void {
    const { key } = told;
    // Where another one tells already, what was asked is what that one says: the strip may count other descents than
    // the panel.
    if (this.#left === key) this.renew(told);
    this.#counts.set(key, this.#count(key) + 1);
    return () => this.#end(key);
  }

  /** The number changed, or depends on something else now. */
  renew(told: Provenance): void {
    if (this.#open.peek()?.key === told.key) this.#open.value = told;
  }

  #count(key: string): number {
    return this.#counts.get(key) ?? 0;
  }

  #end(key: string): void {
    this.#counts.set(key, this.#count(key) - 1);
    if (this.#count(key) > 0 || this.#open.peek()?.key !== key) return;
    this.#left = key;
    queueMicrotask(() => {
      this.#left = null;
      if (this.#count(key) === 0 && this.#open.peek()?.key === key) this.#open.value = null;
    });
  }
}
