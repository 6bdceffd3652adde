// `npm start`: installs and builds what is missing, then opens the window: Electron where its program is there or can
// be fetched, else the browser host, in a Chromium's application window where there is a display. The address is always
// printed.
import { spawn, spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { pathToFileURL } from 'node:url';
import { parseArgs } from 'node:util';
import { ensureBuilt, ensureInstalled, plainly, Refusal, root, say } from './setup.mjs';

const FETCH_LIMIT_ms = 60_000;
/** A window that closes sooner did not open: the next way is taken. */
const OPENED_AFTER_ms = 3_000;
const cache = join(root, 'node_modules', '.cache', 'plumbline');

const HELP = `Plumbline's window.

  npm start                      opens the demo mission
  npm start -- FILE.mission.json opens that mission
  npm start -- --browser         the browser host even where Electron is there
  npm start -- --port N          the browser host's port (else one that is free, the same again where it can be)
  npm start -- --check           shows that everything runs, and ends (also where CI=true)`;

/** The command line, or a refusal. */
function readOptions() {
  try {
    const { values, positionals } = parseArgs({
      options: {
        browser: { type: 'boolean' },
        check: { type: 'boolean' },
        help: { type: 'boolean', short: 'h' },
        port: { type: 'string' },
      },
      allowPositionals: true,
    });
    const port = values.port === undefined ? null : Number(values.port);
    if (port !== null && !(Number.isInteger(port) && port >= 0 && port <= 65_535))
      throw new Error(`--port ${values.port}; expected 0 to 65535`);
    if (positionals.length > 1) throw new Error(`${positionals.length} missions; expected one`);
    const mission =
      positionals[0] === undefined ? null : resolve(process.env['INIT_CWD'] ?? process.cwd(), positionals[0]);
    if (mission !== null && !existsSync(mission)) throw new Error(`${mission} does not exist`);
    return {
      browser: values.browser === true,
      check: values.check === true || process.env['CI'] === 'true',
      help: values.help === true,
      port,
      mission,
    };
  } catch (error) {
    throw new Refusal(
      `npm start: ${error instanceof Error ? error.message : String(error)} (npm start -- --help says more)`,
    );
  }
}

/** The path of Electron's program, without fetching anything; null where it is not there. */
function electronProgram() {
  try {
    const folder = join(root, 'node_modules', 'electron');
    const program = join(
      process.env['ELECTRON_OVERRIDE_DIST_PATH'] ?? join(folder, 'dist'),
      readFileSync(join(folder, 'path.txt'), 'utf8'),
    );
    return existsSync(program) ? program : null;
  } catch {
    return null;
  }
}

/**
 * One try to fetch Electron's program, with a time limit; a failure is remembered for this version, so it is not tried
 * again.
 */
function fetchElectron() {
  const folder = join(root, 'node_modules', 'electron');
  const failed = join(cache, 'electron-not-fetched');
  const { version } = JSON.parse(readFileSync(join(folder, 'package.json'), 'utf8'));
  if (existsSync(failed) && readFileSync(failed, 'utf8').trim() === version) return null;
  say(`Fetching Electron ${version}, once, for at most ${FETCH_LIMIT_ms / 1000} s …`);
  spawnSync(process.execPath, [join(folder, 'install.js')], {
    stdio: 'ignore',
    timeout: FETCH_LIMIT_ms,
    killSignal: 'SIGKILL',
  });
  const program = electronProgram();
  if (program !== null) return program;
  mkdirSync(cache, { recursive: true });
  writeFileSync(failed, `${version}\n`);
  say(`Electron could not be fetched; the window opens in a browser instead. (To try again: delete ${failed}.)`);
  return null;
}

/** Runs until the program ends; answers whether it had opened at all. */
function runWindow(program, args, environment) {
  return new Promise((done) => {
    const begun = Date.now();
    const child = spawn(program, args, {
      stdio: ['ignore', 'ignore', 'inherit'],
      env: { ...process.env, ...environment },
    });
    child.on('error', () => done(false));
    child.on('exit', (status) => done(status === 0 || Date.now() - begun > OPENED_AFTER_ms));
  });
}

/** Electron's window until it is closed; false where Electron is not there or did not start. */
async function openElectron(mission) {
  const program = electronProgram() ?? fetchElectron();
  if (program === null) return false;
  const asRoot = process.platform === 'linux' && process.getuid?.() === 0;
  if (asRoot) say('Running as root: Electron is started without its sandbox, which does not run as root.');
  const opened = await runWindow(program, [root, ...(asRoot ? ['--no-sandbox'] : [])], {
    PLUMBLINE_MISSION: mission ?? '',
  });
  if (!opened) say('Electron did not start on this machine; the window opens in a browser instead.');
  return opened;
}

await plainly(async () => {
  const options = readOptions();
  if (options.help) {
    process.stdout.write(`${HELP}\n`);
    return 0;
  }
  ensureInstalled();
  await ensureBuilt(['client', 'main', 'preload']);
  const { hasDisplay, launch, PortRefused } = await import(pathToFileURL(join(root, 'dist', 'main', 'launch.js')).href);
  const wantsElectron = !options.browser && !options.check && options.port === null && hasDisplay();
  if (wantsElectron && (await openElectron(options.mission))) return 0;
  const { mission, port, check } = options;
  return launch({ root, cache, mission, port, check, say }).catch((error) => {
    throw error instanceof PortRefused ? new Refusal(error.message) : error;
  });
});
