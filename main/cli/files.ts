// Files that a person names on the command line, read whole with a limit, and what is wrong with them in a sentence.
import { readFile, stat } from 'node:fs/promises';
import { basename } from 'node:path';
import { sentenceOf } from '../files/trouble.ts';
import { inMegabytes } from '../limits.ts';

/** Gridded forecasts are the largest of what is read; beyond this a file is a mistake. */
const MAX_READ_BYTES = 512_000_000;

export interface NamedFile {
  readonly name: string;
  readonly bytes: Uint8Array;
}

/** The file's bare name and bytes, or a sentence. */
export async function readNamed(path: string): Promise<NamedFile | string> {
  try {
    const found = await stat(path);
    if (!found.isFile()) return 'is not a file; expected the path of one';
    if (found.size > MAX_READ_BYTES)
      return `holds ${inMegabytes(found.size)}; expected at most ${inMegabytes(MAX_READ_BYTES)}`;
    return { name: basename(path), bytes: await readFile(path) };
  } catch (error) {
    return sentenceOf(error);
  }
}
