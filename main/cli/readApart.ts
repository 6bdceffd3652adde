// A netCDF-4 file in a worker thread of its own, which is ended with the answer, with a failure, or when its time is
// over.
import { Worker } from 'node:worker_threads';
import { APART_LIMIT_S, notReadApart, type ApartAsk, type ReadApart } from '../../core/formats/grids/apart.ts';
import { builtThread } from './workers.ts';

/** `program`: the built `main/readWorker.ts`; `limit_s` after which the file is given up. */
export function readerApart(program: URL = builtThread('readWorker'), limit_s: number = APART_LIMIT_S): ReadApart {
  return (bytes, options) =>
    new Promise((resolve) => {
      const worker = new Worker(program);
      const end = (read: Awaited<ReturnType<ReadApart>>): void => {
        clearTimeout(limit);
        void worker.terminate();
        resolve(read);
      };
      const limit = setTimeout(() => end(notReadApart('late')), limit_s * 1000);
      worker.once('message', end);
      worker.once('error', (error: Error) => end(notReadApart({ failed: error.message })));
      worker.once('exit', () => end(notReadApart({ failed: 'its thread ended' })));
      worker.postMessage({ bytes, options } satisfies ApartAsk);
    });
}
