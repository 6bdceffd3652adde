// The window as a person uses it: the real page behind the browser host, by keyboard, roles and names. What is expected
// comes from outside the window: the plan's own numbers, exact unit factors (NIST SP 811), the geometry of a shifted
// exit, the files on the disk, and axe-core's rules (WCAG 2.2 A and AA).
import { cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, expect, it } from 'vitest';
import { projectRoot } from '../openData.ts';
import { forecast, hdf5Bytes, PLAIN } from '../formats/netcdfMade.ts';
import { axeOn, WCAG } from './axe.ts';
import { describeBrowser, openWindow, type OpenedWindow, type WindowOptions } from './chromium.ts';

/**
 * Waits for an answer to become what is expected: as long as a loaded machine may need, no longer than a person would.
 */
const poll = <T>(ask: () => T) => expect.poll(ask);

const folders: string[] = [];
const open: OpenedWindow[] = [];

/** A copy of a demo mission in a folder of its own, with a key that the program does not know. */
function copyOfDemo(name: 'salt-plain' | 'town-meadow'): string {
  const folder = mkdtempSync(join(tmpdir(), 'plumbline-window-'));
  folders.push(folder);
  cpSync(join(projectRoot, 'data', name), folder, { recursive: true });
  const path = join(folder, `${name}.mission.json`);
  const plan = JSON.parse(readFileSync(path, 'utf8')) as Record<string, unknown>;
  writeFileSync(path, JSON.stringify({ ...plan, oursToKeep: { deep: [1, 2, 3] } }, null, 2));
  return path;
}

/** The window with its mission shown and the first-run text put away. */
async function shown(options: WindowOptions = {}): Promise<OpenedWindow> {
  const window = await openWindow(options);
  open.push(window);
  await landed(window);
  await window.page.getByRole('button', { name: 'Understood' }).click();
  return window;
}

/** Waits for the mission's landing; where none comes, fails with what the page shows and complained of. */
async function landed({ page, complaints }: OpenedWindow): Promise<void> {
  try {
    await page.locator('#landing-degrees').waitFor();
  } catch (error) {
    const seen = await page.locator('body').innerText();
    throw new Error(
      `no landing was shown; complaints: ${complaints.join(' | ') || 'none'}; on the page: ${seen.slice(0, 500)}`,
      {
        cause: error,
      },
    );
  }
}

afterEach(async () => {
  for (const window of open.splice(0)) await window.close();
});
afterAll(() => {
  for (const folder of folders) rmSync(folder, { recursive: true, force: true });
});

/** A canopy that is not steered, so that the landing follows wind and exit instead of holding over a target. */
async function letDrift(page: Page): Promise<void> {
  await page.getByRole('button', { name: 'Canopy', exact: true }).click();
  await field(page, 'canopy.policy').selectOption('drift');
  await field(page, 'canopy.heading').waitFor({ state: 'detached' });
  await page.getByRole('button', { name: 'Exit', exact: true }).click();
}

/** What the first demo's plan says, read from its file. */
const demo = JSON.parse(readFileSync(join(projectRoot, 'data/salt-plain/salt-plain.mission.json'), 'utf8')) as {
  site: { elevation_m: number };
  exit: { position: [number, number]; altitude_m: number };
  winds: { forecast: { levels: { height_m: number; from_deg: number; speed_mps: number }[] }[] };
};

const landingText = (page: Page): Promise<string> => page.locator('#landing-degrees').innerText();

/** "30.0849° S 022.4128° E" as [longitude, latitude]. */
async function landing(page: Page): Promise<[number, number]> {
  const [, lat = '', ns, lon = '', ew] = /([\d.]+)° ([NS]) ([\d.]+)° ([EW])/.exec(await landingText(page)) ?? [];
  return [Number(lon) * (ew === 'W' ? -1 : 1), Number(lat) * (ns === 'S' ? -1 : 1)];
}

/** Puts text into the field that has the caret, as typing does. */
async function retype(page: Page, text: string): Promise<void> {
  await page.keyboard.press('Control+A');
  await page.keyboard.type(text);
}

/** A panel by its key, which its tab tells. */
async function openPanel(page: Page, name: string): Promise<void> {
  const tab = page.getByRole('tab', { name, exact: true });
  await page.keyboard.press((await tab.getAttribute('title')) ?? '');
  await poll(() => tab.getAttribute('aria-selected')).toBe('true');
}

