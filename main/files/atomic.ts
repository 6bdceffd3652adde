// Files written whole or not at all: into a temporary file of the same folder, to the disk, and then under their name.
import { randomBytes } from 'node:crypto';
import { constants, copyFile, link, mkdir, open, readdir, rename, stat, unlink } from 'node:fs/promises';
import { basename, dirname, join, parse } from 'node:path';
import { isMissing, Trouble } from './trouble.ts';

/** Puts a folder's own entries on the disk, where the system can: without it a rename may be lost with the power. */
export async function syncFolder(folder: string): Promise<void> {
  // Windows opens no folder for this; its file system keeps the order by itself.
  if (process.platform === 'win32') return;
  const handle = await open(folder, 'r');
  try {
    await handle.sync();
  } finally {
    await handle.close();
  }
}

async function modeOf(path: string): Promise<number> {
  try {
    return (await stat(path)).mode & 0o777;
  } catch (error) {
    if (isMissing(error)) return 0o644;
    throw error;
  }
}

/**
 * Replaces `path` by `data`: whoever reads it meanwhile, or after a crash at any point, finds the old content or the
 * new one, never a part. Keeps the file's permissions. Throws what the file system says; no temporary file is left
 * behind then.
 */
export async function writeAtomic(path: string, data: string | Uint8Array): Promise<void> {
  await withTemporary(path, data, await modeOf(path), (temporary) => rename(temporary, path));
  await syncFolder(dirname(path));
}

/** Writes `data` whole into a temporary file beside `path` for `use`; afterwards there is no such file any more. */
async function withTemporary<T>(
  path: string,
  data: string | Uint8Array,
  mode: number,
  use: (temporary: string) => Promise<T>,
): Promise<T> {
  const temporary = join(dirname(path), `.${basename(path).slice(0, 100)}.${randomBytes(6).toString('hex')}.tmp`);
  try {
    const handle = await open(temporary, 'wx', mode);
    try {
      await handle.writeFile(data);
      await handle.sync();
    } finally {
      await handle.close();
    }
    return await use(temporary);
  } finally {
    await unlink(temporary).catch(() => undefined);
  }
}

const TEMPORARY = /^\..+\.[0-9a-f]{12}\.tmp$/;
/** A write takes seconds; a temporary file of this age was left behind by a crash. */
const ORPHAN_ms = 3_600_000;

/** Takes away the temporary files that a crash left in a folder. What cannot be looked at is left. */
export async function sweepOrphans(folder: string): Promise<void> {
  for (const name of (await readdir(folder).catch(() => [])).filter((one) => TEMPORARY.test(one))) {
    const path = join(folder, name);
    const found = await stat(path).catch(() => null);
    if (found !== null && Date.now() - found.mtimeMs > ORPHAN_ms) await unlink(path).catch(() => undefined);
  }
}

/** How many numbered names are tried: a folder with more copies of one name has another trouble. */
const MOST_NUMBERED = 999;

/** `name`, or `name-2`, `name-3` …: the first for which `take` does not say that it exists already. */
export async function numbered<T>(path: string, take: (candidate: string) => Promise<T>): Promise<T> {
  const { dir, name, ext } = parse(path);
  for (let n = 1; n <= MOST_NUMBERED; n += 1) {
    try {
      return await take(n === 1 ? path : join(dir, `${name}-${n}${ext}`));
    } catch (error) {
      if (!(error instanceof Error && 'code' in error && error.code === 'EEXIST')) throw error;
    }
  }
  throw new Trouble(`has ${MOST_NUMBERED} namesakes beside it already`);
}

/**
 * A new file under a name that was free, and whole from the moment on at which it is there; answers the path that it
 * got.
 */
export async function writeNew(path: string, data: Uint8Array): Promise<string> {
  const written = await withTemporary(path, data, 0o644, (temporary) =>
    numbered(path, async (candidate) => {
      await nameAnew(temporary, candidate);
      return candidate;
    }),
  );
  await syncFolder(dirname(written));
  return written;
}

/** Gives a file a second name, which must be free. */
export async function nameAnew(file: string, name: string): Promise<void> {
  try {
    await link(file, name);
  } catch (error) {
    if (error instanceof Error && 'code' in error && error.code === 'EEXIST') throw error;
    // A file system without links (a memory stick's): copied under the name, which must be free too.
    await copyFile(file, name, constants.COPYFILE_EXCL);
  }
}

/** A new folder under a name that was free. */
export function makeFolder(path: string): Promise<string> {
  return numbered(path, async (candidate) => {
    await mkdir(dirname(candidate), { recursive: true });
    await mkdir(candidate);
    return candidate;
  });
}
