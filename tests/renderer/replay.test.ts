// The log played again with the window's clock: how far the moment goes on, where it ends, and that what is shown is
// what was known then.
import { beforeEach, describe, expect, it } from 'vitest';
import { play, togglePlaying, turnReplaySpeed, watchReplay } from '../../renderer/state/acting/replay.ts';
import type { Store } from '../../renderer/state/derived/store.ts';
import { missionAt } from '../../core/log/fold.ts';
import { loadDemo } from '../demo.ts';
import { inputsOf, storeOf } from './store.ts';

const loaded = await loadDemo('salt-plain');
const { mission, log } = loaded;
const times = log.map((event) => Date.parse(event.at));
const [FIRST, LAST] = [Math.min(...times), Math.max(...times)];
const HOUR = 3_600_000;

let store: Store;
let now_ms: number;
beforeEach(() => {
  now_ms = LAST + HOUR;
  store = storeOf(inputsOf(loaded, now_ms));
  watchReplay(store);
});

const tick = (by_ms = 1000): void => {
  now_ms += by_ms;
  store.now_ms.value = now_ms;
};

describe('a replay', () => {
  it('begins at the first event and goes on ten seconds a second, then sixty, then one', () => {
    play(store);
    expect(store.moment_ms.value).toBe(FIRST);
    tick();
    expect(store.moment_ms.value).toBe(FIRST + 10_000);
    turnReplaySpeed(store);
    tick();
    expect(store.moment_ms.value).toBe(FIRST + 70_000);
    turnReplaySpeed(store);
    tick();
    expect(store.moment_ms.value).toBe(FIRST + 71_000);
  });

  it('shows what was known then: the reports that count, and no later one', () => {
    const report = log.findLast((event) => event.kind === 'wind-report');
    if (report === undefined) throw new Error('the demo has reports');
    store.moment_ms.value = Date.parse(report.at) - 5000;
    play(store);
    const counting = () => store.situation.value?.state.counting.map(({ id }) => id) ?? [];
    expect(counting()).not.toContain(report.id);
    tick();
    expect(counting()).toContain(report.id);
    const then_s = (store.moment_ms.value ?? NaN) / 1000;
    expect(counting()).toEqual(missionAt(mission, log, then_s).counting.map(({ id }) => id));
    expect(store.past.value).toBe(true);
  });

  it('goes on from the moment that is looked at, also where that is dragged meanwhile', () => {
    store.moment_ms.value = FIRST + HOUR;
    play(store);
    tick();
    store.moment_ms.value = FIRST + 2 * HOUR;
    tick();
    expect(store.moment_ms.value).toBe(FIRST + 2 * HOUR + 10_000);
  });

  it('is paused and goes on', () => {
    play(store);
    tick();
    togglePlaying(store);
    tick();
    expect(store.moment_ms.value).toBe(FIRST + 10_000);
    togglePlaying(store);
    tick();
    expect(store.moment_ms.value).toBe(FIRST + 20_000);
  });

  it('stands at the newest event, says so, and begins again from there', () => {
    store.moment_ms.value = LAST - 4000;
    play(store);
    tick();
    expect(store.moment_ms.value).toBe(LAST);
    expect(store.replay.playing.value).toBe(false);
    expect(store.notice.value?.text).toContain('end of the log');
    play(store);
    expect(store.moment_ms.value).toBe(FIRST);
  });

  it('ends with back to now', () => {
    play(store);
    store.moment_ms.value = null;
    expect(store.replay.playing.value).toBe(false);
    tick();
    expect(store.moment_ms.value).toBeNull();
  });

  it('is moved by a clock that leapt by two seconds at most, and back not at all', () => {
    play(store);
    tick(HOUR);
    expect(store.moment_ms.value).toBe(FIRST + 20_000);
    tick(-HOUR);
    expect(store.moment_ms.value).toBe(FIRST + 20_000);
  });

  it('says that there is nothing to be played', () => {
    store.log.value = [];
    play(store);
    expect(store.moment_ms.value).toBeNull();
    expect(store.notice.value?.text).toContain('Nothing is logged yet');
  });
});
