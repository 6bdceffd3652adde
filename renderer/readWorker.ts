// A Web Worker for one file (`core/mission/apart.ts`).
import { answerApart, type ApartAsk } from '../core/mission/apart.ts';

self.addEventListener('message', ({ data }: MessageEvent<ApartAsk>) => {
  answerApart(data).then(
    (answer) => self.postMessage(answer),
    (error: unknown) => reportError(error),
  );
});
