// The log beside a plan: one event per line, numbered without gaps, only ever appended to, each line tied to the one
// before (`core/log/chain.ts`). Other programs may write into the same file: what they append is told, and what they
// take away is said. A line that was torn by a crash stays as it is, and the next event starts on a line of its own.
import { lstat, open, readFile, realpath, stat, type FileHandle } from 'node:fs/promises';
import { dirname } from 'node:path';
import { plainData } from '../../core/base/plainText.ts';
import { linkOf, logLine } from '../../core/log/chain.ts';
import type { LogEvent, NewEvent } from '../../core/log/events.ts';
import { lineRead, numberOf } from '../../core/log/read.ts';
import { inMegabytes, MAX_EVENT_BYTES, MAX_LOG_BYTES } from '../limits.ts';
import { isInside } from './attachments.ts';
import { syncFolder } from './atomic.ts';
import { whileLocked } from './lock.ts';
import { isMissing, Trouble } from './trouble.ts';

/** `x.mission.json` → `x.log.jsonl`. */
export function logPathOf(missionPath: string): string {
  return `${missionPath.replace(/(\.mission)?\.json$/i, '')}.log.jsonl`;
}

/** The whole text of a log; empty before the first event. */
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

/** The last bytes that were read are kept: by them a file that only grew is told from one that was changed. */
const TAIL_BYTES = 512;

/** What is known of the file, up to the end of the last line that was read. */
interface Known {
  readonly inode: number;
  readonly end: number;
  readonly tail: Buffer;
  /** The largest number in the file, or that was ever given here: no number is given twice. */
  readonly seq: number;
  /** What the next line is tied to. */
  readonly link: string;
}

const NOTHING: Known = { inode: 0, end: 0, tail: Buffer.alloc(0), seq: 0, link: '' };

/** Lines that another program wrote, and what it took away, if it did. */
export interface Foreign {
  readonly events: readonly LogEvent[];
  readonly trouble: string | null;
  /** Of each event that somebody logged and that this program cannot read: its number, and why. */
  readonly unread: readonly string[];
}

const NONE: Foreign = { events: [], trouble: null, unread: [] };

/** Bytes of a file from `from` to `to`. */
async function bytesOf(handle: FileHandle, from: number, to: number): Promise<Buffer> {
  const room = Buffer.alloc(Math.max(0, to - from));
  let done = 0;
  while (done < room.length) {
    const { bytesRead } = await handle.read(room, done, room.length - done, from + done);
    if (bytesRead === 0) break;
    done += bytesRead;
  }
  return room.subarray(0, done);
}

/** The number of a line, whatever else it holds; 0 where it has none: nobody was told of it. */
function seqOf(line: string): number {
  try {
    const event: unknown = JSON.parse(line);
    if (typeof event !== 'object' || event === null || !('seq' in event)) return 0;
    return Number.isSafeInteger(event.seq) ? Number(event.seq) : 0;
  } catch {
    // Damaged, but logged once: the number is not given again.
    return numberOf(line) ?? 0;
  }
}

/** Writes all of it: a short write is carried on, so that only a crash or a full disk can tear a line. */
async function writeAll(handle: FileHandle, data: Buffer): Promise<void> {
  let done = 0;
  while (done < data.length) done += (await handle.write(data, done, data.length - done)).bytesWritten;
}

export interface LogWriterOptions {
  /** The lock of the mission; left out: one of the log's own. */
  readonly lock?: string;
  /** Hears what other programs did to the file, as it is noticed. */
  readonly onForeign?: (foreign: Foreign) => void;
}

/** The one writer of a log file in this process: appends wait for each other, and for other processes by the lock. */
export class LogWriter {
  readonly #path: string;
  readonly #lock: string;
  readonly #onForeign: (foreign: Foreign) => void;
  #known: Known | null = null;
  #queue: Promise<unknown> = Promise.resolve();

  constructor(path: string, { lock = `${path}.lock`, onForeign = () => undefined }: LogWriterOptions = {}) {
    this.#path = path;
    this.#lock = lock;
    this.#onForeign = onForeign;
  }

