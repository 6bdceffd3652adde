// A file in a Web Worker of its own, which is ended with the answer, with a failure, or when its time is over.
import {
  BEGUN,
  givenAway,
  STARTING,
  type ApartAnswer,
  type ApartAsk,
  type AskApart,
} from '../../core/mission/apart.ts';

export const readApart: AskApart = (ask, limit_s) =>
  new Promise((resolve) => {
    const worker = new Worker(new URL('../readWorker.ts', import.meta.url), { type: 'module' });
    const end = (answer: Awaited<ReturnType<AskApart>>): void => {
      clearTimeout(limit);
      worker.terminate();
      resolve(answer);
    };
    const late = (): void => end('late');
    let limit = setTimeout(late, limit_s * STARTING * 1000);
    worker.addEventListener('message', ({ data }: MessageEvent<typeof BEGUN | ApartAnswer>) => {
      if (data !== BEGUN) return end(data);
      clearTimeout(limit);
      limit = setTimeout(late, limit_s * 1000);
    });
    worker.addEventListener('error', (event) =>
      end({ failed: event.message === '' ? 'no thread started' : event.message }),
    );
    worker.addEventListener('messageerror', () => end({ failed: 'its answer did not arrive' }));
    worker.postMessage(ask satisfies ApartAsk, givenAway(ask));
  });
