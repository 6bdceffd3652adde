// Ensembles on the command line: worker threads where the ensemble is large enough to pay for them, else this thread.
// The numbers are the same bytes either way.
import { availableParallelism } from 'node:os';
import { Worker } from 'node:worker_threads';
import { Ensemble, type EnsembleSetup, type Members } from '../../core/descent/ensemble.ts';
import type { When, WhenAsked, WhenHour } from '../../core/advice/when.ts';
import { toEnd } from '../../core/base/steps.ts';
import { EnsemblePool, type WorkerLike } from '../../core/work/pool.ts';
import { Letters, type Letter } from '../../core/work/letters.ts';
import { answerOf, whenAsks, type Answer } from '../../core/work/work.ts';

/** Below this a thread's start costs more than it saves. */
const THREADS_FROM = 3000;

/** Flies all members; `workers` 0 chooses by the size of the ensemble and the machine. */
export async function flyMembers(setup: EnsembleSetup, members: number, workers: number): Promise<Members> {
  const threads = workers > 0 ? workers : members < THREADS_FROM ? 0 : Math.min(availableParallelism(), 8);
  if (threads === 0) return new Ensemble(setup).run(0, members);
  const pool = new EnsemblePool(Array.from({ length: threads }, () => threadWorker()));
  try {
    let last: Members | null = null;
    for await (const progress of pool.run(setup, { members, first: members })) last = progress.members;
    if (last === null) throw new Error('the ensemble gave no members');
    return last;
  } finally {
    pool.terminate();
  }
}

/** Below so many hours a thread's start costs more than it saves. */
const HOURS_THREADS_FROM = 24;

/** Works out every hour of `when`: each thread takes the next one that nobody has. */
export async function workedHours(when: When, asked: WhenAsked): Promise<readonly WhenHour[]> {
  const { hours_s } = when;
  if (hours_s.length < HOURS_THREADS_FROM) return hours_s.map((exit_s) => toEnd(when.hour(exit_s)));
  const told = whenAsks(asked);
  const workers = Array.from({ length: Math.min(availableParallelism(), 8) }, () => threadWorker());
  const hours: (WhenHour | undefined)[] = [];
  let next = 0;
  const work = async (worker: WorkerLike): Promise<void> => {
    for (const ask of told) answerOf(await worker.ask(ask), ask.kind === 'when' ? 'when' : 'done');
    for (let i = next++; i < hours_s.length; i = next++) {
      const asking = worker.ask({ kind: 'when hours', hours_s: hours_s.slice(i, i + 1) });
      hours[i] = answerOf(await asking, 'when hours').hours[0];
    }
  };
  try {
    await Promise.all(workers.map(work));
  } finally {
    for (const worker of workers) worker.terminate();
  }
  return hours.filter((hour) => hour !== undefined);
}

/** A thread's program: the build puts shared modules into parts/ and the threads beside it. */
export const builtThread = (name: 'worker' | 'readWorker'): URL =>
  new URL(import.meta.url.includes('/parts/') ? `../${name}.js` : `./${name}.js`, import.meta.url);

/**
 * A worker thread behind the pool's interface: answers are matched to their questions; of a thread that ended, none
 * comes any more.
 */
export function threadWorker(program: URL = builtThread('worker')): WorkerLike {
  const worker = new Worker(program);
  const letters = new Letters((letter) => worker.postMessage(letter));
  worker.on('message', (letter: Letter<Answer>) => letters.heard(letter));
  worker.on('error', (error) => letters.end(error instanceof Error ? error : new Error(String(error))));
  worker.on('exit', () => letters.end(new Error('the worker thread ended')));
  return { ask: (question) => letters.ask(question), terminate: () => void worker.terminate() };
}
