// The window for everyone. Under 1000 px wide (a design-sized screen at 200 and 400 %, WCAG 2.2, 1.4.4 and 1.4.10, and
// a telephone) nothing is lost: one column scrolls, the verdict stays in view, every part is reached by eye and by Tab.
// With forced colours what is pressed stays apart.
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { afterEach, expect, it } from 'vitest';
import { projectRoot } from '../openData.ts';
import { axeOn } from './axe.ts';
import { describeBrowser, openWindow, type OpenedWindow, type WindowOptions } from './chromium.ts';

const MISSION = join(projectRoot, 'data/salt-plain/salt-plain.mission.json');

/** 1440 × 900 at 200 and 400 %, and a telephone. */
const SIZES = [
  { width: 720, height: 450, stays: true },
  { width: 390, height: 844, stays: true },
  { width: 360, height: 225, stays: false },
] as const;

const open: OpenedWindow[] = [];
afterEach(async () => {
  for (const window of open.splice(0)) await window.close();
});

async function shown(options: WindowOptions): Promise<Page> {
  const window = await openWindow({ mission: MISSION, ...options });
  open.push(window);
  const { page } = window;
  await page.getByRole('button', { name: 'Understood' }).click();
  await page.locator('[role=status][aria-label=Advice][aria-busy=false]').waitFor();
  return page;
}

const scrollTo = (page: Page, top: number) => page.locator('.window').evaluate((el, to) => el.scrollTo(0, to), top);

describeBrowser('the window under 1000 px', () => {
  it.each(SIZES)('has its verdict in view and every part within its width, $width × $height', async (size) => {
    const page = await shown({ width: size.width, height: size.height });
    // The caret is in the entry line; where nothing stays in view, the verdict is the first thing of the page.
    await scrollTo(page, 0);
    const seen = await page.evaluate(() => {
      const parts = ['.strip', '.map', '.desk', '.winds', '.time', '.entry'].map((name) => {
        const el = document.querySelector(name) as HTMLElement;
        return { name, wide: el.scrollWidth, high: el.offsetHeight, needs: el.scrollHeight, top: el.offsetTop };
      });
      const cut = [...document.querySelectorAll('.advice-lines > p, .tabs [role=tab], #entry-words, .clock .utc')]
        .filter((el) => el.scrollWidth > el.clientWidth + 1 || el.scrollHeight > el.clientHeight + 1)
        .map((el) => el.textContent);
      const word = document.querySelector('#advice-word')?.getBoundingClientRect();
      // Name and clock, what can be done, and what is advised lie beside or below each other, never on each other.
      const inStrip = [
        ...document.querySelectorAll('.clock > *, .tools button, #saved-state, .advice-word, .advice-lines > p'),
      ]
        .map((el) => ({ words: el.textContent, box: el.getBoundingClientRect() }))
        .filter(({ box }) => box.width > 0);
      const onEachOther = inStrip.flatMap((a, i) =>
        inStrip.slice(i + 1).flatMap((b) => {
          const across = Math.min(a.box.right, b.box.right) - Math.max(a.box.left, b.box.left);
          const down = Math.min(a.box.bottom, b.box.bottom) - Math.max(a.box.top, b.box.top);
          return across > 1 && down > 1 ? [`${a.words} on ${b.words}`] : [];
        }),
      );
      return { parts, cut, onEachOther, word: word?.toJSON() as DOMRect, across: document.documentElement.scrollWidth };
    });
    expect(seen.across).toBeLessThanOrEqual(size.width);
    for (const { name, wide, high, needs } of seen.parts) {
      expect(wide, name).toBeLessThanOrEqual(size.width);
      expect(needs, `${name} shows all of its height`).toBeLessThanOrEqual(high + 1);
    }
    expect(seen.cut).toEqual([]);
    expect(seen.onEachOther).toEqual([]);
    expect(seen.word.top).toBeGreaterThanOrEqual(0);
    expect(seen.word.bottom).toBeLessThanOrEqual(size.height);
    // One below the other: no part begins before the one above it ends. The entry line is pinned to the foot.
    const column = seen.parts.filter(({ name }) => name !== '.entry' && name !== '.strip');
    column.slice(1).forEach((part, k) => {
      const above = column[k];
      expect(part.top, part.name).toBeGreaterThanOrEqual((above?.top ?? NaN) + (above?.high ?? NaN) - 1);
    });
    // The verdict stays while the rest scrolls, where there is room for both.
    await scrollTo(page, 900);
    const top = await page.locator('#advice-word').evaluate((el) => el.getBoundingClientRect().top);
    expect(top >= 0 && top < size.height).toBe(size.stays);
  });

  it('goes by Tab from part to part as the eye does', async () => {
    const page = await shown(SIZES[1]);
    await page.locator('.advice-word').focus();
    const parts: string[] = [];
    for (let k = 0; k < 250 && parts.at(-1) !== 'entry'; k++) {
      await page.keyboard.press('Tab');
      const part = await page.evaluate(
        () =>
          document.activeElement?.closest('.strip, .winds, .map, .desk, .entry, .time')?.className.split(' ')[0] ?? '',
      );
      if (part !== '' && part !== parts.at(-1)) parts.push(part);
    }
    expect(parts.filter((part) => part !== 'strip')).toEqual(['map', 'desk', 'winds', 'time', 'entry']);
  });

  it.each(['light', 'dark'] as const)('has no violation that axe-core finds, %s', async (colorScheme) => {
    const page = await shown({ width: 390, height: 844, colorScheme });
    // As high as all of it: what is half under the entry line at the foot is scrolled out from there by a person.
    await page.setViewportSize({ width: 390, height: 4000 });
    const { faults } = await axeOn(page);
    expect(faults).toEqual([]);
  });
});

describeBrowser('forced colours', () => {
  it.each(['light', 'dark'] as const)(
    'keep what is pressed and selected apart without a shadow, and leave the map as drawn, %s',
    async (colorScheme) => {
      const page = await shown({ width: 1440, height: 900, colorScheme });
      const ground = () => page.locator('.map-view').evaluate((el) => getComputedStyle(el).backgroundColor);
      const before = await ground();
      await page.emulateMedia({ forcedColors: 'active', colorScheme });
      const lines = await page.locator('.word').evaluateAll((all) =>
        all.map((el) => {
          const { boxShadow, borderBottomWidth, borderBottomStyle } = getComputedStyle(el);
          const on = ['aria-pressed', 'aria-selected', 'aria-checked'].some((name) => el.getAttribute(name) === 'true');
          return { on, boxShadow, line: borderBottomStyle === 'none' ? 0 : Number.parseFloat(borderBottomWidth) };
        }),
      );
      expect(lines.filter(({ on }) => on).length).toBeGreaterThan(3);
      for (const { on, line, boxShadow } of lines) {
        expect(boxShadow).toBe('none');
        expect(line > 0).toBe(on);
      }
      expect(await ground()).toBe(before);
    },
  );
});
