// Work of which only the newest answer counts. A question that comes while another is worked on replaces whatever
// waits; what is under way is left for it once it has given a first answer, and never before, so that questions that
// come faster than any answer cannot starve it.

export interface Told<Q, A> {
  /** An answer came, the first one rough, each further one better. */
  readonly answer: (answer: A, question: Q) => void | Promise<void>;
  /** The last answer of a question came. */
  readonly done?: (question: Q) => void;
  /** No answer came, and why. After the first fault a question is asked once more, of a new worker. */
  readonly fault: (why: string, question: Q) => void;
}

/** Answers of a question, rough to full. `left`: nobody waits for the rest any more. */
export type Work<Q, A> = (question: Q, left: () => boolean) => AsyncIterable<A>;

export class Latest<Q, A> {
  readonly #work: Work<Q, A>;
  readonly #told: Told<Q, A>;
  readonly #interrupt: () => void;
  #wanted: Q | null = null;
  /** The question whose last answer came, or of which none will come. */
  #settled: Q | null = null;
  #faulted: Q | null = null;
  #busy = false;
  #answered = false;

  /** `interrupt`: the rest of the question that is worked on is not needed. */
  constructor(work: Work<Q, A>, told: Told<Q, A>, interrupt: () => void = () => {}) {
    this.#work = work;
    this.#told = told;
    this.#interrupt = interrupt;
  }

  /** The question that counts from now on; null: none. The same one again is not asked again. */
  want(question: Q | null): void {
    if (question === this.#wanted) return;
    this.#wanted = question;
    if (this.#busy && this.#answered) this.#interrupt();
    if (!this.#busy) void this.#go();
  }

  async #go(): Promise<void> {
    this.#busy = true;
    for (let now = this.#wanted; now !== null && now !== this.#settled; now = this.#wanted) await this.#ask(now);
    this.#busy = false;
  }

  async #ask(question: Q): Promise<void> {
    this.#answered = false;
    // Work that was told once that nobody waits may have ended by then, though somebody waits again.
    let gone = false;
    const left = (): boolean => (gone ||= this.#answered && this.#wanted !== question);
    try {
      for await (const answer of this.#work(question, left)) {
        this.#answered = true;
        await this.#told.answer(answer, question);
        if (left()) return;
      }
      if (left()) return;
      this.#settled = question;
      if (this.#wanted === question) this.#told.done?.(question);
    } catch (error) {
      if (left()) return;
      this.#told.fault(error instanceof Error ? error.message : String(error), question);
      if (this.#faulted === question) this.#settled = question;
      this.#faulted = question;
    }
  }
}
