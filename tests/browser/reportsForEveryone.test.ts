// The reports for everyone: axe-core's rules (WCAG 2.2 A and AA) on each part, in both looks, now and in the past.
import type { Page } from 'playwright-core';
import { afterAll, afterEach, expect, it } from 'vitest';
import { axeOn, WCAG } from './axe.ts';
import { describeBrowser } from './chromium.ts';
import { Bench, part, poll, report, rowText, type } from './winds.ts';

const bench = new Bench();
afterEach(() => bench.closeWindows());
afterAll(() => bench.removeFolders());

async function violations(page: Page): Promise<string[]> {
  const { faults, passes } = await axeOn(page, [...WCAG, 'best-practice']);
  expect(passes).toBeGreaterThan(20);
  return faults;
}

describeBrowser('the reports for everyone', () => {
  it.each(['light', 'dark'] as const)('axe-core finds no violation in any part, %s', async (colorScheme) => {
    const { page, complaints } = await bench.shown(bench.copy('salt-plain'), { colorScheme });
    expect(await violations(page), 'list').toEqual([]);
    // One held back, one corrected, two that contradict each other, one looked at, another hour beside the exit's.
    await report(page, 'Ground Two 127/14 kt true', 'w6');
    await poll(() => rowText(page, 'w6')).toContain('held back');
    await report(page, 'station at Saltbell North 305/6 kt', 'w7');
    await report(page, 'station at Saltbell North 045/32 kt', 'w8');
    await type(page, 'correct w5 6.4 kt');
    await page.keyboard.press('Enter');
    await poll(() => rowText(page, 'w5')).toContain('struck');
    await page.getByRole('listbox', { name: /^Reports/ }).focus();
    await page.keyboard.press('Home');
    await page.getByRole('button', { name: 'Compare' }).click();
    await page.getByRole('slider', { name: 'Hour of the wind shown' }).press('End');
    await type(page, 'Ground One 300/7 kt true');
    expect(await violations(page), 'everything in the list').toEqual([]);
    await page.keyboard.press('Escape');
    for (const name of ['What moved', 'Observe next', 'Feeds']) {
      await part(page, name);
      if (name === 'Observe next') await page.getByRole('region', { name: 'What to observe next' }).waitFor();
      expect(await violations(page), name).toEqual([]);
    }
    await page.keyboard.press('Alt+B');
    await page.keyboard.press('Home');
    await page.getByRole('status', { name: 'The past is shown' }).waitFor();
    expect(await violations(page), 'the past').toEqual([]);
    expect(complaints).toEqual([]);
  });

  it('every part and key is reached without a pointer', async () => {
    const { page } = await bench.shown(bench.copy('salt-plain'));
    const focused = (): Promise<string> =>
      page.evaluate(
        () => document.activeElement?.getAttribute('aria-label') ?? document.activeElement?.textContent ?? '',
      );
    await page.getByRole('tab', { name: 'Reports' }).focus();
    const seen: string[] = [];
    for (let i = 0; i < 30 && !seen.at(-1)?.startsWith('Entry line'); i++) {
      await page.keyboard.press('Tab');
      seen.push(await focused());
    }
    // Parts, filters, the list, then the entry line: the order in which they are read.
    const order = [
      'Reports',
      'What moved',
      'Observe next',
      'Feeds',
      '5 all',
      'Find reports',
      'Reports, 5 of 5',
      'Entry line',
    ];
    const places = order.map((name) => seen.findIndex((one) => one.startsWith(name)));
    expect(
      places.every((place) => place >= 0),
      seen.join(' | '),
    ).toBe(true);
    expect(places.slice(1)).toEqual(places.slice(1).toSorted((a, b) => a - b));

    // The winds as a table, by its key; on paper it stands alone, black on white in either look, with nothing to press.
    await page.keyboard.press('Alt+V');
    await page.locator('.wind-table tbody tr').first().waitFor();
    expect(await violations(page), 'table').toEqual([]);
    await page.emulateMedia({ media: 'print', colorScheme: 'dark' });
    const lines = (await page.locator('body').innerText()).split('\n');
    expect(lines[0]).toMatch(/^Winds at 07:42Z \(exit\), /);
    expect(lines.filter((line) => /^[\d\u202f]+\u202fm\t\d{3}°\t/.test(line)).length).toBe(40);
    const colour = await page
      .locator('.wind-table td')
      .first()
      .evaluate((el) => getComputedStyle(el).color);
    expect(colour).toBe('rgb(0, 0, 0)');
    expect(await page.getByRole('button').filter({ visible: true }).count()).toBe(0);
  });
});
