// After the touchdown: the debrief and the log's table are made from the log panel of the real page, lie beside the
// mission, and say what the log says. Before it, the panel says what is missing.
import { cpSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, expect, it } from 'vitest';
import { projectRoot } from '../openData.ts';
import { axeOn, WCAG } from './axe.ts';
import { describeBrowser, openWindow, type OpenedWindow } from './chromium.ts';

let window: OpenedWindow | null = null;
const folders: string[] = [];
afterEach(async () => {
  await window?.close();
  window = null;
  for (const folder of folders.splice(0)) rmSync(folder, { recursive: true, force: true });
});

/** The second demo with some events behind its log: two hours after it, so that it is an exercise as before. */
async function opened(more: readonly object[]) {
  const folder = mkdtempSync(join(tmpdir(), 'plumbline-debrief-'));
  folders.push(folder);
  cpSync(join(projectRoot, 'data/town-meadow'), folder, { recursive: true });
  const log = join(folder, 'town-meadow.log.jsonl');
  const lines = readFileSync(log, 'utf8').trim().split('\n');
  const last = JSON.parse(lines.at(-1) ?? '{}') as { readonly seq: number };
  const added = more.map((event, i) => JSON.stringify({ seq: last.seq + 1 + i, ...event }));
  writeFileSync(log, `${[...lines, ...added].join('\n')}\n`);
  window = await openWindow({ mission: join(folder, 'town-meadow.mission.json') });
  const { page } = window;
  await page.getByRole('button', { name: 'Understood' }).click();
  await page.getByRole('tab', { name: 'Log', exact: true }).click();
  return { page, folder };
}

const FLOWN = [
  { at: '2027-05-29T13:30:00Z', kind: 'mark', mark: 'exit', observedAt: '2027-05-29T13:30:00Z' },
  { at: '2027-05-29T13:33:00Z', kind: 'call', text: 'Jumper under canopy, north of the church', by: 'lead', to: 'all' },
  { at: '2027-05-29T13:36:00Z', kind: 'mark', mark: 'touchdown', position: [14.9214, 49.4169] },
] as const;

describeBrowser('the debrief', () => {
  it('is written beside the mission once the touchdown is in the log, and the log as a table', async () => {
    const { page, folder } = await opened(FLOWN);
    await page.getByRole('button', { name: 'Debrief, HTML' }).click();
    const written = () => readdirSync(folder);
    await expect.poll(written).toContain('debrief.html');
    const text = readFileSync(join(folder, 'debrief.html'), 'utf8');
    expect(text).toContain('Debrief of 29 May 2027');
    expect(text).toContain('Jumper under canopy, north of the church');
    expect(text).toContain('The forecast alone');
    await expect.poll(() => page.getByRole('button', { name: 'Log, CSV' }).isEnabled()).toBe(true);
    await page.getByRole('button', { name: 'Log, CSV' }).click();
    await expect.poll(written).toContain('log.csv');
    expect(readFileSync(join(folder, 'log.csv'), 'utf8').split('\r\n')[0]).toContain('seq,at,kind');
    // While the log is played again the touchdown is still in it.
    await page.keyboard.press('Alt+P');
    await page.getByRole('status', { name: 'The past is shown' }).waitFor();
    expect(await page.getByRole('button', { name: 'Debrief, HTML' }).isEnabled()).toBe(true);
    expect((await axeOn(page, WCAG)).faults).toEqual([]);
  });

  it('says before the touchdown what is missing', async () => {
    const { page } = await opened([]);
    await page.getByText('A debrief can be made once the touchdown and its place are in the log.').waitFor();
    expect(await page.getByRole('button', { name: 'Debrief, HTML' }).isDisabled()).toBe(true);
    expect(await page.getByRole('button', { name: 'Log, CSV' }).isEnabled()).toBe(true);
  });
});
