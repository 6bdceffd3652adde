// The kill test: a desk of its own process, which acknowledges events over the socket, is killed in the midst of its
// writing, again and again. What it had acknowledged must be in the log.
import { spawn, type ChildProcess } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { build } from 'vite';
import { readLog } from '../../core/log/read.ts';
import { Stranger } from './stranger.ts';

/** Bench and tests both run in the project's folder. */
const root = process.cwd();

/** The browser host as one module in a folder; answers its path. */
export async function hostModule(folder: string): Promise<string> {
  await build({
    configFile: false,
    root,
    logLevel: 'silent',
    ssr: { noExternal: true },
    build: {
      ssr: true,
      outDir: folder,
      emptyOutDir: true,
      rolldownOptions: {
        input: { host: join(root, 'main/host.ts') },
        output: { entryFileNames: '[name].mjs' },
      },
    },
  });
  return join(folder, 'host.mjs');
}

interface Running {
  readonly child: ChildProcess;
  readonly url: string;
}

function started(host: string, mission: string): Promise<Running> {
  // No page is asked for: any folder does for the window's files.
  const given = { root, port: 0, mission, clientFolder: dirname(host) };
  const script = `import { startHost } from ${JSON.stringify(host)};
    import { writeSync } from 'node:fs';
    const { url } = await startHost(${JSON.stringify(given)});
    writeSync(1, url + '\\n');`;
  const child = spawn(process.execPath, ['--input-type=module', '-e', script], {
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  return new Promise((resolve, reject) => {
    let said = '';
    child.stdout.on('data', (data: Buffer) => {
      said += data.toString();
      if (said.endsWith('\n')) resolve({ child, url: said.trim() });
    });
    child.once('error', reject);
    child.once('exit', () => reject(new Error('the desk ended before it said its address')));
  });
}

/** How many calls wait for their answers: so many lines may be under way when the desk dies. */
const AT_ONCE = 8;

/** Logs notes until so many are acknowledged, kills the desk in that moment, and answers what was acknowledged. */
async function untilKilled({ child, url }: Running, mission: string, count: number): Promise<Map<number, string>> {
  const acknowledged = new Map<number, string>();
  const stranger = await Stranger.at(url);
  if (!(await stranger.open(mission))) throw new Error('the mission could not be opened');
  const gone = new Promise<null>((resolve) => void child.once('exit', () => resolve(null)));
  const bring = async (who: number): Promise<void> => {
    for (let k = 0; ; k++) {
      const text = `${url} ${who} ${k} ${'x'.repeat(2000)}`;
      const answer = await Promise.race([gone, stranger.append(mission, { kind: 'note', text })]);
      if (answer === null) return;
      if (!answer.ok) throw new Error(answer.why);
      acknowledged.set(answer.value.seq, text);
      if (acknowledged.size >= count) child.kill('SIGKILL');
    }
  };
  await Promise.all(Array.from({ length: AT_ONCE }, (_, who) => bring(who)));
  stranger.close();
  return acknowledged;
}

export interface Kills {
  readonly acknowledged: number;
  /** Numbers that were acknowledged and are not in the log, or are there with another text. */
  readonly lost: readonly number[];
  /** Numbers of the log out of order, twice, or left out. */
  readonly misnumbered: readonly number[];
  /** What is said of lines that were torn. */
  readonly problems: readonly string[];
}

/**
 * host    from `hostModule`
 * counts  after how many acknowledged events each desk is killed
 */
export async function killed(host: string, mission: string, counts: readonly number[]): Promise<Kills> {
  const acknowledged = new Map<number, string>();
  for (const count of counts) {
    const said = await untilKilled(await started(host, mission), mission, count);
    for (const [seq, text] of said) acknowledged.set(seq, acknowledged.has(seq) ? 'given twice' : text);
  }
  const read = readLog(readFileSync(mission.replace('.mission.json', '.log.jsonl'), 'utf8'));
  const there = new Map(read.value.map((event) => [event.seq, event.kind === 'note' ? event.text : '']));
  return {
    acknowledged: acknowledged.size,
    lost: [...acknowledged].filter(([seq, text]) => there.get(seq) !== text).map(([seq]) => seq),
    misnumbered: read.value.map(({ seq }) => seq).filter((seq, i) => seq !== i + 1),
    problems: read.problems.map(({ text }) => text),
  };
}
