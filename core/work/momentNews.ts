// What a worker must be told before it can be asked about a moment: the world where it is a new one, the events of the
// log that it has not heard, and the moment itself.
import type { LogEvent } from '../log/events.ts';
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

/** How many events of a log another one begins with. They are the same objects: a log is added to and never changed. */
function heardOf(before: readonly LogEvent[], log: readonly LogEvent[]): number {
  let same = 0;
  while (same < before.length && before[same] === log[same]) same += 1;
  return same;
}
