// The word can never be stale: with a worker that answers when it is told to, what the strip may say at each moment.
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { adviseOn } from '../../core/advice/advise.ts';
import type { LogEvent } from '../../core/log/events.ts';
import type { WorkerLike } from '../../core/work/pool.ts';
import type { Stamp } from '../../core/work/moment.ts';
import type { AdviceAnswer, Answer, Ask } from '../../core/work/work.ts';
import { edit } from '../../renderer/state/acting/actions.ts';
import { put } from '../../renderer/state/stored/json.ts';
import type { Store } from '../../renderer/state/derived/store.ts';
import { missingWords } from '../../renderer/state/derived/asked.ts';
import { watchWord } from '../../renderer/work/word.ts';
import { watched } from '../../renderer/work/webWorker.ts';
import { demo } from '../demo.ts';
import { inputsOf, storeOf } from './store.ts';

const { situation, loaded } = await demo('salt-plain');
const now_ms = situation.at_s * 1000;
const { advice, outlook, carrier, sensitivity } = adviseOn(situation, { members: 100 });
const canned: AdviceAnswer = { advice, prediction: outlook.prediction, carrier, sensitivity };

/** A worker that keeps its questions until it is told to answer; `dead`: it never will. */
function byHand() {
  let stamp: Stamp | null = null;
  let dead = false;
  let word = advice.word;
  const waiting: { readonly ask: Ask; readonly give: (answer: Answer) => void }[] = [];
  const answerTo = (ask: Ask): Answer => {
    if (ask.kind !== 'advice' || stamp === null) return { kind: 'stopped' };
    return { kind: 'advice', stamp, answer: { ...canned, advice: { ...advice, word } } };
  };
  const made: WorkerLike[] = [];
  const make = (): WorkerLike => {
    const worker: WorkerLike = {
      ask: async (ask) => {
        if (dead) throw new Error('the worker is gone');
        if (ask.kind === 'moment') ({ stamp } = ask.job);
        if (ask.kind === 'recovery' || ask.kind === 'edges') return { kind: 'stopped' };
        if (ask.kind !== 'advice') return { kind: 'done' };
        return new Promise((give) => waiting.push({ ask, give }));
      },
      terminate: () => {},
    };
    made.push(worker);
    return worker;
  };
  return {
    make,
    made,
    end: () => (dead = true),
    says: (other: typeof word) => (word = other),
    waiting,
    answer: async () => {
      const one = waiting.shift();
      one?.give(answerTo(one.ask));
      await vi.advanceTimersByTimeAsync(0);
    },
  };
}

let end = (): void => {};
function opened(hand: ReturnType<typeof byHand>, changed: Parameters<typeof watchWord>[2] = () => {}): Store {
  const store = storeOf(inputsOf(loaded, now_ms));
  end = watchWord(store, hand.make, changed);
  return store;
}
/** The window with the full word of its first moment. */
async function inFull(hand: ReturnType<typeof byHand>): Promise<Store> {
  const store = opened(hand);
  await vi.advanceTimersByTimeAsync(0);
  await hand.answer();
  await hand.answer();
  return store;
}
const fix = (store: Store): LogEvent => {
  const seq = (store.log.value.at(-1)?.seq ?? 0) + 1;
  const at = new Date(now_ms + seq).toISOString();
  return { seq, at, kind: 'fix', body: 'Kite', position: [22.4, -30.1], height_m: 900, observedAt: at };
};
const report = (store: Store): void => {
  store.log.value = [...store.log.value, fix(store)];
};
const said = (store: Store): string => {
  const verdict = store.verdict.value;
  return verdict.kind === 'current'
    ? `${verdict.answer.advice.word}${verdict.rough ? ', rough' : ''}`
    : `${verdict.kind}: ${missingWords(verdict)}`;
};

beforeEach(() => {
  vi.useFakeTimers();
});
afterEach(() => {
  end();
  vi.useRealTimers();
});

