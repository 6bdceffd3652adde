// What a worker must be told before it can be asked about a moment: the world where it is a new one, the events of the
// log that it has not heard, and the moment itself.
import type { LogEvent } from '../log/events.ts';
import { heardOf } from '../log/fold.ts';
import type { MomentOf } from './moment.ts';
import type { Ask } from './work.ts';
import { WorldNews } from './worldWork.ts';

export class MomentNews {
  readonly #worlds = new WorldNews();
  #log: readonly LogEvent[] = [];
  #moment: MomentOf | null = null;

  /** What there is to tell, in order; nothing where this moment was told last. */
  tell(of: MomentOf): readonly Ask[] {
    if (of === this.#moment) return [];
    this.#moment = of;
    const { world, log, ...rest } = of;
    const { number, asks } = this.#worlds.tell(world);
    const from = heardOf(this.#log, log);
    this.#log = log;
    return [
      ...asks,
      { kind: 'log', from, events: log.slice(from) },
      { kind: 'moment', job: { ...rest, world: number } },
    ];
  }
}
