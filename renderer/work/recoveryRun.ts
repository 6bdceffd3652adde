// The recovery and the brief, worked out in a worker of their own once the advice has settled: they take seconds, and
// nothing that is looked at every second may wait for them. A worker busy with a question nobody asks any more is told
// to stop; an idle one keeps what it found, and answers at once for a crew that is dragged about.
import { effect, untracked } from '@preact/signals';
import type { World } from '../../core/descent/scenario.ts';
import type { LogEvent } from '../../core/log/events.ts';
import type { Mission } from '../../core/plan/schema.ts';
import type { WorkerLike } from '../../core/work/pool.ts';
import type { BriefFile, BriefFileAnswer, RecoveryJob } from '../../core/work/recoveryWork.ts';
import type { Answer, Ask } from '../../core/work/work.ts';
import { WorldNews } from '../../core/work/worldWork.ts';
import type { Store } from '../state/derived/store.ts';
import { SEED } from './spreadRun.ts';

/** Drawn descents in each case: as many as the brief of the command line draws, so that both say the same. */
const MEMBERS = 500;
/** How long nothing must have changed before the cases are flown, ms. */
const WAIT_MS = 250;

interface Question {
  readonly mission: Mission;
  readonly log: readonly LogEvent[];
  readonly at_s: number;
  readonly world: World;
  readonly roads: unknown;
}

/** Events that move no landing and no crew: after one of them what stands still holds. */
const STILL: ReadonlySet<LogEvent['kind']> = new Set(['note', 'check', 'advice', 'decision']);
const weighty = (log: readonly LogEvent[]): number =>
  log.reduce((seq, event) => (STILL.has(event.kind) ? seq : event.seq), -1);

/**
 * Whether the answer to one question still holds for another: the same plan and winds, within the minute, and nothing
 * new that counts.
 */
function stillHolds(old: Question | null, now: Question): boolean {
  if (old === null || old.mission !== now.mission || old.world !== now.world || old.roads !== now.roads) return false;
  if (old.log === now.log) return old.at_s === now.at_s;
  return Math.abs(old.at_s - now.at_s) < 60 && weighty(old.log) === weighty(now.log);
}

class Recoverer {
  readonly #worker: WorkerLike;
  readonly #news = new WorldNews();
  #busy = 0;
  /** Whether it has a recovery, so that it can be asked about a crew. */
  ready = false;

  constructor(worker: WorkerLike) {
    this.#worker = worker;
  }

  get idle(): boolean {
    return this.#busy === 0;
  }