  #inTurn<T>(step: () => Promise<T>): Promise<T> {
    const turn = this.#queue.then(step);
    this.#queue = turn.catch(() => undefined);
    return turn;
  }

  /**
   * Appends one event under the next number. Resolves when the line is on the disk; throws what the file system says.
   */
  append(event: NewEvent, at: string): Promise<LogEvent> {
    return this.#inTurn(() => whileLocked(this.#lock, () => this.#append(event, at)));
  }

  /** Looks at the file without writing: what other programs did to it is told. The first look tells nothing. */
  follow(): Promise<void> {
    return this.#inTurn(async () => {
      const known = this.#known;
      if (known !== null && !(await this.#changed(known))) return;
      const handle = await open(this.#path, 'r').catch((error: unknown) => {
        if (isMissing(error)) return null;
        throw error;
      });
      try {
        this.#tell(await this.#catchUp(handle, false));
      } finally {
        await handle?.close();
      }
    });
  }

  async #changed(known: Known): Promise<boolean> {
    const found = await stat(this.#path).catch((error: unknown) => {
      if (isMissing(error)) return null;
      throw error;
    });
    if (found === null) return known.end > 0;
    return found.ino !== known.inode || found.size !== known.end;
  }

  #tell(foreign: Foreign): void {
    if (foreign.events.length > 0 || foreign.trouble !== null || foreign.unread.length > 0) this.#onForeign(foreign);
  }

  /**
   * Reads what is new since the last look and remembers it.
   *
   * handle  null where there is no file
   * torn    whether a last line without its end is taken for torn: under the lock nobody is writing it
   */
  async #catchUp(handle: FileHandle | null, torn: boolean): Promise<Foreign> {
    const known = this.#known;
    const before = known ?? NOTHING;
    const found = handle === null ? null : await handle.stat();
    const same =
      found !== null &&
      handle !== null &&
      found.size >= before.end &&
      (await bytesOf(handle, before.end - before.tail.length, before.end)).equals(before.tail);
    const from = same ? before.end : 0;
    const size = found?.size ?? 0;
    if (size - from > MAX_LOG_BYTES)
      throw new Trouble(`holds ${inMegabytes(size)}; expected at most ${inMegabytes(MAX_LOG_BYTES)}`);
    const fresh = handle === null ? Buffer.alloc(0) : await bytesOf(handle, from, size);
    const whole = torn ? fresh : fresh.subarray(0, fresh.lastIndexOf(0x0a) + 1);
    const lines = whole
      .toString('utf8')
      .split('\n')
      .map((line) => line.trim())
      .filter((line) => line !== '');
    const end = from + whole.length;
    const last = lines.at(-1)?.replace(/^\uFEFF/, '');
    this.#known = {
      inode: found?.ino ?? 0,
      end,
      tail: Buffer.concat([same ? before.tail : Buffer.alloc(0), whole]).subarray(-TAIL_BYTES),
      seq: lines.reduce((most, line) => Math.max(most, seqOf(line)), before.seq),
      link: last !== undefined ? linkOf(last) : same ? before.link : '',
    };
    if (known === null) return NONE;
    return { ...readIn(lines, before.seq), trouble: same ? null : lost(before, size) };
  }

  async #append(event: NewEvent, at: string): Promise<LogEvent> {
    const fresh = await this.#mayWrite();
    const handle = await open(this.#path, 'a+', 0o644);
    try {
      const foreign = await this.#catchUp(handle, true);
      const known = this.#known ?? NOTHING;
      const numbered: LogEvent = plainData({ seq: known.seq + 1, at, ...event });
      const line = logLine(numbered, known.link);
      // A last line without its end was torn by a crash: the event starts on a line of its own.
      const data = Buffer.from(`${known.end === 0 || known.tail.at(-1) === 0x0a ? '' : '\n'}${line}\n`, 'utf8');
      if (data.length > MAX_EVENT_BYTES)
        throw new Trouble(`did not take an event of ${inMegabytes(data.length)}; expected at most 1 MB`);
      // Forgotten while writing: if it fails half way, the next append reads what is really there.
      this.#known = { ...known, end: 0, tail: Buffer.alloc(0), inode: 0 };
      await writeAll(handle, data);
      await handle.sync();
      this.#known = {
        inode: (await handle.stat()).ino,
        end: known.end + data.length,
        tail: Buffer.concat([known.tail, data]).subarray(-TAIL_BYTES),
        seq: numbered.seq,
        link: linkOf(line),
      };
      if (fresh) await syncFolder(dirname(this.#path));
      this.#tell(foreign);
      return numbered;
    } finally {
      await handle.close();
    }
  }

  /** Whether the file will be new. A link that leads out of the folder is refused: the log would grow elsewhere. */
  async #mayWrite(): Promise<boolean> {
    try {
      const found = await lstat(this.#path);
      if (!found.isSymbolicLink()) return false;
      const folder = await realpath(dirname(this.#path));
      const target = await realpath(this.#path).catch(() => null);
      if (target === null || !isInside(folder, target))
        throw new Trouble('has become a link that leads out of the folder of the mission; nothing was written');
      return false;
    } catch (error) {
      if (isMissing(error)) return true;
      throw error;
    }
  }
}

/** What of lines has a higher number. A line without a number was torn: nobody was told that it is logged. */
function readIn(lines: readonly string[], seq: number): Pick<Foreign, 'events' | 'unread'> {
  const events: LogEvent[] = [];
  const unread: string[] = [];
  for (const line of lines) {
    const read = lineRead(line);
    if (typeof read !== 'string') {
      if (read.seq > seq) events.push(read);
    } else if (seqOf(line) > seq) unread.push(`event ${seqOf(line)}: ${read}`);
  }
  return { events, unread };
}

/** What became of a log that is no longer the one that was read. */
function lost(before: Known, size: number): string {
  const was = `It held ${before.end} bytes, up to event ${before.seq}.`;
  const after = 'What this window has stays in it; new events go on from that number. Look for a copy of the file.';
  if (size === 0) return `The log was deleted or emptied by another program. ${was} ${after}`;
  if (size < before.end) return `The log was cut by another program: it holds ${size} bytes now. ${was} ${after}`;
  return `The log was changed or replaced by another program. ${was} ${after}`;
}
