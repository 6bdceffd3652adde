// An installed Chromium (or one of its kin): found on this machine, and used to print.
import { spawn } from 'node:child_process';
import { accessSync, constants, statSync } from 'node:fs';
import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { delimiter, join } from 'node:path';
import { pathToFileURL } from 'node:url';
import type { Outcome } from '../contract.ts';
import { PRINT_POLICY } from '../policy.ts';

export type Environment = Readonly<Record<string, string | undefined>>;

const ON_PATH = [
  'chromium',
  'chromium-browser',
  'google-chrome-stable',
  'google-chrome',
  'chrome',
  'microsoft-edge-stable',
  'microsoft-edge',
  'brave-browser',
];
const ON_MACOS = ['Google Chrome', 'Chromium', 'Microsoft Edge', 'Brave Browser'].map(
  (name) => `/Applications/${name}.app/Contents/MacOS/${name}`,
);
const ON_WINDOWS = [
  'Google\\Chrome\\Application\\chrome.exe',
  'Chromium\\Application\\chrome.exe',
  'Microsoft\\Edge\\Application\\msedge.exe',
];
/** Where programs lie on Linux whatever PATH says: a program started from a desktop may be given none. */
export const ON_LINUX = ['/usr/local/bin', '/usr/bin', '/snap/bin', '/var/lib/flatpak/exports/bin'];
const PRINT_ms = 60_000;

export function isProgram(path: string): boolean {
  try {
    accessSync(path, constants.X_OK);
    return statSync(path).isFile();
  } catch {
    return false;
  }
}

/**
 * Where such browsers lie on this kind of system, in the order in which they are taken. PLUMBLINE_CHROMIUM comes first.
 */
function candidates(environment: Environment, platform: NodeJS.Platform, standard: readonly string[]): string[] {
  const named = environment['PLUMBLINE_CHROMIUM'];
  const first = named === undefined || named === '' ? [] : [named];
  if (platform === 'win32') {
    const roots = ['PROGRAMFILES', 'PROGRAMFILES(X86)', 'LOCALAPPDATA']
      .map((key) => environment[key])
      .filter((root) => root !== undefined);
    return [...first, ...roots.flatMap((root) => ON_WINDOWS.map((program) => `${root}\\${program}`))];
  }
  const onPath = onFolders(ON_PATH, environment, platform === 'linux' ? standard : []);
  return platform === 'darwin' ? [...first, ...ON_MACOS, ...onPath] : [...first, ...onPath];
}

/** Paths of these programs in the folders of PATH, then in the standard ones. */
export function onFolders(names: readonly string[], environment: Environment, standard: readonly string[]): string[] {
  const onPath = (environment['PATH'] ?? '').split(delimiter).filter((folder) => folder !== '');
  const inFolders = (folders: readonly string[]): string[] =>
    names.flatMap((name) => folders.map((folder) => join(folder, name)));
  return [...inFolders(onPath), ...inFolders(standard)];
}

/** The path of a Chromium on this machine; null where none is found, or where PLUMBLINE_CHROMIUM says `none`. */
export function findChromium(
  environment: Environment = process.env,
  platform: NodeJS.Platform = process.platform,
  standard: readonly string[] = ON_LINUX,
): string | null {
  if (environment['PLUMBLINE_CHROMIUM'] === 'none') return null;
  return candidates(environment, platform, standard).find(isProgram) ?? null;
}

/** What every start of Chromium here says: nothing of the person's own browser is used, and nothing is fetched. */
export function chromiumFlags(profile: string): string[] {
  const root = process.getuid?.() === 0;
  return [
    `--user-data-dir=${profile}`,
    '--no-first-run',
    '--no-default-browser-check',
    '--disable-background-networking',
    '--disable-component-update',
    '--disable-sync',
    '--disable-quic',
    '--disable-features=Translate,MediaRouter,OptimizationHints',
    '--password-store=basic',
    // Chromium's own sandbox refuses to run as the root user; the second flag spares the window its banner about that.
    ...(root ? ['--no-sandbox', '--test-type'] : []),
  ];
}

/** Ends with the program, or after `limit_ms` by ending it. */
function run(program: string, args: readonly string[], limit_ms: number): Promise<Outcome<null>> {
  return new Promise((resolve) => {
    const child = spawn(program, args, { stdio: 'ignore' });
    const timer = setTimeout(() => child.kill('SIGKILL'), limit_ms);
    const end = (outcome: Outcome<null>): void => {
      clearTimeout(timer);
      resolve(outcome);
    };
    child.on('error', (error) => end({ ok: false, why: error.message }));
    child.on('exit', (status, signal) => {
      if (status === 0) end({ ok: true, value: null });
      else
        end({
          ok: false,
          why:
            signal === 'SIGKILL'
              ? `it took longer than ${limit_ms / 1000} s`
              : `it ended with status ${status ?? 'none'}`,
        });
    });
  });
}

/**
 * The page with the policy as its first word. It stands before <head>, which the parser then takes as already begun.
 */
function underPolicy(html: string): string {
  const [doctype = ''] = /^\s*<!doctype[^>]*>/i.exec(html) ?? [];
  return (
    `${doctype}<meta charset="utf-8"><meta http-equiv="Content-Security-Policy" ` +
    `content="${PRINT_POLICY}">${html.slice(doctype.length)}`
  );
}

/**
 * A page of HTML as PDF. No script of it runs and no name is resolved, so the page is exactly what its text says.
 * (Chromium's own switch against scripts also stops its printing; the content policy does not.)
 */
export async function printWithChromium(program: string, html: string): Promise<Outcome<Uint8Array>> {
  const folder = await mkdtemp(join(tmpdir(), 'plumbline-print-'));
  try {
    const page = join(folder, 'page.html');
    const pdf = join(folder, 'page.pdf');
    await writeFile(page, underPolicy(html), { mode: 0o600 });
    const flags = [
      ...chromiumFlags(join(folder, 'profile')),
      '--headless',
      '--disable-gpu',
      '--host-resolver-rules=MAP * ~NOTFOUND',
    ];
    const printing = ['--no-pdf-header-footer', `--print-to-pdf=${pdf}`, pathToFileURL(page).href];
    const ran = await run(program, [...flags, ...printing], PRINT_ms);
    if (!ran.ok) return { ok: false, why: `The page could not be printed with ${program}: ${ran.why}.` };
    const written = await readFile(pdf).catch(() => null);
    if (written === null) return { ok: false, why: `The page could not be printed with ${program}: it wrote nothing.` };
    return { ok: true, value: new Uint8Array(written) };
  } finally {
    await rm(folder, { recursive: true, force: true, maxRetries: 5 }).catch(() => undefined);
  }
}
