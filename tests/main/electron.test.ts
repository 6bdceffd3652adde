// The real Electron with the real window, driven by Playwright: runs where Electron's own program is on the machine.
// Its install fetches nothing; where it cannot be fetched, the host is tested through a stand-in alone (shell.test.ts),
// and this says so.
import { existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { _electron, type ElectronApplication, type Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { FUSE_WIRE, readFuseWire } from '../../main/electron/fuses.ts';
import { builtProgram } from '../build.ts';
import { leftOut, projectRoot } from '../openData.ts';

function electronProgram(): string | null {
  const folder = join(projectRoot, 'node_modules', 'electron');
  try {
    const program = join(folder, 'dist', readFileSync(join(folder, 'path.txt'), 'utf8'));
    return existsSync(program) ? program : null;
  } catch {
    return null;
  }
}

const program = electronProgram();
const hasDisplay =
  process.platform !== 'linux' || Boolean(process.env['DISPLAY']) || Boolean(process.env['WAYLAND_DISPLAY']);
const missing =
  program === null ? 'no Electron program on this machine' : hasDisplay ? null : 'no display for Electron';

if (program === null || missing !== null) {
  leftOut(`the suite in the real Electron (${missing}); its host is tested through a stand-in only`);
  it.skip(`the window in the real Electron (left out: no Electron: ${missing})`, () => undefined);
} else describe('the window in the real Electron', () => withElectron(program));

function withElectron(executablePath: string): void {
  let app: ElectronApplication;
  let page: Page;
  let home: string;
  beforeAll(async () => {
    await builtProgram(['client', 'main', 'preload']);
    home = mkdtempSync(join(tmpdir(), 'plumbline-home-'));
    const asRoot = process.getuid?.() === 0 ? ['--no-sandbox'] : [];
    app = await _electron.launch({
      executablePath,
      args: [projectRoot, ...asRoot],
      env: { ...process.env, HOME: home, PLUMBLINE_MISSION: '' },
    });
    page = await app.firstWindow();
  });
  afterAll(async () => {
    await app.close();
    rmSync(home, { recursive: true, force: true, maxRetries: 5 });
  });

  it('shows the program’s own page on its own scheme', () => {
    expect(page.url()).toBe('plumbline://app/index.html');
  });

  it('gives the page the desk and no Node', async () => {
    expect(await page.evaluate(() => Object.keys(window.desk ?? {}).toSorted())).toEqual(['call', 'on']);
    expect(
      await page.evaluate(() =>
        ['require', 'process', 'module', 'Buffer', 'global'].filter((name) => name in globalThis),
      ),
    ).toEqual([]);
    expect(await page.evaluate(async () => (await window.desk?.call('host/about'))?.host)).toBe('electron');
    expect(await page.evaluate(async () => (await window.desk?.call('mission/demos'))?.length)).toBe(2);
  });

  it('refuses to fetch, to run text as code, to leave its page and to open another', async () => {
    expect(
      await page.evaluate(() =>
        fetch('https://example.org').then(
          () => 'fetched',
          () => 'refused',
        ),
      ),
    ).toBe('refused');
    expect(
      await page.evaluate(() => {
        const script = document.createElement('script');
        script.textContent = 'globalThis.ran = true';
        document.head.append(script);
        return 'ran' in globalThis;
      }),
    ).toBe(false);
    expect(await page.evaluate(() => window.open('https://example.org'))).toBeNull();
    await page.evaluate(() => window.location.assign('https://example.org')).catch(() => undefined);
    expect(page.url()).toBe('plumbline://app/index.html');
    expect(app.windows().length).toBe(1);
  });

  it('has the fuses that the table names, no more and no fewer', () => {
    const states = readFuseWire(readFileSync(executablePath));
    expect(states?.length).toBe(FUSE_WIRE.length);
  });
}
