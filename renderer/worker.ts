// A Web Worker of the window: the core's workbench behind the worker's port.
import { Served } from '../core/work/served.ts';
import type { Ask } from '../core/work/work.ts';
import type { Letter } from '../core/work/letters.ts';

/** A message to oneself comes after those that are there already. */
const turn = new MessageChannel();
let goOn: () => void = () => {};
turn.port1.onmessage = () => goOn();
/** Steps that are shorter than this follow each other without a pause, ms. */
const PAUSE_EVERY_MS = 5;
let paused_ms = 0;
async function pause(): Promise<void> {
  if (performance.now() - paused_ms < PAUSE_EVERY_MS) return;
  await new Promise<void>((resolve) => {
    goOn = resolve;
    turn.port2.postMessage(null);
  });
  paused_ms = performance.now();
}

const served = new Served((letter) => self.postMessage(letter), pause);
self.addEventListener('message', (event: MessageEvent<Letter<Ask>>) => served.hear(event.data));
