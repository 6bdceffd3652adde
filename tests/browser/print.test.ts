// A page printed by the installed Chromium, as the browser host does it, and how that Chromium is found.
import { chmodSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { findChromium, printWithChromium } from '../../main/browser/chromium.ts';
import { findBrowser } from '../../main/browser/window.ts';
import { testFolder, type TestFolder } from '../main/folder.ts';
import { describeBrowser } from './chromium.ts';

let folder: TestFolder;
beforeEach(() => {
  folder = testFolder();
});
afterEach(() => folder.remove());

describeBrowser('printing with Chromium', () => {
  it('makes a PDF of what the text says: its pages and its title, no script run', async () => {
    const page = '<p style="break-after: page">one</p><p>two</p>';
    const html = `<!doctype html><html lang="en"><head><title>Brief 17</title></head><body onload="document.title='loaded'">${page}<script>document.title = 'changed'; document.body.innerHTML = '';</script>`;
    const printed = await printWithChromium(findChromium() ?? '', html);
    if (!printed.ok) throw new Error(printed.why);
    const text = Buffer.from(printed.value).toString('latin1');
    // ISO 32000-1, 7.5.2 (header), 7.7.3.2 (page tree, /Count), 14.3.3 (/Title).
    expect(text).toMatch(/^%PDF-1\.\d/);
    expect(text).toMatch(/\/Type \/Pages[\s\S]{0,40}\/Count 2\b/);
    expect(text).toContain('/Title (Brief 17)');
  });
});

describe('a program that cannot print', () => {
  it('is answered with a sentence', async () => {
    const failing = join(folder.root, 'chromium');
    writeFileSync(failing, '#!/bin/sh\nexit 3\n');
    chmodSync(failing, 0o755);
    expect(await printWithChromium(failing, '<p>')).toEqual({
      ok: false,
      why: `The page could not be printed with ${failing}: it ended with status 3.`,
    });
    writeFileSync(failing, '#!/bin/sh\nexit 0\n');
    expect(await printWithChromium(failing, '<p>')).toMatchObject({
      ok: false,
      why: expect.stringMatching(/it wrote nothing\.$/) as string,
    });
    expect((await printWithChromium(join(folder.root, 'none'), '<p>')).ok).toBe(false);
  });
});

describe.skipIf(process.platform === 'win32')('a Chromium', () => {
  it('is the one that is named, else the first on the path, else none', () => {
    const program = (name: string, mode = 0o755): string => {
      const path = folder.write(`bin/${name}`, '#!/bin/sh\n');
      chmodSync(path, mode);
      return path;
    };
    const bin = join(folder.root, 'bin');
    const edge = program('microsoft-edge');
    program('google-chrome', 0o644);
    expect(findChromium({ PATH: `/none:${bin}` }, 'linux')).toBe(edge);
    const chromium = program('chromium');
    const own = program('own');
    expect(findChromium({ PATH: bin }, 'linux')).toBe(chromium);
    expect(findChromium({ PATH: bin, PLUMBLINE_CHROMIUM: own }, 'linux')).toBe(own);
    expect(findChromium({ PATH: bin, PLUMBLINE_CHROMIUM: join(bin, 'none') }, 'linux')).toBe(chromium);
    // A program that a desktop starts may have no PATH at all: then the standard folders are looked at.
    expect(findChromium({}, 'linux', [bin])).toBe(chromium);
    const nowhere = [
      findChromium({ PATH: '/none' }, 'linux', []),
      findChromium({}, 'linux', []),
      findChromium({}, 'win32'),
    ];
    expect(nowhere).toEqual([null, null, null]);
    expect(findBrowser({}, 'linux', [bin])).toEqual({ kind: 'chromium', program: chromium });
    rmSync(chromium);
    rmSync(edge);
    expect(findBrowser({}, 'linux', [bin])).toBe(null);
    const firefox = program('firefox');
    expect(findBrowser({ PATH: bin }, 'linux', [])).toEqual({ kind: 'firefox', program: firefox });
  });
});
