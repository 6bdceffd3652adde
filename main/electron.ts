// Electron's main process: the real module, put into the shell.
import { homedir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { app, BrowserWindow, dialog, ipcMain, Menu, protocol, session } from 'electron';
import { createDesk } from './desk.ts';
import { startShell } from './electron/shell.ts';
import { reportFault, versionOf } from './version.ts';

// This file lies in dist/main.
const root = dirname(dirname(dirname(fileURLToPath(import.meta.url))));
const mission = process.env['PLUMBLINE_MISSION'];

startShell(
  { app, BrowserWindow, dialog, ipcMain, Menu, protocol, session },
  {
    clientFolder: join(root, 'dist', 'client'),
    preload: join(root, 'dist', 'preload', 'preload.cjs'),
    platform: process.platform,
    development: process.env['PLUMBLINE_DEVELOPMENT'] === '1' && !app.isPackaged,
    mission: mission === undefined || mission === '' ? null : mission,
    report: reportFault,
    createDesk: ({ dialogs, printPdf }) =>
      createDesk({
        host: 'electron',
        version: versionOf(root),
        demoFolder: join(root, 'data'),
        copyFolder: join(homedir(), 'Plumbline'),
        mission: mission === undefined || mission === '' ? null : mission,
        typedPaths: false,
        dialogs,
        printPdf,
        now: () => new Date(),
      }),
  },
);
