// A worker thread of the command line: the core's workbench behind the thread's port.
import { parentPort } from 'node:worker_threads';
import { Workbench, type Ask } from '../core/work/work.ts';

const bench = new Workbench();

parentPort?.on('message', (ask: Ask) => {
  parentPort?.postMessage(bench.answer(ask));
});
