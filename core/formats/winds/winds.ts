// Any wind file, recognised by what is in it and never by its name, decoded by the reader of its kind.
// Kinds: GRIB2, netCDF; bulletins of TEMP, PILOT, METAR and FB, alone or mixed; upper-air listing, IGRA v2, mesonet
// JSON, dropsonde samples, tables with named columns; each also inside a zip or gzip. The readers of the binary and of
// the coded kinds are loaded when first needed.
import { quantity } from '../../words/numbers.ts';
import { gunzipSync, unzipSync } from 'fflate';
import type { Problem, Read } from '../../base/problem.ts';
import type { LonLat } from '../../base/units.ts';
import type { ReportSource } from '../../log/events.ts';
import type { WindGrid } from '../../air/grid.ts';
import type { DecodedWinds } from '../../air/levels.ts';
import { checkedWinds } from './checked.ts';
import { isTable, readCsv } from './csv.ts';
import { isDropsondeHeader, readDropsonde } from './dropsonde.ts';
import { FB_HEADER } from './fb.ts';
import { IGRA_HEADER, readIgra } from './igra.ts';
import { isListingHeader, readListing } from './listing.ts';
import { readMesonet } from './mesonet.ts';
import { shown } from '../text/shown.ts';
import { decodeText, linesOf, TEXT_BYTES_MAX } from '../text/text.ts';

export interface WindFile {
  /** Profiles, one per station and time. */
  readonly decoded: readonly DecodedWinds[];
  /** Gridded forecasts, whole. */
  readonly grids: readonly WindGrid[];
}

export interface WindFileOptions {
  /** Where a gridded forecast is wanted as a profile. */
  readonly near?: LonLat;
  /** The ground there, m MSL, for a forecast that does not give its own. */
  readonly ground_m?: number;
  /** Seconds since 1970 near the time of the file, for bulletins that name no month. */
  readonly reference_s?: number;
  /** Only this station of a file that holds several. */
  readonly station?: string;
}

/** What is in an archive, unpacked, at most; a forecast of one region has tens of MB. */
const UNPACKED_BYTES_MAX = 400_000_000;
const ENTRIES_MAX = 200;
/** Characters of a sentence. */
const SENTENCE_MAX = 299;

const startsWith = (bytes: Uint8Array, ...wanted: number[]): boolean => wanted.every((byte, i) => bytes[i] === byte);

/** GRIB messages may stand behind a bulletin heading: the word is looked for in the first bytes. */
function hasGribMark(bytes: Uint8Array): boolean {
  for (let i = 0; i + 4 <= Math.min(bytes.length, 256); i++) {
    if (startsWith(bytes.subarray(i, i + 4), 0x47, 0x52, 0x49, 0x42))
      return i === 0 || bytes[i + 7] === 1 || bytes[i + 7] === 2;
  }
  return false;
}

const isZip = (bytes: Uint8Array): boolean =>
  startsWith(bytes, 0x50, 0x4b, 0x03, 0x04) || startsWith(bytes, 0x50, 0x4b, 0x05, 0x06);
const isGzip = (bytes: Uint8Array): boolean => startsWith(bytes, 0x1f, 0x8b);
const isPacked = (bytes: Uint8Array): boolean => isZip(bytes) || isGzip(bytes);

interface BinaryReader {
  is(bytes: Uint8Array): boolean;
  read(bytes: Uint8Array, options: WindFileOptions): Promise<Read<WindFile>>;
}

/** A binary format is one file and one row here; the first row that knows the bytes reads them. */
const BINARY_READERS: readonly BinaryReader[] = [
  { is: hasGribMark, read: async (bytes, options) => (await import('../grids/grib2.ts')).readGrib2(bytes, options) },
  {
    is: (bytes) =>
      (startsWith(bytes, 0x43, 0x44, 0x46) && [1, 2, 5].includes(bytes[3] ?? 0)) ||
      startsWith(bytes, 0x89, 0x48, 0x44, 0x46, 0x0d, 0x0a, 0x1a, 0x0a),
    read: async (bytes, options) => (await import('../grids/netcdf.ts')).readNetcdf(bytes, options),
  },
];

interface TextReader {
  readonly kind: string;
  /** What made its winds; null: the file does not say. */
  readonly madeBy: ReportSource | null;
  /** Set where such a file only ever holds what was measured. */
  readonly measured?: true;
  /** By the first 100 000 characters and their lines: a page around a listing has a few thousand. */
  is(head: string, lines: readonly string[]): boolean;
  read(text: string, options: WindFileOptions): Read<DecodedWinds[]> | Promise<Read<DecodedWinds[]>>;
}

const readStream = async (text: string, options: WindFileOptions): Promise<Read<DecodedWinds[]>> =>
  (await import('./bulletins.ts')).readBulletins(text, options);

/**
 * A text format is one file and one row here; the first row that knows the text reads it, so what is vague stands last.
 */
