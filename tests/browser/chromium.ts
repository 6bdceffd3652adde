// The real page in a real Chromium: found on this machine, started once for each test file, with the built window
// behind the browser host. Where there is no Chromium the tests are skipped with one loud line, and fail where nothing
// may be left out.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { chromium, type Browser, type BrowserContext, type Page } from 'playwright-core';
import { afterAll, describe, it } from 'vitest';
import { findChromium } from '../../main/browser/chromium.ts';
import { startHost } from '../../main/host.ts';
import { builtProgram } from '../build.ts';
import { leftOut, projectRoot, requireAll } from '../openData.ts';
import { PATIENCE_ms } from '../patience.ts';

const FIRST_DEMO = join(projectRoot, 'data', 'salt-plain', 'salt-plain.mission.json');

export { findChromium } from '../../main/browser/chromium.ts';

export interface Launched {
  readonly context: BrowserContext;
  readonly close: () => Promise<void>;
}

export interface LaunchOptions {
  readonly width: number;
  readonly height: number;
  readonly colorScheme?: 'light' | 'dark';
}

let running: Promise<Browser> | null = null;

afterAll(async () => {
  await (await running)?.close();
  running = null;
});

/** One for all tests of a file: to start one takes longer than most of what is tested in it. */
function browser(): Promise<Browser> {
  const executablePath = findChromium();
  if (executablePath === null) throw new Error('no Chromium is installed on this machine');
  return (running ??= chromium.launch({
    executablePath,
    headless: true,
    timeout: PATIENCE_ms,
    chromiumSandbox: process.getuid?.() !== 0,
    args: [
      '--disable-gpu',
      '--disable-quic',
      '--no-first-run',
      '--disable-background-networking',
      '--disable-component-update',
      '--disable-sync',
    ],
  }));
}

/** An empty profile of its own in a Chromium that fetches nothing by itself. Throws where none is found. */
export async function launch({ width, height, colorScheme = 'light' }: LaunchOptions): Promise<Launched> {
  const context = await (await browser()).newContext({ viewport: { width, height }, colorScheme });
  context.setDefaultTimeout(PATIENCE_ms);
  return { context, close: () => context.close() };
}

export interface OpenedWindow extends Launched {
  readonly page: Page;
  readonly url: string;
  /** The folder that takes the place of the person's own `~/Plumbline`. */
  readonly copyFolder: string;
  /** What the page complained of so far: errors it did not catch, and errors and warnings on its console. */
  readonly complaints: readonly string[];
}

export interface WindowOptions extends Partial<LaunchOptions> {
  /** A mission to open; left out: the first demo. Null: none, and the window shows what it shows at a first start. */
  readonly mission?: string | null;
  readonly now?: () => Date;
  /** Runs in each page before its own scripts. */
  readonly prepare?: () => void;
}

/** The built window, served by a browser host of its own and opened in a Chromium. `close` ends both. */
export async function openWindow(options: WindowOptions = {}): Promise<OpenedWindow> {
  await builtProgram(['client']);
  const copyFolder = mkdtempSync(join(tmpdir(), 'plumbline-copies-'));
  const host = await startHost({
    root: projectRoot,
    port: 0,
    mission: options.mission === undefined ? FIRST_DEMO : options.mission,
    copyFolder,
    poll_ms: 100,
    ...(options.now === undefined ? {} : { now: options.now }),
  });
  const endHost = async (): Promise<void> => {
    await host.close();
    rmSync(copyFolder, { recursive: true, force: true, maxRetries: 5 });
  };
  try {
    const { context, close } = await launch({ width: 1440, height: 900, ...options });
    const page = await context.newPage();
    const complaints: string[] = [];
    page.on('pageerror', (error) => complaints.push(String(error)));
    page.on('console', (message) => {
      if (message.type() === 'error' || message.type() === 'warning') complaints.push(message.text());
    });
    if (options.prepare !== undefined) await page.addInitScript(options.prepare);
    await page.goto(host.url);
    return {
      page,
      context,
      url: host.url,
      copyFolder,
      complaints,
      async close() {
        try {
          await close();
        } finally {
          await endHost();
        }
      },
    };
  } catch (error) {
    await endHost();
    throw error;
  }
}

/** A `describe` that needs a Chromium. `fn` is not called without one. */
export function describeBrowser(name: string, fn: () => void): void {
  if (findChromium() !== null) {
    describe(name, fn);
    return;
  }
  if (requireAll)
    throw new Error('PLUMBLINE_REQUIRE_ALL is set and no Chromium was found: nothing may be left out here');
  leftOut(`"${name}" needs a Chromium, and none was found on this machine (apt-get install chromium)`);
  it.skip(`${name} (left out: no Chromium on this machine)`, () => undefined);
}