const field = (page: Page, name: string) => page.locator(`[data-field="${name}"]`);

async function words(page: Page): Promise<string> {
  return page.locator('#entry-words').innerText();
}

describeBrowser('the first look', () => {
  it('opens a demo with the text of the first run, which is put away for good and found again under Help', async () => {
    const window = await openWindow();
    open.push(window);
    const { page } = window;
    await landed(window);
    const intro = page.getByRole('complementary', { name: 'What you see' });
    expect(await intro.innerText()).toContain('invented demo mission');
    await page.keyboard.press('Escape');
    await intro.waitFor({ state: 'detached' });
    await page.reload();
    await page.locator('#landing-degrees').waitFor();
    expect(await intro.count()).toBe(0);
    await page.keyboard.press('?');
    const help = page.getByRole('dialog', { name: /What you see/ });
    expect(await help.innerText()).toContain('predicted descent');
    await page.keyboard.press('Escape');
    await help.waitFor({ state: 'detached' });
    expect(window.complaints).toEqual([]);
  });

  it('says what a plan cannot be read for, and offers the demos', async () => {
    const path = copyOfDemo('salt-plain');
    writeFileSync(path, readFileSync(path, 'utf8').slice(0, 900));
    const window = await openWindow({ mission: path });
    open.push(window);
    const { page } = window;
    const alert = page.getByRole('alert').filter({ hasText: /cut off|not JSON/ });
    await alert.waitFor();
    await page.getByRole('button', { name: /Salt plain/ }).click();
    await page.locator('#landing-degrees').waitFor();
  });
});

