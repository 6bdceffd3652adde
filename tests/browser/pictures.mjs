// Takes the README's pictures: `npm run pictures`. Needs a Chromium; builds the window first where that is stale.
import { startVitest } from 'vitest/node';

const vitest = await startVitest('test', [], {
  watch: false,
  include: ['tests/browser/pictures.ts'],
  testTimeout: 120_000,
});
await vitest.close();
