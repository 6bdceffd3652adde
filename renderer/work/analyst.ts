// One worker that is told of a mission at a moment and asked about it; it folds the log and analyses the winds once.
// The word and the crews have one each: a board does not wait for a word, nor a brief for what would change it.
import { effect, type ReadonlySignal } from '@preact/signals';
import type { MomentOf } from '../../core/work/moment.ts';
import { MomentNews } from '../../core/work/momentNews.ts';
import type { WorkerLike } from '../../core/work/pool.ts';
import { answerOf, type Answer, type Ask } from '../../core/work/work.ts';
import { SEED } from '../state/derived/asked.ts';
import type { MomentAsked } from '../state/stored/decision.ts';
import { Latest, type Told } from './latest.ts';

interface MomentTold {
  /** No mission, or another one: what was found must not stand under this one's name. */
  readonly forget: () => void;
  readonly asked: (moment: MomentAsked) => void;
  readonly nothing: () => void;
}

/** Tells of each moment that is asked about. Answers its own end. */
export function eachMoment(momentAsked: ReadonlySignal<MomentAsked | null>, told: MomentTold): () => void {
  let before: MomentAsked | null = null;
  return effect(() => {
    const asked = momentAsked.value;
    if (asked === null || before?.path !== asked.path) told.forget();
    if (asked === null) told.nothing();
    else if (asked !== before) told.asked(asked);
    before = asked;
  });
}

export type AnswerOf<K extends Answer['kind']> = Extract<Answer, { kind: K }>;

/** One worker, what it was told, and which answers of the moment it was told last are known. */
export class Analyst {
  readonly #worker: WorkerLike;
  readonly #news = new MomentNews();
  readonly #known = new Set<string>();
  #of: MomentOf | null = null;
  #asked: MomentAsked | null = null;
  #moments = 0;
  #plans = 0;

  constructor(worker: WorkerLike) {
    this.#worker = worker;
  }

  /** Tells the worker of a moment; all that is asked from now on is of it. */
  turnTo(asked: MomentAsked): void {
    if (asked === this.#asked) return;
    if (asked.mission !== this.#asked?.mission) this.#plans += 1;
    this.#asked = asked;
    this.#known.clear();
    const { mission, log, at_s, world, roads } = asked;
    this.#moments += 1;
    const stamp = { moment: this.#moments, seq: log.at(-1)?.seq ?? -1, plan: this.#plans, at_s };
    this.#of = { stamp, mission, log, world, roads, seed: SEED };
    // A worker that is gone says so at the question that follows.
    for (const ask of this.#news.tell(this.#of)) void this.#worker.ask(ask).catch(() => {});
  }

  /** Whether an answer of the moment came already. */
  knows(name: string): boolean {
    return this.#known.has(name);
  }

  /** Null where a stop came before the answer. */
  async ask<K extends Answer['kind']>(question: Ask, kind: K): Promise<AnswerOf<K> | null> {
    const moment = this.#of?.stamp.moment;
    const answer = await this.#worker.ask(question);
    if (answer.kind === 'stopped') return null;
    const found = answerOf(answer, kind);
    if ('stamp' in found && found.stamp.moment !== moment) throw new Error('a worker answered for another moment');
    return found;
  }

  /** Null too where the answer of that name came already. */
  async once<K extends Answer['kind']>(name: string, question: Ask, kind: K): Promise<AnswerOf<K> | null> {
    const answer = this.knows(name) ? null : await this.ask(question, kind);
    if (answer !== null) this.#known.add(name);
    return answer;
  }

  stop(): void {
    void this.#worker.ask({ kind: 'stop' }).catch(() => {});
  }

  end(): void {
    this.#worker.terminate();
  }
}

/** Work of which only the newest answer counts, by a worker of its own: another one where it failed. */
export class LatestByWorker<Q, A> {
  readonly #makeWorker: () => WorkerLike;
  readonly #latest: Latest<Q, A>;
  #analyst: Analyst;

  constructor(
    makeWorker: () => WorkerLike,
    work: (analyst: Analyst, question: Q) => AsyncIterable<A>,
    told: Told<Q, A>,
  ) {
    this.#makeWorker = makeWorker;
    this.#analyst = new Analyst(makeWorker());
    const fault: Told<Q, A>['fault'] = (why, question) => {
      this.#analyst.end();
      this.#analyst = new Analyst(this.#makeWorker());
      told.fault(why, question);
    };
    this.#latest = new Latest<Q, A>(
      (question) => work(this.#analyst, question),
      { ...told, fault },
      () => this.#analyst.stop(),
    );
  }

  get analyst(): Analyst {
    return this.#analyst;
  }

  /** Asks what a signal says, each time that it says something else. Answers its own end. */
  follow(question: () => Q | null): () => void {
    const stop = effect(() => this.#latest.want(question()));
    return () => {
      stop();
      this.#latest.want(null);
      this.#analyst.end();
    };
  }
}
