// The browser host from start to end: an address, a window in an installed browser, and an end with the window or at
// Ctrl+C. `npm start` and the packaged program both run it.
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { BrowserHost } from './browser/server.ts';
import { findBrowser, openAppWindow } from './browser/window.ts';
import { main as commandLine } from './cli/cli.ts';
import { firstDemo, startHost } from './host.ts';

/** A window that closes sooner did not open, or handed over to a browser that runs already. */
const OPENED_AFTER_ms = 3_000;

export interface Launch {
  /** Holds `package.json`, `data/` and `dist/`. */
  readonly root: string;
  /** Where the last port and the window's own browser profile are kept. */
  readonly cache: string;
  readonly mission: string | null;
  /** null: the port of the last start, so that what the window keeps is found again, else any that is free. */
  readonly port: number | null;
  /** Shows that everything runs, and ends. */
  readonly check: boolean;
  readonly say: (line: string) => void;
}

/** A port that is not available: a sentence for the person who asked for it. */
export class PortRefused extends Error {}

/** Runs until the window is closed or the program is interrupted; answers the exit status. */
export async function launch(options: Launch): Promise<number> {
  const running = await onPort(options);
  const display = hasDisplay();
  const stop = interrupted();
  const shown = options.mission ?? (await firstDemo(options.root));
  let status = 0;
  if (!display || options.check) status = shown === null ? 1 : await printAnswer(shown);
  process.stdout.write(`The window is at ${running.url}\n`);
  process.stdout.write(
    'The address holds the token of this start: it works on this machine only. Ctrl+C ends the program.\n',
  );
  if (!options.check) {
    const window = display ? browserWindow(options, running) : null;
    await Promise.race(window === null ? [stop] : [stop, window.closed]);
    window?.close();
  }
  await running.close();
  return status;
}

export const hasDisplay = (): boolean =>
  process.platform === 'darwin' ||
  process.platform === 'win32' ||
  Boolean(process.env['DISPLAY']) ||
  Boolean(process.env['WAYLAND_DISPLAY']);

/** The port of the last start; 0 where none is known. */
function lastPort(cache: string): number {
  try {
    const port = Number(readFileSync(join(cache, 'port'), 'utf8'));
    return Number.isInteger(port) && port > 1023 && port < 65_536 ? port : 0;
  } catch {
    return 0;
  }
}

async function onPort({ root, cache, mission, port }: Launch): Promise<BrowserHost> {
  if (port !== null) {
    return startHost({ root, mission, port }).catch((error: unknown) => {
      const code = error instanceof Error && 'code' in error ? String(error.code) : String(error);
      throw new PortRefused(
        code === 'EADDRINUSE'
          ? `Port ${port} is in use; choose another, or leave --port out.`
          : `Port ${port} cannot be used (${code}).`,
      );
    });
  }
  const started = await startHost({ root, mission, port: lastPort(cache) }).catch(() =>
    startHost({ root, mission, port: 0 }),
  );
  try {
    mkdirSync(cache, { recursive: true });
    writeFileSync(join(cache, 'port'), `${started.port}\n`);
  } catch {
    // Without the note the next start takes another port; this one is not harmed.
  }
  return started;
}

/** The main job, seen to run where no window can be shown: the prediction of the mission as text. */
async function printAnswer(mission: string): Promise<number> {
  process.stdout.write(`\n${mission}\n\n`);
  const status = await commandLine(['predict', mission]);
  process.stdout.write('\n');
  return status;
}

/** Resolves at Ctrl+C or when a service manager ends the program. */
const interrupted = (): Promise<void> =>
  new Promise((done) => {
    for (const signal of ['SIGINT', 'SIGTERM'] as const) process.once(signal, () => done());
  });

interface BrowserWindow {
  /** Never resolves where no window opened, so that the host stays. */
  readonly closed: Promise<void>;
  readonly close: () => void;
}

function browserWindow({ cache, say }: Launch, running: BrowserHost): BrowserWindow {
  const browser = findBrowser();
  if (browser === null) {
    say(
      'No Chromium, Chrome, Edge or Firefox was found for a window of its own: open the address in any ' +
        'browser on this machine.',
    );
    return { closed: new Promise(() => undefined), close: () => undefined };
  }
  const begun = Date.now();
  const child = openAppWindow(browser, running.windowUrl(), join(cache, 'window'));
  child.unref();
  const closed = new Promise<void>((done) => {
    child.once('error', () =>
      say(`${browser.program} did not start: open the address in any browser on this machine.`),
    );
    child.once('exit', () => {
      // A browser that hands over to one that runs already ends at once; another window may be there as well.
      if (Date.now() - begun > OPENED_AFTER_ms && running.windows() === 0) done();
    });
  });
  return { closed, close: () => void child.kill() };
}
