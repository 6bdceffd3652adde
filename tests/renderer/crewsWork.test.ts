// The crews have a worker of their own: their board waits for no word, the brief says the word that the other worker
// found and waits for what would change it, and crews that cannot be worked out hold the word. Workers that answer
// when they are told to.
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { adviseOn } from '../../core/advice/advise.ts';
import type { LogEvent } from '../../core/log/events.ts';
import { RecoveryBench } from '../../core/work/recoveryWork.ts';
import { Moment, type Stamp } from '../../core/work/moment.ts';
import type { WorkerLike } from '../../core/work/pool.ts';
import type { AdviceAnswer, Answer, Ask } from '../../core/work/work.ts';
import { toEnd } from '../../core/base/steps.ts';
import { SEED } from '../../renderer/state/derived/asked.ts';
import type { Store } from '../../renderer/state/derived/store.ts';
import { watchCrews } from '../../renderer/work/crews.ts';
import { watchWord } from '../../renderer/work/word.ts';
import { demo } from '../demo.ts';
import { inputsOf, storeOf } from './store.ts';

const { situation, loaded } = await demo('town-meadow');
const now_ms = situation.at_s * 1000;
const { advice, outlook, carrier, sensitivity } = adviseOn(situation, { members: 100 });
const word: AdviceAnswer = { advice, prediction: outlook.prediction, carrier, sensitivity };
const { mission, log, world, roads } = loaded;
const stampThen: Stamp = { moment: 1, seq: -1, plan: 1, at_s: situation.at_s };
const then = new Moment({ stamp: stampThen, mission, log, world, roads, seed: SEED });
const bench = new RecoveryBench();
const board = toEnd(bench.recovery(then, 20));
const said = { advice, edges: [] };
const written = toEnd(bench.brief(then, 20, said));

/** Workers that keep their questions until they are told to answer. */
function byHand() {
  const waiting: { readonly ask: Ask; readonly give: () => void; readonly fail: (e: Error) => void }[] = [];
  const make = (): WorkerLike => {
    let stamp = stampThen;
    return {
      ask: async (ask) => {
        if (ask.kind === 'moment') ({ stamp } = ask.job);
        const answers: Partial<Record<Ask['kind'], Answer>> = {
          advice: { kind: 'advice', stamp, answer: word },
          edges: { kind: 'edges', stamp, edges: said.edges },
          recovery: { kind: 'recovery', stamp, answer: board },
          brief: { kind: 'brief', stamp, answer: { ...written, held: [] } },
        };
        const answer = answers[ask.kind];
        if (answer === undefined) return { kind: 'done' };
        return new Promise((resolve, reject) =>
          waiting.push({ ask, give: () => resolve(answer), fail: (error) => reject(error) }),
        );
      },
      terminate: () => {},
    };
  };
  const take = (kind: Ask['kind']): (typeof waiting)[number] => {
    const at = waiting.findIndex(({ ask }) => ask.kind === kind);
    const [one] = at < 0 ? [] : waiting.splice(at, 1);
    if (one === undefined) throw new Error(`nobody asked for ${kind}`);
    return one;
  };
  const settle = (): Promise<unknown> => vi.advanceTimersByTimeAsync(0);
  return {
    make,
    asked: () => waiting.map(({ ask }) => ask.kind).toSorted(),
    answer: async (kind: Ask['kind']): Promise<Ask> => {
      const { ask, give } = take(kind);
      give();
      await settle();
      return ask;
    },
    fail: async (kind: Ask['kind'], why: string): Promise<void> => {
      take(kind).fail(new Error(why));
      await settle();
    },
    settle,
  };
}

let ends: (() => void)[] = [];
async function opened(hand: ReturnType<typeof byHand>): Promise<Store> {
  const store = storeOf(inputsOf(loaded, now_ms));
  ends = [watchWord(store, hand.make, () => {}), watchCrews(store, hand.make)];
  await hand.settle();
  return store;
}

beforeEach(() => {
  vi.useFakeTimers();
});
afterEach(() => {
  for (const end of ends) end();
  vi.useRealTimers();
});

describe('the crews', () => {
  it('are placed while the word is looked for', async () => {
    const hand = byHand();
    const store = await opened(hand);
    expect(hand.asked()).toEqual(['advice', 'recovery']);
    expect(store.recovery.working.value).toBe('Flying the cases and placing the crews…');
    await hand.answer('recovery');
    expect(store.recovery.answer.value).toBe(board);
    expect(store.recovery.working.value).toBeNull();
    expect(store.verdict.value.kind).toBe('checking');
  });

  it('have a brief that says the full word and what would change it, and waits for both', async () => {
    const hand = byHand();
    const store = await opened(hand);
    store.view.panel.value = 'Brief';
    await hand.answer('recovery');
    await hand.answer('advice');
    expect(hand.asked()).toEqual(['advice']);
    expect(store.recovery.writing.value).toBe('Writing the brief…');
    await hand.answer('advice');
    expect(hand.asked()).toEqual(['edges']);
    await hand.answer('edges');
    expect(await hand.answer('brief')).toEqual({ kind: 'brief', members: 500, said });
    expect(store.recovery.brief.value?.brief).toBe(written.brief);
    expect(store.recovery.writing.value).toBeNull();
  });

  it('have no brief of a word that a newer report has overtaken', async () => {
    const hand = byHand();
    const store = await opened(hand);
    store.view.panel.value = 'Brief';
    for (const kind of ['recovery', 'advice', 'advice', 'edges'] as const) await hand.answer(kind);
    const seq = (store.log.value.at(-1)?.seq ?? 0) + 1;
    const at = new Date(now_ms).toISOString();
    const note: LogEvent = { seq, at, kind: 'note', text: 'the field is wet' };
    store.log.value = [...store.log.value, note];
    await hand.settle();
    // The brief that is under way gives its answer first; then everything is asked of the newer moment.
    await hand.answer('brief');
    await hand.answer('recovery');
    expect(hand.asked()).toEqual(['advice']);
    await hand.answer('advice');
    await hand.answer('advice');
    await hand.answer('edges');
    expect(hand.asked()).toEqual(['brief']);
  });

  it('hold the word where they cannot be worked out, with the reason, until they are', async () => {
    const hand = byHand();
    const store = await opened(hand);
    await hand.answer('advice');
    expect(store.verdict.value.kind).toBe('current');
    await hand.fail('recovery', 'two rings would not join');
    expect(store.verdict.value).toEqual({
      kind: 'hold',
      why: 'The crews could not be worked out: two rings would not join',
    });
    await hand.answer('recovery');
    expect(store.verdict.value.kind).toBe('current');
  });
});
