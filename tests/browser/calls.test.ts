// What to say now, as a person uses it: reached by its key, read, marked said with one key, and corrected when the wind
// that was called is corrected. What is expected stands in the log on the disk and in the reports that the test made.
import { afterAll, afterEach, expect, it } from 'vitest';
import type { Page } from 'playwright-core';
import { axeOn, WCAG } from './axe.ts';
import { describeBrowser } from './chromium.ts';
import { Bench, LAST, logOf, poll, type, words } from './winds.ts';

const bench = new Bench();
afterEach(() => bench.closeWindows());
afterAll(() => bench.removeFolders());

/** 240° true and 6 kt a minute before the end of the demo's log, which the exercise clock goes on from. */
function withFreshWind(): string {
  const mission = bench.copy('town-meadow');
  const at = LAST['town-meadow'];
  const fresh = {
    kind: 'wind-report',
    id: 'w5',
    source: 'crew',
    by: 'Marshal',
    observedAt: at,
    position: [14.921381, 49.416851],
    agl_m: 2,
    from_deg: 240,
    speed_mps: (6 * 1852) / 3600,
  };
  const known = logOf(mission).map(({ seq: _seq, ...event }, i) => ({ ...event, seq: i + 1 }));
  return bench.copy('town-meadow', [...known, { seq: known.length + 1, at, ...fresh }]);
}

const call = (page: Page, key: string) => page.locator(`[data-call="${key}"]`);
const first = (page: Page): Promise<string> => page.locator('#calls-ready .call-words').first().innerText();

describeBrowser('what to say now', () => {
  it('is marked said with one key, and a wind that is corrected then is corrected first', async () => {
    const mission = withFreshWind();
    const { page, complaints } = await bench.shown(mission);
    await page.keyboard.press('Alt+G');
    await poll(() => page.getByRole('tab', { name: 'Calls', exact: true }).getAttribute('aria-selected')).toBe('true');
    const wind = call(page, 'wind');
    await wind.waitFor();
    // The declination of Marnwick is some 5° east in 2027 (WMM): 240° true are 235° magnetic, or one beside it.
    await poll(() => wind.locator('.call-words').innerText()).toMatch(
      /^Surface wind FROM two three (?:four|five|six) degrees magnetic, six knots, \w+ minutes? old, toward /,
    );
    const text = await wind.locator('.call-words').innerText();
    // Its button is reached by Tab from the panel, and held down it is one press.
    const button = wind.getByRole('button', { name: `Said to jumper: ${text}` });
    await button.focus();
    await page.keyboard.press('Enter');
    const calls = () => logOf(mission).filter((event) => event.kind === 'call' && event.key !== undefined);
    await poll(calls).toHaveLength(1);
    expect(calls()).toMatchObject([
      { kind: 'call', text, to: 'jumper', key: 'wind', values: { from_deg: 240, report: 'w5' } },
    ]);
    await poll(() => page.getByRole('list', { name: 'Called, newest first' }).innerText()).toContain(text);
    // The next to be said has the focus; nothing of it was said.
    await poll(() => page.evaluate(() => document.activeElement?.closest('#calls-ready') !== null)).toBe(true);
    expect(await page.getByRole('status', { name: 'New corrections' }).innerText()).toBe('');
    expect((await axeOn(page, WCAG, '.calls')).faults).toEqual([]);

    await type(page, 'correct w5 12 kt');
    await poll(() => words(page)).toMatch(/^Enter corrects w5/);
    await page.keyboard.press('Enter');
    await poll(() => first(page)).toMatch(
      /^CORRECTION, surface wind FROM two three \w+ degrees magnetic, one two knots, .*Jumper, READ BACK\.$/,
    );
    await poll(() => page.getByRole('status', { name: 'New corrections' }).innerText()).toMatch(/^CORRECTION, surface/);
    expect(await wind.innerText()).toContain('jumper must read back');
    expect(await wind.evaluate((row) => getComputedStyle(row).borderLeftStyle)).toBe('double');
    expect((await axeOn(page, WCAG, '.calls')).faults).toEqual([]);
    // From another panel its tab says so.
    await page.keyboard.press('Alt+1');
    await page.getByRole('tab', { name: /^Calls\s*!1 to be corrected$/ }).waitFor();
    await page.keyboard.press('Alt+G');

    await wind.getByRole('button').focus();
    await page.keyboard.press('Space');
    await poll(calls).toHaveLength(2);
    expect(calls()[1]).toMatchObject({ key: 'wind', text: expect.stringMatching(/^CORRECTION, /) as string });
    await poll(() => wind.innerText()).not.toContain('CORRECTION');
    expect(complaints).toEqual([]);
  });

  it('is shown as it was at a past moment, and nothing of it can be marked said', async () => {
    const mission = bench.copy('town-meadow');
    const before = logOf(mission).length;
    const { page, complaints } = await bench.shown(mission);
    await page.keyboard.press('Alt+B');
    await page.keyboard.press('Home');
    await page.getByRole('status', { name: 'The past is shown' }).waitFor();
    await page.keyboard.press('Alt+G');
    await page.getByText('It cannot be marked said now.').waitFor();
    // Before the first report of the log there was no wind to be called.
    await poll(() => page.getByRole('list', { name: 'Not called, and why' }).innerText()).toMatch(
      /Wind: no surface wind newer than 10\smin: not called\./,
    );
    await poll(() => call(page, 'landing').count()).toBe(1);
    expect(await call(page, 'landing').getByRole('button').isDisabled()).toBe(true);
    await call(page, 'landing').getByRole('button').click({ force: true });
    expect(logOf(mission).length).toBe(before);
    expect(complaints).toEqual([]);
  });
});
