// Any wind file, recognised by what is in it and never by its name, decoded by the reader of its kind.
// Kinds: GRIB2, netCDF; bulletins of TEMP, PILOT, METAR and FB, alone or mixed; upper-air listing, IGRA v2, mesonet
// JSON, dropsonde samples, tables with named columns; each also inside a zip or gzip. The readers of the binary and of
// the coded kinds are loaded when first needed.
import { gunzipSync, unzipSync } from 'fflate';
import { never } from '../../base/problem.ts';
import type { Problem, Read } from '../../base/problem.ts';
import type { LonLat } from '../../base/units.ts';
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
  /** Profiles, one a station and time. */
  readonly decoded: readonly DecodedWinds[];
  /** Gridded forecasts, whole. */
  readonly grids: readonly WindGrid[];
}

export interface WindFileOptions {
  /** Where a gridded forecast is wanted as a profile. */
  readonly near?: LonLat;
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

type BinaryKind = 'GRIB' | 'netCDF' | 'zip' | 'gzip';
export type TextKind =
  'mesonet JSON' | 'IGRA' | 'FB' | 'TEMP' | 'PILOT' | 'listing' | 'METAR' | 'dropsonde' | 'table' | 'unknown';

const startsWith = (bytes: Uint8Array, ...wanted: number[]): boolean => wanted.every((byte, i) => bytes[i] === byte);

/** GRIB messages may stand behind a bulletin heading: the word is looked for in the first bytes. */
function hasGribMark(bytes: Uint8Array): boolean {
  for (let i = 0; i + 4 <= Math.min(bytes.length, 256); i++) {
    if (startsWith(bytes.subarray(i, i + 4), 0x47, 0x52, 0x49, 0x42))
      return i === 0 || bytes[i + 7] === 1 || bytes[i + 7] === 2;
  }
  return false;
}

/** The kind of a binary file by its first bytes; null where it is to be read as text. */
function binaryKind(bytes: Uint8Array): BinaryKind | null {
  if (hasGribMark(bytes)) return 'GRIB';
  if (startsWith(bytes, 0x43, 0x44, 0x46) && [1, 2, 5].includes(bytes[3] ?? 0)) return 'netCDF';
  if (startsWith(bytes, 0x89, 0x48, 0x44, 0x46, 0x0d, 0x0a, 0x1a, 0x0a)) return 'netCDF';
  if (startsWith(bytes, 0x50, 0x4b, 0x03, 0x04) || startsWith(bytes, 0x50, 0x4b, 0x05, 0x06)) return 'zip';
  return startsWith(bytes, 0x1f, 0x8b) ? 'gzip' : null;
}

const TEMP_PART = /(?:^|\s)(?:TT|UU|XX|II)(?:AA|BB|CC|DD)\s/;
const PILOT_PART = /(?:^|\s)(?:PP|QQ|EE)(?:AA|BB|CC|DD)\s/;
const METAR_REPORT = /(?:^|\s)(?:(?:METAR|SPECI)|[A-Z][A-Z0-9]{3}\s+\d{6}Z)\s/;

/** The kind of a text, by what stands in it. */
export function textKind(text: string): TextKind {
  const start = text.trimStart();
  if (start.startsWith('{') || start.startsWith('[')) return 'mesonet JSON';
  // The marks of every kind stand near its beginning; a page around a listing is a few kB.
  const head = text.slice(0, 100_000);
  const lines = linesOf(head);
  if (lines.some((line) => IGRA_HEADER.test(line))) return 'IGRA';
  if (lines.some((line) => FB_HEADER.test(line))) return 'FB';
  if (lines.some(isListingHeader)) return 'listing';
  if (lines.some(isDropsondeHeader)) return 'dropsonde';
  if (TEMP_PART.test(head)) return 'TEMP';
  if (PILOT_PART.test(head)) return 'PILOT';
  if (METAR_REPORT.test(head)) return 'METAR';
  return isTable(head) ? 'table' : 'unknown';
}

const profiles = (read: Read<DecodedWinds[]>): Read<WindFile> => ({
  value: { decoded: read.value, grids: [] },
  problems: read.problems,
});

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
    `no wind file that is known: the first line is ${shown(first.trim())}; expected ${kinds}, such as height_m,from_deg,speed_kt`,
  );
}

