// The word is held while the desk is out of reach, the log takes nothing, or the clock cannot be believed; and a window
// that heard nothing for a while catches up. The desk is played by hand; times are those of the demo's own log.
import { afterAll, describe, expect, it, vi } from 'vitest';
import type { LogEvent } from '../../core/log/events.ts';
import { missingWords, wrongNow } from '../../renderer/state/derived/asked.ts';
import { append, logged } from '../../renderer/state/acting/actions.ts';
import {
  catchUp,
  clockIsRight,
  goOnWithLog,
  leapWatch,
  noteLeap,
  takeLogTrouble,
  watchFaults,
} from '../../renderer/state/acting/catchingUp.ts';
import { newestOf, ownClockOf } from '../../renderer/state/stored/clock.ts';
import type { Store } from '../../renderer/state/derived/store.ts';
import { demo } from '../demo.ts';
import { inputsOf, storeOf } from './store.ts';

vi.stubGlobal('window', { setTimeout, clearTimeout });
afterAll(() => void vi.unstubAllGlobals());

const { situation, loaded } = await demo('salt-plain');
const now_ms = situation.at_s * 1000;

/** A store whose desk answers what the test says. */
function opened(answers: Readonly<Record<string, (...args: never[]) => unknown>> = {}): Store {
  const store = storeOf(inputsOf(loaded, now_ms));
  const call = async (name: string, ...args: never[]): Promise<unknown> => {
    const answer = answers[name];
    if (answer === undefined) throw new Error(`no ${name} here`);
    return answer(...args);
  };
  Object.assign(store.desk, { call });
  return store;
}
const why = (store: Store): string | null =>
  store.verdict.value.kind === 'hold' ? missingWords(store.verdict.value) : null;
const seqOf = (store: Store): number => store.log.value.at(-1)?.seq ?? 0;
const noteAt = (seq: number, at_ms: number, more: object = {}): LogEvent => ({
  seq,
  at: new Date(at_ms).toISOString(),
  kind: 'note',
  text: 'as it came',
  ...more,
});

