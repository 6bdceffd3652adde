// A worker thread of the command line: the core's workbench behind the thread's port.
import { parentPort } from 'node:worker_threads';
import type { Letter } from '../core/work/letters.ts';
import { Workbench, type Ask } from '../core/work/work.ts';

const bench = new Workbench();

parentPort?.on('message', ({ id, says }: Letter<Ask>) => {
  parentPort?.postMessage({ id, says: bench.answer(says) });
});
