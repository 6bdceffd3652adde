// From nothing to a verdict for a place of one's own, in the real page: by mouse, and by keyboard alone.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { afterEach, expect, it } from 'vitest';
import { projectRoot } from '../openData.ts';
import { describeBrowser, openWindow, type OpenedWindow } from './chromium.ts';

let window: OpenedWindow | null = null;
afterEach(async () => {
  const complaints = window?.complaints ?? [];
  await window?.close();
  window = null;
  expect(complaints).toEqual([]);
});

/** Counts what a person does: a press, or a field filled in. */
function counted(page: Page) {
  let actions = 0;
  return {
    count: (): number => actions,
    press: async (name: string | RegExp): Promise<void> => {
      actions += 1;
      await page.getByRole('button', { name }).first().click();
    },
    fill: async (label: string, text: string): Promise<void> => {
      actions += 1;
      const box = page.getByLabel(label, { exact: false }).first();
      await box.fill(text);
      await box.press('Tab');
    },
    choose: async (label: string, option: string): Promise<void> => {
      actions += 1;
      await page.getByLabel(label, { exact: true }).selectOption(option);
    },
    at: async (x: number, y: number): Promise<void> => {
      actions += 1;
      const box = await page.locator('.map-ground').boundingBox();
      await page.mouse.click((box?.x ?? 0) + (box?.width ?? 0) * x, (box?.y ?? 0) + (box?.height ?? 0) * y);
    },
  };
}

const WINDS = 'height_m,from_deg,speed_kt\n20,250,8\n500,255,14\n1500,265,20\n3000,270,26\n4200,275,32\n';
const verdict = (page: Page) =>
  page
    .locator('.strip')
    .getByText(/GO|HOLD|NO-GO/)
    .first();

describeBrowser('a place of one’s own', () => {
  it('an empty start offers two ways on and the demos once each, and none is opened unasked', async () => {
    window = await openWindow({ mission: null });
    const { page } = window;
    await page.getByRole('heading', { name: 'Begin with' }).waitFor();
    for (const name of ['A new mission', 'A mission file'])
      expect(await page.getByRole('button', { name }).count()).toBe(1);
    const demos = await page.locator('[data-demo]').evaluateAll((all) => all.map((one) => one.textContent));
    expect(demos.length).toBeGreaterThan(1);
    expect(new Set(demos).size).toBe(demos.length);
    expect(await page.locator('.map-ground').count()).toBe(0);
  });

  it('comes to a verdict with spread and crews in few actions', async () => {
    window = await openWindow({ mission: null });
    const { page, copyFolder } = window;
    const person = counted(page);
    await person.press('A new mission');
    await person.fill('Name of the mission', 'Hay meadow');
    await person.fill('Where', 'The field is at 54 06.100 N 011 15.200 E, ask for the key');
    await person.fill('Ground above sea level', '12');
    await person.press('Make the mission');
    await page.getByRole('heading', { name: 'Still missing' }).waitFor();
    // A wind file through the panel's own way.
    await page
      .locator('#wind-file')
      .setInputFiles({ name: 'morning.csv', mimeType: 'text/csv', buffer: Buffer.from(WINDS) });
    await page.getByText('No winds: the air is taken as calm').waitFor({ state: 'detached' });
    await person.press('Draw a zone');
    for (const [x, y] of [
      [0.35, 0.35],
      [0.65, 0.35],
      [0.65, 0.65],
      [0.35, 0.65],
    ] as const)
      await person.at(x, y);
    await page.getByText(/4 of at least 3 places/).waitFor();
    await person.press(/^Finish/);
    await person.press('Place a four-wheel-drive vehicle');
    await person.at(0.3, 0.7);
    await verdict(page).waitFor();
    expect(person.count()).toBeLessThan(20);
    await page.keyboard.press('Control+s');
    await page.getByText(/Saved \d\d:/).waitFor();
    const saved = JSON.parse(readFileSync(join(copyFolder, 'hay-meadow', 'hay-meadow.mission.json'), 'utf8')) as Record<
      string,
      unknown
    >;
    expect(saved).toMatchObject({
      name: 'Hay meadow',
      landingZones: [{ name: 'Zone 1' }],
      teams: [{ name: 'Crew 1', kind: 'vehicle' }],
      winds: { files: ['morning.csv'] },
    });
  });

  it('is made and drawn by keyboard alone', async () => {
    window = await openWindow({ mission: null });
    const { page } = window;
    await page.getByRole('button', { name: 'A new mission' }).focus();
    await page.keyboard.press('Enter');
    await page.getByLabel('Name of the mission').focus();
    await page.keyboard.type('By keys');
    await page.keyboard.press('Tab');
    await page.keyboard.type('54.1000N 11.2500E');
    await page.keyboard.press('Tab');
    await page.keyboard.type('12');
    await page.getByRole('button', { name: 'Make the mission' }).focus();
    await page.keyboard.press('Enter');
    await page.getByRole('button', { name: 'Draw a zone' }).first().focus();
    await page.keyboard.press('Enter');
    // The map has the focus: Space sets a place at its middle, arrow keys move it.
    for (const keys of [['Space'], ['ArrowRight', 'Space'], ['ArrowDown', 'Space'], ['Enter']])
      for (const key of keys) await page.keyboard.press(key);
    await page.getByText(/Zone 1 is in the plan/).waitFor();
  });

  it('every list of the plan can be added to, typed over and undone', async () => {
    window = await openWindow({ mission: join(projectRoot, 'data', 'town-meadow', 'town-meadow.mission.json') });
    const { page } = window;
    await page.getByRole('tab', { name: 'Plan' }).click();
    const zones = page.locator('details.part', { hasText: /^Landing zones/ });
    await zones.locator('summary').first().click();
    const names = await zones.locator('.list > details > summary').allTextContents();
    expect(names.length).toBeGreaterThan(0);
    await page.getByRole('button', { name: 'Add a landing zone' }).click();
    await page
      .getByText(`Landing zone ${names.length + 1}`)
      .first()
      .waitFor();
    await page.keyboard.press('Control+z');
    await page
      .getByText(`Landing zone ${names.length + 1}`)
      .first()
      .waitFor({ state: 'detached' });
  });

  it('takes a file of places: each feature is what its tags say, and all of it is one step of undo', async () => {
    window = await openWindow({ mission: join(projectRoot, 'data', 'town-meadow', 'town-meadow.mission.json') });
    const { page } = window;
    const line = (properties: object) => ({
      type: 'Feature',
      properties,
      geometry: { type: 'LineString', coordinates: [[14.9, 49.4], [14.91, 49.41]] }, // prettier-ignore
    });
    const features = [line({ power: 'line', name: 'Hill line' }), line({ power: 'line', name: 'Valley wire' }), line({ boundary: 'yes' })]; // prettier-ignore
    await page.getByRole('tab', { name: 'Plan' }).click();
    await page.getByRole('button', { name: 'Take places from a file' }).click();
    const buffer = Buffer.from(JSON.stringify({ type: 'FeatureCollection', features }));
    await page
      .locator('#places-file')
      .setInputFiles({ name: 'extract.geojson', mimeType: 'application/geo+json', buffer });
    await page.getByRole('button', { name: 'Take 2 of 3 into the plan' }).click();
    await page.getByText('2 places are in the plan').waitFor();
    const hazards = page.locator('details.part', { hasText: /^Hazards/ });
    await hazards.locator('summary').first().click();
    await page.getByText('Valley wire').first().waitFor();
    await page.keyboard.press('Control+z');
    await page.getByText('Valley wire').first().waitFor({ state: 'detached' });
  });
});
