// What the tests of the window's reports share: a demo of its own in a folder of its own, its log, and the window as a
// person uses it.
import { appendFileSync, cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { expect } from 'vitest';
import type { LogEvent } from '../../core/log/events.ts';
import { readLog } from '../../core/log/read.ts';
import { projectRoot } from '../openData.ts';
import { openWindow, type OpenedWindow, type WindowOptions } from './chromium.ts';

/** Waits for an answer to become what is expected. */
export const poll = <T>(ask: () => T) => expect.poll(ask);

export type DemoName = 'salt-plain' | 'town-meadow';

/** The demos' logs end here; an exercise's clock goes on from there. */
export const LAST = { 'salt-plain': '2027-04-14T07:24:00Z', 'town-meadow': '2027-05-29T13:19:00Z' } as const;

/** Folders and windows of one test file, put away at its end. */
export class Bench {
  readonly #folders: string[] = [];
  readonly #open: OpenedWindow[] = [];

  folder(): string {
    const folder = mkdtempSync(join(tmpdir(), 'plumbline-reports-'));
    this.#folders.push(folder);
    return folder;
  }

  /** A copy of a demo; `log` replaces its log's events. Answers the mission's path. */
  copy(name: DemoName, log?: readonly object[]): string {
    const folder = this.folder();
    cpSync(join(projectRoot, 'data', name), folder, { recursive: true });
    const path = join(folder, `${name}.mission.json`);
    if (log !== undefined) writeFileSync(logPath(path), log.map((event) => `${JSON.stringify(event)}\n`).join(''));
    return path;
  }

  /** The window with its mission shown, the first-run text put away, and the reports open. */
  async shown(mission: string, options: WindowOptions = {}): Promise<OpenedWindow> {
    const window = await openWindow({ mission, ...options });
    this.#open.push(window);
    const { page } = window;
    await page.getByRole('button', { name: 'Understood' }).click();
    await openTab(page, 'Reports');
    return window;
  }

  async closeWindows(): Promise<void> {
    for (const window of this.#open.splice(0)) await window.close();
  }

  removeFolders(): void {
    for (const folder of this.#folders) rmSync(folder, { recursive: true, force: true, maxRetries: 5 });
  }
}

export const logPath = (mission: string): string => mission.replace('.mission.json', '.log.jsonl');

export const logOf = (mission: string): LogEvent[] => readLog(readFileSync(logPath(mission), 'utf8')).value;

export const appendRaw = (mission: string, text: string): void => appendFileSync(logPath(mission), text);

export async function openTab(page: Page, name: string): Promise<void> {
  await page.getByRole('tab', { name, exact: true }).click();
}

export const part = (page: Page, name: string): Promise<void> =>
  page.getByRole('group', { name: 'Part of the reports' }).getByRole('button', { name }).click();

export const words = (page: Page): Promise<string> => page.locator('#entry-words').innerText();

/** Types a line as a person does; the window's own keys bring the caret to the entry line. */
export async function type(page: Page, text: string): Promise<void> {
  await page.locator('#entry-line').focus();
  await page.locator('#entry-line').fill('');
  await page.keyboard.type(text);
}

export const row = (page: Page, id: string) => page.getByRole('option').filter({ hasText: new RegExp(`^${id} `) });

export const rowText = async (page: Page, id: string): Promise<string> =>
  (await row(page, id).innerText()).replace(/\s+/g, ' ');

/** Types a report, waits until Enter would log it, and logs it. */
export async function report(page: Page, text: string, id: string): Promise<void> {
  await type(page, text);
  await poll(() => words(page)).toContain(`Enter logs ${id}`);
  await page.keyboard.press('Enter');
  await row(page, id).waitFor();
}
