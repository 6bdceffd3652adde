// One lock for a mission's plan and log, held for the moment of a write: whoever writes next, in this program or in
// another on the same folder, writes behind what is there. The lock says who holds it and since when; one whose owner
// is gone, or that is too old for any write, is taken over.
import { randomBytes } from 'node:crypto';
import { link, open, readFile, rename, stat, unlink } from 'node:fs/promises';
import { hostname } from 'node:os';
import { basename, dirname, join } from 'node:path';
import { nameAnew } from './atomic.ts';
import { isMissing, Trouble } from './trouble.ts';

/** No write takes this long: a lock of this age was left by a computer that stopped. */
const STALE_ms = 30_000;
/** After this long the person is told who holds the lock; longer than a stale lock lasts. */
const PATIENCE_ms = 40_000;
const LOOK_AGAIN_ms = 15;

interface Owner {
  readonly host: string;
  readonly pid: number;
  readonly since: string;
}

/** `x.mission.json` → `.x.lock` beside it. */
export const lockPathOf = (missionPath: string): string =>
  join(dirname(missionPath), `.${basename(missionPath).replace(/(\.mission)?\.json$/i, '')}.lock`);

const pause = (): Promise<void> => new Promise((resolve) => void setTimeout(resolve, LOOK_AGAIN_ms));

/** Runs one write while nobody else writes. Throws what the file system says, and a sentence where the lock stays. */
export async function whileLocked<T>(path: string, write: () => Promise<T>): Promise<T> {
  await acquire(path);
  try {
    return await write();
  } finally {
    await unlink(path).catch(() => undefined);
  }
}

async function acquire(path: string): Promise<void> {
  const begun = performance.now();
  for (;;) {
    const text = await readFile(path, 'utf8').catch((error: unknown) => {
      if (isMissing(error)) return null;
      throw error;
    });
    if (text === null && (await create(path))) return;
    if (text !== null && (await isStale(path, text))) await takeOver(path, text);
    else if (performance.now() - begun > PATIENCE_ms) throw new Trouble(heldBy(ownerOf(text ?? '')));
    else await pause();
  }
}

/** The lock is there with its owner or not at all: one without would keep everybody out until it is stale. */
async function create(path: string): Promise<boolean> {
  const owner: Owner = { host: hostname(), pid: process.pid, since: new Date().toISOString() };
  const aside = asideOf(path);
  try {
    const handle = await open(aside, 'wx', 0o644);
    try {
      await handle.writeFile(JSON.stringify(owner));
    } finally {
      await handle.close();
    }
    await nameAnew(aside, path);
    return true;
  } catch (error) {
    if (error instanceof Error && 'code' in error && error.code === 'EEXIST') return false;
    throw error;
  } finally {
    await unlink(aside).catch(() => undefined);
  }
}

/** A temporary file, which is swept if a crash leaves it. */
const asideOf = (path: string): string => `${path}.${randomBytes(6).toString('hex')}.tmp`;

function ownerOf(text: string): Owner | null {
  try {
    const owner: unknown = JSON.parse(text);
    if (typeof owner !== 'object' || owner === null) return null;
    if (!('host' in owner && 'pid' in owner && 'since' in owner)) return null;
    const { host, pid, since } = owner;
    if (typeof host !== 'string' || typeof since !== 'string' || !Number.isSafeInteger(pid)) return null;
    return { host, pid: Number(pid), since };
  } catch {
    return null;
  }
}

const heldBy = (owner: Owner | null): string =>
  owner === null
    ? 'is being written by another program, which does not end'
    : `is being written by another program (process ${owner.pid} on ${owner.host}) since ${owner.since}`;

/** Whether the owner is gone: no such process on this computer, or a lock that no write can need. */
async function isStale(path: string, text: string): Promise<boolean> {
  const owner = ownerOf(text);
  if (owner !== null && owner.host === hostname() && owner.pid !== process.pid && !isAlive(owner.pid)) return true;
  const found = await stat(path).catch(() => null);
  return found !== null && Date.now() - found.mtimeMs > STALE_ms;
}

function isAlive(pid: number): boolean {
  try {
    process.kill(pid, 0);
    return true;
  } catch (error) {
    return error instanceof Error && 'code' in error && error.code === 'EPERM';
  }
}

/** Puts a stale lock away. Of several that see it stale one gets it; a lock made new meanwhile is put back. */
async function takeOver(path: string, seen: string): Promise<void> {
  const aside = asideOf(path);
  try {
    await rename(path, aside);
    if ((await readFile(aside, 'utf8')) !== seen) await link(aside, path);
  } catch (error) {
    if (!isMissing(error) && !(error instanceof Error && 'code' in error && error.code === 'EEXIST')) throw error;
  } finally {
    await unlink(aside).catch(() => undefined);
  }
}
