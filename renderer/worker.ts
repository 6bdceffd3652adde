// A Web Worker of the window: the core's workbench behind the worker's port.
import { Workbench, type Ask } from '../core/work.ts';

const bench = new Workbench();

self.addEventListener('message', (event: MessageEvent<Ask>) => {
  self.postMessage(bench.answer(event.data));
});
