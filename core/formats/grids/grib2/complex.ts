// Complex packing of GRIB2, with and without spatial differencing: groups, each with its own reference, width and
// length. Source: WMO-No. 306, vol. I.2, data representation templates 5.2 and 5.3, data templates 7.2 and 7.3, with
// their notes.
import { Bits, Octets, type Wanted } from './octets.ts';

/**
 * The packed integers at some places before scaling; NaN where the packing marks a value missing. What stands behind
 * the last of them is not unpacked: of a field of the globe most is far from any site.
 *
 * packing      section 5
 * data         section 7 from its octet 6
 * differences  true for template 5.3
 */
export function complexIntegers(
  packing: Octets,
  data: Uint8Array,
  { count, at }: Wanted,
  differences: boolean,
): Float64Array | string {
  const groups = packing.unsigned(32, 4);
  if (groups > count) return `${groups} groups for ${count} values`;
  if (count === 0 || groups === 0) return new Float64Array(at.length);
  const order = differences ? packing.octet(48) : 0;
  const size = differences ? packing.octet(49) : 0;
  // Order 0 is reserved, but written for plain complex packing under this number: then nothing stands before the
  // groups.
  if (differences && !(order <= 2 && size <= 6)) {
    return `spatial differences of order ${order} in ${size} octets; expected order 0 to 2 in up to 6`;
  }
  const management = packing.octet(23);
  if (management > 2) return `missing values by rule ${management} of code table 5.5; expected 0, 1 or 2`;
  // 0 octets: the first values and the smallest difference are 0 (seen where a whole field is one value).
  const extra = new Octets(data);
  const first = Array.from({ length: order }, (_, k) => extra.signed(1 + k * size, size));
  const least = order > 0 ? extra.signed(1 + order * size, size) : 0;
  const reader = new Bits(data, (order > 0 ? (order + 1) * size : 0) * 8);
  const read = readGroups(packing, reader, groups, count);
  return typeof read === 'string'
    ? read
    : unpackGroups(read, reader, at, { order, first, least, seen: 0, last: 0, step: 0 });
}

interface Groups {
  readonly references: Float64Array;
  /** Bits of each value, 0 to 32. */
  readonly widths: Float64Array;
  readonly lengths: Float64Array;
  /** A reference of all bits set. */
  readonly allOnes: number;
  /** Code table 5.5: 0, 1 or 2 marks of missing values. */
  readonly management: number;
}

/** What is said of the groups; a sentence where they are not `count` values, or the data are too short for them. */
function readGroups(packing: Octets, reader: Bits, groups: number, count: number): Groups | string {
  const bits = packing.octet(20);
  const [widthReference, widthBits] = [packing.octet(36), packing.octet(37)];
  const [lengthReference, lengthStep, lastLength] = [
    packing.unsigned(38, 4),
    packing.octet(42),
    packing.unsigned(43, 4),
  ];
  const lengthBits = packing.octet(47);
  if (widthBits > 32 || lengthBits > 32)
    return `group widths of ${widthBits} and lengths of ${lengthBits} bits; expected up to 32`;
  const list = (size: number): Float64Array => {
    const read = new Float64Array(groups);
    reader.list(size, groups, read);
    reader.align();
    return read;
  };
  const references = list(bits);
  const widths = list(widthBits);
  const lengths = list(lengthBits);
  const { length } = reader.bytes;
  if (reader.overrun) return `${length} bytes of data; the descriptions of ${groups} groups need more`;
  let values = 0;
  let needed = reader.at;
  for (let g = 0; g < groups; g++) {
    const width = widthReference + (widths[g] ?? 0);
    const size = g === groups - 1 ? lastLength : lengthReference + (lengths[g] ?? 0) * lengthStep;
    values += size;
    if (width > 32 || values > count) return `group ${g + 1} of ${groups}: ${size} values of ${width} bits, too many`;
    needed += width * size;
    widths[g] = width;
    lengths[g] = size;
  }
  if (values !== count) return `groups with ${values} values for ${count}`;
  if (needed > 8 * length) return `${length} bytes of data; ${count} values in ${groups} groups need more`;
  return { references, widths, lengths, allOnes: 2 ** bits - 1, management: packing.octet(23) };
}

/** So many values are unpacked at once: a group may be as long as the field. */
const PIECE = 4096;

/** The values at `at`, group by group, up to the last that is wanted. */
function unpackGroups(groups: Groups, reader: Bits, at: Int32Array, sums: Sums): Float64Array {
  const { widths, lengths } = groups;
  const out = new Float64Array(at.length);
  const piece = new Float64Array(PIECE);
  let wanted = 0;
  let start = 0;
  for (let g = 0; g < lengths.length; g++) {
    const groupEnd = start + (lengths[g] ?? 0);
    while (start < groupEnd && wanted < at.length) {
      const end = Math.min(start + PIECE, groupEnd);
      // Without differences a value is of no use to those behind it.
      if (sums.order > 0 || (at[wanted] ?? end) < end) {
        unpackPiece(groups, g, reader, piece, end - start);
        if (sums.order > 0) addUp(piece, end - start, sums);
        for (; wanted < at.length && (at[wanted] ?? end) < end; wanted++)
          out[wanted] = piece[(at[wanted] ?? 0) - start] ?? NaN;
      } else reader.at += (widths[g] ?? 0) * (end - start);
      start = end;
    }
    if (wanted >= at.length) break;
  }
  return out;
}

/** The next `length` values of a group into `out`. */
function unpackPiece(
  { references, widths, allOnes, management }: Groups,
  g: number,
  reader: Bits,
  out: Float64Array,
  length: number,
): void {
  const [width, reference] = [widths[g] ?? 0, references[g] ?? 0];
  if (width === 0) {
    // A group without bits is missing as a whole where its reference is all ones (or one less, for the secondary mark).
    const gone = (management >= 1 && reference === allOnes) || (management === 2 && reference === allOnes - 1);
    out.fill(gone ? NaN : reference, 0, length);
    return;
  }
  reader.list(width, length, out, reference);
  if (management === 0) return;
  const primary = reference + 2 ** width - 1;
  const secondary = management === 2 ? primary - 1 : primary;
  for (let k = 0; k < length; k++) if (out[k] === primary || out[k] === secondary) out[k] = NaN;
}

/** How spatial differences of `order` 1 or 2 are undone, and how far that has come. Order 0: none were taken. */
interface Sums {
  readonly order: number;
  readonly first: readonly number[];
  readonly least: number;
  /** Values that were there, the last of them, and its difference to the one before. */
  seen: number;
  last: number;
  step: number;
}

/**
 * Undoes the differences of the next values in place. Missing values take no part: the differences were taken over
 * those that are there.
 */
function addUp(values: Float64Array, count: number, sums: Sums): void {
  const { order, first, least } = sums;
  let { seen, last, step } = sums;
  let k = 0;
  for (; k < count && seen < order; k++) {
    if (Number.isNaN(values[k])) continue;
    step = (first[seen] ?? 0) - last;
    last += step;
    seen += 1;
    values[k] = last;
  }
  for (; k < count; k++) {
    const difference = (values[k] ?? NaN) + least;
    if (Number.isNaN(difference)) continue;
    step = order === 1 ? difference : step + difference;
    last += step;
    values[k] = last;
  }
  sums.seen = seen;
  sums.last = last;
  sums.step = step;
}
