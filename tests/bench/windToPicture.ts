// From a changed wind to a redrawn first picture, and from an entered report to its redrawn landing, as a person meets
// them: the built window in a real Chromium with the balloon demo, keys pressed, and the page's own marks read
// (`renderer/work/marks.ts`,
// `renderer/state/acting/reportMarks.ts`). Milliseconds.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { chromium, type Page } from 'playwright-core';
import { findChromium } from '../../main/browser/chromium.ts';
import { startHost } from '../../main/host.ts';
import { LANDING_DRAWN, REPORT_ENTERED } from '../../renderer/state/acting/reportMarks.ts';
import { PICTURE, WIND_CHANGED } from '../../renderer/work/marks.ts';

const LIMIT_ms = 30_000;
/**
 * A person looks before the next change: meanwhile the run behind the picture refines it, then the advice is worked
 * out, then the crews' places.
 */
const BETWEEN_ms = [300, 700, 1500] as const;
const WARM_UP = 6;
/** A mission was opened and looked at before its winds change: advice, cases and crews have been worked out once. */
const SETTLED_ms = 6000;

/** Nobody asks the page for its marks while the picture is on its way: each asking takes time from what is measured. */
const UNDISTURBED_ms = 250;

/** The two marks' times by the page's clock, or null where one is missing or the picture is older than the change. */
const marks = (page: Page): Promise<readonly [changed: number, drawn: number] | null> =>
  page.evaluate(
    ([changedName, drawnName]) => {
      const changed = performance.getEntriesByName(changedName)[0]?.startTime;
      const drawn = performance.getEntriesByName(drawnName)[0]?.startTime;
      return changed === undefined || drawn === undefined || drawn < changed ? null : ([changed, drawn] as const);
    },
    [WIND_CHANGED, PICTURE] as const,
  );

async function measure(page: Page, times: number): Promise<number[]> {
  await page.locator('#landing-degrees').waitFor({ timeout: LIMIT_ms });
  await page.getByRole('button', { name: 'Understood' }).click();
  await page.getByRole('combobox', { name: 'Wind column shown' }).selectOption('plan/0');
  await page.keyboard.press('Alt+W');
  await page.waitForFunction(() => document.activeElement?.getAttribute('role') === 'listbox', undefined, {
    timeout: LIMIT_ms,
  });
  await page.keyboard.press('Home');
  // Some levels up, so that what is struck moves the landing.
  for (let i = 0; i < 6; i++) await page.keyboard.press('ArrowUp');
  await page.waitForTimeout(SETTLED_ms);
  const found: number[] = [];
  let last = -1;
  for (let i = 0; i < times + WARM_UP; i++) {
    // The picture stands for the most part of the undisturbed time: that counts as looked at.
    await page.waitForTimeout((BETWEEN_ms[i % BETWEEN_ms.length] ?? 0) + 100 - UNDISTURBED_ms);
    await page.keyboard.press('Delete');
    await page.waitForTimeout(UNDISTURBED_ms);
    const until = performance.now() + LIMIT_ms;
    for (;;) {
      const seen = await marks(page);
      if (seen !== null && seen[0] > last) {
        last = seen[0];
        if (i >= WARM_UP) found.push(seen[1] - seen[0]);
        break;
      }
      if (performance.now() > until) throw new Error('no picture followed a changed wind');
      await page.waitForTimeout(10);
    }
  }
  return found;
}

/** Reports come minutes apart: what the one before set going has come to rest. */
const QUIET_ms = 1500;

async function measureReports(page: Page, times: number): Promise<number[]> {
  await page.locator('#landing-degrees').waitFor({ timeout: LIMIT_ms });
  await page.getByRole('button', { name: 'Understood' }).click();
  const found: number[] = [];
  for (let i = 0; i < times + WARM_UP; i++) {
    await page.getByRole('progressbar').waitFor({ state: 'detached', timeout: LIMIT_ms });
    await page.waitForTimeout(QUIET_ms);
    await page.locator('#entry-line').focus();
    await page.keyboard.type(`Ground ${i % 2 === 0 ? 'One' : 'Two'} ${300 + (i % 20)}/${5 + (i % 4)} kt true`);
    await page.keyboard.press('Enter');
    // The last of each mark: a report that is held back or moves nothing draws its landing as well.
    const took = await page.waitForFunction(
      ([enteredName, drawnName, count]) => {
        const drawn = performance.getEntriesByName(drawnName);
        const entered = performance.getEntriesByName(enteredName);
        const [from, to] = [entered.at(-1)?.startTime, drawn.at(-1)?.startTime];
        return entered.length < count || from === undefined || to === undefined || to < from ? null : to - from;
      },
      [REPORT_ENTERED, LANDING_DRAWN, i + 1] as const,
      { timeout: LIMIT_ms },
    );
    const ms = await took.jsonValue();
    if (i >= WARM_UP && ms !== null) found.push(ms);
  }
  return found;
}

/** One arrow key on the exit. */
export interface KeyTimes {
  /** Whether the track was redrawn in the first frame that the browser began after the key. */
  readonly firstFrame: boolean;
  /** What the window needed until the track was painted: the key's handling and the map's painting in that frame. */
  readonly work_ms: number;
  /** From the key's own time stamp until it was painted: with the wait for the frame. */
  readonly painted_ms: number;
  /** Until the browser was through with that frame (it copies the canvases; here without a graphics processor). */
  readonly frame_ms: number;
  /**
   * Until the frame is done in which the desk shows the new landing: the panels follow the map.
   */
  readonly panels_ms: number;
}

