// A crew's page on a phone: opened as a file without a network at 390 px, in sun and by night; its clock counts by the
// phone's own, goes on after a reload, and its map can be zoomed.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { main } from '../../main/cli/cli.ts';
import { projectRoot } from '../openData.ts';
import { axeOn, WCAG } from './axe.ts';
import { describeBrowser, launch } from './chromium.ts';

const folder = mkdtempSync(join(tmpdir(), 'plumbline-phone-'));
const path = join(folder, 'kite.html');
const EXIT_ms = Date.parse('2027-04-14T07:42:00Z');
const said: string[] = [];

beforeAll(async () => {
  const plan = join(projectRoot, 'data/salt-plain/salt-plain.mission.json');
  await main(['brief', plan, '--format', 'phone', '--crew', 'Kite', '--members', '100', '--out', path], {
    print: () => {},
    complain: (line) => void said.push(line),
  });
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** A phone whose clock stands at a time. */
async function onPhone(now_ms: number, colorScheme: 'light' | 'dark', use: (page: Page) => Promise<void>) {
  const { context, close } = await launch({ width: 390, height: 844, colorScheme });
  try {
    await context.setOffline(true);
    const page = await context.newPage();
    const wrong: string[] = [];
    page.on('pageerror', (error) => void wrong.push(error.message));
    page.on('console', (message) => message.type() === 'error' && wrong.push(message.text()));
    page.on('request', (request) => request.url().startsWith('file:') || wrong.push(request.url()));
    await page.clock.setFixedTime(now_ms);
    await page.goto(pathToFileURL(path).href);
    await use(page);
    expect(wrong).toEqual([]);
  } finally {
    await close();
  }
}

const clockOf = (page: Page): Promise<string> => page.locator('#t').innerText();

describeBrowser('a crew’s page on a phone', () => {
  it('fits its width, asks for nothing, and its identity can be read at arm’s length', async () => {
    await onPhone(EXIT_ms - 90_000, 'light', async (page) => {
      const wide = await page.evaluate(() => document.documentElement.scrollWidth);
      expect(wide).toBe(390);
      const identity = page.locator('.identity');
      expect(await identity.innerText()).toMatch(/^[0-9A-Z]{4}$/);
      const px = await identity.evaluate((element) => Number.parseFloat(getComputedStyle(element).fontSize));
      expect(px).toBeGreaterThanOrEqual(36);
      for (const button of await page.getByRole('button').all())
        expect((await button.boundingBox())?.height ?? 0).toBeGreaterThanOrEqual(44);
      expect((await axeOn(page, WCAG)).faults).toEqual([]);
    });
  });

  it('counts to the planned exit by its own clock, from EXIT once that is pressed, and goes on after a reload', async () => {
    await onPhone(EXIT_ms - 90_000, 'light', async (page) => {
      const reads = (words: string) => expect.poll(() => clockOf(page)).toBe(words);
      await reads('T−1:30');
      await page.clock.setFixedTime(EXIT_ms + 10_000);
      await reads('T+0:10');
      await page.getByRole('button', { name: 'EXIT is called now' }).click();
      await reads('T+0:00');
      await page.clock.setFixedTime(EXIT_ms + 75_000);
      await reads('T+1:05');
      await page.reload();
      await reads('T+1:05');
      expect(await page.locator('#of').innerText()).toBe('from EXIT as pressed here');
      // Pressed in error: back to the plan.
      await page.getByRole('button', { name: 'Not called: back to the planned exit' }).click();
      await reads('T+1:15');
      expect(await page.locator('#planned').isHidden()).toBe(true);
    });
  });

  it('says days where the exit is days away', async () => {
    await onPhone(EXIT_ms - 5 * 86_400_000, 'light', async (page) => {
      expect(await clockOf(page)).toBe('T−5 days');
    });
  });

  it('is dark by night with its map, which is zoomed by its buttons and moves in its frame', async () => {
    await onPhone(EXIT_ms, 'dark', async (page) => {
      const paper = (selector: string): Promise<string> =>
        page.locator(selector).evaluate((element) => getComputedStyle(element).backgroundColor);
      expect(await paper('body')).toBe('rgb(0, 0, 0)');
      expect(await page.locator('.map svg').evaluate((element) => getComputedStyle(element).filter)).toBe('invert(1)');
      const width = async (): Promise<number> => (await page.locator('.map svg').boundingBox())?.width ?? 0;
      const before = await width();
      await page.getByRole('button', { name: 'Larger map' }).click();
      expect(await width()).toBeCloseTo(1.5 * before, 0);
      // The page itself stays as wide as the phone: the map scrolls in its own frame.
      expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBe(390);
      await page.getByRole('button', { name: 'Smaller map' }).click();
      expect(await width()).toBeCloseTo(before, 0);
    });
  });
});
