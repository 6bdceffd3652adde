// Paths as a person types them, and what is answered where a step on one fails.
import { realpath } from 'node:fs/promises';
import { homedir } from 'node:os';
import { basename, dirname, join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { Outcome } from '../contract.ts';
import { isMissing, isTrouble, sentenceOf } from './trouble.ts';

export const refused = (why: string): { readonly ok: false; readonly why: string } => ({ ok: false, why });
export const done = <T>(value: T): { readonly ok: true; readonly value: T } => ({ ok: true, value });

export const notOpened = (path: string) => refused(`${path} was not opened in this session; open it first.`);

/** `~/x`, `file:///x` and relative paths as a person may type them. */
export function typedPath(path: string): string {
  if (path.startsWith('file://')) return fileURLToPath(path);
  if (path === '~' || path.startsWith('~/')) return join(homedir(), path.slice(1));
  return resolve(path);
}

/**
 * The real path of what exists; of what does not, the path in the real folder, so that both name one mission one way.
 */
export async function canonical(path: string): Promise<string> {
  const full = typedPath(path);
  try {
    return await realpath(full);
  } catch (error) {
    if (!isMissing(error)) throw error;
    return join(await realpath(dirname(full)), basename(full));
  }
}

/**
 * A step on one path whose failures are answers: what the file system says becomes a sentence that begins with the
 * path.
 */
export async function onPath<T>(path: string, step: () => Promise<Outcome<T>>): Promise<Outcome<T>> {
  try {
    return await step();
  } catch (error) {
    if (!isTrouble(error)) throw error;
    return refused(`${path} ${sentenceOf(error)}.`);
  }
}
