// A mast that is wrong throughout, in the real page: one question for all of its reports, answered with one key.
import { afterAll, afterEach, expect, it } from 'vitest';
import { describeBrowser } from './chromium.ts';
import { Bench, logOf, poll, rowText, words } from './winds.ts';

const bench = new Bench();
afterEach(() => bench.closeWindows());
afterAll(() => bench.removeFolders());

/** The demo's wind low down is from the north-west; this mast says the reciprocal, 14 kt. */
const MAST = [0, 12, 24, 36, 48].map((minutes, i) => {
  const at = new Date(Date.parse('2027-04-14T06:30:00Z') + 60_000 * minutes).toISOString();
  const position = [22.41, -30.09];
  const wind = { from_deg: 127, speed_mps: 7.2, agl_m: 10, position };
  return { seq: i, at, kind: 'wind-report', id: `w${i + 1}`, source: 'station', by: 'Mast', observedAt: at, ...wind };
});

describeBrowser('an observer who is wrong throughout', () => {
  it('is asked about once in the panel and on the empty line, and is reversed with one key', async () => {
    const mission = bench.copy('salt-plain', MAST);
    const { page, complaints } = await bench.shown(mission);
    const decide = page.getByRole('region', { name: 'Held back' });
    await poll(() => decide.innerText()).toContain('5 reports are held back');
    expect(await decide.innerText()).toContain('All 5 reports of Mast look given TOWARD instead of FROM');
    expect(await decide.getByRole('button').allInnerTexts()).toEqual([
      'Confirm all C',
      'Reverse all R',
      'Leave out all X',
    ]);
    await poll(() => words(page)).toContain('Enter, then one key: All 5 reports of Mast');
    await page.locator('#entry-line').focus();
    await page.keyboard.press('Enter');
    await page.keyboard.press('r');
    await poll(() => logOf(mission).filter(({ kind }) => kind === 'correction').length).toBe(5);
    // 127° + 180°.
    for (const event of logOf(mission).slice(5))
      expect(event).toMatchObject({ kind: 'correction', from_deg: 307, by: 'Mast', source: 'station', agl_m: 10 });
    await poll(() => rowText(page, 'w10')).toContain('of the forecast’s error');
    await poll(() => decide.count()).toBe(0);
    expect(complaints).toEqual([]);
  });
});
