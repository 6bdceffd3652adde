// The entry line: the lists of legal, asked and refused inputs that its comment promises. What a wind means is the report reader's and
// is tested there; here, that it is asked and taken, and that every other word leads where it says.
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { readEntry, readingBack, type EntryContext } from '../../renderer/entry/read.ts';
import { chordOf, commands } from '../../renderer/state/commands.ts';

const all = commands(['Descent', 'Log', 'Problems']);
const context: EntryContext = {
  units: { length: 'm', speed: 'kt', height: 'MSL', time: 'UTC' },
  ground_m: 951,
  commands: all,
  report: {
    now_s: Date.parse('2027-04-14T07:00:00Z') / 1000,
    site: { position: [22.41, -30.09], elevation_m: 951 },
    places: [],
    teams: [],
    declination_deg: -24,
    nextId: 'w9',
  },
};

describe('what is typed', () => {
  test.each([
    ['', { kind: 'nothing' }],
    ['note dust lifting', { kind: 'note', text: 'dust lifting' }],
    ['Note: dust  lifting', { kind: 'note', text: 'dust lifting' }],
    ['go 30.09 S 22.41 E', { kind: 'go', position: [22.41, -30.09] }],
    ['exit 30.0748 S 22.3574 E', { kind: 'exit', position: [22.3574, -30.0748] }],
    ['exit -30.0748 22.3574', { kind: 'exit', position: [22.3574, -30.0748] }],
    ['exit 38000 m', { kind: 'exit height', altitude_m: 38_000 }],
    ['exit 38000', { kind: 'exit height', altitude_m: 38_000 }],
    // 12 500 ft are 3810 m (NIST SP 811: 0.3048 m/ft, exact), above the site's 951 m.
    ['exit 12500 ft agl', { kind: 'exit height', altitude_m: 3810 + 951 }],
    ['090/7 kt at 1500 m agl', { kind: 'wind' }],
    ['090/7', { kind: 'asked', question: { about: 'knots or m/s' } }],
  ])('%s', (text, entry) => expect(readEntry(text, context)).toMatchObject(entry));

  test.each(['note', 'go', 'go nowhere', 'exit 95 10', 'exit 99999 m', 'hello', '400/7 kt'])('%s is refused with a sentence', (text) => {
    const entry = readEntry(text, context);
    expect(entry.kind).toBe('unknown');
    expect(readingBack(entry, context).length).toBeGreaterThan(10);
  });

  test('every word of the help runs its command', () => {
    const words = all.flatMap((command) => command.words.map((word) => [word, command.id] as const));
    expect(words.length).toBeGreaterThan(25);
    for (const [word, id] of words) expect(readEntry(word, context), word).toMatchObject({ kind: 'command', command: { id } });
  });

  test('any text is read without a throw, and read back', () => {
    fc.assert(
      fc.property(fc.oneof(fc.string({ unit: 'binary' }), fc.stringMatching(/^(exit|go|note) .{0,20}$/)), (text) => {
        expect(typeof readingBack(readEntry(text, context), context)).toBe('string');
      }),
    );
  });
});

describe('keys', () => {
  const press = (key: string, code: string, held: Partial<Record<'ctrlKey' | 'altKey' | 'shiftKey' | 'metaKey', boolean>> = {}) =>
    chordOf({ key, code, ctrlKey: false, altKey: false, shiftKey: false, metaKey: false, ...held });
  test('no two commands share a chord', () => {
    const chords = all.flatMap((command) => command.chords);
    expect(new Set(chords).size).toBe(chords.length);
    expect(chords.length).toBeGreaterThan(20);
  });
  test('chords: letters by what they write, with Alt by their place', () => {
    expect(press('?', 'Slash', { shiftKey: true })).toBe('?');
    expect(press('z', 'KeyZ', { ctrlKey: true })).toBe('Ctrl+Z');
    // On a German keyboard Z lies where Y is on an American one.
    expect(press('z', 'KeyY', { ctrlKey: true })).toBe('Ctrl+Z');
    expect(press('Z', 'KeyZ', { metaKey: true, shiftKey: true })).toBe('Ctrl+Shift+Z');
    // On a Mac, Alt+1 writes ¡.
    expect(press('¡', 'Digit1', { altKey: true })).toBe('Alt+1');
  });
});
