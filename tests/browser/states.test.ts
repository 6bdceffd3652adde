// The window in the states that a descent brings: no text is cut, lies on another or outside its box at any size, what
// is read from two metres is large enough, and axe-core finds nothing in any look. One page goes through many states,
// sizes and looks, because each window costs seconds. PLUMBLINE_SHOTS names a folder for a picture of each.
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import type { Page } from 'playwright-core';
import { afterAll, afterEach, expect, it } from 'vitest';
import { axeOn, WCAG } from './axe.ts';
import { describeBrowser, openWindow, type OpenedWindow } from './chromium.ts';
import { letterHeights, unreadable } from './measured.ts';
import { Bench, openTab, part, poll, report, rowText, type } from './winds.ts';

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
/** The rules whose answer depends on the look; the others see the same page in each. */
const OF_A_LOOK = ['color-contrast', 'link-in-text-block', 'scrollable-region-focusable', 'target-size'];
const LOOKS: readonly (readonly [name: string, media: Media, axe: readonly string[]])[] = [
  ['day', DAY, WCAG],
  ['night', { colorScheme: 'dark', forcedColors: 'none' }, OF_A_LOOK],
  ['forced', { colorScheme: 'dark', forcedColors: 'active' }, OF_A_LOOK],
];

const SHOTS = process.env['PLUMBLINE_SHOTS'];

async function shoot(page: Page, name: string): Promise<void> {
  if (SHOTS === undefined) return;
  mkdirSync(SHOTS, { recursive: true });
  await page.screenshot({ path: join(SHOTS, `${name.replaceAll(/[^\w-]+/g, '-')}.png`) });
}

/** Panels are drawn a task after the frame; the chart follows its box in the next frame. */
const drawn = (page: Page): Promise<void> =>
  page.evaluate(async () => {
    for (let k = 0; k < 4; k++) await new Promise((done) => requestAnimationFrame(done));
  });

/** What cannot be read in full, at every size; in every look where pictures are wanted. */
async function readAtEverySize(page: Page, state: string): Promise<void> {
  await readAt(page, state, SIZES);
}

/** A panel is narrowest beside the map at 1100 and alone at 390: for what is not a state of its own that is enough. */
const NARROWEST = SIZES.filter(([width]) => width === 1100 || width === 390);
const readPanel = (page: Page, name: string): Promise<void> =>
  readAt(page, name, SHOTS === undefined ? NARROWEST : SIZES);

async function readAt(page: Page, state: string, sizes: readonly (readonly [number, number])[]): Promise<void> {
  for (const [width, height] of sizes) {
    await page.setViewportSize({ width, height });
    for (const [look, media] of SHOTS === undefined ? LOOKS.slice(0, 1) : LOOKS) {
      await page.emulateMedia(media);
      await drawn(page);
      expect.soft(await unreadable(page), `${state}, ${width} × ${height}, ${look}`).toEqual([]);
      await shoot(page, `${state} ${width} ${look}`);
    }
    await page.emulateMedia(DAY);
  }
  await page.setViewportSize({ width: 1440, height: 900 });
}

async function looks(page: Page, state: string): Promise<void> {
  await readAtEverySize(page, state);
  for (const [look, media, rules] of LOOKS) {
    await page.emulateMedia(media);
    await drawn(page);
    expect.soft(await unreadable(page), `${state}, ${look}`).toEqual([]);
    expect.soft((await axeOn(page, rules)).faults, `${state}, ${look}`).toEqual([]);
  }
  await page.emulateMedia(DAY);
}

const word = (page: Page): Promise<string> => page.locator('#advice-word').innerText();
const settled = (page: Page) => page.locator('[role=status][aria-label=Advice][aria-busy=false]').waitFor();

/** A number of a limit, typed; the word follows. */
async function limit(page: Page, name: string, number: string): Promise<void> {
  const field = page.locator(`[data-field="limits.${name}"]`);
  await field.focus();
  await page.keyboard.press('Control+A');
  await page.keyboard.type(number);
  await page.keyboard.press('Enter');
}

interface Held {
  answersAreHeld?: boolean;
  letGo?: () => void;
}

