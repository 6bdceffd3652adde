// The window of the browser host: an installed Chromium or Edge as an application of its own, else Firefox.
import { spawn, type ChildProcess } from 'node:child_process';
import { mkdirSync } from 'node:fs';
import { chromiumFlags, findChromium, isProgram, ON_LINUX, onFolders, type Environment } from './chromium.ts';

export interface Browser {
  readonly kind: 'chromium' | 'firefox';
  readonly program: string;
}

const FIREFOX = ['firefox', 'firefox-esr'];
const FIREFOX_ON_MACOS = ['/Applications/Firefox.app/Contents/MacOS/firefox'];
const FIREFOX_ON_WINDOWS = ['PROGRAMFILES', 'PROGRAMFILES(X86)'];

/** The browser that opens the window; null where none is found. */
export function findBrowser(
  environment: Environment = process.env,
  platform: NodeJS.Platform = process.platform,
  standard: readonly string[] = ON_LINUX,
): Browser | null {
  const chromium = findChromium(environment, platform, standard);
  if (chromium !== null) return { kind: 'chromium', program: chromium };
  const firefox = firefoxPaths(environment, platform, standard).find(isProgram);
  return firefox === undefined ? null : { kind: 'firefox', program: firefox };
}

function firefoxPaths(environment: Environment, platform: NodeJS.Platform, standard: readonly string[]): string[] {
  if (platform === 'win32')
    return FIREFOX_ON_WINDOWS.map((key) => environment[key])
      .filter((root) => root !== undefined)
      .map((root) => `${root}\\Mozilla Firefox\\firefox.exe`);
  const onPath = onFolders(FIREFOX, environment, platform === 'linux' ? standard : []);
  return platform === 'darwin' ? [...FIREFOX_ON_MACOS, ...onPath] : onPath;
}

/** Opens the window with a profile of its own; in a Chromium without tabs and address bar, which Firefox cannot do. */
export function openAppWindow({ kind, program }: Browser, url: string, profile: string): ChildProcess {
  mkdirSync(profile, { recursive: true });
  const args =
    kind === 'chromium'
      ? [...chromiumFlags(profile), '--window-size=1440,900', `--app=${url}`]
      : ['--no-remote', '--profile', profile, '--width', '1440', '--height', '900', '--new-window', url];
  return spawn(program, args, { stdio: 'ignore' });
}
