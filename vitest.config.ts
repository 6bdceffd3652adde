import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    include: ['tests/**/*.test.ts', 'tests/**/*.test.tsx'],
    testTimeout: 180_000,
    hookTimeout: 180_000,
    // The machines that run this are small: two threads are as fast as more and need half the memory.
    pool: 'threads',
    maxWorkers: 2,
  },
});
