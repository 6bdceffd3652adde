// A thread for one file (`core/mission/apart.ts`). A failure is not caught: it ends the thread, which the host says.
import { parentPort } from 'node:worker_threads';
import { answerApart, BEGUN, type ApartAsk } from '../core/mission/apart.ts';

parentPort?.once('message', (ask: ApartAsk) => {
  void answerApart(ask, () => parentPort?.postMessage(BEGUN)).then((answer) => parentPort?.postMessage(answer));
});
