// What every start needs before the program itself can run, with nothing but Node: the right Node, the packages, the
// build. All that is said goes to standard error, because a command's standard output may be one JSON value. Never a
// stack trace.
import { spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, readdirSync, readFileSync, rmSync, statSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { stripVTControlCharacters } from 'node:util';

export const root = dirname(dirname(fileURLToPath(import.meta.url)));
const NODE_NEEDED = [20, 19];

/** A failure with a sentence for a person; everything else that is thrown is a fault of the program. */
export class Refusal extends Error {}

export const say = (/** @type {string} */ line) => void process.stderr.write(`${line}\n`);

/** Runs a launcher: a refusal ends it with its sentence, a fault with one line, both with status 1. */
export async function plainly(/** @type {() => Promise<number>} */ run) {
  // The reader of the output may stop early (`| head`): that is not an error.
  for (const stream of [process.stdout, process.stderr]) {
    stream.on('error', (error) => {
      if (error.code !== 'EPIPE') throw error;
      process.exit(0);
    });
  }
  try {
    requireNode();
    process.exitCode = await run();
  } catch (error) {
    say(
      error instanceof Refusal
        ? error.message
        : `Plumbline could not go on: ${error instanceof Error ? error.message : String(error)}`,
    );
    process.exitCode = 1;
  }
}

function requireNode() {
  const [major = 0, minor = 0] = process.versions.node.split('.').map(Number);
  if (major > NODE_NEEDED[0] || (major === NODE_NEEDED[0] && minor >= NODE_NEEDED[1])) return;
  throw new Refusal(
    `Plumbline needs Node ${NODE_NEEDED.join('.')} or newer; this is Node ${process.versions.node} (see nodejs.org).`,
  );
}

const changedAt = (/** @type {string} */ path) => {
  try {
    return statSync(path).mtimeMs;
  } catch {
    return -Infinity;
  }
};

/**
 * Whether node_modules holds what the lock file names. The times decide where they can; where they cannot (a checkout
 * touches files without changing them) the packages are compared one by one.
 */
function installed() {
  const lock = join(root, 'package-lock.json');
  const done = join(root, 'node_modules', '.package-lock.json');
  if (!existsSync(done)) return false;
  if (changedAt(done) >= changedAt(lock)) return true;
  const wanted = JSON.parse(readFileSync(lock, 'utf8')).packages ?? {};
  const there = JSON.parse(readFileSync(done, 'utf8')).packages ?? {};
  return Object.entries(wanted).every(
    ([path, entry]) =>
      path === '' ||
      entry.optional === true ||
      (there[path]?.version === entry.version && there[path]?.integrity === entry.integrity),
  );
}

/** npm, by the path that npm itself gives to its scripts; else as a shell finds it. */
function npm(/** @type {string[]} */ args) {
  const own = process.env['npm_execpath'];
  const options = {
    cwd: root,
    stdio: ['ignore', 'pipe', 'pipe'],
    encoding: 'utf8',
    env: { ...process.env, NODE_ENV: 'development' },
  };
  if (own !== undefined && own.endsWith('.js') && existsSync(own))
    return spawnSync(process.execPath, [own, ...args], options);
  return spawnSync(process.platform === 'win32' ? 'npm.cmd' : 'npm', args, {
    ...options,
    shell: process.platform === 'win32',
  });
}

/**
 * `npm ci` where packages are missing or are not those of the lock file. Electron's own program is not fetched by it.
 */
export function ensureInstalled() {
  if (installed()) return;
  say('Installing packages (npm ci), which takes a minute the first time …');
  const run = npm(['ci', '--include=dev', '--no-audit', '--no-fund', '--loglevel=error']);
  if (run.status === 0 && installed()) return;
  const last = `${run.stdout ?? ''}\n${run.stderr ?? ''}\n${run.error?.message ?? ''}`
    .split('\n')
    .map((line) => line.trim())
    .filter((line) => line !== '' && !line.includes('A complete log of this run'))
    .slice(-4);
  throw new Refusal(`The packages could not be installed. npm said: ${last.join(' / ') || 'nothing'}`);
}

/** What each part of the build is made from. */
const sources = {
  client: ['core', 'renderer', 'main/contract.ts', 'vite.config.ts', 'package-lock.json'],
  main: ['core', 'main', 'vite.config.ts', 'package-lock.json'],
  preload: ['main/preload.ts', 'main/contract.ts', 'main/electron/channels.ts', 'vite.config.ts', 'package-lock.json'],
};

/** The newest change below a path. A folder's own time counts, so a removed file is noticed too. */
function newest(/** @type {string} */ path) {
  let latest = changedAt(path);
  if (latest === -Infinity || !statSync(path).isDirectory()) return latest;
  for (const entry of readdirSync(path, { withFileTypes: true })) {
    const inner = join(path, entry.name);
    latest = Math.max(latest, entry.isDirectory() ? newest(inner) : changedAt(inner));
  }
  return latest;
}

function built(/** @type {keyof typeof sources} */ name) {
  const stamp = join(root, 'dist', name, '.built');
  if (!existsSync(stamp)) return false;
  const begun = Number(readFileSync(stamp, 'utf8'));
  return sources[name].every((path) => newest(join(root, path)) < begun);
}

/** How long to wait for another process's build before it counts as dead. */
const BUILD_LIMIT_ms = 120_000;

/**
 * Runs a step while no other process of this project runs one: two builds at once would write into each other's output.
 */
async function alone(/** @type {() => Promise<void>} */ step) {
  const lock = join(root, 'node_modules', '.cache', 'plumbline', 'building');
  mkdirSync(dirname(lock), { recursive: true });
  for (;;) {
    try {
      mkdirSync(lock);
      break;
    } catch (error) {
      if (error.code !== 'EEXIST') throw error;
      if (Date.now() - changedAt(lock) > BUILD_LIMIT_ms) rmSync(lock, { recursive: true, force: true });
      else await new Promise((done) => setTimeout(done, 100));
    }
  }
  try {
    await step();
  } finally {
    rmSync(lock, { recursive: true, force: true });
  }
}

/** Builds those parts that are missing or older than what they are made from. */
export async function ensureBuilt(/** @type {(keyof typeof sources)[]} */ names) {
  if (names.every(built)) return;
  await alone(async () => {
    const stale = names.filter((name) => !built(name));
    if (stale.length > 0) await build(stale);
  });
}

async function build(/** @type {(keyof typeof sources)[]} */ names) {
  say(`Building (${names.join(', ')}) …`);
  try {
    const { createBuilder } = await import('vite');
    const builder = await createBuilder({ configFile: join(root, 'vite.config.ts'), logLevel: 'silent' });
    for (const name of names) await builder.build(builder.environments[name]);
  } catch (error) {
    const text = stripVTControlCharacters(error instanceof Error ? error.message : String(error)).trim();
    throw new Refusal(`The program could not be built. ${text}`);
  }
}
