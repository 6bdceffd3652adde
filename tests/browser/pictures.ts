// The README's pictures, taken of the window that is built: `npm run pictures`. Not a test of the suite: it writes
// data/pictures.
import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { it } from 'vitest';
import { projectRoot } from '../openData.ts';
import { openWindow } from './chromium.ts';

const FOLDER = join(projectRoot, 'data/pictures');

interface Picture {
  readonly name: string;
  readonly demo: 'salt-plain' | 'town-meadow';
  readonly look: 'light' | 'dark';
  readonly now: string;
  readonly width: number;
  readonly height: number;
  /** Name of the tab that is open. */
  readonly tab?: string;
}

const SALT = { demo: 'salt-plain', now: '2027-04-14T07:25:00Z', width: 1440, height: 900 } as const;
const TOWN = { demo: 'town-meadow', now: '2027-05-29T13:20:00Z', width: 1440, height: 900 } as const;

const PICTURES: readonly Picture[] = [
  { ...SALT, name: 'salt-plain-day', look: 'light' },
  { ...SALT, name: 'salt-plain-night', look: 'dark' },
  { ...TOWN, name: 'town-meadow-day', look: 'light' },
  { ...TOWN, name: 'town-meadow-night', look: 'dark' },
  { ...SALT, name: 'salt-plain-zones', look: 'light', tab: 'Zones' },
  { ...SALT, name: 'salt-plain-reports', look: 'light', tab: 'Reports' },
  { ...SALT, name: 'salt-plain-cases', look: 'light', tab: 'Cases' },
  { ...SALT, name: 'salt-plain-crews', look: 'dark', tab: 'Crews' },
  { ...TOWN, name: 'town-meadow-small', look: 'dark', width: 1100, height: 700 },
];

it.each(PICTURES)('$name', async ({ name, demo, look, now, width, height, tab }) => {
  mkdirSync(FOLDER, { recursive: true });
  const mission = join(projectRoot, 'data', demo, `${demo}.mission.json`);
  const window = await openWindow({ mission, width, height, colorScheme: look, now: () => new Date(now) });
  const { page } = window;
  await page.getByRole('button', { name: 'Understood' }).click();
  if (tab !== undefined) await page.getByRole('tab', { name: tab }).click();
  await page.waitForLoadState('networkidle');
  // The advice has been worked out, and the spread has its last picture: then its progress is gone.
  await page.getByText('being worked out').first().waitFor({ state: 'detached' });
  await page.getByText('The first descents are being drawn').waitFor({ state: 'detached' });
  await page.getByRole('progressbar').waitFor({ state: 'detached' });
  await page.locator('[role=status][aria-label=Advice][aria-busy=false]').waitFor();
  await page.getByText(/Waiting for the advice|Flying the cases/).waitFor({ state: 'detached' });
  await page.screenshot({ path: join(FOLDER, `${name}.png`) });
  await window.close();
});