describe('the word', () => {
  it('is being looked for at first, then rough, then full', async () => {
    const hand = byHand();
    const store = opened(hand);
    expect(said(store)).toBe('checking: The advice is being worked out…');
    await vi.advanceTimersByTimeAsync(0);
    await hand.answer();
    expect(said(store)).toBe(`${advice.word}, rough`);
    await hand.answer();
    expect(said(store)).toBe(advice.word);
  });

  it('is not current from the moment at which there is a newer report or an edit, and says so', async () => {
    const hand = byHand();
    const store = opened(hand);
    await vi.advanceTimersByTimeAsync(0);
    await hand.answer();
    report(store);
    expect(said(store)).toBe('checking: Not current: 1 newer report.');
    report(store);
    expect(said(store)).toBe('checking: Not current: 2 newer reports.');
    await vi.advanceTimersByTimeAsync(0);
    // The full answer to the old question, then the rough one to the new one.
    await hand.answer();
    await hand.answer();
    expect(said(store)).toBe(`${advice.word}, rough`);
    edit(store, 'gust', (plan) => put(plan, ['limits', 'gust_mps'], 9));
    expect(said(store)).toBe('checking: Not current: the plan was edited.');
  });

  it('stays where a call was said or an alert silenced, which change no word, until anything else comes', async () => {
    const hand = byHand();
    const store = await inFull(hand);
    const at = new Date(now_ms + 1000).toISOString();
    const seq = (store.log.value.at(-1)?.seq ?? 0) + 1;
    const events: readonly LogEvent[] = [
      { seq, at, kind: 'call', text: 'said' },
      { seq: seq + 1, at, kind: 'silence', alert: 'fix lost', since: at, text: 'as it stood', reason: 'seen' },
    ];
    for (const event of events) {
      store.log.value = [...store.log.value, event];
      expect(said(store)).toBe(advice.word);
    }
    report(store);
    expect(said(store)).toMatch(/^checking: Not current: /);
  });

  it('is HOLD after 3 s without an answer that knows all that was known 3 s ago', async () => {
    const hand = byHand();
    const store = await inFull(hand);
    report(store);
    await vi.advanceTimersByTimeAsync(2900);
    expect(said(store)).toMatch(/^checking/);
    await vi.advanceTimersByTimeAsync(200);
    expect(said(store)).toBe('hold: The advice is not current: no answer for 3 s, 1 newer report.');
    await hand.answer();
    expect(said(store)).toBe(`${advice.word}, rough`);
  });

  it('is HOLD where the worker is gone, also when a new one is gone too', async () => {
    const hand = byHand();
    const store = await inFull(hand);
    hand.end();
    report(store);
    await vi.advanceTimersByTimeAsync(10);
    expect(said(store)).toBe('hold: The advice could not be worked out: the worker is gone');
    expect(hand.made.length).toBeGreaterThan(1);
  });

  it('comes under a feed of 50 reports a second: nothing is asked that is not answered', async () => {
    const hand = byHand();
    const store = opened(hand);
    let answers = 0;
    for (let i = 0; i < 200; i++) {
      report(store);
      await vi.advanceTimersByTimeAsync(20);
      // A first answer takes 300 ms.
      if (i % 15 !== 14) continue;
      answers += 1;
      await hand.answer();
      expect(said(store)).not.toMatch(/^hold/);
    }
    expect(answers).toBe(13);
    expect(store.decision.late.value).toBe(false);
  });

  it('of a moment that only went on stands until the next one is there', async () => {
    const hand = byHand();
    const store = await inFull(hand);
    store.now_ms.value += 61_000;
    expect(said(store)).toBe(advice.word);
    await vi.advanceTimersByTimeAsync(3100);
    expect(said(store)).toBe('hold: The advice is not current: no answer for 3 s.');
  });

  it('is compared with the one before an edit also where an answer to what was asked earlier comes after it', async () => {
    const hand = byHand();
    const compared: [before: string | null, now: string][] = [];
    const wordOf = ({ answer }: { readonly answer: AdviceAnswer }): string => answer.advice.word;
    const store = opened(hand, (before, now) => compared.push([before === null ? null : wordOf(before), wordOf(now)]));
    await vi.advanceTimersByTimeAsync(0);
    await hand.answer();
    await hand.answer();
    store.now_ms.value += 60_000;
    await vi.advanceTimersByTimeAsync(0);
    await hand.answer();
    // The full word of this minute is on its way when the plan is edited.
    edit(store, 'gust', (plan) => put(plan, ['limits', 'gust_mps'], 9));
    await hand.answer();
    hand.says('NO-GO');
    await hand.answer();
    await hand.answer();
    expect(compared).toEqual([
      [null, advice.word],
      [advice.word, 'NO-GO'],
    ]);
  });

  it('does not turn rough each minute: a first answer that says the same leaves it, another one stands at once', async () => {
    const hand = byHand();
    const store = await inFull(hand);
    const onTheMinute = async (): Promise<void> => {
      store.now_ms.value += 60_000;
      await vi.advanceTimersByTimeAsync(0);
      await hand.answer();
    };
    await onTheMinute();
    expect(said(store)).toBe(advice.word);
    // The first answer knew all that there was to know.
    await vi.advanceTimersByTimeAsync(3100);
    expect(said(store)).toBe(advice.word);
    await hand.answer();
    hand.says('NO-GO');
    await onTheMinute();
    expect(said(store)).toBe('NO-GO, rough');
  });
});

describe('the watch over a worker', () => {
  const silent = { post: () => {}, end: vi.fn() };

  it('ends one that says nothing, and says so', async () => {
    const { worker } = watched(silent, 5000, 5000);
    const asked = worker.ask({ kind: 'recovery', members: 1 });
    const refused = expect(asked).rejects.toThrow('a worker said nothing for 5 s and was ended');
    await vi.advanceTimersByTimeAsync(5001);
    await refused;
    expect(silent.end).toHaveBeenCalledOnce();
    await expect(worker.ask({ kind: 'alive' })).rejects.toThrow('said nothing');
  });

  it('leaves one alone that is long at its work and still there', async () => {
    const end = vi.fn();
    const { worker, heard } = watched({
      post: ({ id, says }) => {
        if (says.kind === 'alive') setTimeout(() => heard({ id, says: { kind: 'done' } }), 50);
        else setTimeout(() => heard({ id, says: { kind: 'stopped' } }), 60_000);
      },
      end,
    });
    const asked = worker.ask({ kind: 'recovery', members: 1 });
    await vi.advanceTimersByTimeAsync(60_001);
    expect(await asked).toEqual({ kind: 'stopped' });
    expect(end).not.toHaveBeenCalled();
  });
});
