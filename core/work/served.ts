// One worker's end of the message map: questions are answered in their order, long ones in steps. A stop ends the long
// question that is under way with its step, and the long ones that wait behind it; what the worker must know later (a
// world, an ensemble) it still hears.
import { Workbench, type Answer, type Ask } from './work.ts';

const LONG: ReadonlySet<Ask['kind']> = new Set(['advice', 'recovery', 'brief', 'brief changes']);

export class Served {
  readonly #bench = new Workbench();
  readonly #post: (answer: Answer) => void;
  readonly #pause: () => Promise<void>;
  readonly #waiting: Ask[] = [];
  #stops = 0;
  #working = false;

  /**
   * post   sends an answer
   * pause  lets what has arrived meanwhile be heard
   */
  constructor(post: (answer: Answer) => void, pause: () => Promise<void>) {
    this.#post = post;
    this.#pause = pause;
  }

  hear(ask: Ask): void {
    this.#waiting.push(ask);
    if (ask.kind === 'stop') this.#stops += 1;
    if (!this.#working) void this.#work();
  }

  async #work(): Promise<void> {
    this.#working = true;
    for (let ask = this.#waiting.shift(); ask !== undefined; ask = this.#waiting.shift()) {
      if (ask.kind === 'stop') this.#stops -= 1;
      this.#post(LONG.has(ask.kind) ? await this.#long(ask) : this.#bench.answer(ask));
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
