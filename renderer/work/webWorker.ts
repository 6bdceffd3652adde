// A Web Worker behind the pool's interface: answers come in the order of the questions.
import type { WorkerLike } from '../../core/work/pool.ts';
import type { Answer, Ask } from '../../core/work/work.ts';

export function webWorker(): WorkerLike {
  const worker = new Worker(new URL('../worker.ts', import.meta.url), { type: 'module' });
  const waiting: { resolve: (answer: Answer) => void; reject: (error: Error) => void }[] = [];
  const fail = (why: string): void => {
    for (const one of waiting.splice(0)) one.reject(new Error(why));
  };
  worker.addEventListener('message', (event: MessageEvent<Answer>) => waiting.shift()?.resolve(event.data));
  worker.addEventListener('error', (event) =>
    fail(event.message === '' ? 'a worker could not be started' : event.message),
  );
  worker.addEventListener('messageerror', () => fail('an answer of a worker could not be read'));
  return {
    ask: (question: Ask) =>
      new Promise<Answer>((resolve, reject) => {
        waiting.push({ resolve, reject });
        worker.postMessage(question);
      }),
    terminate(): void {
      worker.terminate();
      fail('the worker was stopped');
    },
  };
}
