// Which hour, as a person chooses it: the hours of the forecasts are worked out with progress and stop, the picture and
// the list say the same, and a choice is the plan's exit, one step of undo.
import { cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, expect, it } from 'vitest';
import { projectRoot } from '../openData.ts';
import { axeOn, WCAG } from './axe.ts';
import { describeBrowser, openWindow, type OpenedWindow } from './chromium.ts';

interface Column {
  readonly levels: readonly { readonly speed_mps: number }[];
}

/** The second demo without its log, with a forecast of a day: two runs, the wind rising and falling. */
function dayAhead(folder: string): string {
  cpSync(join(projectRoot, 'data/town-meadow'), folder, { recursive: true });
  rmSync(join(folder, 'town-meadow.log.jsonl'));
  const path = join(folder, 'town-meadow.mission.json');
  const plan = JSON.parse(readFileSync(path, 'utf8')) as { exit: { time: string }; winds: { forecast: Column[] } };
  const [column] = plan.winds.forecast;
  const first = Date.parse('2027-05-29T12:00:00Z');
  const at = (hours: number): string => new Date(first + hours * 3_600_000).toISOString().replace('.000', '');
  const forecast = [0, 1].flatMap((run) =>
    Array.from({ length: 9 }, (_, i) => ({
      ...column,
      source: `invented run ${run + 1}`,
      runTime: at(-6 - 6 * run),
      validTime: at(3 * i + run),
      levels: (column?.levels ?? []).map((level) => ({
        ...level,
        speed_mps: level.speed_mps * (1 + 0.7 * Math.sin((Math.PI * i) / 4) + 0.1 * run),
      })),
    })),
  );
  writeFileSync(path, JSON.stringify({ ...plan, winds: { forecast } }));
  return path;
}

let window: OpenedWindow | null = null;
const folder = mkdtempSync(join(tmpdir(), 'plumbline-when-'));
afterEach(async () => {
  await window?.close();
  window = null;
  rmSync(folder, { recursive: true, force: true });
});

describeBrowser('which hour', () => {
  it('is worked out with progress, can be stopped, and an hour that is taken is the exit until it is undone', async () => {
    const path = dayAhead(folder);
    window = await openWindow({ mission: path, now: () => new Date('2027-05-29T12:00:00Z') });
    const { page, complaints } = window;
    await page.locator('#landing-degrees').waitFor();
    await page.getByRole('button', { name: 'Understood' }).click();
    await page.keyboard.press('Alt+0');
    await page.getByRole('button', { name: 'Work out the hours' }).click();
    await page.locator('[data-hour]').first().waitFor();
    await page.getByRole('button', { name: 'Stop' }).click();
    await page.getByText(/Stopped after \d+ of 26 hours/).waitFor();
    await page.getByRole('button', { name: 'Work them out again' }).click();
    await page.getByRole('progressbar', { name: 'Hours worked out' }).waitFor({ state: 'detached' });
    // From 12Z to 13Z of the next day, where the second run ends: the picture counts them all.
    const counted = (await page.getByRole('img', { name: /hours GO/ }).getAttribute('aria-label')) ?? '';
    const numbers = [...counted.matchAll(/\d+/g)].map(([text]) => Number(text));
    expect(numbers.reduce((a, b) => a + b, 0)).toBe(26);
    expect((await axeOn(page, WCAG, '.when')).faults).toEqual([]);
    // The word's foot has the word's colour and stands within its hour.
    const feet = await page.locator('.when-picture .foot').evaluateAll((all) =>
      all.map((foot) => {
        const { fill, color } = getComputedStyle(foot);
        return fill === color && foot.getBoundingClientRect().height < 8;
      }),
    );
    expect(feet).toHaveLength(26);
    expect(feet).not.toContain(false);
    // At the smallest size that is meant, nothing of the panel is cut at its side.
    await page.setViewportSize({ width: 1100, height: 700 });
    expect(await page.locator('#panel').evaluate((panel) => panel.scrollWidth - panel.clientWidth)).toBe(0);
    const exit = page.locator('[data-hour="15:00:00Z"]');
    await exit.getByRole('button', { name: /Take/ }).click();
    await page.keyboard.press('Control+s');
    const saved = (): unknown => (JSON.parse(readFileSync(path, 'utf8')) as { exit: { time: string } }).exit.time;
    await expect.poll(saved).toBe('2027-05-29T15:00:00Z');
    // The hours are still those of the plan; any other change makes them old.
    expect(await page.getByText('The plan was changed').count()).toBe(0);
    await page.keyboard.press('Control+z');
    await page.getByText('The plan was changed').waitFor();
    await page.keyboard.press('Control+s');
    await expect.poll(saved).toBe('2027-05-29T13:30:00Z');
    expect(complaints).toEqual([]);
  });
});
