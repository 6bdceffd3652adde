// A rehearsal as a person meets it, by the keyboard alone: made of the open mission, begun, its fixes come, what is
// heard goes through the entry line into the log, an instructor sets something off, and the score stands at the end.
// The mark is there from the first to the last, and gone with the rehearsal's mission.
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, afterEach, expect, it } from 'vitest';
import type { Locator, Page } from 'playwright-core';
import { axeOn, WCAG } from './axe.ts';
import { describeBrowser } from './chromium.ts';
import { Bench, logOf, logPath, poll, words } from './winds.ts';

const bench = new Bench();
afterEach(() => bench.closeWindows());
afterAll(() => bench.removeFolders());

/** From the panel's beginning by Tab, as far as it takes. */
async function tabTo(page: Page, to: Locator): Promise<void> {
  await page.keyboard.press('Alt+O');
  for (let presses = 0; presses < 200; presses += 1) {
    if (await to.evaluate((element) => element === document.activeElement)) return;
    await page.keyboard.press('Tab');
  }
  throw new Error('it cannot be reached by Tab');
}

describeBrowser('a rehearsal', () => {
  it('is made, run, answered, set upon and scored by keyboard alone, and is marked all the while', async () => {
    const mission = bench.copy('town-meadow');
    const before = readFileSync(logPath(mission), 'utf8');
    const { page, copyFolder, complaints } = await bench.shown(mission);
    const mark = page.locator('#rehearsal-mark');
    const button = (name: string | RegExp) => page.getByRole('button', { name, exact: true });
    expect(await mark.count()).toBe(0);

    const scenario = page.getByRole('radio', { name: /^any/ });
    await tabTo(page, scenario);
    await page.keyboard.press('ArrowDown');
    expect(await page.getByRole('radio', { name: /^calm run/ }).isChecked()).toBe(true);
    expect((await axeOn(page, WCAG, '.rehearsal')).faults).toEqual([]);
    const speed = page.locator('[data-field="rehearsal.speed"]');
    await tabTo(page, speed);
    await page.keyboard.press('Control+A');
    await page.keyboard.type('10');
    await tabTo(page, button('Make the rehearsal'));
    await page.keyboard.press('Enter');

    await poll(() => mark.innerText()).toBe('REHEARSAL not begun');
    const copy = () =>
      join(copyFolder, readdirSync(copyFolder)[0] ?? '', `${readdirSync(copyFolder)[0] ?? ''}.mission.json`);
    expect(readdirSync(copyFolder)).toEqual([expect.stringMatching(/^rehearsal-town-meadow/)]);
    // The caret stands on the button that begins it.
    await poll(() => page.evaluate(() => document.activeElement?.textContent)).toBe('Begin');
    await page.keyboard.press('Enter');
    await poll(() => mark.innerText()).toBe('REHEARSAL 10×');
    await poll(() => logOf(copy()).filter(({ kind }) => kind === 'fix').length).toBeGreaterThan(5);

    // Slower, and a wind that the instructor lets a crew say the wrong way round.
    await tabTo(page, speed);
    await page.keyboard.press('Control+A');
    await page.keyboard.type('1');
    await page.keyboard.press('Enter');
    await poll(() => mark.innerText()).toBe('REHEARSAL 1×');
    await tabTo(page, button(/instructor’s hand/));
    await page.keyboard.press('Enter');
    await tabTo(page, button('Say it'));
    const marshals = page.getByRole('button', { name: /^Onto the entry line: Marshal/ });
    const earlier = await marshals.count();
    await page.keyboard.press('Enter');
    await page
      .getByRole('list', { name: 'Set off so far' })
      .getByText(/said the wrong way round/)
      .waitFor();
    expect((await axeOn(page, WCAG, '.rehearsal')).faults).toEqual([]);
    // The newest stands first.
    await poll(() => marshals.count()).toBe(earlier + 1);
    const name = (await marshals.first().getAttribute('aria-label')) ?? '';
    const heard = name.replace('Onto the entry line: ', '');
    expect(heard).toMatch(/^Marshal 2 m agl, \d{3}° true, \d+ kt$/);
    await tabTo(page, button(name));
    await page.keyboard.press('Enter');
    await poll(() => words(page)).toContain('Enter logs');
    await page.keyboard.press('Enter');
    await poll(() =>
      logOf(copy()).filter((event) => event.kind === 'wind-report' && event.text === heard),
    ).toHaveLength(1);

    await tabTo(page, button('Pause'));
    await page.keyboard.press('Enter');
    await poll(() => mark.innerText()).toBe('REHEARSAL paused');
    const clock = page.locator('.clock .utc');
    const stands = await clock.innerText();
    await tabTo(page, button('Stop and score'));
    await page.keyboard.press('Enter');
    await button('Score, JSON').waitFor();
    expect(await clock.innerText()).toBe(stands);
    await page.getByText('Winds entered: 1; wrong way: 1', { exact: false }).waitFor();
    await page
      .getByText(/A wind of Marshal said the wrong way round|a wind of Marshal said the wrong way round/)
      .waitFor();
    expect((await axeOn(page, WCAG, '.rehearsal')).faults).toEqual([]);
    await tabTo(page, button('Score, JSON'));
    await page.keyboard.press('Enter');
    const written = join(copyFolder, readdirSync(copyFolder)[0] ?? '', 'rehearsal-score.json');
    await poll(() => JSON.parse(readFileSync(written, 'utf8')) as object).toMatchObject({
      lead: 'a person',
      winds: { entered: 1 },
      acts: [{ kind: 'wind said' }],
    });

    // Nothing of it is in the mission that it was made of, and its mark is not on it.
    expect(readFileSync(logPath(mission), 'utf8')).toBe(before);
    await page.reload();
    await poll(() => mark.count()).toBe(0);
    expect(complaints).toEqual([]);
  });
});