describeBrowser('editing by keyboard', () => {
  it('moves the landing as far as the exit under a canopy that only drifts; undo gives back the very landing', async () => {
    const { page } = await shown();
    await letDrift(page);
    const before = await landing(page);
    const textBefore = await landingText(page);
    await page.keyboard.press('Alt+E');
    await poll(() => field(page, 'exit.position').evaluate((el) => el === document.activeElement)).toBe(true);
    const [lon, lat] = demo.exit.position;
    await retype(page, `${(lat + 0.01).toFixed(6)}, ${(lon + 0.02).toFixed(6)}`);
    await page.keyboard.press('Enter');
    await poll(() => landingText(page)).not.toBe(textBefore);
    const after = await landing(page);
    // The wind column is the same everywhere, so the descent is carried along with its exit; the pan under it is flat.
    // What is left is the last digit shown (0.0001°) twice, the change of Coriolis and of the meridians over 1 km, and
    // metres of terrain.
    expect(after[1] - before[1]).toBeCloseTo(0.01, 3);
    expect(after[0] - before[0]).toBeCloseTo(0.02, 3);
    await page.keyboard.press('Control+Z');
    await poll(() => landingText(page)).toBe(textBefore);
    await page.keyboard.press('Control+Shift+Z');
    await poll(() => landing(page)).toEqual(after);
  });

  it('refuses what cannot be with a sentence beside the field, and changes nothing', async () => {
    const { page } = await shown();
    const before = await landingText(page);
    await page.keyboard.press('Alt+E');
    await field(page, 'exit.height').focus();
    await retype(page, '99999');
    const alert = page.getByRole('alert').filter({ hasText: 'expected' });
    await alert.waitFor();
    expect(await alert.innerText()).toContain('expected more than 951 and up to 85\u202f000 m MSL');
    expect(await field(page, 'exit.height').getAttribute('aria-invalid')).toBe('true');
    expect(await landingText(page)).toBe(before);
    await page.keyboard.press('Escape');
    await alert.waitFor({ state: 'detached' });
    expect(await field(page, 'exit.height').inputValue()).toBe(String(demo.exit.altitude_m));
  });

  it('draws a changed number within three frames of each key, the map in the first', async () => {
    const { page } = await shown();
    await letDrift(page);
    await page.keyboard.press('Alt+E');
    await field(page, 'exit.height').focus();
    await page.evaluate(() => {
      const looks = { keys: 0, seen: [] as string[] };
      Object.assign(globalThis, { looks });
      const look = (): void => void looks.seen.push(document.querySelector('[data-number="peak"]')?.textContent ?? '');
      document.addEventListener(
        'keydown',
        () => {
          looks.keys += 1;
          requestAnimationFrame(() => requestAnimationFrame(() => requestAnimationFrame(look)));
        },
        { capture: true },
      );
    });
    // Each step lowers the exit by 3000 m, from where air is thinnest: the peak's height or speed, both shown, cannot
    // stay the same. What stood three frames after the last key stands a dozen frames later, too.
    const stands = (): Promise<boolean> =>
      page.evaluate(async () => {
        const { looks } = globalThis as unknown as { looks: { keys: number; seen: string[] } };
        for (let frame = 0; frame < 12; frame++) await new Promise((resolve) => requestAnimationFrame(resolve));
        const now = document.querySelector('[data-number="peak"]')?.textContent;
        return looks.seen.length === looks.keys && looks.seen.at(-1) === now;
      });
    for (let i = 1; i <= 4; i++) {
      const before = await page.locator('[data-number="peak"]').textContent();
      await retype(page, String(demo.exit.altitude_m - 3000 * i));
      await poll(() => page.locator('[data-number="peak"]').textContent()).not.toBe(before);
      await poll(stands).toBe(true);
    }
    expect(await field(page, 'exit.height').inputValue()).toBe(String(demo.exit.altitude_m - 12_000));
    // All that was typed with the caret in one field is one step of undo.
    await page.keyboard.press('Enter');
    await page.keyboard.press('Control+Z');
    await poll(() => field(page, 'exit.height').inputValue()).toBe(String(demo.exit.altitude_m));
  });

  it('turns every unit with one switch each', async () => {
    const { page } = await shown();
    await page.keyboard.press('Alt+E');
    const height = field(page, 'exit.height');
    await page.keyboard.press('Alt+U');
    // 0.3048 m/ft (NIST SP 811 §B.8).
    await poll(() => height.inputValue()).toBe((demo.exit.altitude_m / 0.3048).toFixed(1));
    await page.keyboard.press('Alt+H');
    await poll(() => height.inputValue()).toBe(((demo.exit.altitude_m - demo.site.elevation_m) / 0.3048).toFixed(1));
    await page.keyboard.press('Alt+S');
    await page.locator('[data-switch="speed"]', { hasText: 'm/s' }).waitFor();
    await page.keyboard.press('Alt+T');
    // South African Standard Time is UTC+2 all year (IANA tz, Africa/Johannesburg).
    await poll(() => page.locator('[data-number="touchdown"]').innerText()).toMatch(/^09:\d\d:\d\d local$/);
    await page.keyboard.press('Alt+T');
    await poll(() => page.locator('[data-number="touchdown"]').innerText()).toMatch(/^07:\d\d:\d\dZ$/);
  });

  it('says where a number comes from and leads to the field behind it', async () => {
    const { page } = await shown();
    await page.locator('[data-number="shock"]').focus();
    await page.keyboard.press('Enter');
    const why = page.getByRole('region', { name: /Where this comes from: Opening shock/ });
    await why.waitFor();
    await why.getByRole('button', { name: /filling/ }).click();
    await poll(() => field(page, 'canopy.fill').evaluate((el) => el === document.activeElement)).toBe(true);
    const g = async (): Promise<number> => parseFloat(await page.locator('[data-number="shock"]').innerText());
    const before = await g();
    await retype(page, '1.2');
    await poll(g).toBeGreaterThan(before);
  });
});

