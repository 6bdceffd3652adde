// A Web Worker behind the pool's interface, and the watch over it: one that is asked and says nothing is ended, so that
// whoever waits is told and a new one can be started.
import { Letters, type Letter } from '../../core/work/letters.ts';
import type { WorkerLike } from '../../core/work/pool.ts';
import type { Answer, Ask } from '../../core/work/work.ts';

/** A worker looks up between two steps of what it is at, every few milliseconds. */
const SILENT_MS = 5000;
/** Its program must be loaded first. */
const STARTING_MS = 30_000;
const LOOK_EVERY_MS = 1000;
/** A timer that runs out so late says that the page itself stood still. */
const LATE_MS = 500;

export interface Port {
  post(letter: Letter<Ask>): void;
  end(): void;
}

export interface Watched {
  readonly worker: WorkerLike;
  readonly heard: (letter: Letter<Answer>) => void;
  readonly failed: (why: string) => void;
}

/** `silent_ms`: after which one that says nothing is ended. */
export function watched(port: Port, silent_ms = SILENT_MS, starting_ms = STARTING_MS): Watched {
  const letters = new Letters((letter) => port.post(letter));
  let open = 0;
  let watching = false;
  let began = false;
  let ended = false;
  const end = (why: string): void => {
    ended = true;
    port.end();
    letters.end(new Error(why));
  };
  const look = (): void => {
    if (ended) return;
    watching = open > 0;
    if (!watching) return;
    const wait_ms = began ? silent_ms : starting_ms;
    const limit = (): ReturnType<typeof setTimeout> => {
      const due = performance.now() + wait_ms;
      return setTimeout(() => {
        if (performance.now() - due > LATE_MS) timer = limit();
        else end(`a worker said nothing for ${wait_ms / 1000} s and was ended`);
      }, wait_ms);
    };
    let timer = limit();
    void letters.ask({ kind: 'alive' }).then(
      () => {
        began = true;
        clearTimeout(timer);
        setTimeout(look, LOOK_EVERY_MS);
      },
      () => clearTimeout(timer),
    );
  };
  const ask = async (question: Ask): Promise<Answer> => {
    open += 1;
    const answer = letters.ask(question);
    if (!watching) look();
    try {
      return await answer;
    } finally {
      open -= 1;
    }
  };
  return {
    worker: { ask, terminate: () => end('the worker was stopped') },
    heard: (letter) => letters.heard(letter),
    failed: end,
  };
}

export function webWorker(): WorkerLike {
  const thread = new Worker(new URL('../worker.ts', import.meta.url), { type: 'module' });
  const { worker, heard, failed } = watched({
    post: (letter) => thread.postMessage(letter),
    end: () => thread.terminate(),
  });
  thread.addEventListener('message', (event: MessageEvent<Letter<Answer>>) => heard(event.data));
  thread.addEventListener('error', (event) => {
    // Said by whoever asked; without this the page would take it for an error of its own.
    event.preventDefault();
    failed(event.message === '' ? 'a worker could not be started' : event.message);
  });
  thread.addEventListener('messageerror', () => failed('an answer of a worker could not be read'));
  return worker;
}
