// What the file system refuses, as a sentence for a person. The path is named by the caller.

const SENTENCES: { readonly [code: string]: string } = {
  ENOENT: 'does not exist',
  ENOTDIR: 'does not exist: a part of its path is a file',
  EISDIR: 'is a folder, not a file',
  EACCES: 'may not be touched: permission is refused',
  EPERM: 'may not be touched: permission is refused',
  EROFS: 'cannot be written: the disk is read-only',
  ENOSPC: 'cannot be written: the disk is full',
  EDQUOT: 'cannot be written: the disk quota is used up',
  EEXIST: 'exists already',
  ENAMETOOLONG: 'has a name that is too long',
  ELOOP: 'is a link that leads in a circle',
  EMFILE: 'cannot be opened: too many files are open',
  EBUSY: 'is in use by another program',
  ECONNREFUSED: 'refuses the connection',
  ECONNRESET: 'broke the connection',
  ENOTFOUND: 'is not known by this name',
  EAI_AGAIN: 'cannot be looked up: no name server answers',
  EHOSTUNREACH: 'cannot be reached',
  ENETUNREACH: 'cannot be reached',
  ETIMEDOUT: 'does not answer',
  EADDRINUSE: 'is in use by another program',
  EADDRNOTAVAIL: 'is no address of this computer',
  EIO: 'cannot be read or written: the disk reports an error',
};

/** A refusal of our own, with a message that stands behind a path as the others do. */
export class Trouble extends Error {}

const codeOf = (error: unknown): string | null =>
  error instanceof Error && 'code' in error && typeof error.code === 'string' ? error.code : null;

export const isMissing = (error: unknown): boolean => codeOf(error) === 'ENOENT';

/** Whether it is an answer to a person (the disk's, or ours) and not a fault of the program. */
export const isTrouble = (error: unknown): boolean => error instanceof Trouble || /^E[A-Z]+$/.test(codeOf(error) ?? '');

/** "does not exist", "is a folder, not a file": to stand behind a path. Never a stack, never a system call's name. */
export function sentenceOf(error: unknown): string {
  const code = codeOf(error);
  if (code !== null) return SENTENCES[code] ?? `cannot be used (${code})`;
  return error instanceof Error ? error.message : String(error);
}
