// One alert as a person meets it: fixes stop in the air, the strip says so, one key goes there and one silences it with
// its reason. What is expected stands in the log on the disk; the descent is simulated (tests/live/simulated.ts).
import { afterAll, afterEach, expect, it } from 'vitest';
import type { Page } from 'playwright-core';
import { demo } from '../demo.ts';
import { seenBy, truthOf } from '../live/simulated.ts';
import { axeOn, WCAG } from './axe.ts';
import { describeBrowser } from './chromium.ts';
import { Bench, logOf, poll, type, words } from './winds.ts';

const bench = new Bench();
afterEach(() => bench.closeWindows());
afterAll(() => bench.removeFolders());

const iso = (time_s: number): string => new Date(Math.round(1000 * time_s)).toISOString();

/** The second demo in flight: its log ends with a fix a minute after the opening, and the clock goes on from there. */
async function inFlight(): Promise<string> {
  const { situation, loaded } = await demo('town-meadow');
  const truth = truthOf(situation, 2003);
  const fixes = seenBy(truth, 2003).fixes.filter(
    ({ time_s }) => time_s > truth.exit_s && time_s < truth.opening_s + 60,
  );
  const flight: readonly object[] = [
    { at: iso(Math.ceil(truth.exit_s)), kind: 'mark', mark: 'exit', observedAt: iso(truth.exit_s) },
    ...fixes.map(({ time_s, position, height_m }) => ({
      at: iso(Math.ceil(time_s)),
      kind: 'fix',
      body: 'jumper',
      position,
      height_m,
      observedAt: iso(time_s),
    })),
  ];
  return bench.copy(
    'town-meadow',
    [...loaded.log.map(({ seq: _seq, ...event }) => event), ...flight].map((event, i) => ({ seq: i + 1, ...event })),
  );
}

const bar = (page: Page) => page.getByRole('group', { name: 'Alert', exact: true });
const silences = (mission: string) => logOf(mission).filter(({ kind }) => kind === 'silence');

describeBrowser('an alert', () => {
  it('is seen and spoken once, silenced with two keys, and stays silenced when the page is loaded again', async () => {
    const mission = await inFlight();
    const { page, complaints } = await bench.shown(mission);
    await bar(page).waitFor();
    await poll(() => bar(page).innerText()).toMatch(
      /^Fix lost since \d\d:\d\d:\d\dZ: the last fix of the jumper is of /,
    );
    // Not over a stop alert, not twice: a status that was filled when it began.
    const spoken = page.getByRole('status', { name: 'New alert', exact: true });
    await poll(() => spoken.innerText()).toMatch(/^Fix lost: .*\. Ask for height and place by radio/);
    expect(await page.getByRole('alert', { name: 'New alert that cannot wait' }).innerText()).toBe('');
    await page.getByRole('tab', { name: /^Alerts\s*!1 not silenced$/ }).waitFor();
    expect((await axeOn(page, WCAG, '.strip')).faults).toEqual([]);

    await page.keyboard.press('Alt+X');
    const first = page.getByRole('button', { name: '1 being dealt with: silence fix lost' });
    await poll(() => first.evaluate((button) => button === document.activeElement)).toBe(true);
    expect((await axeOn(page, WCAG, '.alerts')).faults).toEqual([]);
    await page.keyboard.press('2');
    await poll(() => silences(mission)).toHaveLength(1);
    const [silence] = silences(mission);
    expect(silence).toMatchObject({ alert: 'fix lost', reason: 'known and accepted' });
    expect(silence).not.toHaveProperty('about');

    await poll(() => bar(page).count()).toBe(0);
    await poll(() => page.getByRole('tab', { name: 'Alerts', exact: true }).count()).toBe(1);
    const silenced = page.getByRole('list', { name: 'Silenced alerts that have not ended' });
    await poll(() => silenced.innerText()).toMatch(/Fix lost since .*\s+Silenced \d\d:\d\d:\d\dZ · known and accepted/);
    await poll(() => page.evaluate(() => document.activeElement?.id)).toBe('alerts-none');

    await page.reload();
    await page.locator('#landing-degrees').or(page.locator('.alerts')).first().waitFor();
    await page.keyboard.press('Alt+X');
    await poll(() => silenced.innerText()).toContain('known and accepted');
    expect(await bar(page).count()).toBe(0);
    expect(silences(mission)).toHaveLength(1);

    // Out of the log again by a word: it stands as before.
    await type(page, `annul ${silence?.seq} by mistake`);
    await poll(() => words(page)).toMatch(/^Enter/);
    await page.keyboard.press('Enter');
    await bar(page).waitFor();
    expect(complaints).toEqual([]);
  });

  it('is silenced with a typed reason, and not without one', async () => {
    const mission = await inFlight();
    const { page, complaints } = await bench.shown(mission);
    await bar(page)
      .getByRole('button', { name: /^Silence/ })
      .click();
    const reason = page.getByRole('textbox', { name: 'Another reason to silence fix lost' });
    await reason.focus();
    await page.keyboard.press('Enter');
    await page.getByText('Type why it is silenced, or take one of the reasons.').waitFor();
    expect(silences(mission)).toEqual([]);
    await page.keyboard.type('radio contact, 300 m');
    await page.keyboard.press('Enter');
    await poll(() => silences(mission).map((event) => 'reason' in event && event.reason)).toEqual([
      'radio contact, 300 m',
    ]);
    await poll(() => bar(page).count()).toBe(0);
    expect(complaints).toEqual([]);
  });
});
