// A pool of workers that fly ensembles in chunks. Which worker flew a chunk makes no difference to its numbers, and
// what is shown grows from the first member on: a picture of more members replaces one of fewer, never the other way
// round.
import { GatheredMembers, type EnsembleSetup, type Members } from '../descent/ensemble.ts';
import { jobOf, type Answer, type Ask } from './work.ts';
import { WorldNews } from './worldWork.ts';

/** A worker as its host has it: a Web Worker, a worker thread, or the same thread. */
export interface WorkerLike {
  /** Sends a question; the answer comes back in turn. Rejects when the worker is gone. */
  ask(question: Ask): Promise<Answer>;
  terminate(): void;
}

export interface Progress {
  readonly done: number;
  readonly total: number;
  /** All members from 0 to `done`. */
  readonly members: Members;
}

export interface RunOptions {
  readonly members: number;
  /**
   * Members of the first picture; each further one has GROWTH times as many, so that the cost of pictures stays small.
   */
  readonly first?: number;
  /** Set by the caller to stop: no further chunk is begun. */
  readonly stopped?: () => boolean;
}

const FIRST = 500;
/**
 * Between two pictures a spread's own error falls to a bit more than a half (1/√3): a step that is seen, and few
 * pictures.
 */
const GROWTH = 3;
/**
 * Members of a chunk: a worker whose run was stopped is free again after at most this many for each question it holds.
 */
const CHUNK = 16;
/** The smallest chunks of a first picture, and the largest. */
const GUIDED_MIN = 8;
const GUIDED_MAX = 128;
/** Questions that a worker holds at once: while one answer waits for a busy asker, the next is flown. */
const DEPTH = 2;

export class EnsemblePool {
  readonly #workers: readonly WorkerLike[];
  readonly #news = new WorldNews();
  #next = 0;

  constructor(workers: readonly WorkerLike[]) {
    this.#workers = workers;
  }

  get size(): number {
    return this.#workers.length;
  }

  /**
   * Flies an ensemble. Yields a picture whenever the members from 0 on have reached the next size: 500, 1500, 4500 …
   * and the end. A stopped run yields nothing more; what it had is what was yielded.
   */
  async *run(setup: EnsembleSetup, options: RunOptions): AsyncGenerator<Progress, void, undefined> {
    const total = options.members;
    const stopped = options.stopped ?? (() => false);
    const ensemble = (this.#next += 1);
    let prefix = 0;
    let asked = 0;
    let picture = Math.min(options.first ?? FIRST, total);
    const early = picture;
    const gathered = new GatheredMembers(total, early);
    let wake: (() => void) | null = null;
    // Beyond the first picture nothing is flown until the drawing code asks for more: drawing has the machine to
    // itself.
    let goOn: () => void = () => {};
    let drawn: Promise<void> | null = new Promise((resolve) => (goOn = resolve));
    let trouble: unknown = null;
    const fly = async (worker: WorkerLike): Promise<void> => {
      while (asked < total && !stopped() && trouble === null) {
        if (asked >= early && drawn !== null) {
          await drawn;
          continue;
        }
        const first = asked;
        const chunk = first < early ? guided(early - first, this.#workers.length * DEPTH) : CHUNK;
        const count = Math.min(chunk, total - first);
        asked += count;
        const answer = await worker.ask({ kind: 'members', ensemble, first, count });
        if (answer.kind === 'members') gathered.put(answer.first, answer.count, answer.columns);
        else trouble = new Error(answer.kind === 'fault' ? answer.why : 'a worker answered out of turn');
        wake?.();
      }
    };
    // A worker answers in the order of the questions: world, ensemble and members are asked in one go.
    const begun = this.#begin(setup, ensemble);
    const flying = Array.from({ length: DEPTH }, () => this.#workers.map(fly)).flat();
    const running = Promise.all([begun, ...flying]).catch((error: unknown) => {
      trouble = error;
      wake?.();
    });
    try {
      while (prefix < total && !stopped()) {
        prefix = gathered.inOrder;
        if (trouble !== null) throw trouble;
        if (prefix >= picture) {
          // Chunks may have run ahead of several pictures at once.
          do picture = Math.min(GROWTH * picture, total);
          while (picture <= prefix && picture < total);
          yield { done: prefix, total, members: gathered.upTo(prefix) };
          drawn = null;
          goOn();
        } else {
          await new Promise<void>((resolve) => {
            wake = resolve;
            if (trouble !== null || gathered.inOrder > prefix) resolve();
          });
        }
      }
    } finally {
      trouble ??= new Error('the run was left');
      drawn = null;
      goOn();
      await running;
      // A worker that is gone has forgotten already; what ended the run is said, not that.
      await Promise.allSettled(this.#workers.map((worker) => worker.ask({ kind: 'forget', ensemble })));
    }
  }

  /** Tells every worker of the world, where it is a new one, and of the ensemble. Throws where one cannot take them. */
  async #begin(setup: EnsembleSetup, ensemble: number): Promise<void> {
    const { number, asks } = this.#news.tell(setup.scenario.world);
    const questions: Ask[] = [...asks, { kind: 'ensemble', job: jobOf(ensemble, number, setup) }];
    const answers = await Promise.all(
      this.#workers.flatMap((worker) => questions.map((question) => worker.ask(question))),
    );
    for (const answer of answers) if (answer.kind === 'fault') throw new Error(answer.why);
  }

  terminate(): void {
    for (const worker of this.#workers) worker.terminate();
  }
}

/**
 * Members of the next chunk of a first picture: of those that are left as many as fall to each question that is held.
 * Long ones go out first, while the asker is busy with the change itself, and short ones last, so that all workers end
 * together. Source: guided self-scheduling, Polychronopoulos & Kuck, IEEE Trans. Comput. C-36 (1987) 1425.
 */
const guided = (left: number, questions: number): number =>
  Math.min(Math.max(Math.ceil(left / questions), GUIDED_MIN), GUIDED_MAX, left);