describeBrowser('winds', () => {
  it('strikes a level with one key, which moves the landing, and takes it back', async () => {
    const { page } = await shown();
    await letDrift(page);
    await page.getByRole('combobox', { name: 'Wind column shown' }).selectOption('plan/0');
    const before = await landingText(page);
    await page.keyboard.press('Alt+W');
    const list = page.getByRole('listbox');
    await poll(() => list.evaluate((el) => el === document.activeElement)).toBe(true);
    const active = async (): Promise<string> =>
      page.evaluate(
        () =>
          document.getElementById(document.activeElement?.getAttribute('aria-activedescendant') ?? '')?.textContent ??
          '',
      );
    const levels = demo.winds.forecast[0]?.levels ?? [];
    const fastest = levels.reduce((best, level) => (level.speed_mps > best.speed_mps ? level : best));
    await page.keyboard.press('Home');
    for (let i = 0; i < levels.indexOf(fastest); i++) await page.keyboard.press('ArrowUp');
    // The core of the jet, in knots of 1852/3600 m/s (NIST SP 811 §B.8).
    await poll(active).toContain(`${Math.round(fastest.speed_mps / (1852 / 3600))}\u202fkt`);
    expect(await active()).toContain(`from ${String(fastest.from_deg).padStart(3, '0')}°`);
    await page.keyboard.press('Delete');
    await poll(() => landingText(page)).not.toBe(before);
    await poll(active).toContain('struck');
    await page.keyboard.press('Delete');
    await poll(() => landingText(page)).toBe(before);
    await page.keyboard.press('Control+Z');
    await poll(active).toContain('struck');
  });

  it('edits a level and adds one by a line of text, asking what is not said', async () => {
    const { page } = await shown();
    await page.getByRole('combobox', { name: 'Wind column shown' }).selectOption('plan/0');
    const options = page.getByRole('option', { includeHidden: true });
    const count = await options.count();
    await page.keyboard.press('/');
    await page.keyboard.type('level 180/20 at 2000 m msl');
    await poll(() => words(page)).toMatch(/knots/);
    await page.keyboard.press('Enter');
    await page.keyboard.press('k');
    // One line and the key that the prompt names: nothing else is pressed.
    await poll(() => options.count()).toBe(count + 1);
    expect(await page.locator('[role=option]').allTextContents()).toContainEqual(
      '2000\u202fm MSL, from 180° (south), 20\u202fkt, by hand',
    );
  });

  const dropFile = (page: Page, name: string, content: string | Uint8Array): Promise<void> =>
    page.evaluate(
      ([file, base64]) => {
        const data = new DataTransfer();
        data.items.add(new File([Uint8Array.from(atob(base64), (letter) => letter.charCodeAt(0))], file));
        for (const type of ['dragover', 'drop']) {
          window.dispatchEvent(new DragEvent(type, { dataTransfer: data, bubbles: true, cancelable: true }));
        }
      },
      [name, Buffer.from(content).toString('base64')] as const,
    );

  it('takes a wind file that is dropped, says what is wrong in it by line, and uses the rest', async () => {
    const path = copyOfDemo('salt-plain');
    const { page } = await shown({ mission: path });
    await letDrift(page);
    const before = await landing(page);
    const rows = [900, 2000, 5000, 10_000, 20_000, 30_000, 40_000].map((h) => `${h},90,40`);
    rows.splice(2, 0, '3000,999,40');
    const text = [
      '# source: dropped',
      '# validTime: 2027-04-14T07:42:00Z',
      'height_m,from_deg,speed_mps',
      ...rows,
    ].join('\n');
    await dropFile(page, 'dropped.csv', text);
    await poll(() => words(page)).toContain('7 wind levels');
    expect(await words(page)).toContain('Line 6: ');
    // 40 m/s from the east at all heights, where it was a westerly jet: the landing goes far to the west.
    await poll(async () => (await landing(page))[0]).toBeLessThan(before[0] - 0.05);
    await openPanel(page, 'Problems');
    expect(await page.getByRole('tabpanel').innerText()).toMatch(/dropped\.csv, line 6/);
    await page.keyboard.press('Control+S');
    await poll(() => page.locator('#saved-state').innerText()).toMatch(/^Saved/);
    const plan = JSON.parse(readFileSync(path, 'utf8')) as { winds: { files: string[] }; oursToKeep: unknown };
    expect(plan.winds.files.some((name) => name.includes('dropped.csv'))).toBe(true);
    expect(plan.oursToKeep).toEqual({ deep: [1, 2, 3] });
    await page.keyboard.press('Alt+1');
    await page.keyboard.press('Control+Z');
    await poll(async () => (await landing(page))[0]).toBeCloseTo(before[0], 4);
  });

  it('takes a file out of the plan, which moves the landing, and undo brings it back', async () => {
    const { page } = await shown();
    await letDrift(page);
    const before = await landingText(page);
    const select = page.getByRole('combobox', { name: 'Wind column shown' });
    const count = await select.locator('option').count();
    await select.selectOption({ index: count - 2 });
    await page.getByRole('button', { name: 'Take file out' }).click();
    await poll(() => select.locator('option').count()).toBe(count - 1);
    await poll(() => landingText(page)).not.toBe(before);
    await page.keyboard.press('Control+Z');
    await poll(() => landingText(page)).toBe(before);
  });

  it('copies a file into the plan when one of its levels is changed, which alone moves the landing', async () => {
    const { page } = await shown();
    await letDrift(page);
    const before = await landingText(page);
    const select = page.getByRole('combobox', { name: 'Wind column shown' });
    const columns = await select.locator('option').count();
    await select.selectOption({ index: columns - 2 });
    await page.keyboard.press('Alt+W');
    // From 1050 to 2000 m: one level of a smooth profile alone would hardly move anything.
    const strike = async (): Promise<void> => {
      await page.keyboard.press('Home');
      for (let i = 0; i < 3; i++) await page.keyboard.press('ArrowUp');
      for (let i = 0; i < 7; i++) {
        await page.keyboard.press('Delete');
        await page.keyboard.press('ArrowUp');
      }
    };
    await strike();
    await poll(() => words(page)).toContain('was copied into the plan');
    await poll(() => landingText(page)).not.toBe(before);
    expect(await select.locator('option').count()).toBe(columns);
    // Taken back, the copy is the same wind as the file was: the landing is where it was, to the last digit.
    const struck = page.getByRole('option', { name: /^struck/, includeHidden: true });
    expect(await struck.count()).toBe(7);
    await page.keyboard.press('Alt+W');
    await strike();
    await poll(() => landingText(page)).toBe(before);
  });

  it('reads a netCDF-4 file in a thread of its own, and says where a damaged one is broken', async () => {
    const { page } = await shown();
    const whole = await hdf5Bytes(forecast(PLAIN));
    await dropFile(page, 'whole.nc', whole);
    // Read whole, it is a forecast of elsewhere.
    await poll(() => words(page)).toContain(
      'lies outside its longitude-latitude grid, whose corners are 40.00° N 5.00° E and 45.00° N 9.00° E',
    );
    const heap = Buffer.from(whole).indexOf('GCOL');
    await dropFile(page, 'damaged.nc', whole.with(heap + 29, 7));
    await poll(() => words(page)).toContain('damaged.nc gives no wind that can be used; nothing was changed');
    expect(await words(page)).toContain(`Byte ${heap + 16}: an object of`);
  });

  it('refuses a file without wind with a sentence and changes nothing', async () => {
    const { page } = await shown();
    const before = await landingText(page);
    await dropFile(page, 'holiday.txt', 'We saw three boats.\nNo wind at all.\n');
    await poll(() => words(page)).toContain('gives no wind that can be used; nothing was changed');
    expect(await landingText(page)).toBe(before);
    expect(await page.locator('#saved-state').innerText()).toBe('All saved');
  });
});

