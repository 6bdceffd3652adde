// The first hour of a lead in a new chair, by keyboard alone: each task with the number of its keys, which is printed
// and may not grow. A letter is a key, a chord is one, and so is each Tab on the way to what is meant.
import type { Page } from 'playwright-core';
import { afterAll, afterEach, expect, it } from 'vitest';
import { describeBrowser } from './chromium.ts';
import { Bench, logOf, poll, row, rowText, words } from './winds.ts';

const bench = new Bench();
afterEach(() => bench.closeWindows());
afterAll(() => bench.removeFolders());

/** Counts what a person presses. */
class Keyboard {
  readonly #page: Page;
  #count = 0;

  constructor(page: Page) {
    this.#page = page;
  }

  async press(...keys: readonly string[]): Promise<void> {
    for (const key of keys) await this.#page.keyboard.press(key);
    this.#count += keys.length;
  }

  /** A whole line and its Enter, once the line is understood. */
  async line(text: string, understood: RegExp): Promise<void> {
    await this.#page.keyboard.type(text);
    this.#count += text.length;
    await poll(() => words(this.#page)).toMatch(understood);
    await this.press('Enter');
  }

  /** Tab until what has the focus says what is meant; more than a person's patience fails. */
  async tabTo(meant: RegExp, patience = 12): Promise<void> {
    const seen: string[] = [];
    for (let k = 0; k < patience; k++) {
      await this.press('Tab');
      const focused = await this.#page.evaluate(() => {
        const { activeElement: el } = document;
        return `${el?.getAttribute('aria-label') ?? ''} ${el?.textContent ?? ''}`;
      });
      if (meant.test(focused)) return;
      seen.push(focused.slice(0, 40));
    }
    throw new Error(`${patience} presses of Tab did not lead to ${String(meant)}: ${seen.join(' | ')}`);
  }

  /** Keys since the last time this was asked. */
  taken(): number {
    const count = this.#count;
    this.#count = 0;
    return count;
  }
}

const told: string[] = [];
/** `most`: what these keys are worth. */
function counted(keys: Keyboard, task: string, most: number): void {
  const count = keys.taken();
  told.push(`${task} ${count}`);
  expect(count, task).toBeLessThanOrEqual(most);
}

const settled = (page: Page): Promise<void> =>
  page.locator('[role=status][aria-label=Advice][aria-busy=false]').waitFor();
/** As in a window just opened: the keyboard begins at its top, and no field has it. */
const atTheTop = (page: Page): Promise<void> =>
  page.locator('.strip h1').evaluate((name: HTMLElement) => {
    name.tabIndex = -1;
    name.focus();
    name.removeAttribute('tabindex');
  });

/** The first demo with its word, and a keyboard whose keys are counted. */
async function begun() {
  const mission = bench.copy('salt-plain');
  const { page, complaints } = await bench.shown(mission);
  await settled(page);
  return { mission, page, complaints, keys: new Keyboard(page) };
}

describeBrowser('in the first hour, by keyboard alone,', () => {
  it('the verdict and its reason are read, the exit is moved, a level is struck, the brief printed, the past seen', async () => {
    const { page, complaints, keys } = await begun();

    // The word is there without a key; the reason is opened where it stands.
    await atTheTop(page);
    await keys.tabTo(/in Saltbell North/);
    await keys.press('Enter');
    const why = page.getByRole('region', { name: /Where this comes from/ });
    await why.waitFor();
    expect(await why.innerText()).toMatch(/\d+ of 2000 drawn descents come down/);
    counted(keys, 'verdict and why', 3);
    await page.keyboard.press('Escape');

    await atTheTop(page);
    await keys.line('exit 30.07 S 22.36 E', /^Enter moves the exit/);
    await poll(() => words(page)).toMatch(/^Exit moved|^Landing moved/);
    counted(keys, 'exit to a place', 21);
    await atTheTop(page);
    await keys.press('Control+z');
    await poll(() => page.getByRole('button', { name: 'Redo' }).isEnabled()).toBe(true);
    counted(keys, 'undo', 1);

    // The lowest level is struck and taken back.
    const active = (): Promise<string> =>
      page.evaluate(
        () =>
          document.querySelector(`#${document.activeElement?.getAttribute('aria-activedescendant') ?? 'none'}`)
            ?.textContent ?? '',
      );
    await keys.press('Alt+w', 'Delete');
    await poll(active).toContain('struck');
    counted(keys, 'level struck', 2);
    await keys.press('Delete');
    await poll(active).not.toContain('struck');
    counted(keys, 'level back', 1);

    await keys.press('Control+p');
    const pages = page.getByRole('dialog', { name: /as it is printed/ });
    const print = pages.getByRole('button', { name: 'Print' });
    await poll(() => print.isEnabled()).toBe(true);
    await page.locator('iframe.brief-pages').evaluate((frame: HTMLIFrameElement) => {
      if (frame.contentWindow !== null) frame.contentWindow.print = () => (document.title = 'printed');
    });
    await keys.tabTo(/^ ?Print$/, 3);
    await keys.press('Enter');
    await poll(() => page.title()).toBe('printed');
    counted(keys, 'brief printed', 3);
    await page.keyboard.press('Escape');

    // Ten minutes back, to the first moment, and to now again.
    await atTheTop(page);
    await keys.press('Alt+b', 'PageDown', 'PageDown');
    const past = page.getByRole('status', { name: 'The past is shown' });
    await past.waitFor();
    expect(await past.innerText()).toMatch(/1\d\smin ago/);
    counted(keys, 'ten minutes back', 3);
    await keys.press('Alt+n');
    await past.waitFor({ state: 'detached' });
    counted(keys, 'back to now', 1);
    expect(complaints).toEqual([]);
  });

  it('three winds are entered, one corrected and one confirmed', async () => {
    const { mission, page, complaints, keys } = await begun();
    await atTheTop(page);
    for (const [text, id] of [
      ['Ground One 300/7 kt true', 'w6'],
      ['Ground Two 310/8 kt true', 'w7'],
      ['Ground Two 127/14 kt true', 'w8'],
    ] as const) {
      await keys.line(text, new RegExp(`Enter logs ${id}`));
      await row(page, id).waitFor();
    }
    await poll(() => rowText(page, 'w8')).toContain('held back');
    counted(keys, 'three winds', 76);
    await keys.line('correct w7 9 kt', /^Enter corrects w7/);
    await row(page, 'w9').waitFor();
    await poll(() => rowText(page, 'w7')).toContain('struck');
    counted(keys, 'one corrected', 16);
    // The keys that the line beside the entry names.
    await poll(() => words(page)).toMatch(/w8 is held back. Enter, then one key: C confirms it/);
    await keys.press('Enter', 'c');
    await poll(() => rowText(page, 'w8')).not.toContain('held back');
    counted(keys, 'one confirmed', 2);
    expect(logOf(mission).slice(-2)).toMatchObject([
      { kind: 'correction', corrects: 'w7' },
      { kind: 'confirmation', of: 'w8' },
    ]);
    expect(complaints).toEqual([]);
  });
});

afterAll(() => console.log(`keys: ${told.join(' · ')}`));
