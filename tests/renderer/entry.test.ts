// The entry line: the lists of legal, asked and refused inputs that its comment promises. What a wind means is the
// report reader's and is tested there; here, that it is asked and taken, and that every other word leads where it says.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fc } from '../property.ts';
import { describe, expect, test } from 'vitest';
import { missionAt } from '../../core/log/fold.ts';
import { readMission } from '../../core/plan/read.ts';
import { FORMS, formsFor } from '../../renderer/entry/forms.ts';
import { readEntry, readingBack, type EntryContext } from '../../renderer/entry/read.ts';
import { projectRoot } from '../openData.ts';
import { chordOf, commands } from '../../renderer/state/acting/commands.ts';

const all = commands(['Descent', 'Log', 'Problems']);
const mission = readMission(readFileSync(join(projectRoot, 'data/salt-plain/salt-plain.mission.json'), 'utf8')).value
  ?.mission;
if (mission === undefined) throw new Error('the demo is readable');
const crew = {
  seq: 1,
  at: '2027-04-14T06:50:00Z',
  kind: 'wind-report',
  id: 'w5',
  source: 'crew',
  by: 'Ground One',
  observedAt: '2027-04-14T06:49:00Z',
  position: [22.406, -30.087],
  agl_m: 2,
  from_deg: 305,
  speed_mps: 3.1,
} as const;
const { reports } = missionAt(
  mission,
  [crew, { ...crew, seq: 2, id: 'w6', from_deg: 125 }],
  Date.parse('2027-04-14T07:00:00Z') / 1000,
);
const [w5, w6] = reports;
if (w5 === undefined || w6 === undefined) throw new Error('both reports count');

const context: EntryContext = {
  reports: {
    find: (id) => reports.find((one) => one.id === id.toLowerCase()) ?? null,
    held: [
      {
        report: w6,
        sentence: 'looks turned',
        suggested: { from_deg: 305 },
        kind: 'from and toward',
        whole: null,
        outOf: 1,
      },
    ],
    newest: ['w6', 'w5'],
  },
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
    ['level 090/7 kt at 1500 m agl', { kind: 'level' }],
    ['I am  winds desk', { kind: 'operator', name: 'winds desk' }],
    ['correct w5 from 125', { kind: 'asked', question: { about: 'true or magnetic' } }],
    [
      'Correct W5 from 125 true',
      { kind: 'correction', event: { corrects: 'w5', id: 'w9', from_deg: 125, speed_mps: 3.1, by: 'Ground One' } },
    ],
    // w6 says 125° and is the one that is held back.
    ['corrected: the other way round', { kind: 'correction', event: { corrects: 'w6', from_deg: 305 } }],
    ['correction: from 300 true', { kind: 'correction', event: { corrects: 'w6', from_deg: 300 } }],
    ['w6 reversed', { kind: 'correction', event: { corrects: 'w6', from_deg: 305, speed_mps: 3.1 } }],
    ['w5 is the other way round', { kind: 'correction', event: { corrects: 'w5', from_deg: 125 } }],
    ['go 22.41 -30.09', { kind: 'asked', question: { about: 'latitude or longitude first' } }],
    ['exit 22.36 -30.07', { kind: 'asked', question: { about: 'latitude or longitude first' } }],
    ['withdraw w5 wrong field', { kind: 'withdrawal', of: 'w5', reason: 'wrong field' }],
    ['confirm w6', { kind: 'confirmation', of: 'w6' }],
    ['090/7', { kind: 'asked', question: { about: 'knots or m/s' } }],
  ])('%s', (text, entry) => expect(readEntry(text, context)).toMatchObject(entry));

  test.each([
    ['withdraw w5', 'why'],
    ['withdraw w77 gone', 'no report w77. The newest are w6, w5'],
    ['correct', 'which report'],
    ['correct w5', 'nothing to correct yet'],
    ['confirm w5', 'not held back: it counts already'],
    ['correct w5 from 400', 'expected 000 to 360'],
    // The ground lies at 951 m.
    ['exit -5 m', 'expected more than 951'],
    ['exit 900 m msl', 'expected more than 951'],
  ])('%s says what is missing', (text, sentence) => {
    expect(readEntry(text, context)).toMatchObject({
      kind: 'unknown',
      why: expect.stringContaining(sentence) as string,
    });
  });

  test.each(['note', 'go', 'go nowhere', 'exit 95 10', 'exit 99999 m', 'hello', '400/7 kt'])(
    '%s is refused with a sentence',
    (text) => {
      const entry = readEntry(text, context);
      expect(entry.kind).toBe('unknown');
      expect(readingBack(entry, context).length).toBeGreaterThan(10);
    },
  );

  test('a correction that names no report is asked about where none is held back', () => {
    const none = { ...context, reports: { ...(context.reports ?? { find: () => null, newest: [] }), held: [] } };
    const entry = readEntry('corrected: the other way round', none);
    expect(entry).toMatchObject({ kind: 'asked', question: { about: 'which report' } });
    const keys = entry.kind === 'asked' ? entry.question.keys : [];
    expect(readEntry('corrected: the other way round', none, keys[1]?.resolves)).toMatchObject({
      kind: 'correction',
      event: { corrects: 'w5', from_deg: 125 },
    });
  });

  test('every word of the help runs its command', () => {
    const words = all.flatMap((command) => command.words.map((word) => [word, command.id] as const));
    expect(words.length).toBeGreaterThan(25);
    for (const [word, id] of words)
      expect(readEntry(word, context), word).toMatchObject({ kind: 'command', command: { id } });
  });

  test('any text is read without a throw, and read back', () => {
    fc.assert(
      fc.property(fc.oneof(fc.string({ unit: 'binary' }), fc.stringMatching(/^(exit|go|note) .{0,20}$/)), (text) => {
        expect(typeof readingBack(readEntry(text, context), context)).toBe('string');
      }),
    );
  });
});

describe('what can be typed', () => {
  test('is shown as it is typed, and narrows', () => {
    expect(formsFor('', all)).toEqual([]);
    expect(formsFor('c', all).length).toBeGreaterThan(1);
    expect(formsFor('called t', all)).toEqual(['called touchdown']);
    expect(formsFor('correct w6', all)).toEqual(['correct w5 from 125']);
    expect(formsFor('zzz', all)).toEqual([]);
  });
  // A form that is shown and not understood would lead nowhere.
  test.each(FORMS)('%s is a line that is understood', (form) => {
    const called = {
      now_s: Date.parse('2027-04-14T07:45:00Z') / 1000,
      site: [22.41, -30.09],
      teams: [],
      groundAt: () => 951,
    } as const;
    const report =
      context.report === null
        ? null
        : { ...context.report, teams: [{ name: 'Ground One', position: [22.4, -30.1] as const }] };
    const held = context.reports?.held.map((one) => ({ ...one, report: w5 })) ?? [];
    const reports = { find: () => w5, newest: ['w5'], held };
    expect(readEntry(form, { ...context, called, report, reports }).kind).not.toBe('unknown');
  });
});

describe('keys', () => {
  const press = (
    key: string,
    code: string,
    held: Partial<Record<'ctrlKey' | 'altKey' | 'shiftKey' | 'metaKey', boolean>> = {},
  ) => chordOf({ key, code, ctrlKey: false, altKey: false, shiftKey: false, metaKey: false, ...held });
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