describeBrowser('log, saving, looks', () => {
  it('writes a note into the log at once', async () => {
    const path = copyOfDemo('town-meadow');
    const { page } = await shown({ mission: path });
    await page.keyboard.type('note dust lifts at the gate');
    expect(await page.locator('#entry-line').inputValue()).toBe('note dust lifts at the gate');
    await page.keyboard.press('Enter');
    await poll(() => words(page)).toBe('Noted in the log.');
    await openPanel(page, 'Log');
    expect(await page.getByRole('list', { name: /Log/ }).innerText()).toContain('dust lifts at the gate');
    expect(readFileSync(path.replace('.mission.json', '.log.jsonl'), 'utf8')).toContain(
      '"text":"dust lifts at the gate"',
    );
  });

  it('saves a demo as a copy and says where', async () => {
    const { page, copyFolder } = await shown();
    await page.keyboard.press('Alt+E');
    await field(page, 'exit.height').focus();
    await retype(page, '38000');
    await poll(() => page.locator('#saved-state').innerText()).toBe('Edited, not saved');
    await page.keyboard.press('Control+S');
    await poll(() => words(page)).toContain(copyFolder);
    await poll(() => page.locator('#saved-state').innerText()).toMatch(/^Saved/);
  });

  it('brings back what was not saved when the window closed, as a step that can be undone', async () => {
    const { page } = await shown();
    await page.keyboard.press('Alt+E');
    await field(page, 'exit.height').focus();
    await retype(page, '31000');
    await poll(() => page.locator('#saved-state').innerText()).toBe('Edited, not saved');
    await page.reload();
    await poll(() => field(page, 'exit.height').inputValue()).toBe('31000');
    expect(await words(page)).toContain('not saved last time are back');
    await page.keyboard.press('Control+Z');
    await poll(() => field(page, 'exit.height').inputValue()).toBe(String(demo.exit.altitude_m));
    expect(await page.locator('#saved-state').innerText()).toBe('All saved');
  });

  it('looks at any moment by the time bar, and back at now', async () => {
    const { page } = await shown();
    await page.keyboard.press('Alt+B');
    const slider = page.getByRole('slider', { name: 'Moment looked at' });
    await poll(() => slider.evaluate((el) => el === document.activeElement)).toBe(true);
    await page.keyboard.press('End');
    await poll(() => slider.getAttribute('aria-valuetext')).toContain('after touchdown');
    expect(await page.locator('.strip').innerText()).toContain('Phase: landed');
    await page.keyboard.press('PageDown');
    await page.keyboard.press('PageDown');
    await poll(() => page.locator('.strip').innerText()).toMatch(/Phase: (freefall|under canopy)/);
    // The height at that moment is pointed at, and said with its wind.
    expect(await page.locator('#wind-reading').innerText()).not.toContain('At the ground');
    await page.keyboard.press('Escape');
    await poll(() => page.locator('.looking').innerText()).toMatch(/^Looking at now/);
  });

  it('turns to night and back, and follows the system by itself', async () => {
    const { page } = await shown({ colorScheme: 'dark' });
    const look = (): Promise<string | undefined> => page.evaluate(() => document.documentElement.dataset['look']);
    const brightness = (): Promise<number> =>
      page.evaluate(() => {
        const [r = 0, g = 0, b = 0] = (
          getComputedStyle(document.documentElement).backgroundColor.match(/\d+/g) ?? []
        ).map(Number);
        return (r + g + b) / 3;
      });
    expect(await look()).toBe('night');
    expect(await brightness()).toBeLessThan(40);
    await page.keyboard.press('Alt+L');
    await poll(look).toBe('day');
    expect(await brightness()).toBeGreaterThan(220);
  });
});

