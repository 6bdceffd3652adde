// The lead's lists in a plan: nonsense is named with its key and left out or kept, and the sets to start from are plans
// that are read without a word.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { missionForm } from '../../core/plan/form.ts';
import { LISTS } from '../../core/plan/library.ts';
import { readMission } from '../../core/plan/read.ts';
import { projectRoot } from '../openData.ts';

const DEMO = JSON.parse(readFileSync(join(projectRoot, 'data/town-meadow/town-meadow.mission.json'), 'utf8')) as object;
const read = (lists: unknown) => readMission(JSON.stringify({ ...DEMO, lists }));
const listed = (lists: unknown) => read(lists).value?.mission.lists;
const said = (lists: unknown): string[] => read(lists).problems.map(({ text }) => text);

describe('lists of a plan', () => {
  it('are read as they stand', () => {
    const lists = [{ name: 'Before', note: 'ours', items: [{ name: 'radio', who: 'jumper', gates: true }] }];
    expect(said(lists)).toEqual([]);
    expect(listed(lists)).toEqual(lists);
  });

  it.each([
    ['Before', ['lists: found "Before"; expected a list in [ ]; lists is left out'], undefined],
    [[{ items: [{ name: 'radio' }] }], ['lists[0].name: found nothing; expected a string; lists[0] is left out'], []],
    [[{ name: '  ', items: [] }], ['lists[0].name: found "  "; expected some words; lists[0] is left out'], []],
    [[{ name: 'Before' }], ['lists[0].items: found nothing; expected a list in [ ]; lists[0] is left out'], []],
    [
      [{ name: 'Before', items: [{ name: '' }, 7, { name: 'radio' }] }],
      [
        'lists[0].items[0].name: found ""; expected some words; lists[0].items[0] is left out',
        'lists[0].items[1]: found 7; expected a group in { }; lists[0].items[1] is left out',
      ],
      [{ name: 'Before', items: [{ name: 'radio' }] }],
    ],
    [
      [{ name: 'Before', items: [{ name: 'radio', gates: 'yes', who: 3 }] }],
      [
        'lists[0].items[0].who: found 3; expected a string; lists[0].items[0].who is left out',
        'lists[0].items[0].gates: found "yes"; expected a boolean; lists[0].items[0].gates is left out',
      ],
      [{ name: 'Before', items: [{ name: 'radio' }] }],
    ],
  ])('%j: %j', (lists, sentences, kept) => {
    expect(said(lists)).toEqual(sentences);
    expect(listed(lists)).toEqual(kept);
  });

  it('that say a name twice are kept whole, and it is said', () => {
    const twice = [
      { name: 'Before', items: [{ name: 'radio' }, { name: 'zone' }, { name: 'radio' }] },
      { name: 'Before', items: [] },
    ];
    expect(said(twice)).toEqual([
      'lists: the name "Before" occurs twice; expected one name a thing',
      'lists "Before": the item "radio" occurs twice; expected one name an item; both are kept, and what is said of ' +
        'one counts for both',
    ]);
    expect(listed(twice)).toEqual(twice);
  });

  it('have a key that is not known here said and kept', () => {
    expect(said([{ name: 'Before', items: [{ name: 'radio', colour: 'red' }] }])).toEqual([
      'lists[].items[].colour: this key is not known here; it is kept in the file and not used',
    ]);
  });

  it('have their fields in the form of the plan', () => {
    const field = missionForm().find(({ key }) => key === 'lists');
    if (field?.kind !== 'list' || field.item.kind !== 'group') throw new Error('expected a list of groups');
    expect(field.item.fields.map(({ key, kind }) => `${key}: ${kind}`)).toEqual([
      'name: text',
      'note: text',
      'items: list',
    ]);
  });
});

describe('the sets of lists', () => {
  it('are plans that are read without a word, in whatever number', () => {
    expect(LISTS.length).toBeGreaterThanOrEqual(3);
    const lists = LISTS.map(({ values }) => values);
    expect(said(lists)).toEqual([]);
    expect(listed(lists)).toEqual(lists);
  });

  it('say that they are common practice, beside the set and in what is copied from it', () => {
    for (const { source, values } of LISTS) {
      expect(source).toMatch(/^common practice/);
      expect(values.note).toMatch(/^common practice/);
    }
  });

  it('gate the word before the exit and nothing after the touchdown', () => {
    for (const { name, values } of LISTS)
      expect(
        values.items.some(({ gates }) => gates === true),
        name,
      ).toBe(!name.startsWith('after'));
  });
});
