// The shell's settings as plain data: the window, the scheme, the permissions, the menu. One test reads all of them
// back whole.
import type { BrowserWindowConstructorOptions, CustomScheme, MenuItemConstructorOptions } from 'electron';

export const SCHEME = 'plumbline';
/** The window's own page; the host part keeps its origin apart from that of pages to print. */
export const APP_ORIGIN = `${SCHEME}://app`;
export const APP_URL = `${APP_ORIGIN}/index.html`;
export const PRINT_ORIGIN = `${SCHEME}://print`;
/** In memory only: a partition without "persist:" leaves nothing on the disk. */
export const PRINT_PARTITION = 'plumbline-print';

/** A scheme like https: with an origin of its own, so that the content policy and storage work as on the web. */
export const schemes: CustomScheme[] = [
  {
    scheme: SCHEME,
    privileges: {
      standard: true,
      secure: true,
      supportFetchAPI: true,
      codeCache: true,
      bypassCSP: false,
      corsEnabled: false,
    },
  },
];

/** What the page may do beyond drawing: write text that a person copies. Everything else is refused. */
export const allowedPermissions: ReadonlySet<string> = new Set(['clipboard-sanitized-write']);

/** Written out even where it is Electron's default: a default could change. */
const locked = {
  sandbox: true,
  contextIsolation: true,
  nodeIntegration: false,
  nodeIntegrationInWorker: false,
  nodeIntegrationInSubFrames: false,
  webSecurity: true,
  allowRunningInsecureContent: false,
  experimentalFeatures: false,
  webviewTag: false,
  plugins: false,
  navigateOnDragDrop: false,
  spellcheck: false,
} as const;

export function windowOptions(preload: string, development: boolean): BrowserWindowConstructorOptions {
  return {
    title: 'Plumbline',
    width: 1440,
    height: 900,
    minWidth: 900,
    minHeight: 600,
    show: false,
    autoHideMenuBar: true,
    webPreferences: { ...locked, preload, devTools: development, javascript: true, backgroundThrottling: false },
  };
}

/** The page that is printed runs no script and has no bridge to the desk. */
export function printOptions(): BrowserWindowConstructorOptions {
  return {
    show: false,
    width: 800,
    height: 1100,
    webPreferences: { ...locked, partition: PRINT_PARTITION, devTools: false, javascript: false },
  };
}

/** Undo and redo are the page's own; the menu has what a person expects of any window, and no more. */
export function menuTemplate(platform: NodeJS.Platform, development: boolean): MenuItemConstructorOptions[] {
  const view: MenuItemConstructorOptions[] = [
    { role: 'resetZoom' },
    { role: 'zoomIn' },
    { role: 'zoomOut' },
    { type: 'separator' },
    { role: 'togglefullscreen' },
  ];
  return [
    ...(platform === 'darwin'
      ? [{ role: 'appMenu' as const }]
      : [{ label: 'File', submenu: [{ role: 'quit' as const }] }]),
    { label: 'Edit', submenu: [{ role: 'cut' }, { role: 'copy' }, { role: 'paste' }, { role: 'selectAll' }] },
    {
      label: 'View',
      submenu: development ? [...view, { type: 'separator' }, { role: 'reload' }, { role: 'toggleDevTools' }] : view,
    },
    { role: 'windowMenu' },
  ];
}
