// A worker thread of the command line: the core's workbench behind the thread's port.
import { parentPort } from 'node:worker_threads';
import { buffersOf, Workbench, type Ask } from '../core/work.ts';

const bench = new Workbench();

parentPort?.on('message', (ask: Ask) => {
  const answer = bench.answer(ask);
  parentPort?.postMessage(answer, buffersOf(answer) as ArrayBuffer[]);
});