/**
 * Runs in the page before its scripts: while `answersAreHeld` questions for the advice wait, and the page's clock
 * stands still, for a word that waits too long is another state.
 */
function holdAnswers(): void {
  const held = globalThis as Held;
  const waiting: (() => void)[] = [];
  // eslint-disable-next-line @typescript-eslint/unbound-method
  const post = Worker.prototype.postMessage;
  Worker.prototype.postMessage = function (this: Worker, message: { readonly says?: { readonly kind?: string } }) {
    const send = (): void => post.call(this, message);
    if (held.answersAreHeld === true && message.says?.kind === 'advice') waiting.push(send);
    else send();
  };
  const now = performance.now.bind(performance);
  let last = 0;
  performance.now = () => (held.answersAreHeld === true ? last : (last = now()));
  held.letGo = () => {
    held.answersAreHeld = false;
    for (const send of waiting.splice(0)) send();
  };
}

/**
 * In arc minutes at two metres. A letter of 5′ is just read at a visual acuity of 1.0 (ISO 8596, from memory); what
 * decides is to be easy to read: 1.5 mrad, 5.16′.
 */
const EASY_ARCMIN = (0.0015 * 180 * 60) / Math.PI;
const fromTwoMetres: Record<string, number> = {};

/** Window and chance as strip, map, Zones and brief say them: "13:29:10 13:30:45" and "98". */
async function saidByAll(page: Page): Promise<Record<'windows' | 'chances', string[]>> {
  const words = async (selector: string): Promise<string> => (await page.locator(selector).textContent()) ?? '';
  const found = (text: string, pattern: RegExp): string => pattern.exec(text)?.slice(1).join(' ') ?? `not in: ${text}`;
  const strip = await words('#advice-line');
  const map = await words('.map-list');
  await openTab(page, 'Zones');
  const row = (name: string): Promise<string> => words(`[data-exit="${name}"]`);
  const zones = `${await row('window opens')} to ${await row('window closes')}`;
  const planned = await row('as planned');
  await openTab(page, 'Brief');
  await page.getByText('Expected landing').waitFor();
  const brief = await words('#panel');
  return {
    windows: [
      found(strip, /EXIT (\S{8}) to (\S{8})Z/),
      found(map, /opens (\S{8})Z, best \S{9}, closes (\S{8})Z/),
      found(zones, /opens(\S{8})Z.*closes(\S{8})Z/),
      found(brief, /Window(\S{8}) to (\S{8})Z/),
    ],
    chances: [
      found(strip, /^(?:over )?(\d+)\s%/),
      found(map, /Mill Meadow, (?:over )?(\d+)\s% of landings/),
      found(planned, /\d\dZ.*?(\d+)\s%/),
      found(brief, /Chance(?:over )?(\d+)\s% in/),
    ],
  };
}

/** A copy of the aircraft demo that names a wind file of another day too, which is kept out. */
function withOldFile(): string {
  const path = bench.copy('town-meadow');
  const plan = JSON.parse(readFileSync(path, 'utf8')) as { winds: { files?: string[] } };
  const own = readFileSync(join(dirname(bench.copy('salt-plain')), 'winds/forecast-09Z.csv'), 'utf8');
  writeFileSync(join(dirname(path), 'winds/far.csv'), own.replace('2027-04-14T09:00:00Z', '2023-02-23T12:00:00Z'));
  plan.winds.files = [...(plan.winds.files ?? []), 'winds/far.csv'];
  writeFileSync(path, JSON.stringify(plan, null, 2));
  return path;
}

