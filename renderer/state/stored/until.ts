// Waiting for something that signals say.
import { effect } from '@preact/signals';

/** Until something is so, at once where it is; `so` reads signals. */
export const until = (so: () => boolean): Promise<void> =>
  new Promise((resolve) => {
    const end = effect(() => {
      if (!so()) return;
      resolve();
      // Not from within its own first run.
      queueMicrotask(() => end());
    });
  });