  /** Nobody waits any more for what was asked. */
  stop(): void {
    if (this.#busy > 0) void this.ask({ kind: 'stop' }, 'done');
  }

  end(): void {
    this.#worker.terminate();
  }

  async ask<K extends Answer['kind']>(question: Ask, kind: K): Promise<Extract<Answer, { kind: K }>> {
    this.#busy += 1;
    try {
      const answer = await this.#worker.ask(question);
      if (answer.kind === kind) return answer as Extract<Answer, { kind: K }>;
      throw new Error(answer.kind === 'fault' ? answer.why : 'a worker answered out of turn');
    } finally {
      this.#busy -= 1;
    }
  }

  /** Asks about a moment; a world that the worker does not know is told first, in one go with the question. */
  async askOf<K extends Answer['kind']>(
    { world, mission, log, at_s, roads }: Question,
    of: (job: RecoveryJob) => Ask,
    kind: K,
  ): Promise<Extract<Answer, { kind: K }>> {
    const { number, asks } = this.#news.tell(world);
    if (asks.length > 0) this.ready = false;
    const told = asks.map((ask) => this.ask(ask, 'done'));
    const [answer] = await Promise.all([
      this.ask(of({ world: number, mission, log, at_s, members: MEMBERS, seed: SEED, roads }), kind),
      ...told,
    ]);
    return answer;
  }
}

/** Runs until its answer is called. */
export function watchRecovery(store: Store, makeWorker: () => WorkerLike): () => void {
  const { recovery, decision, view } = store;
  const worker = new Recoverer(makeWorker());
  let turn = 0;
  let timer = 0;
  let question: Question | null = null;
  /** The question that is being answered. */
  let asked: Question | null = null;
  /** The questions whose answers stand. */
  let answered: Question | null = null;
  let written: Question | null = null;

  const briefWanted = (): boolean => view.panel.peek() === 'Brief' || store.floating.peek() === 'pages';

  const fly = async (now: Question, mine: number): Promise<void> => {
    recovery.working.value = 'Flying the cases and placing the crews…';
    const { answer } = await worker.askOf(now, (job) => ({ kind: 'recovery', job }), 'recovery');
    if (turn !== mine) return;
    worker.ready = true;
    recovery.answer.value = answer;
    recovery.tried.value = null;
    answered = now;
  };
  const write = async (now: Question, mine: number): Promise<void> => {
    recovery.writing.value = 'Writing the brief…';
    const { answer } = await worker.askOf(now, (job) => ({ kind: 'brief', job }), 'brief');
    if (turn !== mine) return;
    recovery.brief.value = answer;
    recovery.changes.value = [];
    written = now;
    const held = answer.held.filter((one) => one.holds.kind === 'behind');
    if (held.length === 0) return;
    recovery.writing.value = 'Comparing it with what the crews hold…';
    const { changes } = await worker.askOf(now, (job) => ({ kind: 'brief changes', job, held }), 'brief changes');
    if (turn === mine) recovery.changes.value = changes;
  };
  const work = async (mine: Question, turnOf: number): Promise<void> => {
    try {
      if (answered !== mine) await fly(mine, turnOf);
      if (turn === turnOf) recovery.working.value = null;
      if (turn === turnOf && briefWanted() && written !== mine) await write(mine, turnOf);
      if (turn !== turnOf) return;
      recovery.trouble.value = null;
    } catch (error) {
      if (turn !== turnOf) return;
      recovery.working.value = null;
      recovery.trouble.value = error instanceof Error ? error.message : String(error);
    }
    recovery.writing.value = null;
    asked = null;
  };

  const begin = (): void => {
    timer = 0;
    if (question === null) return;
    turn += 1;
    worker.stop();
    asked = question;
    void work(asked, turn);
  };
  const beginSoon = (): void => {
    window.clearTimeout(timer);
    timer = window.setTimeout(begin, WAIT_MS);
  };

  const endChanges = effect(() => {
    const mission = store.mission.value;
    const world = store.forecastWorld.value;
    const beside = store.beside.value;
    const log = store.log.value;
    const at_s = store.shown_s.value;
    const advising = decision.advising.value;
    const path = store.file.value?.path ?? '';
    untracked(() => {
      if (mission === null || world === null || beside === null || path === '') {
        question = null;
        turn += 1;
        return;
      }
      const now = { mission, log, at_s, world, roads: beside.roads };
      const same = stillHolds(question, now);
      // Another mission's crews must not stand for a moment under this one's name.
      if (question !== null && question.roads !== now.roads) {
        recovery.answer.value = null;
        recovery.brief.value = null;
        recovery.changes.value = [];
        recovery.tried.value = null;
      }
      if (!same) question = now;
      if (same && (answered === question || asked === question || timer !== 0)) return;
      // What nobody asks any more takes no time from the first picture of what is asked now.
      turn += 1;
      asked = null;
      worker.stop();
      recovery.working.value = 'Waiting for the advice…';
      if (advising) window.clearTimeout(timer);
      else beginSoon();
      if (advising) timer = 0;
    });
  });
  // The advice is asked again after every edit, and the recovery after it.
  const endEdits = effect(() => {
    if (store.edits.value === 0 || asked === null) return;
    turn += 1;
    asked = null;
    worker.stop();
  });
  const endBrief = effect(() => {
    void view.panel.value;
    void store.floating.value;
    untracked(() => {
      if (briefWanted() && question !== null && answered === question && written !== question && asked !== question)
        beginSoon();
    });
  });
  const endTrying = watchTrying(store, worker);
  recovery.files.value = async (wanted: BriefFile): Promise<BriefFileAnswer> => {
    const { file } = await worker.ask({ kind: 'brief file', wanted }, 'brief file');
    return file;
  };
  return () => {
    endChanges();
    endEdits();
    endBrief();
    endTrying();
    recovery.files.value = null;
    turn += 1;
    window.clearTimeout(timer);
    worker.end();
  };
}

/** Of the places that a crew is dragged over while one is asked about, the last is asked next. */
function watchTrying({ recovery }: Store, worker: Recoverer): () => void {
  let asking = false;
  const next = async (): Promise<void> => {
    const asked = recovery.trying.peek();
    if (asked === null || asking || !worker.ready || !worker.idle) return;
    asking = true;
    try {
      const { times } = await worker.ask({ kind: 'crew times', ...asked }, 'crew times');
      recovery.tried.value = { ...asked, times };
    } catch {
      // The worker was stopped for a newer question; its answer comes with that.
    } finally {
      asking = false;
    }
    if (recovery.trying.peek() !== asked) void next();
  };
  return effect(() => {
    const asked = recovery.trying.value;
    if (asked !== null) untracked(() => void next());
  });
}
