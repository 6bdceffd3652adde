// The lead's lists at a moment: what the log says of each item, by a table of what was entered. The states follow from
// what FORMAT.md says of a check: the newest of each item counts, and what was withdrawn is open again.
import { describe, expect, it } from 'vitest';
import { readLog } from '../../core/log/read.ts';
import { Folding, missionAt } from '../../core/log/fold.ts';
import { isOpen, itemSaid, listsAt, stateWords, strayItems } from '../../core/log/lists.ts';
import { mission as missionSchema } from '../../core/plan/schema.ts';

const plan = missionSchema.parse({
  format: 'plumbline/mission',
  version: 1,
  name: 'lists',
  site: { name: 'Field', position: [12, 48], elevation_m: 400 },
  exit: { position: [12, 48], altitude_m: 4000, time: '2027-05-01T10:00:00Z' },
  jumper: { mass_kg: 100, stages: [{ name: 'freefall', dragArea_m2: 0.5 }] },
  lists: [
    { name: 'Before', items: [{ name: 'radio', who: 'jumper', gates: true }, { name: 'zone' }] },
    { name: 'After', items: [{ name: 'radio' }] },
  ],
});

type Entry = Readonly<Record<string, unknown>>;
/** A log in which entry n, from 1 on, was written n minutes after nine. */
function logOf(entries: readonly Entry[]) {
  const lines = entries.map((entry, i) =>
    JSON.stringify({ seq: i + 1, at: `2027-05-01T09:0${i + 1}:00Z`, kind: 'check', ...entry }),
  );
  const { value, problems } = readLog(`${lines.join('\n')}\n`);
  expect(problems).toEqual([]);
  return value;
}
const END_S = Date.parse('2027-05-01T09:30:00Z') / 1000;
const statesAt = (entries: readonly Entry[], at_s = END_S) =>
  listsAt(plan, missionAt(plan, logOf(entries), at_s)).map(({ items }) => items.map(({ state }) => state));

const before = (more: Entry = {}): Entry => ({ item: 'radio', list: 'Before', by: 'Lead', ...more });

describe('what was read back for another attempt', () => {
  it.each([
    ['the same day', '2027-05-01T10:00:00Z', 'read back', false],
    ['half a day later', '2027-05-01T21:01:00Z', 'read back', false],
    ['a minute more than that', '2027-05-01T21:02:00Z', 'too old', true],
    ['the next day', '2027-05-02T10:00:00Z', 'too old', true],
  ])('is open again where the exit is %s', (_, time, kind, open) => {
    const moved = { ...plan, exit: { ...plan.exit, time } };
    const at_s = Date.parse(time) / 1000 - 600;
    for (const said of ['read back', 'skipped'] as const) {
      const log = logOf([before(said === 'skipped' ? { said, reason: 'no set' } : { said })]);
      const state = listsAt(moved, missionAt(moved, log, at_s))[0]?.items[0]?.state;
      expect(state?.kind).toBe(kind === 'read back' ? said : kind);
      expect(state !== undefined && isOpen(state)).toBe(open);
    }
  });
});

