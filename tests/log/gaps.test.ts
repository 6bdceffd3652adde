// A log that lacks events: which numbers, when they count, and that a person's answer is on the record. The gaps are
// written by hand into short logs.
import { describe, expect, it } from 'vitest';
import type { LogEvent } from '../../core/log/events.ts';
import { Folding, missionAt } from '../../core/log/fold.ts';
import { gapWords, LOG_CHECK } from '../../core/log/gaps.ts';
import { loadDemo } from '../demo.ts';

const { mission } = await loadDemo('town-meadow');
const BEGAN_s = Date.parse('2027-05-29T10:00:00Z') / 1000;
/** One event a minute with these numbers; a `check` of the log where a number is negative. */
const logOf = (...seqs: readonly number[]): LogEvent[] =>
  seqs.map((seq, i) => {
    const at = new Date(1000 * (BEGAN_s + 60 * i)).toISOString();
    return seq < 0
      ? { seq: -seq, at, kind: 'check', item: LOG_CHECK }
      : { seq, at, kind: 'note', text: `event ${seq}` };
  });
const saidOf = (log: readonly LogEvent[], minutes = Infinity): string | null => {
  const { gaps } = missionAt(mission, log, BEGAN_s + 60 * minutes);
  return gaps.length === 0 ? null : gapWords(gaps);
};

describe('what a log lacks', () => {
  it.each<[string, number[], string | null]>([
    ['nothing', [1, 2, 3, 4], null],
    ['nothing, where it begins with another number', [7, 8, 9], null],
    ['one event', [1, 2, 4], 'event 3 of the log is missing or cannot be read here'],
    ['several', [1, 5, 6], 'events 2 to 4 of the log are missing or cannot be read here'],
    ['twice', [1, 3, 4, 8], 'event 2, events 5 to 7 of the log are missing or cannot be read here'],
    ['what a person has answered for', [1, 3, -4, 5], null],
    ['something after the answer', [1, 3, -4, 6], 'event 5 of the log is missing or cannot be read here'],
    ['the event before the answer itself', [1, 2, -4], null],
  ])('is said: %s', (_, seqs, words) => expect(saidOf(logOf(...seqs))).toBe(words));

  it('is not known before the event behind the gap came, and a later answer does not reach back', () => {
    const log = logOf(1, 2, 4, 5, -6);
    expect(saidOf(log, 1)).toBeNull();
    expect(saidOf(log, 2)).toContain('event 3 ');
    expect(saidOf(log, 3)).toContain('event 3 ');
    expect(saidOf(log, 4)).toBeNull();
  });

  it('is not answered by an item of the lead’s lists that is called so too, nor by an answer taken back', () => {
    const log = logOf(1, 2, 4, -5);
    expect(saidOf(log)).toBeNull();
    const changed = (more: object): LogEvent[] => log.map((event) => (event.seq === 5 ? { ...event, ...more } : event));
    expect(saidOf(changed({ list: 'Before the exit' }))).toContain('event 3 ');
    expect(saidOf(changed({ said: 'withdrawn' }))).toContain('event 3 ');
  });

  it('is the same where the log is folded event by event, and annulled events are no gap', () => {
    const log: LogEvent[] = [...logOf(1, 2, 5), { seq: 6, at: '2027-05-29T10:03:00Z', kind: 'annulment', of: 2 }];
    const folding = new Folding();
    for (let n = 1; n <= log.length; n++) {
      const part = log.slice(0, n);
      const at_s = BEGAN_s + 600;
      expect(folding.at(mission, part, at_s).gaps).toEqual(missionAt(mission, part, at_s).gaps);
    }
    expect(saidOf(log)).toBe('events 3 to 4 of the log are missing or cannot be read here');
  });
});
