// A file in a Web Worker of its own, which is ended with the answer, with a failure, or when its time is over.
import { givenAway, heardApart, type ApartAsk, type AskApart } from '../../core/mission/apart.ts';

export const readApart: AskApart = (ask, limit_s) =>
  new Promise((resolve) => {
    const worker = new Worker(new URL('../readWorker.ts', import.meta.url), { type: 'module' });
    const end = (answer: Awaited<ReturnType<AskApart>>): void => {
      clearTimeout(limit);
      worker.terminate();
      resolve(answer);
    };
    let limit: ReturnType<typeof setTimeout> | undefined;
    const watch = (for_s: number): void => {
      clearTimeout(limit);
      limit = setTimeout(() => end('late'), for_s * 1000);
    };
    const heard = heardApart(limit_s, watch, end);
    worker.addEventListener('message', ({ data }: MessageEvent<Parameters<typeof heard>[0]>) => heard(data));
    worker.addEventListener('error', (event) =>
      end({ failed: event.message === '' ? 'no thread started' : event.message }),
    );
    worker.addEventListener('messageerror', () => end({ failed: 'its answer did not arrive' }));
    worker.postMessage(ask satisfies ApartAsk, givenAway(ask));
  });
