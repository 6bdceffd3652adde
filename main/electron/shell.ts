// The Electron host: one window on the program's own scheme, locked down before anything loads, and the desk behind it.
// Everything of Electron comes in as a port, so that a test sees each thing that is done to it.
import { readFile } from 'node:fs/promises';
import { clientFiles } from '../clientFiles.ts';
import { callNames, isCallName } from '../contract.ts';
import type { DeskService, Dialogs } from '../desk.ts';
import { createDispatch, type Report } from '../dispatch.ts';
import { pageHeaders } from '../policy.ts';
import type { Outcome } from '../contract.ts';
import { callChannel, eventChannel } from './channels.ts';
import { allowedPermissions, APP_ORIGIN, APP_URL, menuTemplate, SCHEME, schemes, windowOptions } from './options.ts';
import type { ContentsPort, ElectronPort, InvokePort, WindowPort } from './port.ts';
import { createPrinter } from './print.ts';

export interface ShellOptions {
  readonly clientFolder: string;
  readonly preload: string;
  readonly platform: NodeJS.Platform;
  /** Developer tools and reload in the menu. */
  readonly development: boolean;
  /** The mission named at this start; null: none. */
  readonly mission: string | null;
  readonly report: Report;
  readonly createDesk: (host: {
    readonly dialogs: Dialogs;
    readonly printPdf: (html: string) => Promise<Outcome<Uint8Array>>;
  }) => DeskService;
}

/** Starts the shell; what must happen before Electron is ready happens before this returns. */
export function startShell<W extends WindowPort, M>(electron: ElectronPort<W, M>, options: ShellOptions): void {
  const { app } = electron;
  electron.protocol.registerSchemesAsPrivileged(schemes);
  app.enableSandbox();
  if (!app.requestSingleInstanceLock({ mission: options.mission })) {
    app.quit();
    return;
  }
  app.on('web-contents-created', (_event, contents) => lockDown(contents));
  app.on('window-all-closed', () => app.quit());
  app
    .whenReady()
    .then(() => open(electron, options))
    .catch((error: unknown) => {
      options.report('Plumbline could not open its window', error);
      app.quit();
    });
}

/**
 * Nothing leaves the page it was made for: no navigation, no new window, no page within a page but what the page itself
 * wrote.
 */
function lockDown(contents: ContentsPort): void {
  contents.setWindowOpenHandler(() => ({ action: 'deny' }));
  contents.on('will-frame-navigate', (details) => {
    const ownFrame =
      !details.isMainFrame && (details.url === 'about:srcdoc' || details.url.startsWith(`blob:${APP_ORIGIN}/`));
    if (!ownFrame) details.preventDefault();
  });
  contents.on('will-redirect', (details) => details.preventDefault());
  contents.on('will-attach-webview', (event) => event.preventDefault());
}

async function open<W extends WindowPort, M>(electron: ElectronPort<W, M>, options: ShellOptions): Promise<void> {
  const session = electron.session.defaultSession;
  session.setPermissionRequestHandler((_contents, permission, callback) =>
    callback(allowedPermissions.has(permission)),
  );
  session.setPermissionCheckHandler(
    (_contents, permission, origin) => allowedPermissions.has(permission) && origin.replace(/\/$/, '') === APP_ORIGIN,
  );
  session.setDevicePermissionHandler(() => false);
  session.protocol.handle(SCHEME, serveClient(options.clientFolder));
  electron.Menu.setApplicationMenu(
    electron.Menu.buildFromTemplate(menuTemplate(options.platform, options.development)),
  );

  const window = new electron.BrowserWindow(windowOptions(options.preload, options.development));
  const desk = options.createDesk({ dialogs: dialogsOf(electron, window), printPdf: createPrinter(electron) });
  const says = keepRunning(electron, window, options.report);
  serveCalls(electron, { window, desk, report: options.report, says });
  electron.app.on('second-instance', (_event, _argv, _folder, given) => {
    if (window.isDestroyed()) return;
    const mission = missionIn(given);
    if (mission !== null) desk.offer(mission);
    if (window.isMinimized()) window.restore();
    window.focus();
  });
  const unlisten = desk.listen((name, value) => {
    if (!window.isDestroyed()) window.webContents.send(eventChannel(name), value);
  });
  window.on('closed', () => {
    unlisten();
    void desk.close();
  });
  window.once('ready-to-show', () => window.show());
  await window.loadURL(APP_URL);
}

/** The mission that a second start was given; what comes from another process is unknown until it is looked at. */
function missionIn(given: unknown): string | null {
  if (typeof given !== 'object' || given === null || !('mission' in given)) return null;
  return typeof given.mission === 'string' && given.mission !== '' ? given.mission : null;
}

