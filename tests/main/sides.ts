// Both ways from a window to the desk, whole: the window's own connection (renderer/desk.ts, main/preload.ts) on one
// side, a real host on the other. Electron's process border is played by a structured clone, the browser's page by a
// few globals.
import { join } from 'node:path';
import { vi } from 'vitest';
import { WebSocket } from 'ws';
import type { Desk } from '../../main/contract.ts';
import { startServer, type BrowserHost } from '../../main/browser/server.ts';
import { createDesk, type DeskOptions } from '../../main/desk.ts';
import { startShell } from '../../main/electron/shell.ts';
import { connectDesk, type ConnectedDesk } from '../../renderer/desk.ts';
import { fakeElectron, type FakeElectron } from './fakeElectron.ts';
import { testFolder, type TestFolder } from './folder.ts';
import { PATIENT } from '../patience.ts';

export const FIXED_NOW = new Date('2026-03-14T06:00:00.000Z');

export interface Side {
  readonly desk: ConnectedDesk;
  readonly folder: TestFolder;
  /** What the hosts reported as faults of the program. */
  readonly faults: string[];
  /** Lets the next dialog answer this; the browser host has none and ignores it. */
  readonly choose: (path: string) => void;
  readonly close: () => Promise<void>;
}

const pdfOf = (html: string): Uint8Array => new TextEncoder().encode(`%PDF ${html.length}`);

export function deskOptions(folder: TestFolder, more: Partial<DeskOptions> = {}): DeskOptions {
  return {
    host: 'browser',
    version: '9.9.9',
    demoFolder: folder.demos,
    copyFolder: folder.copies,
    mission: folder.mission,
    typedPaths: true,
    dialogs: null,
    printPdf: async (html) => ({ ok: true, value: pdfOf(html) }),
    now: () => FIXED_NOW,
    poll_ms: 50,
    ...more,
  };
}

/** A client folder with a page, as the build makes one. */
export function clientFolder(folder: TestFolder): string {
  folder.write('client/index.html', '<!doctype html><title>Plumbline</title>');
  folder.write('client/assets/app-0a1B2c3D.js', 'export {};\n');
  return join(folder.root, 'client');
}

/** The globals that renderer/desk.ts asks of a page, at the address that the host gave. */
export function standInPage(host: { readonly url: string }): void {
  const address = new URL(host.url);
  const kept = new Map<string, string>();
  class PageSocket extends WebSocket {
    constructor(url: string) {
      super(url, { origin: address.origin });
      this.on('error', () => undefined);
    }
  }
  vi.stubGlobal('WebSocket', PageSocket);
  vi.stubGlobal('window', {
    location: { hash: address.hash, host: address.host, protocol: address.protocol, pathname: '/', search: '' },
    history: { replaceState: () => undefined },
    sessionStorage: {
      getItem: (key: string) => kept.get(key) ?? null,
      setItem: (key: string, value: string) => void kept.set(key, value),
    },
    setTimeout: (run: () => void, wait_ms: number) => setTimeout(run, Math.min(wait_ms, 50)).unref(),
  });
}

export async function startedServer(
  folder: TestFolder,
  faults: string[] = [],
  more: Partial<DeskOptions> = {},
  at: { readonly port: number; readonly token?: string } = { port: 0 },
): Promise<BrowserHost> {
  const desk = createDesk(deskOptions(folder, more));
  const host = await startServer({
    clientFolder: clientFolder(folder),
    desk,
    report: (line) => void faults.push(line),
    ...at,
  });
  return {
    ...host,
    async close() {
      await host.close();
      await desk.close();
    },
  };
}

export async function browserSide(): Promise<Side> {
  const folder = testFolder();
  const faults: string[] = [];
  const host = await startedServer(folder, faults);
  standInPage(host);
  const desk = await connectDesk();
  return {
    desk,
    folder,
    faults,
    choose: () => undefined,
    async close() {
      desk.close();
      await host.close();
      vi.unstubAllGlobals();
      folder.remove();
    },
  };
}

/** Where the preload's `electron` leads; the test file mocks the module with these two. */
export interface PreloadElectron {
  expose: (key: string, value: unknown) => void;
  invoke: (channel: string, args: unknown) => Promise<unknown>;
  on: (channel: string, listener: (event: unknown, value: unknown) => void) => void;
  removeListener: (channel: string, listener: (event: unknown, value: unknown) => void) => void;
}

export async function electronSide(preload: PreloadElectron): Promise<Side & { readonly electron: FakeElectron }> {
  const folder = testFolder();
  const faults: string[] = [];
  const electron = fakeElectron();
  startShell(electron.port, {
    clientFolder: clientFolder(folder),
    preload: '/preload.cjs',
    platform: 'linux',
    development: false,
    mission: null,
    report: (line) => void faults.push(line),
    createDesk: (given) => createDesk(deskOptions(folder, { host: 'electron', typedPaths: false, ...given })),
  });
  await vi.waitFor(() => {
    if (electron.windows[0]?.loaded.length !== 1) throw new Error('no window yet');
  }, PATIENT);
  const bridge = await bridged(preload, electron);
  vi.stubGlobal('window', { desk: bridge });
  return {
    desk: await connectDesk(),
    electron,
    folder,
    faults,
    choose: (path) => void electron.answers.push(path),
    async close() {
      electron.windows[0]?.events.emit('closed');
      vi.unstubAllGlobals();
      folder.remove();
    },
  };
}

/** Runs the preload again against the fake's main process; answers what it exposed to the page. */
async function bridged(preload: PreloadElectron, electron: FakeElectron): Promise<Desk> {
  const exposed = new Map<string, unknown>();
  const heard: { readonly channel: string; readonly listener: (event: unknown, value: unknown) => void }[] = [];
  preload.expose = (key, value) => void exposed.set(key, value);
  preload.invoke = (channel, args) => electron.invoke(channel, args);
  preload.on = (channel, listener) => void heard.push({ channel, listener });
  preload.removeListener = (channel, listener) => {
    const at = heard.findIndex((entry) => entry.channel === channel && entry.listener === listener);
    if (at >= 0) heard.splice(at, 1);
  };
  electron.windows[0]?.contents.sentTo.push((channel, value) => {
    for (const entry of heard.filter((candidate) => candidate.channel === channel))
      entry.listener({ sender: 'must not reach the page' }, value);
  });
  vi.resetModules();
  await import('../../main/preload.ts');
  if ([...exposed.keys()].join() !== 'desk')
    throw new Error(`the preload exposed ${[...exposed.keys()].join(', ') || 'nothing'}`);
  return exposed.get('desk') as Desk;
}
