// A Web Worker for one file (`core/mission/apart.ts`).
import { answerApart, BEGUN, type ApartAsk } from '../core/mission/apart.ts';

self.addEventListener('message', ({ data }: MessageEvent<ApartAsk>) => {
  answerApart(data, () => self.postMessage(BEGUN)).then(
    (answer) => self.postMessage(answer),
    (error: unknown) => reportError(error),
  );
});