describeBrowser('in the states of a descent the window', () => {
  it('is read in full before the exit and in flight, and from two metres what decides is', async () => {
    const { page, complaints } = await bench.shown(bench.copy('salt-plain'), { prepare: holdAnswers });
    await openTab(page, 'Descent');
    await settled(page);
    expect(await word(page)).toBe('GO');
    await looks(page, 'GO');
    await settled(page);
    await page.locator('#advice-line').waitFor();
    const decisive = ['#advice-word', '#advice-line', '#advice-reasons', '.clock .utc', '#count-down'];
    Object.assign(fromTwoMetres, await letterHeights(page, decisive, 2000));

    await openTab(page, 'Zones');
    await limit(page, 'zoneProbability', '99');
    await poll(() => word(page)).toBe('HOLD');
    await settled(page);
    await looks(page, 'HOLD');
    await limit(page, 'surfaceWind_mps', '1');
    await poll(() => word(page)).toBe('NO-GO');
    await settled(page);
    await looks(page, 'NO-GO');
    await page.evaluate(() => Object.assign(globalThis, { answersAreHeld: true }));
    await limit(page, 'surfaceWind_mps', '30');
    await limit(page, 'zoneProbability', '80');
    await poll(() => word(page)).toBe('checking');
    await looks(page, 'checking');
    expect(await word(page)).toBe('checking');
    await page.evaluate(() => (globalThis as Held).letGo?.());
    // The page's steady clock stood still meanwhile; the computer's is set back besides.
    await page.evaluate(() => {
      const now = Date.now.bind(Date);
      Date.now = () => now() - 3000;
    });
    await page.getByRole('button', { name: 'The clock is right' }).waitFor();
    await readPanel(page, 'the clock went back');
    await page.getByRole('button', { name: 'The clock is right' }).click();
    await poll(() => word(page)).toBe('GO');

    await openTab(page, 'Reports');
    await report(page, 'Ground Two 127/14 kt true', 'w6');
    await poll(() => rowText(page, 'w6')).toContain('held back');
    await settled(page);
    await looks(page, 'held back');

    await openTab(page, 'Descent');
    await type(page, 'called exit');
    await page.keyboard.press('Enter');
    await page.getByRole('timer', { name: 'In flight' }).waitFor();
    await settled(page);
    await looks(page, 'in flight');
    const flown = await letterHeights(page, ['.flight .height', '.flight dd:not(.height)'], 2000);

    Object.assign(fromTwoMetres, flown);
    const table = Object.entries(fromTwoMetres).map(([name, arcmin]) => `${arcmin.toFixed(1)}′ ${name}`);
    console.log(`letter heights at 2 m: ${table.join(' · ')}`);
    for (const [name, arcmin] of Object.entries(fromTwoMetres)) expect(arcmin, name).toBeGreaterThan(EASY_ARCMIN);
    expect(fromTwoMetres['#advice-word']).toBeGreaterThan(2 * EASY_ARCMIN);
    expect(fromTwoMetres['.flight .height']).toBeGreaterThan(2 * EASY_ARCMIN);
    expect(complaints).toEqual([]);
  });

  it('is read in full with a wind file kept out, on every panel, in the past and on the ground', async () => {
    const { page, complaints } = await bench.shown(withOldFile());
    await page.getByRole('region', { name: 'Wind files kept out' }).waitFor();
    await settled(page);
    await looks(page, 'kept out');
    // Each follows the others within an answer, and none keeps another number.
    const different = async (): Promise<string> => {
      const { windows, chances } = await saidByAll(page);
      return [new Set(windows), new Set(chances)].map((said) => [...said].join(' | ')).join(' · ');
    };
    await poll(different).toMatch(/^\S{8} \S{8} · \d+$/);
    for (const name of [
      'Zones',
      'Cases',
      'Crews',
      'Brief',
      'Plan',
      'Log',
      'Problems',
      'When',
      'Calls',
      'Lists',
      'Alerts',
    ]) {
      await openTab(page, name);
      await drawn(page);
      await readPanel(page, name);
    }
    await openTab(page, 'Reports');
    for (const name of ['What moved', 'Observe next', 'Feeds', 'Table']) {
      await part(page, name);
      await drawn(page);
      await readPanel(page, name);
    }
    await openTab(page, 'Descent');
    await page.keyboard.press('Alt+B');
    await page.keyboard.press('Home');
    await page.getByRole('status', { name: 'The past is shown' }).waitFor();
    await settled(page);
    await looks(page, 'past');
    await page.keyboard.press('Alt+N');
    for (const called of ['called exit', 'called touchdown']) {
      await type(page, called);
      await page.keyboard.press('Enter');
      await poll(() => page.locator('#entry-line').inputValue()).toBe('');
    }
    await poll(() => word(page)).toBe('DOWN');
    await settled(page);
    await looks(page, 'down');
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
