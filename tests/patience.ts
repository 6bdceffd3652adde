// How long a test waits for a condition before it counts as hung. Every wait of a test ends when its condition holds;
// this limit is far above what a machine needs that has six times as much to do as it has cores.

export const PATIENCE_ms = 120_000;
/** For `vi.waitFor`. `expect.poll` has the same from `vitest.config.ts`. */
export const PATIENT = { timeout: PATIENCE_ms, interval: 25 } as const;
