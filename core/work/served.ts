// One worker's end of the message map: questions are answered in their order, long ones in steps. A stop ends the long
// question that is under way with its step, and the long ones that wait behind it; what the worker must know later (a
// world, a moment) it still hears. What takes no time is answered at once, between two steps of what does.
import type { Letter } from './letters.ts';
import { Workbench, type Answer, type Ask } from './work.ts';

/**
 * in steps   what is worked out: ended by a stop
 * at once    what a question behind it needs, so that it is heard behind a stop too
 * between    what takes no time: answered between two steps of what does
 */
const HOW: Readonly<Record<Ask['kind'], 'in steps' | 'at once' | 'between'>> = {
  world: 'at once',
  terrain: 'at once',
  air: 'at once',
  ensemble: 'at once',
  members: 'at once',
  forget: 'at once',
  log: 'at once',
  moment: 'at once',
  advice: 'in steps',
  edges: 'in steps',
  recovery: 'in steps',
  brief: 'in steps',
  'brief changes': 'in steps',
  'brief file': 'at once',
  'crew times': 'between',
  debrief: 'in steps',
  when: 'at once',
  'when hours': 'in steps',
  alive: 'between',
  stop: 'at once',
};

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
    if (HOW[says.kind] === 'between') return this.#post({ id, says: this.#bench.answer(says) });
    this.#waiting.push({ id, says });
    if (says.kind === 'stop') this.#stops += 1;
    if (!this.#working) void this.#work();
  }

  async #work(): Promise<void> {
    this.#working = true;
    for (let next = this.#waiting.shift(); next !== undefined; next = this.#waiting.shift()) {
      const { id, says } = next;
      if (says.kind === 'stop') this.#stops -= 1;
      this.#post({ id, says: HOW[says.kind] === 'in steps' ? await this.#long(says) : this.#bench.answer(says) });
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
