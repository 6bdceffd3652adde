// A wind file that is kept out, in the window: what it is and why it does not count, and one press that takes it.
import { readFileSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { afterAll, afterEach, expect, it } from 'vitest';
import { describeBrowser } from './chromium.ts';
import { Bench, logOf, poll } from './winds.ts';

const bench = new Bench();
afterEach(() => bench.closeWindows());
afterAll(() => bench.removeFolders());

/** A copy of the balloon demo that names a file of 2023 from another continent too. */
function withFarFile(): string {
  const path = bench.copy('salt-plain');
  const folder = dirname(path);
  const own = readFileSync(join(folder, 'winds/forecast-09Z.csv'), 'utf8');
  const far = own.replace('2027-04-14T09:00:00Z', '2023-02-23T12:00:00Z').replace('22.4, -30.1', '-97.4, 35.2');
  writeFileSync(join(folder, 'winds/far.csv'), far);
  writeFileSync(
    path,
    readFileSync(path, 'utf8').replace('"winds/forecast-09Z.csv"', '"winds/far.csv", "winds/forecast-09Z.csv"'),
  );
  return path;
}

describeBrowser('a wind file at the door', () => {
  it('is kept out with its reasons, and taken by one press, which the log keeps', async () => {
    const path = withFarFile();
    const { page, complaints } = await bench.shown(path);
    const panel = page.getByRole('region', { name: 'Wind files kept out' });
    await panel.getByText('What it says').click();
    const words = (await panel.innerText()).replaceAll('\u202f', ' ');
    expect(words).toContain('Kept out: winds/far.csv');
    expect(words).toMatch(/valid on 23 Feb 2023 at 12:00:00Z, \d+ days before the exit; the limit is 1 d/);
    expect(words).toMatch(/from 1\d \d{3} km away; the limit is 150 km/);
    // Its own forecast, valid at its hour, says all that counts at the exit.
    expect(words).toContain('Using it would not move the forecast’s landing.');
    const shot = process.env['PLUMBLINE_SHOT'];
    if (shot !== undefined) await page.screenshot({ path: shot });
    await panel.getByLabel('Why use it').fill('the only ascent upwind');
    await panel.getByRole('button', { name: 'Use it all the same' }).click();
    await panel.waitFor({ state: 'detached' });
    await poll(() => logOf(path).findLast(({ kind }) => kind === 'decision')).toMatchObject({
      text: expect.stringMatching(/^winds\/far\.csv is used \(.*\): the only ascent upwind$/) as string,
    });
    expect(complaints).toEqual([]);
  });
});