describe('an item of a list', () => {
  const ROWS: readonly (readonly [what: string, entries: readonly Entry[], words: string, open: boolean])[] = [
    ['nothing was said', [], 'open', true],
    ['read back', [before()], 'read back 09:01:00Z, Lead', false],
    ['read back, in so many words', [before({ said: 'read back' })], 'read back 09:01:00Z, Lead', false],
    ['read back by nobody that is named', [before({ by: '  ' })], 'read back 09:01:00Z', false],
    ['as old logs have it: the item alone', [{ item: 'radio' }], 'read back 09:01:00Z', false],
    ['of the other list', [{ item: 'radio', list: 'After' }], 'open', true],
    ['of another item', [before({ item: 'zone' })], 'open', true],
    [
      'skipped with a reason',
      [before({ said: 'skipped', reason: 'spare set in use' })],
      'skipped 09:01:00Z, Lead: spare set in use',
      false,
    ],
    ['skipped without one', [before({ said: 'skipped' })], 'skipped 09:01:00Z, Lead: no reason given', true],
    [
      'skipped with blanks for a reason',
      [before({ said: 'skipped', reason: ' ' })],
      'skipped 09:01:00Z, Lead: no reason given',
      true,
    ],
    ['read back, then withdrawn', [before(), before({ said: 'withdrawn' })], 'taken back 09:02:00Z, Lead', true],
    [
      'withdrawn, then read back by another',
      [before({ said: 'withdrawn' }), before({ by: 'Second' })],
      'read back 09:02:00Z, Second',
      false,
    ],
    [
      'read back, then skipped',
      [before(), before({ said: 'skipped', reason: 'set broke' })],
      'skipped 09:02:00Z, Lead: set broke',
      false,
    ],
    ['read back, and that annulled', [before(), { kind: 'annulment', of: 1 }], 'open', true],
    [
      'withdrawn in error: the annulment gives the reading back again',
      [before(), before({ said: 'withdrawn' }), { kind: 'annulment', of: 2 }],
      'read back 09:01:00Z, Lead',
      false,
    ],
    ['by its list, then by the item alone', [before(), { item: 'radio', by: 'X' }], 'read back 09:02:00Z, X', false],
    ['by the item alone, then by its list', [{ item: 'radio', by: 'X' }, before()], 'read back 09:02:00Z, Lead', false],
  ];
  it.each(ROWS)('%s', (_, entries, words, open) => {
    const state = statesAt(entries)[0]?.[0];
    if (state === undefined) throw new Error('the plan has this item');
    expect(stateWords(state)).toBe(words);
    expect(isOpen(state)).toBe(open);
  });

  it('is at a moment what had been said by then', () => {
    const entries = [before(), before({ said: 'withdrawn' })];
    const at = (time: string) => statesAt(entries, Date.parse(`2027-05-01T${time}Z`) / 1000)[0]?.[0]?.kind;
    expect([at('09:00:59'), at('09:01:00'), at('09:01:59'), at('09:02:00')]).toEqual([
      'open',
      'read back',
      'read back',
      'withdrawn',
    ]);
  });

  it('of two lists that share a name for it is told apart, and an event without a list is for both', () => {
    const kinds = (entries: readonly Entry[]) => statesAt(entries).map((items) => items[0]?.kind);
    expect(kinds([before()])).toEqual(['read back', 'open']);
    expect(kinds([{ item: 'radio' }])).toEqual(['read back', 'read back']);
  });

  it('is the same where the log is folded as it grows', () => {
    const log = logOf([before(), { item: 'zone' }, before({ said: 'withdrawn' })]);
    const folding = new Folding();
    for (let n = 0; n <= log.length; n++) {
      const grown = folding.at(plan, log.slice(0, n), END_S);
      expect(listsAt(plan, grown)).toEqual(listsAt(plan, missionAt(plan, log.slice(0, n), END_S)));
    }
  });

  it('that was skipped is said with who and why', () => {
    const item = listsAt(plan, missionAt(plan, logOf([before({ said: 'skipped', reason: 'no set' })]), END_S))[0]
      ?.items[0];
    if (item === undefined) throw new Error('the plan has this item');
    expect(itemSaid(item)).toBe('radio was skipped by Lead: no set');
  });

  it('that the plan does not have any more is not lost', () => {
    const state = missionAt(plan, logOf([before({ item: 'old words' }), before()]), END_S);
    expect(strayItems(plan.lists, state)).toEqual(['old words']);
  });
});

describe('a check that cannot be read', () => {
  it('is named and does not count', () => {
    const line = { seq: 1, at: '2027-05-01T09:01:00Z', kind: 'check', item: 'radio', list: 'Before', said: 'maybe' };
    const { value, problems } = readLog(`${JSON.stringify(line)}\n`);
    expect(value).toEqual([]);
    expect(problems.map(({ text }) => text).join()).toContain('said');
  });
});
