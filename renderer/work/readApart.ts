// A netCDF-4 file in a Web Worker of its own, which is ended with the answer, with a failure, or when its time is over.
import { APART_LIMIT_S, notReadApart, type ApartAsk, type ReadApart } from '../../core/formats/grids/apart.ts';

export const readApart: ReadApart = (bytes, options) =>
  new Promise((resolve) => {
    const worker = new Worker(new URL('../readWorker.ts', import.meta.url), { type: 'module' });
    const end = (read: Awaited<ReturnType<ReadApart>>): void => {
      clearTimeout(limit);
      worker.terminate();
      resolve(read);
    };
    const limit = setTimeout(() => end(notReadApart('late')), APART_LIMIT_S * 1000);
    worker.addEventListener('message', (event: MessageEvent<Awaited<ReturnType<ReadApart>>>) => end(event.data));
    worker.addEventListener('error', (event) =>
      end(notReadApart({ failed: event.message === '' ? 'no thread started' : event.message })),
    );
    worker.addEventListener('messageerror', () => end(notReadApart({ failed: 'its answer did not arrive' })));
    worker.postMessage({ bytes, options } satisfies ApartAsk);
  });
