// The log beside a plan: one event a line, numbered without gaps, only ever appended to. A line that was torn by a
// crash is kept as it is, and the next event starts on a line of its own.
import { open, readFile, stat, type FileHandle } from 'node:fs/promises';
import { dirname } from 'node:path';
import type { LogEvent, NewEvent } from '../../core/log/events.ts';
import { inMegabytes, MAX_LOG_BYTES } from '../limits.ts';
import { syncFolder } from './atomic.ts';
import { isMissing, Trouble } from './trouble.ts';

/** One event may hold this much; a longer one is a file in the wrong place. */
const MAX_LINE_BYTES = 1_000_000;

/** `x.mission.json` → `x.log.jsonl`. */
export function logPathOf(missionPath: string): string {
  return `${missionPath.replace(/(\.mission)?\.json$/i, '')}.log.jsonl`;
}

/** The whole text of a log; empty where there is none yet. */
export async function readLog(path: string): Promise<string> {
  try {
    const { size } = await stat(path);
    if (size > MAX_LOG_BYTES)
      throw new Trouble(`holds ${inMegabytes(size)}; expected at most ${inMegabytes(MAX_LOG_BYTES)}`);
    return await readFile(path, 'utf8');
  } catch (error) {
    if (isMissing(error)) return '';
    throw error;
  }
}

/** The largest number in a log, 0 where there is none. Lines that cannot be read have none: nobody was told of them. */
function lastSeq(text: string): number {
  let last = 0;
  for (const line of text.split('\n')) {
    if (line.trim() === '') continue;
    try {
      const event: unknown = JSON.parse(line);
      if (typeof event === 'object' && event !== null && 'seq' in event && Number.isSafeInteger(event.seq))
        last = Math.max(last, Number(event.seq));
    } catch {
      // A torn line; the reader in the window says so.
    }
  }
  return last;
}

/**
 * What the writer knows of the file as it left it. Another size means that another program wrote: then it is read anew.
 */
interface Known {
  readonly size: number;
  readonly seq: number;
  readonly endsLine: boolean;
}

async function look(path: string, size: number): Promise<Known> {
  if (size === 0) return { size: 0, seq: 0, endsLine: true };
  const text = await readLog(path);
  return { size, seq: lastSeq(text), endsLine: text.endsWith('\n') };
}

async function isNew(path: string): Promise<boolean> {
  try {
    await stat(path);
    return false;
  } catch (error) {
    if (isMissing(error)) return true;
    throw error;
  }
}

/** Writes all of it: a short write is carried on, so that only a crash or a full disk can tear a line. */
async function writeAll(handle: FileHandle, data: Buffer): Promise<void> {
  let done = 0;
  while (done < data.length) done += (await handle.write(data, done, data.length - done)).bytesWritten;
}

/** The one writer of a log file in this process: appends wait for each other, so that no number is given twice. */
export class LogWriter {
  readonly #path: string;
  #known: Known | null = null;
  #queue: Promise<unknown> = Promise.resolve();

  constructor(path: string) {
    this.#path = path;
  }

  /**
   * Appends one event under the next number. Resolves when the line is on the disk; throws what the file system says.
   */
  append(event: NewEvent, at: string): Promise<LogEvent> {
    const turn = this.#queue.then(() => this.#append(event, at));
    this.#queue = turn.catch(() => undefined);
    return turn;
  }

  async #append(event: NewEvent, at: string): Promise<LogEvent> {
    const fresh = await isNew(this.#path);
    const handle = await open(this.#path, 'a', 0o644);
    try {
      const { size } = await handle.stat();
      const known = this.#known?.size === size ? this.#known : await look(this.#path, size);
      // Number and time come first in the line, where a person who reads the file looks for them.
      const numbered: LogEvent = { seq: known.seq + 1, at, ...event };
      const line = `${known.endsLine ? '' : '\n'}${JSON.stringify(numbered)}\n`;
      const data = Buffer.from(line, 'utf8');
      if (data.length > MAX_LINE_BYTES)
        throw new Trouble(`did not take an event of ${inMegabytes(data.length)}; expected at most 1 MB`);
      // Forgotten while writing: if it fails half way, the next append reads what is really there.
      this.#known = null;
      await writeAll(handle, data);
      await handle.sync();
      this.#known = { size: size + data.length, seq: numbered.seq, endsLine: true };
      if (fresh) await syncFolder(dirname(this.#path));
      return numbered;
    } finally {
      await handle.close();
    }
  }
}
