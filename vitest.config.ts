import { defineConfig } from 'vitest/config';
import { boundImports } from './tests/boundImports.ts';
import { PATIENCE_ms, PATIENT } from './tests/patience.ts';

export default defineConfig({
  plugins: [boundImports()],
  test: {
    include: ['tests/**/*.test.ts', 'tests/**/*.test.tsx'],
    // A limit is for a test that hangs: no load that a machine can have may meet it.
    testTimeout: 4 * PATIENCE_ms,
    hookTimeout: 4 * PATIENCE_ms,
    expect: { poll: PATIENT },
    // The machines that run this are small: two processes are as fast as more and need half the memory. Processes, for npm
    // geotiff cannot be loaded in a worker thread that was given no data.
    pool: 'forks',
    maxWorkers: 2,
  },
});
