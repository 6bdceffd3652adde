// What the window gives to the calls: an answer holds while only calls are logged, and no longer when anything else
// comes in; nothing is said as current that is being worked out.
import { describe, expect, it } from 'vitest';
import { adviseOn } from '../../core/advice/advise.ts';
import type { LogEvent } from '../../core/log/events.ts';
import { holdsStill } from '../../renderer/state/derived/asked.ts';
import { callsNow, correctionsDue } from '../../renderer/state/derived/calls.ts';
import type { MomentAsked } from '../../renderer/state/stored/decision.ts';
import { loadDemo } from '../demo.ts';
import { inputsOf, storeOf } from './store.ts';

const loaded = await loadDemo('town-meadow');
const NOW_MS = Date.parse('2027-05-29T13:19:30Z');
const next = Math.max(...loaded.log.map(({ seq }) => seq)) + 1;
const at = '2027-05-29T13:19:20Z';
const call: LogEvent = { seq: next, at, kind: 'call', text: 'said', to: 'jumper', key: 'wind', values: {} };
const touchdown: LogEvent = { seq: next, at, kind: 'mark', mark: 'touchdown' };

describe('an answer about a moment', () => {
  const store = storeOf(inputsOf(loaded, NOW_MS));
  const asked = store.momentAsked.value;
  if (asked === null) throw new Error('a mission is open');

  it('holds when calls were logged since', () => {
    expect(holdsStill(asked, asked)).toBe(true);
    expect(holdsStill(asked, { ...asked, log: [...asked.log, call] })).toBe(true);
  });

  it.each<readonly [string, Partial<MomentAsked>]>([
    ['anything else', { log: [...asked.log, touchdown] }],
    ['a call and anything else', { log: [...asked.log, call, { ...touchdown, seq: next + 1 }] }],
    ['another log', { log: asked.log.slice(1) }],
    ['an edit of the plan', { mission: { ...asked.mission } }],
    ['a look at the past', { past: true, at_s: asked.at_s - 600 }],
  ])('does not hold after %s', (_what, change) => expect(holdsStill(asked, { ...asked, ...change })).toBe(false));
});

describe('the window', () => {
  it('calls no exit and no crew before an answer is there, and says so', () => {
    const now = callsNow(storeOf(inputsOf(loaded, NOW_MS)));
    const keys = now?.ready.map(({ key }) => key) ?? [];
    expect(keys).toContain('wind');
    expect(keys).not.toContain('exit');
    const why = new Map(now?.notCalled.map((one) => [one.key, one.why]));
    expect(why.get('exit')).toBe('the advice is being worked out: not called');
    expect(why.get('crews')).toBe('the crews are being worked out: not called');
  });

  it.each<readonly ['GO' | 'HOLD', boolean, boolean]>([
    ['GO', true, false],
    ['GO', false, true],
    ['HOLD', true, true],
  ])('calls a %s of few descents (%s) only where it cannot turn into a wrong GO', (word, rough, called) => {
    const store = storeOf(inputsOf(loaded, NOW_MS));
    const asked = store.momentAsked.value;
    const situation = store.situation.value;
    if (asked === null || situation === null) throw new Error('a mission is open');
    const { advice, outlook, carrier, sensitivity } = adviseOn(situation, { members: 100 });
    const answer = { advice: { ...advice, word }, prediction: outlook.prediction, carrier, sensitivity };
    const stamp = { moment: 1, seq: asked.log.at(-1)?.seq ?? -1, plan: 1, at_s: asked.at_s };
    store.decision.found.value = { asked, stamp, answer, rough };
    const now = callsNow(store);
    expect(now?.ready.some(({ key }) => key === 'exit')).toBe(called);
    expect(now?.notCalled.some(({ key }) => key === 'exit')).toBe(!called);
  });

  it('counts on the tab what must be corrected', () => {
    const said: LogEvent = { ...call, values: { from_deg: 60, speed_mps: 2.9, report: 'w3' } };
    const inputs = inputsOf(loaded, NOW_MS);
    expect(correctionsDue(storeOf(inputs)).value).toBe(0);
    expect(correctionsDue(storeOf({ ...inputs, log: [...inputs.log, said] })).value).toBe(1);
  });
});