/**
 * The frame with the moved track is the one that the map asks for when it is given the moved scene, which is when the
 * exit's mark says its new place. A callback asked for at the key runs before the map's in that frame, one asked for at
 * the mark's change behind it.
 */
async function measureKeys(page: Page, times: number): Promise<KeyTimes[]> {
  await page.locator('#landing-degrees').waitFor({ timeout: LIMIT_ms });
  await page.getByRole('button', { name: 'Understood' }).click();
  await page.waitForTimeout(SETTLED_ms);
  const exit = page.getByRole('button', { name: /^Exit, / }).and(page.locator('.map-handle'));
  await exit.focus();
  await exit.evaluate((mark) => {
    const landing = document.querySelector('#landing-degrees');
    if (landing === null) throw new Error('no landing is written');
    const key = { pressed: NaN, began: NaN, frame: NaN, frameBegan: NaN };
    const seen: Record<string, unknown> = {};
    Object.assign(globalThis, { seen });
    document.addEventListener(
      'keydown',
      (event) => {
        for (const name of Object.keys(seen)) Reflect.deleteProperty(seen, name);
        Object.assign(key, { pressed: event.timeStamp, began: performance.now() });
        requestAnimationFrame((now) => Object.assign(key, { frame: now, frameBegan: performance.now() }));
      },
      { capture: true },
    );
    const behind = (call: () => void): void => {
      const after = new MessageChannel();
      after.port1.addEventListener('message', () => {
        call();
        after.port1.close();
      });
      after.port1.start();
      after.port2.postMessage(null);
    };
    new MutationObserver(() => {
      const handled_ms = performance.now() - key.began;
      requestAnimationFrame((now) => {
        const painted = performance.now();
        seen['firstFrame'] = now === key.frame;
        seen['work_ms'] = handled_ms + painted - key.frameBegan;
        seen['painted_ms'] = painted - key.pressed;
        behind(() => (seen['frame_ms'] = performance.now() - key.pressed));
      });
    }).observe(mark, { attributes: true, attributeFilter: ['aria-label'] });
    new MutationObserver(() => {
      requestAnimationFrame(() => behind(() => (seen['panels_ms'] = performance.now() - key.pressed)));
    }).observe(landing, { childList: true, characterData: true, subtree: true });
  });
  const found: KeyTimes[] = [];
  for (let i = 0; i < times + WARM_UP; i++) {
    await page.waitForTimeout(BETWEEN_ms[i % BETWEEN_ms.length] ?? 0);
    await page.keyboard.press(i % 2 === 0 ? 'ArrowRight' : 'ArrowLeft');
    const took = await page.waitForFunction(
      () => {
        const { seen } = globalThis as unknown as { readonly seen: Partial<KeyTimes> };
        return seen.frame_ms === undefined || seen.panels_ms === undefined ? null : { ...seen };
      },
      undefined,
      { timeout: LIMIT_ms },
    );
    const one = await took.jsonValue();
    if (i >= WARM_UP && one !== null) found.push(one as KeyTimes);
  }
  return found;
}

/** From an arrow key on the exit to its redrawn track; null where no Chromium is installed. */
export const keyToTrack = (root: string, times: number): Promise<KeyTimes[] | null> =>
  inPage(root, (page) => measureKeys(page, times));

/**
 * From a changed wind to its first picture; null where no Chromium is installed. `root`: the project's, with the window
 * built in `dist/`.
 */
export const windToPicture = (root: string, times: number): Promise<number[] | null> =>
  inPage(root, (page) => measure(page, times));

/**
 * From an entered report to its redrawn landing, the line on the disk included; null where no Chromium is installed.
 */
export const reportToLanding = (root: string, times: number): Promise<number[] | null> =>
  inPage(root, (page) => measureReports(page, times));

export interface InPageOptions {
  /** Left out: the balloon demo. */
  readonly mission?: string;
  /** Runs in the page before its own scripts. */
  readonly prepare?: () => void;
  /** Further arguments of the browser. */
  readonly args?: readonly string[];
}

/** Something measured in the built window; null where no Chromium is installed. `url`: the desk's, with its token. */
export async function inPage<T>(
  root: string,
  use: (page: Page, url: string) => Promise<T>,
  { mission, prepare, args = [] }: InPageOptions = {},
): Promise<T | null> {
  const executablePath = findChromium();
  if (executablePath === null) return null;
  const folder = mkdtempSync(join(tmpdir(), 'plumbline-bench-'));
  const host = await startHost({
    root,
    port: 0,
    mission: mission ?? join(root, 'data', 'salt-plain', 'salt-plain.mission.json'),
    copyFolder: join(folder, 'copies'),
  });
  try {
    const context = await chromium.launchPersistentContext(join(folder, 'profile'), {
      executablePath,
      headless: true,
      viewport: { width: 1440, height: 900 },
      chromiumSandbox: process.getuid?.() !== 0,
      args: [
        '--disable-gpu',
        '--no-first-run',
        '--disable-background-networking',
        '--disable-component-update',
        '--disable-sync',
        ...args,
      ],
    });
    try {
      const page = context.pages()[0] ?? (await context.newPage());
      if (prepare !== undefined) await page.addInitScript(prepare);
      await page.goto(host.url);
      return await use(page, host.url);
    } finally {
      await context.close();
    }
  } finally {
    await host.close();
    rmSync(folder, { recursive: true, force: true, maxRetries: 5 });
  }
}
