// A file in a worker thread of its own, which is ended with the answer, with a failure, or when its time is over.
import { Worker } from 'node:worker_threads';
import { givenAway, heardApart, type ApartAsk, type AskApart } from '../../core/mission/apart.ts';
import { builtThread } from './workers.ts';

/** `program`: the built `main/readWorker.ts`; `heap_MB`: of the thread's own objects, typed arrays not counted. */
export function readerApart(program: URL = builtThread('readWorker'), heap_MB: number = 1000): AskApart {
  return (ask, limit_s) =>
    new Promise((resolve) => {
      // npm geotiff loads only in a thread that was given data.
      const worker = new Worker(program, { workerData: {}, resourceLimits: { maxOldGenerationSizeMb: heap_MB } });
      const end = (answer: Awaited<ReturnType<AskApart>>): void => {
        clearTimeout(limit);
        void worker.terminate();
        resolve(answer);
      };
      let limit: NodeJS.Timeout | undefined;
      const watch = (for_s: number): void => {
        clearTimeout(limit);
        limit = setTimeout(() => end('late'), for_s * 1000);
      };
      worker.on('message', heardApart(limit_s, watch, end));
      worker.once('error', (error: Error) => end({ failed: error.message }));
      worker.once('exit', () => end({ failed: 'its thread ended' }));
      worker.postMessage(ask satisfies ApartAsk, givenAway(ask));
    });
}

/**
 * From source, as tests run the command line, there is no program for a thread: null, and files are read in this one.
 */
export const fileReader = (): AskApart | null => (import.meta.url.endsWith('.ts') ? null : readerApart());
