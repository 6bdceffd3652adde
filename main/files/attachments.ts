// The files that a plan names (winds, terrain, roads), read from inside the mission's folder and from nowhere else.
import { readFile, realpath, stat } from 'node:fs/promises';
import { dirname, isAbsolute, join, relative, sep } from 'node:path';
import { MAX_FILE_BYTES, type Attachment } from '../contract.ts';
import { inMegabytes, MAX_ATTACHED_BYTES } from '../limits.ts';
import { sentenceOf } from './trouble.ts';

const isRecord = (value: unknown): value is { readonly [key: string]: unknown } =>
  typeof value === 'object' && value !== null;
const at = (value: unknown, key: string): unknown => (isRecord(value) ? value[key] : undefined);

/**
 * The names of files in a plan's text, each once, in the plan's order. A plan that is not JSON names none: what is
 * wrong with it is the reader's to say, in the window.
 */
export function namedFiles(planText: string): string[] {
  let plan: unknown;
  try {
    plan = JSON.parse(planText);
  } catch {
    return [];
  }
  const winds = at(at(plan, 'winds'), 'files');
  const names = [at(at(plan, 'site'), 'terrain'), at(plan, 'roads'), ...(Array.isArray(winds) ? winds : [])];
  return [...new Set(names.filter((name) => typeof name === 'string' && name !== ''))];
}

/** A plan may name a file in its own folder or below: no absolute path, no way up, no other system's separators. */
export function staysInside(name: string): boolean {
  if (
    name === '' ||
    name.length > 1024 ||
    name.includes('\0') ||
    name.includes('\\') ||
    isAbsolute(name) ||
    /^[A-Za-z]:/.test(name)
  )
    return false;
  return name.split('/').every((part) => part !== '..' && part !== '');
}

/** Whether a real path lies in a real folder. */
export function isInside(folder: string, path: string): boolean {
  const way = relative(folder, path);
  return way !== '' && way !== '..' && !way.startsWith(`..${sep}`) && !isAbsolute(way);
}

/** Bytes that bring nothing else along on their way to a window: a copy only where Node put them among others. */
const ownBytes = ({ buffer, byteOffset, byteLength }: Buffer): Uint8Array =>
  new Uint8Array(byteLength === buffer.byteLength ? buffer : buffer.slice(byteOffset, byteOffset + byteLength));

/**
 * One named file, or a sentence without its name. Links are followed, and what they lead to must lie in the folder too.
 */
async function readInside(folder: string, name: string, room: number): Promise<Uint8Array | string> {
  if (!staysInside(name))
    return 'is not taken: expected a name inside the folder of the mission, without ".." and not absolute';
  try {
    const real = await realpath(join(folder, name));
    if (!isInside(await realpath(folder), real))
      return 'is not taken: it is a link that leads out of the folder of the mission';
    const found = await stat(real);
    if (!found.isFile()) return 'is not taken: it is not a file';
    if (found.size > MAX_FILE_BYTES)
      return `holds ${inMegabytes(found.size)}; expected at most ${inMegabytes(MAX_FILE_BYTES)}`;
    if (found.size > room)
      return `is left out: the files of one mission may hold ${inMegabytes(MAX_ATTACHED_BYTES)} together`;
    return ownBytes(await readFile(real));
  } catch (error) {
    return sentenceOf(error);
  }
}

/** All files that the plan names, and a sentence for each that could not be read. */
export async function readAttachments(
  missionPath: string,
  planText: string,
): Promise<{ readonly attachments: readonly Attachment[]; readonly problems: readonly string[] }> {
  const attachments: Attachment[] = [];
  const problems: string[] = [];
  let room = MAX_ATTACHED_BYTES;
  for (const name of namedFiles(planText)) {
    const read = await readInside(dirname(missionPath), name, room);
    if (typeof read === 'string') problems.push(`The file "${name}" that the plan names ${read}.`);
    else {
      attachments.push({ name, bytes: read });
      room -= read.length;
    }
  }
  return { attachments, problems };
}
