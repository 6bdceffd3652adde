// Wind reports that arrive as files: a watched folder, where each new or changed file is sent once it has come to rest,
// and a growing file, of which only whole new lines are sent. Polling does the work; fs.watch only makes it quicker
// where it works.
import { watch, type FSWatcher } from 'node:fs';
import { open, readdir, readFile, stat } from 'node:fs/promises';
import { join } from 'node:path';
import { sentenceOf, Trouble } from '../files/trouble.ts';
import { MAX_FILE_BYTES } from '../contract.ts';
import { inMegabytes, MAX_FEED_BYTES } from '../limits.ts';

/** A file that was not written to for this long counts as complete. */
const REST_ms = 300;
/** A folder with more files is not one that reports are dropped into. */
const MAX_ENTRIES = 20_000;
const HEAD_BYTES = 4_096;
const NEWLINE = 0x0a;

/** What a look brought: a whole file, or the new lines of a growing one with the lines that name its columns. */
export interface Brought {
  readonly path: string;
  readonly bytes: Uint8Array;
  readonly head?: Uint8Array;
}

/** Who hears of what a look found. */
export interface ScanHears {
  readonly bring: (brought: Brought) => void;
  readonly trouble: (path: string, why: string) => void;
  /** Whether more may be brought: what was brought before may still wait for a window. */
  readonly hasRoom: () => boolean;
}

/** One look at what is watched: sends what is new. */
export type Scan = () => Promise<void>;

/** Files that programs write on the way to the real one, and hidden ones. */
const isPassing = (name: string): boolean =>
  name.startsWith('.') || name.endsWith('~') || /\.(tmp|part|partial|crdownload|swp|lock)$/i.test(name);

interface Seen {
  readonly size: number;
  readonly changed_ms: number;
  /** When it was first seen like this, on this process's own clock: a file server's clock may be another. */
  readonly since_ms: number;
  /** Sent already (or there before the watch began). */
  readonly done: boolean;
}

/** What is in the folder at the start is known already; a file is sent when it has not changed for a while. */
export function folderScan(folder: string, hears: ScanHears): Scan {
  let seen: Map<string, Seen> | null = null;
  return async () => {
    const names = (await readdir(folder)).filter((name) => !isPassing(name));
    if (names.length > MAX_ENTRIES)
      throw new Trouble(`holds ${names.length} files; expected at most ${MAX_ENTRIES} in a watched folder`);
    const now = new Map<string, Seen>();
    for (const name of names) {
      const found = await stat(join(folder, name)).catch(() => null);
      if (found === null || !found.isFile()) continue;
      const before = seen?.get(name);
      const rests = before !== undefined && before.size === found.size && before.changed_ms === found.mtimeMs;
      const since_ms = rests ? before.since_ms : performance.now();
      const isNew = seen !== null && rests && !before.done && found.size > 0 && performance.now() - since_ms >= REST_ms;
      const due = isNew && hears.hasRoom();
      if (due) await sendFile(join(folder, name), found.size, hears);
      now.set(name, {
        size: found.size,
        changed_ms: found.mtimeMs,
        since_ms,
        done: seen === null || due || (rests && before.done),
      });
    }
    seen = now;
  };
}

async function sendFile(path: string, size: number, { bring, trouble }: ScanHears): Promise<void> {
  if (size > MAX_FILE_BYTES) {
    trouble(path, `The file holds ${inMegabytes(size)}; expected at most ${inMegabytes(MAX_FILE_BYTES)}.`);
    return;
  }
  try {
    bring({ path, bytes: new Uint8Array(await readFile(path)) });
  } catch (error) {
    trouble(path, `The file ${sentenceOf(error)}.`);
  }
}

/**
 * Begins behind the last whole line that is there at the start. A file that got shorter was started over: read from its
 * start.
 */
export function growingScan(path: string, { bring, hasRoom }: ScanHears): Scan {
  let sent: number | null = null;
  let inode = 0;
  return async () => {
    if (!hasRoom()) return;
    const handle = await open(path, 'r');
    try {
      const found = await handle.stat();
      if (sent !== null && (found.size < sent || found.ino !== inode)) sent = 0;
      inode = found.ino;
      const first = sent === null;
      const from: number = sent ?? Math.max(0, found.size - MAX_FEED_BYTES);
      const room = Buffer.alloc(Math.min(MAX_FEED_BYTES, found.size - from));
      const { bytesRead } = await handle.read(room, 0, room.length, from);
      const end = room.subarray(0, bytesRead).lastIndexOf(NEWLINE) + 1;
      if (end === 0 && bytesRead === MAX_FEED_BYTES)
        throw new Trouble(`has a line longer than ${inMegabytes(MAX_FEED_BYTES)}`);
      sent = from + end;
      if (first || end === 0) return;
      // The lines that name the columns stand before what is new, or within it.
      const head = Buffer.alloc(Math.min(HEAD_BYTES, from));
      const headRead = await handle.read(head, 0, head.length, 0);
      const headEnd = head.subarray(0, headRead.bytesRead).lastIndexOf(NEWLINE) + 1;
      const bytes = new Uint8Array(room.subarray(0, end));
      bring({ path, bytes, ...(headEnd === 0 ? {} : { head: new Uint8Array(head.subarray(0, headEnd)) }) });
    } finally {
      await handle.close();
    }
  };
}

/** Looks again and again, one look at a time; says a trouble once, and once more only after it had passed. */
export class Watch {
  readonly #scan: Scan;
  readonly #onTrouble: (why: string) => void;
  readonly #timer: NodeJS.Timeout;
  readonly #watcher: FSWatcher | null;
  #looking: Promise<void> | null = null;
  #again = false;
  #trouble: string | null = null;
  #stopped = false;

  constructor(path: string, scan: Scan, poll_ms: number, onTrouble: (why: string) => void) {
    this.#scan = scan;
    this.#onTrouble = onTrouble;
    this.#timer = setInterval(() => this.#nudge(), poll_ms);
    this.#timer.unref();
    this.#watcher = quickener(path, () => this.#nudge());
  }

  #nudge(): void {
    if (this.#stopped) return;
    if (this.#looking !== null) {
      this.#again = true;
      return;
    }
    this.#looking = this.#look().finally(() => {
      this.#looking = null;
      if (!this.#again) return;
      this.#again = false;
      this.#nudge();
    });
  }

  async #look(): Promise<void> {
    try {
      await this.#scan();
      this.#trouble = null;
    } catch (error) {
      const why = sentenceOf(error);
      if (why !== this.#trouble && !this.#stopped) this.#onTrouble(why);
      this.#trouble = why;
    }
  }

  async stop(): Promise<void> {
    this.#stopped = true;
    clearInterval(this.#timer);
    this.#watcher?.close();
    await this.#looking;
  }
}

/** fs.watch where the system has it for this path; if it fails, polling goes on alone. */
function quickener(path: string, nudge: () => void): FSWatcher | null {
  try {
    const watcher = watch(path, { persistent: false }, nudge);
    watcher.on('error', () => watcher.close());
    return watcher;
  } catch {
    return null;
  }
}
