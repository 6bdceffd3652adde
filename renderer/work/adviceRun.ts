// The advice, worked out in a worker of its own after the first picture of a change: roughly at once, then with the
// full sample. A worker that is still busy with a question nobody asks any more is told to stop, so that it takes no
// time from the pool. It is not ended: a browser lets it go on for two seconds then, and the next one would have to
// make its code quick again.
import { effect, untracked } from '@preact/signals';
import type { WhatIf } from '../../core/advice/whatIf.ts';
import type { World } from '../../core/descent/scenario.ts';
import { roadLines } from '../../core/formats/areas/areas.ts';
import type { LogEvent } from '../../core/log/events.ts';
import type { Mission } from '../../core/plan/schema.ts';
import type { WorkerLike } from '../../core/work/pool.ts';
import type { AdviceAnswer, Answer, Ask } from '../../core/work/work.ts';
import { WorldNews } from '../../core/work/worldWork.ts';
import type { Store } from '../state/derived/store.ts';
import { SEED } from './spreadRun.ts';

/** Sample of the first answer and of the one that stays. */
const ROUGH = 400;
const FULL = 2000;
/** How long the advice waits for the first picture, ms: a change that moves no landing has none. */
const WAIT_MS = 160;
interface Question {
  readonly mission: Mission;
  readonly log: readonly LogEvent[];
  readonly at_s: number;
  readonly world: World;
  readonly roads: unknown;
  /** Only the clock went on: the answer that stands is near enough until the full one is there. */
  readonly onlyLater: boolean;
}

/** One worker that knows one world. */
class Adviser {
  readonly #worker: WorkerLike;
  readonly #news = new WorldNews();
  #busy = 0;

  constructor(worker: WorkerLike) {
    this.#worker = worker;
  }

  /** Nobody waits any more for what was asked. */
  stop(): void {
    if (this.#busy > 0) void this.#ask([{ kind: 'stop' }]);
  }

  end(): void {
    this.#worker.terminate();
  }

  async ask(
    { world, mission, log, at_s, roads }: Question,
    members: number,
    whatIf: WhatIf | null,
  ): Promise<AdviceAnswer> {
    const { number, asks } = this.#news.tell(world);
    const job = { world: number, mission, log, at_s, members, seed: SEED, roads: roadLines(roads), whatIf };
    this.#busy += 1;
    try {
      return adviceIn(await this.#ask([...asks, { kind: 'advice', job }]));
    } finally {
      this.#busy -= 1;
    }
  }

  /** In one go, so that nothing comes between; the last one's answer. */
  async #ask(asks: readonly Ask[]): Promise<Answer | undefined> {
    const answers = await Promise.all(asks.map((ask) => this.#worker.ask(ask)));
    return answers.at(-1);
  }
}

function adviceIn(answer: Answer | undefined): AdviceAnswer {
  if (answer?.kind === 'advice') return answer.answer;
  throw new Error(answer?.kind === 'fault' ? answer.why : 'a worker answered out of turn');
}

export interface AdviceWatch {
  /** The first picture of a change has been drawn: the advice need not wait any longer. */
  readonly pictured: () => void;
  readonly end: () => void;
}

/** `changed` is told of each full answer with the full one before it. */
export function watchAdvice(
  store: Store,
  makeWorker: () => WorkerLike,
  changed: (before: AdviceAnswer | null, now: AdviceAnswer) => void,
): AdviceWatch {
  const adviser = new Adviser(makeWorker());
  const { decision } = store;
  let turn = 0;
  let timer = 0;
  let full: { readonly path: string; readonly answer: AdviceAnswer } | null = null;
  let question: Question | null = null;
  /** The question whose full answer stands: a what-if about it asks for nothing else again. */
  let settled: Question | null = null;

  const begin = (): void => {
    window.clearTimeout(timer);
    timer = 0;
    if (question !== null) void advise(question, turn);
  };
  const advise = async (asked: Question, mine: number): Promise<void> => {
    const path = store.file.peek()?.path ?? '';
    try {
      for (const members of settled === asked ? [] : asked.onlyLater ? [FULL] : [ROUGH, FULL]) {
        const answer = await adviser.ask(asked, members, null);
        if (turn !== mine) return;
        decision.advice.value = answer;
        // What was known at a past moment that is looked at is no change: now is compared with the last now.
        if (members !== FULL || store.past.peek()) continue;
        changed(full?.path === path ? full.answer : null, answer);
        full = { path, answer };
        settled = asked;
      }
      const other = decision.whatIf.peek();
      if (other !== null) {
        const answer = await adviser.ask(asked, FULL, other.asked);
        if (turn === mine && decision.whatIf.peek()?.asked === other.asked)
          decision.whatIf.value = { asked: other.asked, answer };
      }
      if (turn === mine) decision.advising.value = false;
    } catch (error) {
      if (turn !== mine) return;
      decision.advising.value = false;
      decision.trouble.value = error instanceof Error ? error.message : String(error);
    }
  };

  const renew = (): void => {
    turn += 1;
    adviser.stop();
    decision.advising.value = true;
    window.clearTimeout(timer);
    timer = window.setTimeout(begin, WAIT_MS);
  };

  const endChanges = effect(() => {
    const mission = store.mission.value;
    const world = store.forecastWorld.value;
    const beside = store.beside.value;
    const log = store.log.value;
    const at_s = store.shown_s.value;
    untracked(() => {
      if (mission === null || world === null || beside === null) {
        question = null;
        turn += 1;
        decision.advice.value = null;
        decision.advising.value = false;
        return;
      }
      // Another mission's advice must not stand for a moment under this one's name.
      if (question !== null && question.roads !== beside.roads) decision.advice.value = null;
      const onlyLater =
        decision.advice.value !== null &&
        question?.mission === mission &&
        question.world === world &&
        question.log === log;
      question = { mission, log, at_s, world, roads: beside.roads, onlyLater };
      renew();
    });
  });
  // An edit that is refused leaves the question as it was: it is asked again, and where its answer stands that is found
  // at once.
  const endEdits = effect(() => {
    if (store.edits.value > 0 && question !== null) untracked(renew);
  });
  let asked: WhatIf | null = null;
  const endWhatIf = effect(() => {
    const now = decision.whatIf.value?.asked ?? null;
    if (now === asked) return;
    asked = now;
    if (now !== null && question !== null) untracked(renew);
  });
  return {
    pictured: () => {
      if (timer !== 0) begin();
    },
    end: () => {
      endChanges();
      endEdits();
      endWhatIf();
      turn += 1;
      window.clearTimeout(timer);
      adviser.end();
    },
  };
}
