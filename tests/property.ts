// fast-check with the house's seed: a commit passes or fails the same way on every machine and every day. New inputs
// are for a run at night: PLUMBLINE_FUZZ_SEED=n (any number) draws others, in all properties and broken inputs.
import fc from 'fast-check';

/** The seed of every property and every broken input of this run. */
export const SEED = Number(process.env['PLUMBLINE_FUZZ_SEED'] ?? 20270314);

fc.configureGlobal({ seed: SEED });

export { fc };
