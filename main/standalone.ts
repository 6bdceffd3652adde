// The packaged program: one executable that is window and command line. A first argument that names a command runs
// the command line; anything else is a mission to open. `main/package/boot.cjs` starts it from inside the executable.
import { existsSync } from 'node:fs';
import { homedir, tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { parseArgs } from 'node:util';
import { main as commandLine } from './cli/cli.ts';
import { commands } from './cli/commands.ts';
import { launch, PortRefused } from './launch.ts';
import { versionOf } from './version.ts';

const HELP = `Plumbline: winds, landing, advice, crews and brief of a parachute descent. Advisory only.

  plumbline                     opens the window
  plumbline FILE.mission.json   opens that mission
  plumbline --port N            on that port (else one that is free, the same again where it can be)
  plumbline --check             shows that everything runs, and ends
  plumbline --version
  plumbline COMMAND …           the command line: ${commands.map((command) => command.name).join(', ')}
`;

const OPTIONS = {
  check: { type: 'boolean' },
  help: { type: 'boolean', short: 'h' },
  port: { type: 'string' },
  version: { type: 'boolean' },
} as const;

/** Where the window's profile and the last port are kept: the desktop's cache folder, else the temporary one. */
function cacheFolder(): string {
  const named = process.env['XDG_CACHE_HOME'];
  const home = homedir();
  if (named !== undefined && named !== '') return join(named, 'plumbline');
  return home === '' ? join(tmpdir(), 'plumbline') : join(home, '.cache', 'plumbline');
}

/** The exit status; a refusal is one line and status 2. `root` holds `package.json`, `data/` and `dist/`. */
export async function standalone(root: string, args: readonly string[]): Promise<number> {
  const say = (line: string): void => void process.stderr.write(`${line}\n`);
  if (commands.some((command) => command.name === args[0])) return commandLine(args);
  try {
    const { values, positionals } = parseArgs({ args: [...args], options: OPTIONS, allowPositionals: true });
    if (values.help === true) return printed(HELP);
    if (values.version === true) return printed(`${versionOf(root)}\n`);
    const [named, ...more] = positionals;
    if (more.length > 0) throw new Error(`${positionals.length} missions; expected one`);
    const mission = named === undefined ? null : resolve(named);
    if (mission !== null && !existsSync(mission)) throw new Error(`${mission} does not exist`);
    const port = values.port === undefined ? null : Number(values.port);
    if (port !== null && !(Number.isInteger(port) && port >= 0 && port <= 65_535))
      throw new Error(`--port ${values.port}; expected 0 to 65535`);
    return await launch({ root, cache: cacheFolder(), mission, port, check: values.check === true, say });
  } catch (error) {
    say(`plumbline: ${error instanceof Error ? error.message : String(error)}`);
    return error instanceof PortRefused ? 1 : 2;
  }
}

function printed(text: string): number {
  process.stdout.write(text);
  return 0;
}