async function readText(text: string, options: WindFileOptions): Promise<Read<WindFile>> {
  const station = options.station === undefined ? {} : { station: options.station };
  const reference = options.reference_s === undefined ? {} : { reference_s: options.reference_s };
  const kind = textKind(text);
  switch (kind) {
    case 'mesonet JSON':
      return profiles(readMesonet(text, station));
    case 'IGRA':
      return profiles(readIgra(text, station));
    case 'listing':
      return profiles(readListing(text));
    case 'dropsonde':
      return profiles(readDropsonde(text));
    case 'FB':
    case 'TEMP':
    case 'PILOT':
    case 'METAR':
      return profiles((await import('./bulletins.ts')).readBulletins(text, { ...station, ...reference }));
    case 'table':
      return profiles(readCsv(text));
    case 'unknown':
      return readUnknown(text);
    default:
      return never(kind);
  }
}

const megabytes = (bytes: number): string => `${(bytes / 1e6).toFixed(1)} MB`;

/** The files of a zip, or the one of a gzip; a sentence where it cannot be unpacked. */
function unpack(bytes: Uint8Array, kind: 'zip' | 'gzip'): { name: string; bytes: Uint8Array }[] | string {
  try {
    if (kind === 'gzip') {
      // The last four bytes of a gzip hold the size of what is inside (RFC 1952 §2.3.1).
      const size = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength).getUint32(bytes.length - 4, true);
      if (size > UNPACKED_BYTES_MAX) {
        return `the gzip says that it unpacks to ${megabytes(size)}, of which at most ${megabytes(UNPACKED_BYTES_MAX)} are read; or it is cut off`;
      }
      return [{ name: 'the gzip', bytes: gunzipSync(bytes) }];
    }
    let total = 0;
    let count = 0;
    const entries = unzipSync(bytes, {
      filter: (entry) => {
        if (entry.name.endsWith('/') || entry.name.startsWith('__MACOSX/')) return false;
        total += entry.originalSize;
        count += 1;
        return total <= UNPACKED_BYTES_MAX && count <= ENTRIES_MAX;
      },
    });
    if (total > UNPACKED_BYTES_MAX)
      return `the zip unpacks to ${megabytes(total)}; at most ${megabytes(UNPACKED_BYTES_MAX)} are read`;
    if (count > ENTRIES_MAX) return `the zip holds ${count} files; at most ${ENTRIES_MAX} are read`;
    return Object.entries(entries).map(([name, inside]) => ({ name, bytes: inside }));
  } catch (error) {
    const why = error instanceof Error ? error.message : 'unknown reason';
    return `the ${kind} cannot be unpacked (${why}); it is cut off or damaged`;
  }
}

async function readPacked(bytes: Uint8Array, kind: 'zip' | 'gzip', options: WindFileOptions): Promise<Read<WindFile>> {
  const files = unpack(bytes, kind);
  if (typeof files === 'string') return nothing(files);
  if (files.length === 0) return nothing('the zip holds no file');
  const decoded: DecodedWinds[] = [];
  const grids: WindGrid[] = [];
  const problems: Problem[] = [];
  let text = 0;
  for (const [k, file] of files.entries()) {
    const inner = binaryKind(file.bytes);
    if (inner === null) text += file.bytes.length;
    if (text > TEXT_BYTES_MAX) {
      problems.push({
        line: 0,
        text: `${files.length - k} of ${files.length} files of the ${kind} not read: of the texts in it at most ${megabytes(TEXT_BYTES_MAX)} are`,
      });
      break;
    }
    const read =
      inner === 'zip' || inner === 'gzip'
        ? nothing(`an archive inside the ${kind}; unpack it first`)
        : await readPlain(file.bytes, options);
    decoded.push(...read.value.decoded);
    grids.push(...read.value.grids);
    const name = files.length > 1 ? `${shown(file.name)}: ` : '';
    problems.push(...read.problems.map(({ line, text }) => ({ line, text: `${name}${text}` })));
  }
  return { value: { decoded, grids }, problems };
}

async function readPlain(bytes: Uint8Array, options: WindFileOptions): Promise<Read<WindFile>> {
  const near = options.near === undefined ? {} : { near: options.near };
  const kind = binaryKind(bytes);
  if (kind === 'GRIB') return (await import('../grids/grib2.ts')).readGrib2(bytes, near);
  if (kind === 'netCDF') return (await import('../grids/netcdf.ts')).readNetcdf(bytes, near);
  const text = decodeText(bytes);
  return text.value === ''
    ? { value: { decoded: [], grids: [] }, problems: text.problems }
    : readText(text.value, options);
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
  const kind = binaryKind(file.bytes);
  const read = await (kind === 'zip' || kind === 'gzip'
    ? readPacked(file.bytes, kind, options)
    : readPlain(file.bytes, options));
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
