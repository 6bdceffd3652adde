// Reading files where it can be stopped. Damaged bytes can send a reader round without end or fill the memory, most of
// all in C libraries compiled to WebAssembly (HDF5, OpenJPEG), and a large file would hold up the page. So a host reads
// each large or binary file in a thread of its own, started for it and ended after it. Without a host (a test, a
// script) files are read where they are asked for.
import type { Read } from '../base/problem.ts';
import type { LonLat } from '../base/units.ts';
import { TerrainGrid, type TerrainShape } from '../earth/terrain.ts';
import type { WindFile, WindFileOptions } from '../formats/winds/winds.ts';

export interface NamedBytes {
  readonly name: string;
  readonly bytes: Uint8Array;
  /** Nobody wants the bytes afterwards: they may go to the thread that reads them, and are then gone from here. */
  readonly spare?: boolean;
}

/** What goes to the thread with a question and is not copied: a large forecast is in the memory once, not twice. */
export const givenAway = ({ file: { bytes, spare } }: ApartAsk): ArrayBuffer[] =>
  spare === true && bytes.buffer instanceof ArrayBuffer && bytes.byteLength === bytes.buffer.byteLength
    ? [bytes.buffer]
    : [];

/** What such a thread is sent; it posts the answer. */
export type ApartAsk =
  | { readonly kind: 'winds'; readonly file: NamedBytes; readonly options: WindFileOptions }
  | { readonly kind: 'terrain'; readonly file: NamedBytes; readonly near: LonLat | null };

type TerrainAnswer = Read<(TerrainShape & { readonly heights_m: Float32Array }) | null>;

export type ApartAnswer =
  | { readonly kind: 'winds'; readonly read: Read<WindFile> }
  | { readonly kind: 'terrain'; readonly read: TerrainAnswer };

/** What a thread posts first, once its reader is loaded: the file's time counts from here. */
export const BEGUN = 'begun';
/** A busy machine may take so many times the file's time to start a thread and load its reader. */
const STARTING = 6;

/**
 * Hears what a thread posts: its beginning starts the watch again, its answer ends it.
 *
 * watch  gives up after so many seconds; another call takes the place of the one before
 */
export function heardApart(
  limit_s: number,
  watch: (limit_s: number) => void,
  end: (answer: ApartAnswer) => void,
): (said: typeof BEGUN | ApartAnswer) => void {
  watch(limit_s * STARTING);
  return (said) => (said === BEGUN ? watch(limit_s) : end(said));
}

/** A host's thread: its answer, or why it has no answer. Never rejects. `limit_s` counts from `BEGUN`. */
export type AskApart = (ask: ApartAsk, limit_s: number) => Promise<ApartAnswer | 'late' | { readonly failed: string }>;

/** Text of this size is read in some milliseconds, sooner than a thread starts. */
const SMALL_BYTES = 100_000;

/** A forecast of a hundred megabytes takes a few seconds. */
const limitFor = ({ bytes }: NamedBytes): number => 10 + bytes.length / 10_000_000;

/** The work of such a thread. `begins` is told when the reader is loaded. */
export async function answerApart(ask: ApartAsk, begins: () => void = () => undefined): Promise<ApartAnswer> {
  if (ask.kind === 'winds') {
    const { readWindFile } = await import('../formats/winds/winds.ts');
    begins();
    return { kind: 'winds', read: await readWindFile(ask.file, ask.options) };
  }
  const { readTerrain } = await import('../formats/terrain/terrain.ts');
  begins();
  // On its way between threads the grid loses its methods.
  return { kind: 'terrain', read: await readTerrain(ask.file.name, ask.file.bytes, ask.near) };
}

/** The winds of a file. Never rejects: where there is no answer, a sentence says why. */
export async function windsFrom(
  file: NamedBytes,
  options: WindFileOptions,
  apart: AskApart | null,
): Promise<Read<WindFile>> {
  const answer = await asked({ kind: 'winds', file, options }, apart);
  if (typeof answer === 'string') return { value: { decoded: [], grids: [] }, problems: [{ line: 0, text: answer }] };
  return answer.kind === 'winds' ? answer.read : { value: { decoded: [], grids: [] }, problems: [] };
}

/** The terrain of a file. Never rejects: where there is no answer, a sentence says why. */
export async function terrainFrom(
  file: NamedBytes,
  near: LonLat,
  apart: AskApart | null,
): Promise<Read<TerrainGrid | null>> {
  const answer = await asked({ kind: 'terrain', file, near }, apart);
  if (typeof answer === 'string') return { value: null, problems: [{ line: 0, text: answer }] };
  if (answer.kind !== 'terrain') return { value: null, problems: [] };
  const { value, problems } = answer.read;
  return { value: value === null ? null : new TerrainGrid(value, value.heights_m), problems };
}

async function asked(ask: ApartAsk, apart: AskApart | null): Promise<ApartAnswer | string> {
  const limit_s = limitFor(ask.file);
  try {
    const answer = await (apart !== null && isHeavy(ask.file.bytes) ? apart(ask, limit_s) : answerApart(ask));
    if (answer === 'late')
      return (
        `a file that took longer than ${Math.round(limit_s)} s and was given up; it is damaged, or holds far ` +
        'more than a mission needs'
      );
    return 'failed' in answer ? `a file that could not be read (${answer.failed}); it is damaged` : answer;
  } catch (error) {
    return `a file that could not be read (${error instanceof Error ? error.message : String(error)}); it is damaged`;
  }
}

/** Large, or binary: a zero byte, or the mark of a zip or gzip. */
const isHeavy = (bytes: Uint8Array): boolean =>
  bytes.length > SMALL_BYTES ||
  bytes.subarray(0, 1000).includes(0) ||
  (bytes[0] === 0x50 && bytes[1] === 0x4b) ||
  (bytes[0] === 0x1f && bytes[1] === 0x8b);
