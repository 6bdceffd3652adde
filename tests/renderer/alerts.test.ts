// What the window gives to the alerts: fixes followed one by one say the same as all at once; an alert begins once, is
// silenced by the log and stays silenced when the mission is opened again; the past shows what stood then. The descent
// is simulated (tests/live/simulated.ts), its fixes are those of the log.
import { beforeAll, beforeEach, describe, expect, it, vi } from 'vitest';
import type { LogEvent } from '../../core/log/events.ts';
import type { Loaded } from '../../core/mission/load.ts';
import type { JumperSeen } from '../../core/live/followed.ts';
import { watchAlerts } from '../../renderer/state/acting/alertActions.ts';
import type { Store } from '../../renderer/state/derived/store.ts';
import { demo } from '../demo.ts';
import { seenBy, truthOf, type Truth } from '../live/simulated.ts';
import { inputsIn, inputsOf, storeOf } from './store.ts';

beforeEach(() => {
  vi.stubGlobal('window', { setTimeout: () => 0, clearTimeout: () => {} });
  vi.stubGlobal('requestAnimationFrame', () => 0);
});

let loaded: Loaded;
let truth: Truth;
let flight: readonly LogEvent[];
const iso = (time_s: number): string => new Date(Math.round(1000 * time_s)).toISOString();

beforeAll(async () => {
  const { situation, loaded: from } = await demo('town-meadow');
  loaded = from;
  truth = truthOf(situation, 2003);
  const first = Math.max(...loaded.log.map(({ seq }) => seq)) + 1;
  const events: readonly object[] = [
    { at: iso(truth.exit_s + 1), kind: 'mark', mark: 'exit', observedAt: iso(truth.exit_s) },
    ...seenBy(truth, 2003)
      .fixes.filter(({ time_s }) => time_s > truth.exit_s - 60)
      .map(({ time_s, position, height_m }) => ({
        at: iso(Math.ceil(time_s)),
        kind: 'fix',
        body: 'jumper',
        position,
        height_m,
        observedAt: iso(time_s),
      })),
  ];
  flight = events.map((event, i) => ({ seq: first + i, ...event }) as LogEvent);
});

/** The log until so many seconds after the exit. */
const until = (after_s: number): readonly LogEvent[] =>
  flight.filter(({ at }) => Date.parse(at) / 1000 <= truth.exit_s + after_s);

function show(store: Store, after_s: number, fixes_s = after_s): void {
  store.log.value = [...loaded.log, ...until(fixes_s)];
  store.now_ms.value = 1000 * (truth.exit_s + after_s);
}

/** The exit as a person marked it so many seconds late, early where negative. */
const markedAt = (late_s: number): readonly LogEvent[] =>
  flight.map((event) => (event.kind === 'mark' ? { ...event, observedAt: iso(truth.exit_s + late_s) } : event));

const storeAt = (after_s: number, fixes_s = after_s): Store => {
  const store = storeOf(inputsOf(loaded, 1000 * (truth.exit_s + after_s)));
  show(store, after_s, fixes_s);
  return store;
};

const told = (seen: JumperSeen | null | undefined) =>
  seen === null || seen === undefined ? null : { ...seen, below_s: seen.below_s(1000) };

const kinds = (store: Store): string[] =>
  store.alerts.value.map(({ alert, silence }) => `${alert.kind}${silence === null ? '' : ' silenced'}`);

const silenceAt = (after_s: number): LogEvent => ({
  seq: 9000,
  at: iso(truth.exit_s + after_s),
  kind: 'silence',
  alert: 'fix lost',
  since: iso(truth.exit_s + 60),
  text: 'as it stood',
  reason: 'being dealt with',
  by: 'lead',
});

