// One worker's end of the message map: questions are answered in their order, long ones in steps. A stop ends the long
// question that is under way with its step, and the long ones that wait behind it; what the worker must know later (a
// world, a moment) it still hears. What takes no time is answered at once, between two steps of what does.
import type { Letter } from './letters.ts';
import { Workbench, type Answer, type Ask } from './work.ts';

const LONG: ReadonlySet<Ask['kind']> = new Set(['advice', 'recovery', 'brief', 'brief changes', 'when hours']);
const URGENT: ReadonlySet<Ask['kind']> = new Set(['alive', 'crew times']);

export class Served {
  readonly #bench = new Workbench();
  readonly #post: (letter: Letter<Answer>) => void;
  readonly #pause: () => Promise<void>;
  readonly #waiting: Letter<Ask>[] = [];
  #stops = 0;
  #working = false;

  /**
   * post   sends an answer
   * pause  lets what has arrived meanwhile be heard
   */
  constructor(post: (letter: Letter<Answer>) => void, pause: () => Promise<void>) {
    this.#post = post;
    this.#pause = pause;
  }

  hear({ id, says }: Letter<Ask>): void {
    if (URGENT.has(says.kind)) return this.#post({ id, says: this.#bench.answer(says) });
    this.#waiting.push({ id, says });
    if (says.kind === 'stop') this.#stops += 1;
    if (!this.#working) void this.#work();
  }

  async #work(): Promise<void> {
    this.#working = true;
    for (let next = this.#waiting.shift(); next !== undefined; next = this.#waiting.shift()) {
      const { id, says } = next;
      if (says.kind === 'stop') this.#stops -= 1;
      this.#post({ id, says: LONG.has(says.kind) ? await this.#long(says) : this.#bench.answer(says) });
    }
    this.#working = false;
  }

  async #long(ask: Ask): Promise<Answer> {
    const steps = this.#bench.steps(ask);
    while (this.#stops === 0) {
      const step = steps.next();
      if (step.done === true) return step.value;
      await this.#pause();
    }
    return { kind: 'stopped' };
  }
}
