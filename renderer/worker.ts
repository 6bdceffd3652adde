// A Web Worker of the window: the core's workbench behind the worker's port.
import { buffersOf, Workbench, type Ask } from '../core/work.ts';

const bench = new Workbench();

self.addEventListener('message', (event: MessageEvent<Ask>) => {
  const answer = bench.answer(event.data);
  self.postMessage(answer, { transfer: buffersOf(answer) as ArrayBuffer[] });
});