describe('the jumper', () => {
  it('followed from fix to fix is as one followed all at once, with its phase as it was flown', () => {
    const store = storeAt(2);
    for (let after_s = 3; after_s <= 200; after_s += 1) {
      show(store, after_s);
      const { jumper } = store.alertView.value ?? {};
      if (after_s % 20 === 0) expect(told(jumper)).toEqual(told(storeAt(after_s).alertView.value?.jumper));
      const phase = jumper?.phase?.phase;
      // A fall is seen in some seconds of it, as an opening is.
      if (after_s >= 12 && after_s < truth.opening_s - truth.exit_s) expect(phase, `${after_s} s`).toBe('freefall');
      if (after_s > truth.open_s - truth.exit_s + 15) expect(phase, `${after_s} s`).toBe('canopy');
    }
  });

  it.each([-6, -3, 3, 6])('falls and opens as it does where its exit was marked %s s late', (late_s) => {
    const store = storeAt(2);
    const end = watchAlerts(store);
    const told = new Set<string>();
    for (let after_s = 2; after_s <= 120; after_s += 2) {
      const known = markedAt(late_s).filter(({ at }) => Date.parse(at) / 1000 <= truth.exit_s + after_s);
      store.log.value = [...loaded.log, ...known];
      store.now_ms.value = 1000 * (truth.exit_s + after_s);
      for (const kind of kinds(store)) told.add(kind);
    }
    expect([...told].filter((kind) => kind !== 'fix lost')).toEqual([]);
    end();
  });

  it('is under canopy once a person marked it, whatever the fixes say', () => {
    const store = storeAt(20);
    expect(store.alertView.value?.jumper?.phase?.phase).toBe('freefall');
    const opening = { seq: 9000, at: iso(truth.exit_s + 19), kind: 'mark', mark: 'opening' } as LogEvent;
    store.log.value = [...store.log.value, opening];
    expect(store.alertView.value?.jumper?.phase?.phase).toBe('canopy');
  });

  it('is looked at in the air alone', () => {
    expect(storeOf(inputsOf(loaded, 1000 * (truth.exit_s - 600))).alertView.value).toMatchObject({
      stage: 'before the exit',
      jumper: null,
    });
    const store = storeAt(100);
    const down = { seq: 9000, at: iso(truth.exit_s + 100), kind: 'mark', mark: 'touchdown' } as LogEvent;
    store.log.value = [...store.log.value, down];
    expect(store.alertView.value).toMatchObject({ stage: 'down', jumper: null });
  });
});

describe('an alert in the window', () => {
  it('begins, is silenced by the log, ends with the next fix, and begins again', () => {
    const store = storeAt(100);
    const end = watchAlerts(store);
    expect(kinds(store)).toEqual([]);
    show(store, 130, 100);
    expect(kinds(store)).toEqual(['fix lost']);
    const { since_s } = store.alerts.value[0]?.alert ?? { since_s: NaN };
    expect(since_s - truth.exit_s).toBeGreaterThan(95);
    expect(since_s - truth.exit_s).toBeLessThanOrEqual(100);
    store.log.value = [...store.log.value, silenceAt(131)];
    store.now_ms.value += 2000;
    expect(kinds(store)).toEqual(['fix lost silenced']);
    expect(store.alerts.value[0]?.silence).toMatchObject({ by: 'lead', reason: 'being dealt with' });

    // The same files opened again, a minute later.
    const again = storeOf({ ...inputsIn(store), now_ms: store.now_ms.value + 60_000 });
    const endAgain = watchAlerts(again);
    expect(kinds(again)).toEqual(['fix lost silenced']);
    endAgain();

    store.log.value = [...loaded.log, ...until(140), silenceAt(131)];
    store.now_ms.value = 1000 * (truth.exit_s + 140);
    expect(kinds(store)).toEqual([]);
    store.now_ms.value += 40_000;
    expect(kinds(store)).toEqual(['fix lost']);
    end();
  });

  it('is no longer silenced once the silence is annulled', () => {
    const store = storeAt(130, 100);
    const end = watchAlerts(store);
    const annulment: LogEvent = { seq: 9001, at: iso(truth.exit_s + 132), kind: 'annulment', of: 9000 };
    store.log.value = [...store.log.value, silenceAt(131), annulment];
    store.now_ms.value += 5000;
    expect(kinds(store)).toEqual(['fix lost']);
    end();
  });

  it('of a past moment is what stood then, and nothing of now begins or ends by the look', () => {
    const store = storeAt(200, 100);
    store.log.value = [...store.log.value, silenceAt(131)];
    const end = watchAlerts(store);
    const now = store.alerting.standing.value;
    expect(kinds(store)).toEqual(['fix lost silenced']);
    store.moment_ms.value = 1000 * (truth.exit_s + 90);
    expect(store.past.value).toBe(true);
    expect(kinds(store)).toEqual([]);
    store.moment_ms.value = 1000 * (truth.exit_s + 125);
    expect(kinds(store)).toEqual(['fix lost']);
    expect(store.alerting.standing.value).toBe(now);
    store.moment_ms.value = null;
    expect(kinds(store)).toEqual(['fix lost silenced']);
    end();
  });

  it('tells of the links of this mission alone, in the mission’s own time', () => {
    const store = storeAt(10);
    const state = {
      path: 'tcp://127.0.0.1:1',
      missionPath: '/mission.json',
      body: 'jumper',
      link: 'waiting',
      since: iso(truth.exit_s - 1000),
      heard: iso(truth.exit_s - 1000),
      lastFix: null,
      perMinute: 0,
      taken: 0,
      repeats: 0,
      errors: 0,
      waiting: 0,
      said: 'The far end has closed the connection.',
      amiss: true,
    } as const;
    store.ownClock_ms.value = 1_000_000;
    store.reports.feeds.value = [state, { ...state, missionPath: '/other.json' }, { ...state, body: null }];
    expect(store.alertView.value?.feeds).toEqual(
      [{ body: 'jumper', link: 'broken', heard_s: truth.exit_s }].map((one) => ({
        ...one,
        heard_s: Math.round(1000 * one.heard_s) / 1000,
      })),
    );
  });
});
