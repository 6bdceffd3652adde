// The lead's lists on paper: a row for each item with who, a box and a line for the time; what the log has is marked
// with its time; a list that is longer than a page goes on on the next one.
import { describe, expect, it } from 'vitest';
import { briefHtml } from '../../core/brief/html.ts';
import { itemsOf, type Brief } from '../../core/brief/model.ts';
import { briefText } from '../../core/brief/text.ts';
import type { LogEvent } from '../../core/log/events.ts';
import type { LeadList, Mission } from '../../core/plan/schema.ts';
import { changedBrief, madeBrief } from './made.ts';

const BEFORE: LeadList = {
  name: 'Before the run',
  note: 'common practice',
  items: [
    { name: 'zone clear', who: 'Marshal', gates: true },
    { name: 'radio check', gates: true },
    { name: 'visor warm', who: 'jumper' },
  ],
};
const check = (seq: number, item: string, more: object = {}): LogEvent => ({
  seq,
  at: '2027-05-29T13:20:30Z',
  kind: 'check',
  list: 'Before the run',
  item,
  by: 'Lead',
  ...more,
});

async function withLists(lists: readonly LeadList[], events: readonly LogEvent[]): Promise<Brief> {
  const { loaded } = await madeBrief('town-meadow');
  const plan: Mission = { ...loaded.mission, lists: [...lists] };
  return changedBrief(loaded, plan, [...loaded.log, ...events]).brief;
}

describe('the lists in the brief', () => {
  it('hold item, who, box and time, and what was read back and skipped with its time', async () => {
    const brief = await withLists(
      [BEFORE],
      [check(7, 'zone clear'), check(8, 'visor warm', { said: 'skipped', reason: 'no visor' })],
    );
    const section = brief.sections.find(({ key }) => key === 'list.Before the run');
    expect(section?.title).toBe('Before the run (common practice)');
    expect(section?.columns).toEqual(['No.', 'Item', 'Who', '', 'Time, by whom']);
    expect(section?.items.map(({ label, cells }) => [label, ...(cells ?? [])])).toEqual([
      ['1', 'zone clear (GO waits for it)', 'Marshal', '[x]', '13:20:30Z, Lead'],
      ['2', 'radio check (GO waits for it)', '–', '[\u00a0]', '__________'],
      ['3', 'visor warm', 'jumper', '[\u00a0]', 'skipped 13:20:30Z, Lead: no visor'],
    ]);
    // What the word waits for has its rule in the margin until it is read back.
    expect(section?.items.map(({ strong }) => strong === true)).toEqual([false, true, false]);
    expect(brief.head.verdict).toContain('1 item of the list is open: radio check');
    const text = briefText(brief);
    expect(text).toMatch(/^ {2}2 {4}radio check \(GO waits for it\) {2}– {8}\[\u00a0\] {2}__________$/m);
    // In the JSON of the command line the same sections stand.
    expect(JSON.stringify(brief)).toContain('"13:20:30Z, Lead"');
  });

  it('have a page of their own behind the lead’s, and none where the plan has no list', async () => {
    const pagesOf = (brief: Brief): string[] => briefHtml(brief).split('<section class="page">').slice(1);
    const { brief: without } = await madeBrief('town-meadow');
    const pages = pagesOf(await withLists([BEFORE], []));
    expect(pages.length).toBe(pagesOf(without).length + 1);
    expect(pages[2]).toContain('For the lead');
    expect(pages[3]).toContain('<h2>Before the run (common practice)</h2>');
    expect(pages[3]).toContain('zone clear (GO waits for it)');
  });

  it('go on on another page where they are too long for one, with every item on one page or the other', async () => {
    const items = Array.from({ length: 120 }, (_, i) => ({ name: `thing ${i + 1} of many`, who: 'lead' }));
    const html = briefHtml(await withLists([{ name: 'Long', items }, BEFORE], []));
    const pages = html.split('<section class="page">').filter((page) => page.includes('Lists: read back one by one'));
    expect(pages.length).toBeGreaterThan(2);
    for (let i = 1; i <= 120; i++)
      expect(
        pages.filter((page) => page.includes(`>thing ${i} of many<`)),
        `${i}`,
      ).toHaveLength(1);
    // A row is 5.2 mm at least and a page 277 mm: no page holds more than 53.
    for (const page of pages) expect(page.split('<tr>').length).toBeLessThan(54);
  });

  it('have a key for each line also where two things have one name', async () => {
    const twice: LeadList = { name: 'Twice', items: [{ name: 'radio' }, { name: 'radio' }] };
    const brief = await withLists([twice, twice], []);
    expect([...itemsOf(brief).keys()].filter((key) => key.startsWith('list.'))).toHaveLength(4);
  });
});
