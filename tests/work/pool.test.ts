// The pool over real worker threads of the built program, and over workers that fail: the same bytes, the reason said,
// nothing left hanging. What it yields and how it stops is in tests/descent/ensemble.test.ts.
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { beforeAll, describe, expect, it } from 'vitest';
import { Ensemble, MEMBER_COLUMNS, type EnsembleSetup, type Members } from '../../core/descent/ensemble.ts';
import { outlookOf } from '../../core/descent/outlook.ts';
import { scenarioOf } from '../../core/descent/scenario.ts';
import { spreadOf } from '../../core/descent/spread.ts';
import { EnsemblePool, type WorkerLike } from '../../core/work/pool.ts';
import { Workbench, type Ask } from '../../core/work/work.ts';
import { threadWorker } from '../../main/cli/workers.ts';
import { builtProgram } from '../build.ts';
import { loadDemo } from '../demo.ts';

let setup: EnsembleSetup;
let program: URL;

beforeAll(async () => {
  program = pathToFileURL(join(await builtProgram(['main']), 'main', 'worker.js'));
  const { mission, world } = await loadDemo('salt-plain');
  const scenario = scenarioOf(mission, world);
  setup = { scenario, error: outlookOf(scenario).error, spread: spreadOf(mission.uncertainty), seed: 3 };
});

async function last(pool: EnsemblePool, members: number): Promise<Members> {
  let found: Members | null = null;
  for await (const progress of pool.run(setup, { members })) found = progress.members;
  if (found === null) throw new Error('a run of members yields them');
  return found;
}

const bytesOf = ({ buffer, byteOffset, byteLength }: Float64Array): Uint8Array =>
  new Uint8Array(buffer, byteOffset, byteLength);

function inThread(answer: (ask: Ask, bench: Workbench) => ReturnType<Workbench['answer']>): WorkerLike {
  const bench = new Workbench();
  return { ask: (ask) => Promise.resolve().then(() => answer(ask, bench)), terminate: () => undefined };
}

describe('the pool', () => {
  it('gives from two threads, with terrain, sounding and winds of four times, the bytes of this thread', async () => {
    const here = new Ensemble(setup).run(0, 800);
    const pool = new EnsemblePool([threadWorker(program), threadWorker(program)]);
    try {
      const there = await last(pool, 800);
      for (const column of MEMBER_COLUMNS) expect(bytesOf(there[column]), column).toEqual(bytesOf(here[column]));
      // A second run on the same world sends no world again, and answers the same.
      expect((await last(pool, 300)).lon_deg).toEqual(here.lon_deg.subarray(0, 300));
    } finally {
      pool.terminate();
    }
  });

  it('says why a run failed, and flies the next', async () => {
    let broken = true;
    const pool = new EnsemblePool([
      inThread((ask, bench) =>
        broken && ask.kind === 'members' ? { kind: 'fault', why: 'out of paper' } : bench.answer(ask),
      ),
    ]);
    await expect(last(pool, 500)).rejects.toThrow('out of paper');
    broken = false;
    expect((await last(pool, 200)).count).toBe(200);
  });

  it('ends with a reason where a thread is gone, also when it is asked again', async () => {
    const worker = threadWorker(program);
    const pool = new EnsemblePool([worker]);
    const run = last(pool, 100_000);
    setImmediate(() => worker.terminate());
    await expect(run).rejects.toThrow('the worker thread ended');
    await expect(last(pool, 100)).rejects.toThrow('the worker thread ended');
  });
});

describe('the workbench', () => {
  it('answers a question out of order with a sentence, not a throw', () => {
    const bench = new Workbench();
    for (const ask of [
      { kind: 'members', ensemble: 4, first: 0, count: 1 },
      { kind: 'forget', ensemble: 4 },
    ] as const) {
      const answer = bench.answer(ask);
      expect(answer.kind).toBe(ask.kind === 'members' ? 'fault' : 'done');
      if (answer.kind === 'fault')
        expect(answer.why).toContain('the ensemble 4 was sent before its members were asked for');
    }
  });
});
