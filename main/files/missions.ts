// The missions that this session may touch. A window names a path; only one that was opened through the desk gets
// anywhere, and a demo is never written to: its first change makes a copy in the person's own folder.
import { createHash } from 'node:crypto';
import { copyFile, mkdir, readFile, realpath, stat } from 'node:fs/promises';
import { basename, dirname, join } from 'node:path';
import { inMegabytes, MAX_PLAN_BYTES } from '../limits.ts';
import { makeFolder } from './atomic.ts';
import { isInside, namedFiles, staysInside } from './attachments.ts';
import { LogWriter, logPathOf, type Foreign } from './log.ts';
import { lockPathOf, whileLocked } from './lock.ts';
import { isMissing } from './trouble.ts';

export const digestOf = (data: string | Uint8Array): string => createHash('sha256').update(data).digest('hex');

/** A mission's name as a file's: letters and digits of any script, everything else a hyphen. */
export const fileNameOf = (name: string): string =>
  name
    .normalize('NFC')
    .toLowerCase()
    .replace(/[^\p{L}\p{N}]+/gu, '-')
    .replace(/^-+|-+$/g, '')
    .slice(0, 60) || 'mission';

/** Hears what other programs did to the log of a mission. */
export type OnForeign = (missionPath: string, foreign: Foreign) => void;

/** A mission of this session. Its writes wait for each other, and for those of other programs. */
export class OpenMission {
  readonly path: string;
  readonly log: LogWriter;
  /** Of the plan as this desk last read or wrote it; null where there is no file yet. */
  digest: string | null;
  #queue: Promise<unknown> = Promise.resolve();

  constructor(path: string, digest: string | null, onForeign: OnForeign) {
    this.path = path;
    this.digest = digest;
    this.log = new LogWriter(logPathOf(path), {
      lock: lockPathOf(path),
      onForeign: (foreign) => onForeign(path, foreign),
    });
  }

  get folder(): string {
    return dirname(this.path);
  }

  /** Runs one write after all that were asked before it. */
  inTurn<T>(write: () => Promise<T>): Promise<T> {
    const turn = this.#queue.then(() => whileLocked(lockPathOf(this.path), write));
    this.#queue = turn.catch(() => undefined);
    return turn;
  }
}

/** The plan's text, or a sentence to stand behind the path. */
export async function readPlan(path: string): Promise<{ readonly bytes: Uint8Array; readonly text: string } | string> {
  const found = await stat(path);
  if (found.isDirectory()) return 'is a folder; expected a file named *.mission.json';
  if (!found.isFile()) return 'is not a file';
  if (found.size > MAX_PLAN_BYTES)
    return `holds ${inMegabytes(found.size)}; expected at most ${inMegabytes(MAX_PLAN_BYTES)} for a mission`;
  const bytes = await readFile(path);
  return { bytes, text: bytes.toString('utf8') };
}

export class Missions {
  readonly #open = new Map<string, OpenMission>();
  /** Demos that were written to, by their own path. */
  readonly #copies = new Map<string, Promise<OpenMission>>();
  readonly #demoFolder: string;
  readonly #copyFolder: string;
  readonly #onCopy: (from: string, to: string) => void;
  readonly #onForeign: OnForeign;

  constructor(
    demoFolder: string,
    copyFolder: string,
    onCopy: (from: string, to: string) => void,
    onForeign: OnForeign = () => undefined,
  ) {
    this.#demoFolder = demoFolder;
    this.#copyFolder = copyFolder;
    this.#onCopy = onCopy;
    this.#onForeign = onForeign;
  }

  async isDemo(path: string): Promise<boolean> {
    try {
      return isInside(await realpath(this.#demoFolder), path);
    } catch (error) {
      if (isMissing(error)) return false;
      throw error;
    }
  }

  /**
   * Lets the window touch this mission from now on. A demo that is opened again starts over: its next change makes a
   * new copy.
   */
  admit(path: string, digest: string | null): OpenMission {
    this.#copies.delete(path);
    const known = this.#open.get(path);
    if (known !== undefined) {
      known.digest = digest;
      return known;
    }
    const mission = new OpenMission(path, digest, this.#onForeign);
    this.#open.set(path, mission);
    return mission;
  }

  /** Looks at every log of this session that may be written to: what other programs appended is told. */
  async follow(): Promise<void> {
    for (const mission of this.#open.values())
      if (!(await this.isDemo(mission.path))) await mission.log.follow().catch(() => undefined);
  }

  isOpen(path: string): boolean {
    return this.#open.has(path);
  }

  /** Whether a real path lies in the folder of a mission of this session. */
  isBesideOpen(path: string): boolean {
    return [...this.#open.values()].some((mission) => path === mission.folder || isInside(mission.folder, path));
  }

  get(path: string): OpenMission | null {
    return this.#open.get(path) ?? null;
  }

  /** Where a mission was written last: a demo's copy, where it has one. Null: not opened. */
  async latest(path: string): Promise<OpenMission | null> {
    return (await this.#copies.get(path)) ?? this.get(path);
  }

  /**
   * Where a mission's writes go: the mission itself, or a demo's copy, made now if it does not exist yet. Null: not
   * opened.
   */
  async writable(path: string): Promise<OpenMission | null> {
    const mission = this.#open.get(path);
    if (mission === undefined || !(await this.isDemo(path))) return mission ?? null;
    const copying = this.#copies.get(path) ?? this.#copy(path);
    this.#copies.set(path, copying);
    try {
      return await copying;
    } catch (error) {
      this.#copies.delete(path);
      throw error;
    }
  }

  /** The whole demo, plan, log and the files it names, in a new folder of its own. */
  async #copy(path: string): Promise<OpenMission> {
    const bytes = await readFile(path);
    const folder = await makeFolder(join(this.#copyFolder, basename(path).replace(/(\.mission)?\.json$/i, '')));
    const to = join(await realpath(folder), basename(path));
    await copyNamed(bytes.toString('utf8'), dirname(path), folder);
    await copyIfThere(logPathOf(path), logPathOf(to));
    await copyIfThere(path, to);
    const mission = this.admit(to, digestOf(bytes));
    this.#onCopy(path, to);
    return mission;
  }
}

/** The files that a plan names, from one folder into another. */
export async function copyNamed(planText: string, from: string, to: string): Promise<void> {
  for (const name of namedFiles(planText).filter(staysInside)) {
    await mkdir(dirname(join(to, name)), { recursive: true });
    await copyIfThere(join(from, name), join(to, name));
  }
}

async function copyIfThere(from: string, to: string): Promise<void> {
  try {
    await copyFile(from, to);
  } catch (error) {
    if (!isMissing(error)) throw error;
  }
}