const TEXT_READERS = [
  { kind: 'mesonet JSON', madeBy: 'sounding', measured: true, is: (head) => /^\s*[{[]/.test(head), read: readMesonet },
  {
    kind: 'IGRA',
    madeBy: 'sounding',
    measured: true,
    is: (_, lines) => lines.some((line) => IGRA_HEADER.test(line)),
    read: readIgra,
  },
  { kind: 'FB', madeBy: 'estimate', is: (_, lines) => lines.some((line) => FB_HEADER.test(line)), read: readStream },
  {
    kind: 'listing',
    madeBy: 'sounding',
    measured: true,
    is: (_, lines) => lines.some(isListingHeader),
    read: readListing,
  },
  {
    kind: 'dropsonde',
    madeBy: 'sounding',
    measured: true,
    is: (_, lines) => lines.some(isDropsondeHeader),
    read: readDropsonde,
  },
  {
    kind: 'TEMP',
    madeBy: 'sounding',
    is: (head) => /(?:^|\s)(?:TT|UU|XX|II)(?:AA|BB|CC|DD)\s/.test(head),
    read: readStream,
  },
  {
    kind: 'PILOT',
    madeBy: 'pilot-balloon',
    is: (head) => /(?:^|\s)(?:PP|QQ|EE)(?:AA|BB|CC|DD)\s/.test(head),
    read: readStream,
  },
  {
    kind: 'METAR',
    madeBy: 'station',
    is: (head) => /(?:^|\s)(?:(?:METAR|SPECI)|[A-Z][A-Z0-9]{3}\s+\d{6}Z)\s/.test(head),
    read: readStream,
  },
  { kind: 'table', madeBy: null, is: isTable, read: readCsv },
] as const satisfies readonly TextReader[];

export type TextKind = (typeof TEXT_READERS)[number]['kind'] | 'unknown';

function textReader(text: string): (TextReader & { readonly kind: TextKind }) | null {
  const head = text.slice(0, 100_000);
  const lines = linesOf(head);
  return TEXT_READERS.find(({ is }) => is(head, lines)) ?? null;
}

/** The kind of a text, by what stands in it. */
export const textKind = (text: string): TextKind => textReader(text)?.kind ?? 'unknown';

/** What made the winds of a text of this kind; null where the file does not say, as a table. */
export function madeBy(kind: TextKind): ReportSource | null {
  const reader = TEXT_READERS.find((one) => one.kind === kind);
  return reader === undefined ? 'sounding' : reader.madeBy;
}

const profiles = (read: Read<DecodedWinds[]>): Read<WindFile> => ({
  value: { decoded: read.value, grids: [] },
  problems: read.problems,
});

/** Profiles of a file that only holds what was measured. */
const measured = (read: Read<DecodedWinds[]>): Read<WindFile> =>
  profiles({ value: read.value.map((one): DecodedWinds => ({ ...one, kind: 'observed' })), problems: read.problems });

const nothing = (text: string): Read<WindFile> => ({
  value: { decoded: [], grids: [] },
  problems: [{ line: 0, text }],
});

/** An archive's answer without wind, or any other text: said by its first line, and by what would be right. */
function readUnknown(text: string): Read<WindFile> {
  if (/\b(?:unable|cannot|can't|no data|not available|not found|sorry)\b/i.test(text.slice(0, 500))) {
    return nothing(`an answer without a sounding, not a wind file: ${shown(text.trim())}`);
  }
  const first = linesOf(text).find((line) => line.trim() !== '') ?? '';
  const kinds =
    'an FB bulletin, an upper-air listing, IGRA, TEMP, PILOT, METAR, JSON of soundings, or a table with named columns';
  return nothing(
    `no wind file that is known: the first line is ${shown(first.trim())}; expected ${kinds}, such as ` +
      'height_m,from_deg,speed_kt',
  );
}

/** A file in an archive. `unpack` throws where it is damaged; each is unpacked when it is read, and then let go. */
interface PackedFile {
  readonly name: string;
  unpack(): Uint8Array;
}

const tooLarge = (kind: 'zip' | 'gzip', size: number): string =>
  `the ${kind} unpacks to ${quantity(size / 1e6, 'MB', 1)}; at most ` +
  `${quantity(UNPACKED_BYTES_MAX / 1e6, 'MB', 1)} are read`;

const notUnpacked = (kind: 'zip' | 'gzip', error: unknown): string =>
  `the ${kind} cannot be unpacked (${error instanceof Error ? error.message : 'unknown reason'}); it is cut off or ` +
  'damaged';

/** The one file of a gzip, or a sentence. */
function inGzip(bytes: Uint8Array): PackedFile[] | string {
  if (bytes.length < 18) return notUnpacked('gzip', new Error('unexpected EOF'));
  // The last four bytes of a gzip hold the size of what is inside (RFC 1952 §2.3.1).
  const size = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength).getUint32(bytes.length - 4, true);
  if (size <= UNPACKED_BYTES_MAX) return [{ name: 'the gzip', unpack: () => gunzipSync(bytes) }];
  return `${tooLarge('gzip', size)}; or it is cut off`;
}

/** The files of a zip, not yet unpacked, or a sentence. */
function inZip(bytes: Uint8Array): PackedFile[] | string {
  const names = new Set<string>();
  // Each counts, also where several have one name.
  let count = 0;
  let total = 0;
  try {
    unzipSync(bytes, {
      filter: ({ name, originalSize }) => {
        if (name.endsWith('/') || name.startsWith('__MACOSX/')) return false;
        names.add(name);
        count += 1;
        total += originalSize;
        return false;
      },
    });
  } catch (error) {
    return notUnpacked('zip', error);
  }
  if (total > UNPACKED_BYTES_MAX) return tooLarge('zip', total);
  if (count > ENTRIES_MAX) return `the zip holds ${count} files; at most ${ENTRIES_MAX} are read`;
  return [...names].map((name) => ({
    name,
    unpack: () => unzipSync(bytes, { filter: (entry) => entry.name === name })[name] ?? new Uint8Array(),
  }));
}

/** The file unpacked, or a sentence. */
function unpacked(file: PackedFile, kind: 'zip' | 'gzip'): Uint8Array | string {
  try {
    return file.unpack();
  } catch (error) {
    return notUnpacked(kind, error);
  }
}

async function readPacked(bytes: Uint8Array, kind: 'zip' | 'gzip', options: WindFileOptions): Promise<Read<WindFile>> {
  const files = kind === 'gzip' ? inGzip(bytes) : inZip(bytes);
  if (typeof files === 'string') return nothing(files);
  if (files.length === 0) return nothing('the zip holds no file');
  const decoded: DecodedWinds[] = [];
  const grids: WindGrid[] = [];
  const problems: Problem[] = [];
  let text = 0;
  for (const [k, file] of files.entries()) {
    const inside = unpacked(file, kind);
    if (typeof inside !== 'string' && !isPacked(inside) && binaryReader(inside) === null) text += inside.length;
    if (text > TEXT_BYTES_MAX) {
      problems.push({
        line: 0,
        text:
          `${files.length - k} of ${files.length} files of the ${kind} not read: of the texts in it at most ` +
          `${quantity(TEXT_BYTES_MAX / 1e6, 'MB', 1)} are`,
      });
      break;
    }
    const read =
      typeof inside === 'string'
        ? nothing(inside)
        : isPacked(inside)
          ? nothing(`an archive inside the ${kind}; unpack it first`)
          : await readPlain(inside, options);
    decoded.push(...read.value.decoded);
    grids.push(...read.value.grids);
    const name = files.length > 1 ? `${shown(file.name)}: ` : '';
    problems.push(...read.problems.map(({ line, text }) => ({ line, text: `${name}${text}` })));
  }
  return { value: { decoded, grids }, problems };
}

const binaryReader = (bytes: Uint8Array): BinaryReader | null => BINARY_READERS.find((one) => one.is(bytes)) ?? null;

async function readPlain(bytes: Uint8Array, options: WindFileOptions): Promise<Read<WindFile>> {
  const binary = binaryReader(bytes);
  if (binary !== null) return binary.read(bytes, options);
  const text = decodeText(bytes);
  if (text.value === '') return { value: { decoded: [], grids: [] }, problems: text.problems };
  const reader = textReader(text.value);
  if (reader === null) return readUnknown(text.value);
  const read = await reader.read(text.value, options);
  return reader.measured === true ? measured(read) : profiles(read);
}

/** Without control characters and direction marks, and short enough for one look. */
function tidy({ line, text }: Problem): Problem {
  // eslint-disable-next-line no-control-regex -- these are what is taken out
  const plain = text.replace(/[\u0000-\u001f\u007f-\u009f\u200e\u200f\u2028-\u202e\u2066-\u2069]/g, '·');
  return { line, text: plain.length > SENTENCE_MAX ? `${plain.slice(0, SENTENCE_MAX - 1)}…` : plain };
}

/** What readers call a source that does not name itself; the file's name is then said after it. */
const NAMELESS = new Set(['wind table', 'upper-air listing', 'dropsonde']);

/**
 * Decodes a wind file.
 *
 * file      its name decides nothing, it only names a source that has no name of its own; `bytes` are not changed
 * returns   all profiles and grids in it, and every problem; where nothing could be read, no profile and at least one
 *           problem
 */
export async function readWindFile(
  file: { readonly name: string; readonly bytes: Uint8Array },
  options: WindFileOptions = {},
): Promise<Read<WindFile>> {
  const packed = isZip(file.bytes) ? 'zip' : isGzip(file.bytes) ? 'gzip' : null;
  const read = await (packed === null ? readPlain(file.bytes, options) : readPacked(file.bytes, packed, options));
  const name = file.name.split(/[/\\]/).at(-1) ?? '';
  const decoded = read.value.decoded.map((found) => {
    const source = checkedWinds(found);
    return NAMELESS.has(source.source) ? { ...source, source: `${source.source} ${name}` } : source;
  });
  const before = new Set(read.value.decoded.flatMap((source) => source.problems));
  const checks = decoded.flatMap((source) =>
    source.problems
      .filter((problem) => !before.has(problem))
      .map(({ line, text }) => ({ line, text: decoded.length > 1 ? `${source.source}: ${text}` : text })),
  );
  return { value: { decoded, grids: read.value.grids }, problems: [...read.problems, ...checks].map(tidy) };
}
