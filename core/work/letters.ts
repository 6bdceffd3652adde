// Questions to a worker and its answers, matched by number: an urgent answer overtakes a long one.
import type { Answer, Ask } from './work.ts';

export interface Letter<T> {
  readonly id: number;
  readonly says: T;
}

interface Waiting {
  readonly resolve: (answer: Answer) => void;
  readonly reject: (error: Error) => void;
}

export class Letters {
  readonly #post: (letter: Letter<Ask>) => void;
  readonly #waiting = new Map<number, Waiting>();
  #last = 0;
  #gone: Error | null = null;

  constructor(post: (letter: Letter<Ask>) => void) {
    this.#post = post;
  }

  ask(says: Ask): Promise<Answer> {
    return new Promise((resolve, reject) => {
      if (this.#gone !== null) return reject(this.#gone);
      this.#last += 1;
      this.#waiting.set(this.#last, { resolve, reject });
      this.#post({ id: this.#last, says });
    });
  }

  heard({ id, says }: Letter<Answer>): void {
    const one = this.#waiting.get(id);
    this.#waiting.delete(id);
    one?.resolve(says);
  }

  /** Nobody answers any more: every question that waits and every later one fails with this. */
  end(why: Error): void {
    this.#gone ??= why;
    const all = [...this.#waiting.values()];
    this.#waiting.clear();
    for (const one of all) one.reject(this.#gone);
  }
}