/** A page that is gone this often within a minute is not loaded again: the fault lies elsewhere. */
const RELOADS_MAX = 3;
const MINUTE_MS = 60_000;

/**
 * A page that crashed or hangs is loaded again: the log is on the disk, and what was not saved is brought back. Answers
 * what the next page is to be told.
 */
function keepRunning<W extends WindowPort, M>({ app }: ElectronPort<W, M>, window: W, report: Report): string[] {
  const says: string[] = [];
  let gone_ms: number[] = [];
  window.webContents.on('render-process-gone', (_event, { reason }) => {
    if (window.isDestroyed() || reason === 'clean-exit') return;
    const now_ms = performance.now();
    gone_ms = [...gone_ms.filter((one) => now_ms - one < MINUTE_MS), now_ms];
    report('The window stopped and is loaded again', new Error(reason));
    if (gone_ms.length > RELOADS_MAX)
      return report('The window stops again and again; start the program again', reason);
    says.push(`The window stopped (${reason}) and was loaded again. The log is whole; check what was being entered.`);
    window.loadURL(APP_URL).catch((error: unknown) => report('The window could not be loaded again', error));
  });
  window.on('unresponsive', () => {
    report('The window does not answer and is ended', new Error('unresponsive'));
    if (!window.isDestroyed()) window.webContents.forcefullyCrashRenderer();
  });
  app.on('child-process-gone', (_event, { type, reason }) => {
    report(`A process of the program is gone: ${type}`, new Error(reason));
    if (!window.isDestroyed() && reason !== 'clean-exit')
      window.webContents.send(eventChannel('host/said'), { text: `A helper process stopped (${type}, ${reason}).` });
  });
  return says;
}

interface Served<W> {
  readonly window: W;
  readonly desk: DeskService;
  readonly report: Report;
  /** What the next page is to be told. */
  readonly says: string[];
}

/** One channel a call. The sender is checked before the arguments are looked at. */
function serveCalls<W extends WindowPort, M>(
  electron: ElectronPort<W, M>,
  { window, desk, report, says }: Served<W>,
): void {
  const dispatch = createDispatch(desk.handlers, report);
  for (const name of Object.keys(callNames).filter(isCallName)) {
    electron.ipcMain.handle(callChannel(name), async (event, args) => {
      if (!isOwnPage(event, window)) throw new Error('This page may not call the desk.');
      const reply = await dispatch(name, args);
      if (reply.kind === 'failed') throw new Error(reply.why);
      // The page asks this when it listens: what happened to the one before is told to it now.
      if (name === 'host/about')
        for (const text of says.splice(0)) window.webContents.send(eventChannel('host/said'), { text });
      return reply.value;
    });
  }
}

/** The window's own top frame, on the program's own page, and no other. */
function isOwnPage(event: InvokePort, window: WindowPort): boolean {
  const frame = event.senderFrame;
  if (window.isDestroyed() || event.sender !== window.webContents || frame === null) return false;
  return frame.parent === null && frame.url.startsWith(`${APP_ORIGIN}/`);
}

function serveClient(folder: string): (request: Request) => Promise<Response> {
  const files = clientFiles(folder);
  const headers = pageHeaders([]);
  return async (request) => {
    const url = new URL(request.url);
    const file = url.host === 'app' ? files.get(url.pathname) : undefined;
    if (file === undefined || request.method !== 'GET')
      return new Response('There is no such file.', { status: 404, headers });
    return new Response(new Uint8Array(await readFile(file.path)), {
      headers: { ...headers, 'Content-Type': file.type },
    });
  };
}

function dialogsOf<W extends WindowPort, M>({ dialog }: ElectronPort<W, M>, window: W): Dialogs {
  const first = (answer: { readonly canceled: boolean; readonly filePaths: readonly string[] }): string | null =>
    answer.canceled ? null : (answer.filePaths[0] ?? null);
  return {
    mission: async () =>
      first(
        await dialog.showOpenDialog(window, {
          title: 'Open a mission',
          properties: ['openFile'],
          filters: [{ name: 'Missions', extensions: ['mission.json', 'json'] }],
        }),
      ),
    feed: async () =>
      first(
        await dialog.showOpenDialog(window, {
          title: 'Watch a folder for wind files',
          properties: ['openDirectory', 'openFile'],
        }),
      ),
    async exportTo(suggested) {
      const answer = await dialog.showSaveDialog(window, {
        title: 'Export',
        defaultPath: suggested,
        properties: ['createDirectory', 'showOverwriteConfirmation'],
      });
      return answer.canceled || answer.filePath === '' ? null : answer.filePath;
    },
  };
}
