// The browser host as `npm start` runs it: a desk for a person who types paths, printing by an installed Chromium.
import { homedir } from 'node:os';
import { join } from 'node:path';
import { findChromium, printWithChromium } from './browser/chromium.ts';
import { startServer, type BrowserHost } from './browser/server.ts';
import { createDesk, demosIn } from './desk.ts';
import { reportFault, versionOf } from './version.ts';

export interface HostOptions {
  /** The project's root: demos in `data/`, the built window in `dist/client`. */
  readonly root: string;
  /** 0: any free port. */
  readonly port: number;
  readonly mission: string | null;
  /** Left out: `~/Plumbline`. */
  readonly copyFolder?: string;
  /** Left out: `dist/client` of the root. */
  readonly clientFolder?: string;
  readonly now?: () => Date;
  readonly poll_ms?: number;
}

/** The demo that a start without a mission shows; null without one. */
export async function firstDemo(root: string): Promise<string | null> {
  return (await demosIn(join(root, 'data')))[0]?.path ?? null;
}

export async function startHost(options: HostOptions): Promise<BrowserHost> {
  const chromium = findChromium();
  const desk = createDesk({
    host: 'browser',
    version: versionOf(options.root),
    demoFolder: join(options.root, 'data'),
    copyFolder: options.copyFolder ?? join(homedir(), 'Plumbline'),
    mission: options.mission,
    typedPaths: true,
    dialogs: null,
    printPdf: chromium === null ? null : (html) => printWithChromium(chromium, html),
    now: options.now ?? (() => new Date()),
    ...(options.poll_ms === undefined ? {} : { poll_ms: options.poll_ms }),
  });
  try {
    const clientFolder = options.clientFolder ?? join(options.root, 'dist', 'client');
    const server = await startServer({ clientFolder, desk, port: options.port, report: reportFault });
    return {
      ...server,
      async close() {
        await server.close();
        await desk.close();
      },
    };
  } catch (error) {
    await desk.close();
    throw error;
  }
}
