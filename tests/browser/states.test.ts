// The window in the states that a descent brings: no text is cut, lies on another or outside its box at any size, what
// is read from two metres is large enough, and axe-core finds nothing. One page goes through the states, because each
// window costs seconds.
import { writeFileSync } from 'node:fs';
import type { Page } from 'playwright-core';
import { afterAll, afterEach, expect, it } from 'vitest';
import { axeOn } from './axe.ts';
import { describeBrowser, openWindow, type OpenedWindow } from './chromium.ts';
import { letterHeights, unreadable } from './measured.ts';
import { Bench, openTab, type } from './winds.ts';

const bench = new Bench();
const light: OpenedWindow[] = [];
afterEach(async () => {
  await bench.closeWindows();
  for (const window of light.splice(0)) await window.close();
});
afterAll(() => bench.removeFolders());

const SIZES = [
  [1440, 900],
  [1100, 700],
  [720, 450],
  [390, 844],
] as const;

type Media = Parameters<Page['emulateMedia']>[0];
const DAY: Media = { colorScheme: 'light', forcedColors: 'none' };

/** Panels are drawn a task after the frame; the chart follows its box in the next frame. */
const drawn = (page: Page): Promise<void> =>
  page.evaluate(async () => {
    for (let k = 0; k < 4; k++) await new Promise((done) => requestAnimationFrame(done));
  });

/** `axe`: the looks in which it is asked, a second or two each. */
async function looks(page: Page, state: string, axe: readonly Media[] = [DAY]): Promise<void> {
  for (const [width, height] of SIZES) {
    await page.setViewportSize({ width, height });
    await drawn(page);
    expect.soft(await unreadable(page), `${state}, ${width} × ${height}`).toEqual([]);
  }
  await page.setViewportSize({ width: 1440, height: 900 });
  for (const media of axe) {
    await page.emulateMedia(media);
    await drawn(page);
    expect.soft((await axeOn(page)).faults, `${state}, ${JSON.stringify(media)}`).toEqual([]);
  }
  await page.emulateMedia(DAY);
}

const word = (page: Page): Promise<string> => page.locator('#advice-word').innerText();
const settled = (page: Page) => page.locator('[role=status][aria-label=Advice][aria-busy=false]').waitFor();

/**
 * In arc minutes at two metres. A letter of 5′ is just read at a visual acuity of 1.0 (ISO 8596, from memory); what
 * decides is to be easy to read: 1.5 mrad, 5.16′.
 */
const EASY_ARCMIN = (0.0015 * 180 * 60) / Math.PI;

describeBrowser('in the states of a descent the window', () => {
  it('is read in full, and from two metres what decides is', async () => {
    const { page, complaints } = await bench.shown(bench.copy('salt-plain'));
    await openTab(page, 'Descent');
    await settled(page);
    expect(await word(page)).toBe('GO');
    await looks(page, 'GO');
    await settled(page);
    await page.locator('#advice-line').waitFor();
    const planned = await letterHeights(
      page,
      ['#advice-word', '#advice-line', '#advice-reasons', '.clock .utc', '#count-down'],
      2000,
    );

    await openTab(page, 'Descent');
    await type(page, 'called exit');
    await page.keyboard.press('Enter');
    await page.getByRole('timer', { name: 'In flight' }).waitFor();
    await looks(page, 'in flight', []);
    const flown = await letterHeights(page, ['.flight .height', '.flight dd:not(.height)'], 2000);

    const heights = { ...planned, ...flown };
    for (const [name, arcmin] of Object.entries(heights)) expect(arcmin, name).toBeGreaterThan(EASY_ARCMIN);
    expect(heights['#advice-word']).toBeGreaterThan(2 * EASY_ARCMIN);
    expect(heights['.flight .height']).toBeGreaterThan(2 * EASY_ARCMIN);
    expect(complaints).toEqual([]);
  });

  it.each([
    ['empty', null],
    ['broken', '{ "name": "half'],
  ] as const)('is read in full while no mission is open: %s', async (state, text) => {
    const path = bench.copy('salt-plain');
    if (text !== null) writeFileSync(path, text);
    const window = await openWindow({ mission: text === null ? null : path });
    light.push(window);
    await window.page
      .getByRole('button', { name: /demo|Open/i })
      .first()
      .waitFor();
    await looks(window.page, state);
  });
});