describeBrowser('for everyone', () => {
  let window: OpenedWindow;
  beforeAll(async () => {
    window = await openWindow();
    await window.page.locator('#landing-degrees').waitFor();
  });
  afterAll(() => window.close());

  const violations = async (): Promise<string[]> => {
    const { faults, passes } = await axeOn(window.page, [...WCAG, 'best-practice']);
    expect(passes).toBeGreaterThan(20);
    return faults;
  };

  it('axe-core finds no violation: first look, each panel, each group of inputs, help, opening, night', async () => {
    const { page } = window;
    expect(await violations()).toEqual([]);
    await page.keyboard.press('Escape');
    const panels = await page.getByRole('tab').allInnerTexts();
    expect(panels.length).toBeGreaterThan(2);
    for (const name of panels.reverse()) {
      await openPanel(page, name);
      expect(await violations(), name).toEqual([]);
    }
    for (const name of ['Body and stages', 'Canopy', 'Exit']) {
      await page.getByRole('button', { name, exact: true }).click();
      expect(await violations(), name).toEqual([]);
    }
    await page.keyboard.press('Alt+W');
    await page.keyboard.press('Enter');
    expect(await violations(), 'level').toEqual([]);
    await page.keyboard.press('Escape');
    await page.keyboard.press('F1');
    expect(await violations(), 'help').toEqual([]);
    await page.keyboard.press('Escape');
    await page.keyboard.press('Control+Shift+O');
    expect(await violations(), 'open').toEqual([]);
    await page.keyboard.press('Escape');
    await page.keyboard.press('Alt+L');
    await page.keyboard.press('Alt+L');
    await poll(() => page.evaluate(() => document.documentElement.dataset['look'])).toBe('night');
    expect(await violations(), 'night').toEqual([]);
  });

  it('Tab goes through the window in the order it is read, and comes to every part', async () => {
    const { page } = window;
    const partWithFocus = (): Promise<string> =>
      page.evaluate(
        () => document.activeElement?.closest('.strip, .winds, .map, .desk, .entry, .time')?.classList[0] ?? '',
      );
    const parts: string[] = [];
    // From wherever the caret is round to the strip, and then once through the window until Tab leaves it.
    for (let i = 0; i < 400; i++) {
      await page.keyboard.press('Tab');
      const part = await partWithFocus();
      if (part === '' && parts.length > 0) break;
      if ((parts.length > 0 || part === 'strip') && parts.at(-1) !== part) parts.push(part);
    }
    expect(parts).toEqual(['strip', 'winds', 'map', 'desk', 'entry', 'time']);
  });
});
