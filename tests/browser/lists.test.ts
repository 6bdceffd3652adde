// The lead's lists by keyboard alone, as somebody works who looks elsewhere: the keys are counted, the focus and what
// is said are read after each, and what counts is what stands in the log and in the strip.
import { cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { afterEach, expect, it } from 'vitest';
import { projectRoot } from '../openData.ts';
import { axeOn, WCAG } from './axe.ts';
import { describeBrowser, openWindow, type OpenedWindow } from './chromium.ts';
import { unreadable } from './measured.ts';

const poll = <T>(ask: () => T) => expect.poll(ask);

const ITEMS = ['winds checked', 'zone clear', 'crews in place', 'radio check', 'everybody answers GO'] as const;
const FIVE = {
  name: 'Before the run',
  items: ITEMS.map((name, i) => ({ name, ...(i === 3 ? { who: 'jumper' } : {}), gates: true })),
};

let window: OpenedWindow | null = null;
const folders: string[] = [];
afterEach(async () => {
  await window?.close();
  window = null;
  for (const folder of folders.splice(0)) rmSync(folder, { recursive: true, force: true });
});

/** The second demo, whose word is GO, with lists of its own. Its log is ahead of this clock, so it is an exercise. */
async function opened(lists: readonly object[] | undefined): Promise<{ page: Page; path: string; log: () => Entry[] }> {
  const folder = mkdtempSync(join(tmpdir(), 'plumbline-lists-'));
  folders.push(folder);
  cpSync(join(projectRoot, 'data/town-meadow'), folder, { recursive: true });
  const path = join(folder, 'town-meadow.mission.json');
  const plan = JSON.parse(readFileSync(path, 'utf8')) as object;
  writeFileSync(path, JSON.stringify(lists === undefined ? plan : { ...plan, lists }, null, 2));
  window = await openWindow({ mission: path });
  const { page } = window;
  await page.locator('#landing-degrees').waitFor();
  await page.getByRole('button', { name: 'Understood' }).click();
  const log = (): Entry[] =>
    readFileSync(join(folder, 'town-meadow.log.jsonl'), 'utf8')
      .trim()
      .split('\n')
      .map((line) => JSON.parse(line) as Entry)
      .filter(({ kind }) => kind === 'check');
  return { page, path, log };
}

interface Entry {
  readonly kind: string;
  readonly item: string;
  readonly said: string;
  readonly by?: string;
  readonly reason?: string;
  readonly list: string;
  readonly at: string;
}

const focused = (page: Page): Promise<string> =>
  page.evaluate(
    () => document.activeElement?.querySelector('.list-name')?.textContent ?? document.activeElement?.id ?? '',
  );
const spoken = (page: Page): Promise<string> => page.locator('#list-says').innerText();
const settledStrip = async (page: Page): Promise<string> => {
  await page.locator('[role=status][aria-label=Advice][aria-busy=false]').waitFor();
  return page.locator('.advice-lines').innerText();
};
const short = ({ item, said, by, reason }: Entry): string => [item, said, by, reason].filter(Boolean).join(' · ');

describeBrowser('the lead’s lists', () => {
  it('of five items are read back with six keys, without looking, and the word goes from HOLD to GO', async () => {
    const { page, log } = await opened([FIVE]);
    await poll(() => settledStrip(page)).toContain('5 items of the list are open: winds checked, zone clear, crews in');
    expect(await page.locator('#advice-word').innerText()).toBe('HOLD');
    let keys = 0;
    const press = async (key: string): Promise<void> => {
      keys += 1;
      await page.keyboard.press(key);
    };
    await press('Alt+I');
    for (const [i, name] of ITEMS.entries()) {
      await poll(() => focused(page)).toBe(name);
      const who = i === 3 ? ', jumper answers' : '';
      expect(await spoken(page)).toBe(`Next: ${name}${who}, GO waits for it. ${5 - i} open.`);
      await press(i === 2 ? 'Space' : 'Enter');
    }
    await poll(() => focused(page)).toBe('list-done');
    expect(keys).toBe(6);
    expect(await spoken(page)).toBe('Nothing of this list is open.');
    expect(await page.locator('#list-says').getAttribute('role')).toBe('status');
    await poll(() => log().map(short)).toEqual(ITEMS.map((name) => `${name} · read back`));
    expect(new Set(log().map(({ list }) => list))).toEqual(new Set(['Before the run']));
    await poll(async () => {
      await settledStrip(page);
      return page.locator('#advice-word').innerText();
    }).toBe('GO');
    // Time stands beside each, as the log has it.
    const [first] = log();
    const row = page.locator('[data-list-item="0"]');
    expect(await row.innerText()).toContain(`read back ${first?.at.slice(11, 19)}Z`);
    expect(window?.complaints).toEqual([]);
  });

  it('are skipped with a reason, taken back, and say who: the name stays from the last entry', async () => {
    const { page, log } = await opened([FIVE]);
    await page.keyboard.press('Alt+I');
    await poll(() => focused(page)).toBe('winds checked');
    // The name is one Tab back, and is typed once.
    await page.keyboard.press('Shift+Tab');
    await page.keyboard.type('Lead');
    await page.keyboard.press('Tab');
    await page.keyboard.press('Enter');
    await poll(() => focused(page)).toBe('zone clear');
    await page.keyboard.press('s');
    await poll(() => focused(page)).toBe('list-reason');
    // Without a reason nothing is logged, and what is missing is said.
    await page.keyboard.press('Enter');
    await page.getByText('Type why it is skipped; Escape leaves it as it is.').waitFor();
    await page.keyboard.type('seen from the tower');
    await page.keyboard.press('Enter');
    await poll(() => focused(page)).toBe('crews in place');
    await page.keyboard.press('s');
    await poll(() => focused(page)).toBe('list-reason');
    await page.keyboard.press('Escape');
    await poll(() => focused(page)).toBe('crews in place');
    // On an open item the last entry is taken back, and is the next one again.
    await page.keyboard.press('Backspace');
    await poll(() => focused(page)).toBe('zone clear');
    // A key that is held down reads back one item.
    await page.keyboard.down('Enter');
    await page.keyboard.down('Enter');
    await page.keyboard.down('Enter');
    await page.keyboard.up('Enter');
    await poll(() => focused(page)).toBe('crews in place');
    // What is read back already is not read back again; on it Backspace takes that one back.
    await page.keyboard.press('ArrowUp');
    await page.keyboard.press('ArrowUp');
    await poll(() => focused(page)).toBe('winds checked');
    await page.keyboard.press('Enter');
    await page.getByText('“winds checked” is read back already; Backspace takes it back.').waitFor();
    await page.keyboard.press('Backspace');
    await poll(() => log().map(short)).toEqual([
      'winds checked · read back · Lead',
      'zone clear · skipped · Lead · seen from the tower',
      'zone clear · withdrawn · Lead',
      'zone clear · read back · Lead',
      'winds checked · withdrawn · Lead',
    ]);
    await poll(() => focused(page)).toBe('winds checked');
    expect((await axeOn(page, WCAG, '.lists')).faults).toEqual([]);
    expect(await unreadable(page)).toEqual([]);
    // Another window of the same mission knows the name from the log.
    await page.reload();
    await page.locator('.list-items').waitFor();
    await page.keyboard.press('Alt+I');
    await poll(() => focused(page)).toBe('winds checked');
    expect(await page.locator('#list-reader').inputValue()).toBe('Lead');
    expect(window?.complaints).toEqual([]);
  });

  it('show in the past what had been read back by then, and take no key', async () => {
    const { page, log } = await opened([FIVE]);
    await page.keyboard.press('Alt+I');
    await poll(() => focused(page)).toBe('winds checked');
    await page.keyboard.press('Enter');
    await poll(() => focused(page)).toBe('zone clear');
    await page.keyboard.press('Alt+B');
    await page.keyboard.press('Home');
    await page.getByRole('status', { name: 'The past is shown' }).waitFor();
    await poll(() => page.locator('.list-items li.is-open').count()).toBe(5);
    expect(await page.locator('.list-items button').count()).toBe(0);
    expect(await page.getByText('what had been read back by then').count()).toBe(1);
    await page.keyboard.press('Alt+I');
    await page.keyboard.press('Enter');
    await page.keyboard.press('Alt+N');
    await poll(() => page.locator('.list-items li.is-open').count()).toBe(4);
    expect(log()).toHaveLength(1);
  });

  it('begin with a set of common practice, as one step of undo', async () => {
    const { page, path } = await opened(undefined);
    await page.keyboard.press('Alt+I');
    await page.getByText('The plan has no list.').waitFor();
    await page.keyboard.press('Enter');
    await poll(() => page.locator('.list-items li').count()).toBeGreaterThan(5);
    await poll(() => focused(page)).toBe('winds aloft and on the ground checked');
    expect(await page.getByText('common practice; edit it to the flight’s own rules').count()).toBe(1);
    await page.keyboard.press('Control+s');
    const saved = (): number => (JSON.parse(readFileSync(path, 'utf8')) as { lists?: object[] }).lists?.length ?? 0;
    await poll(saved).toBe(1);
    await page.keyboard.press('Control+z');
    await page.getByText('The plan has no list.').waitFor();
    await page.keyboard.press('Control+s');
    await poll(saved).toBe(0);
    expect(window?.complaints).toEqual([]);
  });
});
