// From bytes to the fields of a GRIB2 file: messages, their sections 0 to 8, sections repeated within a message.
// Source: WMO-No. 306, Manual on Codes, vol. I.2, FM 92 GRIB edition 2.
import type { Problem } from '../../../base/problem.ts';
import { Octets } from './octets.ts';

/** One field as it lies in the file: its sections, not yet decoded. */
export interface RawField {
  /** Counts from 1: the message, and the field within it. */
  readonly message: number;
  readonly field: number;
  readonly discipline: number;
  readonly identification: Octets;
  readonly grid: Octets;
  readonly product: Octets;
  readonly packing: Octets;
  /** The bitmap section in force (a repeated one is resolved); null where every point has a value. */
  readonly bitmap: Octets | null;
  /**
   * Octet 6 of the bitmap section: 0 a bitmap follows, 255 none, anything else is one that the centre agreed on
   * elsewhere.
   */
  readonly bitmapKind: number;
  readonly data: Octets;
}

export interface RawFields {
  readonly fields: readonly RawField[];
  readonly messages: number;
  /** Messages of edition 1, which has another form. */
  readonly edition1: number;
  readonly problems: readonly Problem[];
}

/** Shortest lengths of sections 1 to 7, by number. */
const SHORTEST = [0, 21, 5, 15, 9, 11, 6, 5];

interface Parts {
  identification: Octets | null;
  grid: Octets | null;
  product: Octets | null;
  packing: Octets | null;
  bitmap: Octets | null;
  bitmapKind: number;
  bitmapSeen: boolean;
}

interface Walk {
  readonly fields: RawField[];
  /** Where the walk stopped. */
  readonly end: number;
  readonly wrong: string | null;
  /** It ended with "7777". */
  readonly whole: boolean;
}

/** Every field of every message. Bytes that make no sense become problems; the messages around them are still read. */
export function rawFields(bytes: Uint8Array): RawFields {
  const fields: RawField[] = [];
  const problems: Problem[] = [];
  let messages = 0;
  let edition1 = 0;
  let at = 0;
  let outside = 0;
  for (;;) {
    const start = nextMessage(bytes, at);
    outside += strayBytes(bytes, at, start === -1 ? bytes.length : start);
    if (start === -1) break;
    const head = new Octets(bytes.subarray(start, Math.min(start + 16, bytes.length)));
    const edition = head.octet(8);
    if (edition === 1) {
      edition1 += 1;
      at = start + Math.max(8, Math.min(head.unsigned(5, 3), bytes.length - start));
      continue;
    }
    if (edition !== 2 || head.length < 16) {
      const text =
        head.length < 16
          ? `"GRIB" at byte ${start} and then the end`
          : `"GRIB" at byte ${start} of edition ${edition}; expected 2`;
      problems.push({ line: messages + 1, text });
      at = start + 4;
      continue;
    }
    messages += 1;
    const declared = head.unsigned(9, 8);
    const walk = walkMessage(bytes, start, declared, head.octet(7), messages);
    if (walk.wrong !== null) problems.push({ line: messages, text: `message ${messages}: ${walk.wrong}` });
    // A message that does not come to its end may have swallowed the start of the next: that is looked for within it;
    // if it is found, the broken message is dropped.
    const within = walk.whole ? -1 : nextMessage(bytes, start + 4);
    if (walk.whole || within === -1) fields.push(...walk.fields);
    at = within === -1 ? walk.end : within;
  }
  if (outside > 0) problems.push({ line: 0, text: `${outside} bytes outside the GRIB messages were passed over` });
  return { fields, messages, edition1, problems };
}

/** Position of the next "GRIB", −1 without one. */
function nextMessage(bytes: Uint8Array, from: number): number {
  for (let at = from; ; at++) {
    at = bytes.indexOf(0x47, at);
    if (at === -1 || at + 8 > bytes.length) return -1;
    if (bytes[at + 1] === 0x52 && bytes[at + 2] === 0x49 && bytes[at + 3] === 0x42) return at;
  }
}

/**
 * Bytes between messages that are neither padding nor a bulletin heading (WMO headings stay under 100 printable
 * characters).
 */
function strayBytes(bytes: Uint8Array, from: number, to: number): number {
  let stray = 0;
  let heading = to - from <= 100;
  for (let at = from; at < to; at++) {
    const byte = bytes[at] ?? 0;
    if (byte === 0) continue;
    stray += 1;
    heading = heading && byte < 127;
  }
  return heading ? 0 : stray;
}

function walkMessage(bytes: Uint8Array, start: number, declared: number, discipline: number, message: number): Walk {
  const fields: RawField[] = [];
  const parts: Parts = {
    identification: null,
    grid: null,
    product: null,
    packing: null,
    bitmap: null,
    bitmapKind: 255,
    bitmapSeen: false,
  };
  const stop = start + declared;
  let at = start + 16;
  const answer = (wrong: string | null, whole = false): Walk => ({ fields, end: at, wrong, whole });
  for (;;) {
    if (at + 4 > bytes.length) return answer(`cut short: ${bytes.length - start} of ${declared} bytes are there`);
    if (bytes[at] === 0x37 && bytes[at + 1] === 0x37 && bytes[at + 2] === 0x37 && bytes[at + 3] === 0x37) {
      at += 4;
      return answer(
        at === stop ? null : `ends after ${at - start} bytes where its head says ${declared}; its fields were used`,
        true,
      );
    }
    const length = new Octets(bytes.subarray(at, at + 4)).unsigned(1, 4);
    const number = bytes[at + 4] ?? 0;
    if (at + length > bytes.length && length >= 5 && number >= 1 && number <= 7 && stop > bytes.length) {
      at = bytes.length;
      return answer(`cut short in section ${number}: ${bytes.length - start} of ${declared} bytes are there`);
    }
    const shortest = SHORTEST[number];
    if (shortest === undefined || number === 0 || length < shortest || at + length > bytes.length) {
      return answer(
        `at its byte ${at - start} a section number ${number} of ${length} bytes; expected a section 1 to 7 or "7777"`,
      );
    }
    const section = new Octets(bytes.subarray(at, at + length));
    at += length;
    const wrong = takeSection(parts, number, section, { fields, discipline, message });
    if (wrong !== null) return answer(wrong);
  }
}

/** Where a completed field goes, and what the message's head says of it. */
interface Into {
  readonly fields: RawField[];
  readonly discipline: number;
  readonly message: number;
}

/** Takes one section in; a data section completes a field. */
function takeSection(parts: Parts, number: number, section: Octets, into: Into): string | null {
  if (number === 1) parts.identification = section;
  else if (number === 3) parts.grid = section;
  else if (number === 4) parts.product = section;
  else if (number === 5) parts.packing = section;
  else if (number === 6) {
    const kind = section.octet(6);
    if (kind === 254 && !parts.bitmapSeen) return 'refers to an earlier bitmap, but has none';
    if (kind === 254) return null;
    parts.bitmapKind = kind;
    parts.bitmap = kind === 0 ? section : null;
    parts.bitmapSeen = true;
  } else if (number === 7) {
    const { identification, grid, product, packing, bitmap, bitmapKind } = parts;
    if (identification === null || grid === null || product === null || packing === null) {
      return 'has data before sections 1, 3, 4 and 5';
    }
    const { fields, discipline, message } = into;
    fields.push({
      message,
      field: fields.length + 1,
      discipline,
      identification,
      grid,
      product,
      packing,
      bitmap,
      bitmapKind,
      data: section,
    });
  }
  return null;
}
