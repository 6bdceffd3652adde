// What a person waits for after an edit, through the built window in a real Chromium: the word of the new plan, the
// crews' board, the brief. Milliseconds from the key to the change of the page, by the page's own clock.
import type { Page } from 'playwright-core';
import { inPage } from './windToPicture.ts';

const LIMIT_ms = 60_000;
const WARM_UP = 3;
/** Edits come seconds apart: what the one before set going has come to rest. */
const QUIET_ms = 500;

/** What the page says while an answer is on its way; the answer is there when nothing of it is left. */
const WAITING = {
  verdict: '.word-mark.checking',
  board: 'section[aria-labelledby=crews][aria-busy=true]',
  brief: '#panel [role=status]',
} as const;
type Awaited = keyof typeof WAITING;

export type EditTimes = Readonly<Record<`${Awaited}_ms`, number[]>>;

/** Presses an arrow key on the exit and answers after how many milliseconds each sign had come and gone. */
async function timesOf(page: Page, key: string, signs: readonly string[]): Promise<readonly number[]> {
  await page
    .getByRole('button', { name: /^Exit, / })
    .and(page.locator('.map-handle'))
    .focus();
  await page.evaluate((selectors) => {
    const seen = { done: selectors.map(() => NaN) };
    Object.assign(globalThis, { seen });
    document.addEventListener(
      'keydown',
      ({ timeStamp }) => {
        const came = selectors.map(() => false);
        const look = (): void => {
          selectors.forEach((selector, i) => {
            const waits = document.querySelector(selector) !== null;
            if (waits) [came[i], seen.done[i]] = [true, NaN];
            else if (came[i] === true && Number.isNaN(seen.done[i])) seen.done[i] = performance.now() - timeStamp;
          });
        };
        new MutationObserver(look).observe(document.body, { attributes: true, childList: true, subtree: true });
      },
      { capture: true, once: true },
    );
  }, signs);
  await page.keyboard.press(key);
  const took = await page.waitForFunction(
    () => {
      const { done } = (globalThis as unknown as { readonly seen: { readonly done: number[] } }).seen;
      return done.some((time) => Number.isNaN(time)) ? null : done;
    },
    undefined,
    { timeout: LIMIT_ms, polling: 100 },
  );
  return (await took.jsonValue()) ?? [];
}

async function measure(page: Page, times: number): Promise<EditTimes> {
  await page.locator('#landing-degrees').waitFor({ timeout: LIMIT_ms });
  await page.getByRole('button', { name: 'Understood' }).click();
  const found: EditTimes = { verdict_ms: [], board_ms: [], brief_ms: [] };
  for (const [panel, awaited] of [
    ['Crews', ['verdict', 'board']],
    ['Brief', ['brief']],
  ] as const) {
    await page.getByRole('tab', { name: panel, exact: true }).click();
    for (let i = 0; i < times + WARM_UP; i++) {
      await page.locator('[role=status][aria-label=Advice][aria-busy=false]').waitFor({ timeout: LIMIT_ms });
      await page.getByRole('progressbar').waitFor({ state: 'detached', timeout: LIMIT_ms });
      for (const sign of awaited) await page.locator(WAITING[sign]).waitFor({ state: 'detached', timeout: LIMIT_ms });
      await page.waitForTimeout(QUIET_ms);
      const key = i % 2 === 0 ? 'ArrowRight' : 'ArrowLeft';
      const took = await timesOf(
        page,
        key,
        awaited.map((sign) => WAITING[sign]),
      );
      if (i >= WARM_UP) awaited.forEach((sign, k) => found[`${sign}_ms`].push(took[k] ?? NaN));
    }
  }
  return found;
}

/** From an edit of the exit to each answer; null where no Chromium is installed. */
export const editToAnswers = (root: string, times: number): Promise<EditTimes | null> =>
  inPage(root, (page) => measure(page, times));