describe('the word is held', () => {
  it('while the desk is out of reach, and what came meanwhile is taken before the word is looked for again', async () => {
    const missed: LogEvent[] = [];
    const store = opened({
      'log/since': (_path: string, seq: number) => ({ ok: true, value: missed.filter((one) => one.seq > seq) }),
    });
    expect(why(store)).toBe(null);
    store.deskState.value = 'lost';
    expect(why(store)).toBe('The desk is out of reach: nothing reported comes here, and nothing can be logged.');
    const seq = seqOf(store);
    missed.push(noteAt(seq, now_ms), noteAt(seq + 1, now_ms + 1), noteAt(seq + 2, now_ms + 2));
    await catchUp(store);
    await vi.waitFor(() => expect(seqOf(store)).toBe(seq + 2));
    store.deskState.value = 'connected';
    expect(why(store)).toBe(null);
  });

  it('while what was entered is not in the log, until something is logged again', async () => {
    let full = true;
    const store: Store = opened({
      'log/append': (_path: string, event: object) =>
        full
          ? { ok: false, why: 'x.mission.json cannot be written: the disk is full.' }
          : { ok: true, value: { seq: seqOf(store) + 1, at: new Date(now_ms).toISOString(), ...event } },
    });
    expect(await append(store, { kind: 'note', text: 'one' })).toBe(false);
    expect(why(store)).toBe(
      'What was entered last is not in the log: x.mission.json cannot be written: the disk is full.',
    );
    full = false;
    expect(await append(store, { kind: 'note', text: 'one' })).toBe(true);
    expect(why(store)).toBe(null);
  });

  it('by an event a day ahead, which moves no moment and is cured by its annulment', () => {
    const store = opened();
    const shown_s = store.shown_s.value;
    const seq = seqOf(store) + 1;
    store.log.value = [...store.log.value, noteAt(seq, now_ms + 86_400_000)];
    expect(why(store)).toMatch(
      new RegExp(`^Event ${seq} is dated .*, 24\u202fh ahead of this computer’s clock\\..*“annul ${seq} wrong clock”`),
    );
    expect(store.shown_s.value).toBe(shown_s);
    const annulment: LogEvent = { seq: seq + 1, at: new Date(now_ms).toISOString(), kind: 'annulment', of: seq };
    store.log.value = [...store.log.value, annulment];
    expect(why(store)).toBe(null);
    expect(store.shown_s.value).toBe(shown_s);
  });

  it('by what another program did to the log, until a person has seen it and the log takes that', async () => {
    let full = true;
    const store = opened({
      'log/keep': () => ({ ok: true, value: { path: '/kept.log.jsonl' } }),
      'log/append': (_path: string, event: object) =>
        full
          ? { ok: false, why: '/mission.json does not exist.' }
          : { ok: true, value: { seq: seqOf(store) + 1, at: new Date(now_ms).toISOString(), ...event } },
    });
    await takeLogTrouble(store, 'The log was cut. Look for a copy.', true);
    expect(why(store)).toBe('The log was cut.');
    const { logTroubles } = store.decision;
    expect(wrongNow(store.verdict.value, logTroubles.value)).toEqual([
      'The log was cut. Look for a copy. All that this window has is kept as /kept.log.jsonl.',
    ]);
    await goOnWithLog(store);
    expect(why(store)).toBe('What was entered last is not in the log: /mission.json does not exist.');
    full = false;
    await append(store, { kind: 'note', text: 'one' });
    expect(why(store)).toBe('The log was cut.');
    await goOnWithLog(store);
    expect(why(store)).toBe(null);
    // What happened is not forgotten with it.
    expect(wrongNow(store.verdict.value, logTroubles.value).length).toBe(1);
  });

  it('by a leap of the clock before the events that are far ahead because of it', async () => {
    const store = opened({
      'log/append': (_path: string, event: object) => ({
        ok: true,
        value: { seq: seqOf(store) + 1, at: new Date(now_ms - 86_400_000).toISOString(), ...event },
      }),
    });
    store.now_ms.value = now_ms - 86_400_000;
    await noteLeap(store, -86_400_000);
    await vi.waitFor(() => expect(why(store)).toMatch(/^The computer’s clock went back/));
    await clockIsRight(store);
    await vi.waitFor(() => expect(why(store)).toMatch(/^Event \d+ is dated/));
  });

  it('not by an event of a clock that is a few minutes ahead', () => {
    const store = opened();
    store.log.value = [...store.log.value, noteAt(seqOf(store) + 1, now_ms + 180_000)];
    expect(why(store)).toBe(null);
    expect(store.shown_s.value).toBe(now_ms / 1000 + 180);
  });

  it('after a leap of the clock, until a person has checked it; both stand in the log', async () => {
    const store = opened({
      'log/append': (_path: string, event: object) => ({
        ok: true,
        value: { seq: seqOf(store) + 1, at: new Date(now_ms).toISOString(), ...event },
      }),
    });
    await noteLeap(store, -3_600_000);
    await vi.waitFor(() =>
      expect(why(store)).toMatch(/^The computer’s clock went back 1\u202fh at .*: check the time/),
    );
    expect(store.log.value.at(-1)).toMatchObject({
      kind: 'note',
      leap_s: -3600,
      text: 'The computer’s clock went back 1\u202fh.',
    });
    // An item of the lead's own lists may have the same name; it says nothing of the leap.
    await append(store, { kind: 'check', item: 'clock', list: 'Before the exit' });
    await vi.waitFor(() => expect(store.log.value.at(-1)).toMatchObject({ kind: 'check', list: 'Before the exit' }));
    expect(why(store)).toMatch(/^The computer’s clock went back/);
    await clockIsRight(store);
    await vi.waitFor(() => expect(why(store)).toBe(null));
  });

  it('by an error that nothing caught, and not by a layout that takes another turn', () => {
    const store = opened();
    const page = new EventTarget();
    const end = watchFaults(page as unknown as Window, store);
    const thrown = (message: string) => Object.assign(new Event('error'), { message, error: new Error(message) });
    page.dispatchEvent(thrown('ResizeObserver loop completed with undelivered notifications.'));
    expect(why(store)).toBe(null);
    page.dispatchEvent(thrown('x is not a function'));
    expect(why(store)).toBe(
      'The window failed: x is not a function. Load the page again (F5); what is logged is safe.',
    );
    end();
  });
});

describe('a leap of the clock', () => {
  it('is what the wall clock moves and the steady one does not; a page that stood still makes no leap', () => {
    let [wall, steady] = [1e12, 500];
    const watch = leapWatch(
      () => wall,
      () => steady,
    );
    wall += 60_000;
    steady += 60_000;
    expect(watch.look()).toBe(0);
    wall += 1000 - 7_200_000;
    steady += 1000;
    expect(watch.look()).toBe(-7_200_000);
    wall += 1000;
    steady += 1000;
    expect(watch.look()).toBe(0);
    // The network slews a clock by half a millisecond a second (RFC 5905, 500 ppm).
    wall += 60_030;
    steady += 60_000;
    expect(watch.look()).toBe(0);
  });
});

describe('the clock of a mission', () => {
  it('is the computer’s though one event of its log is a day ahead, and its own where most of it is', () => {
    const log = [noteAt(1, now_ms), noteAt(2, now_ms + 1000), noteAt(3, now_ms + 86_400_000)];
    expect(ownClockOf(loaded.mission, log, false, now_ms + 2000)).toBe(0);
    expect(ownClockOf(loaded.mission, log, false, now_ms - 86_400_000)).toBe(2 * 86_400_000);
    expect(newestOf(log, now_ms + 5000)).toBe(now_ms + 1000);
    expect(newestOf([...log, { seq: 4, at: new Date(now_ms).toISOString(), kind: 'annulment', of: 3 }])).toBe(
      now_ms + 1000,
    );
  });

  it('takes a log of this window’s own events as they come', async () => {
    const store = opened();
    const seq = seqOf(store) + 1;
    logged(store, noteAt(seq, now_ms));
    await vi.waitFor(() => expect(seqOf(store)).toBe(seq));
  });
});
