// Complex packing of GRIB2, with and without spatial differencing: groups, each with its own reference, width and
// length. Source: WMO-No. 306, vol. I.2, data representation templates 5.2 and 5.3, data templates 7.2 and 7.3, with
// their notes.
import { Bits, Octets } from './octets.ts';

/**
 * The packed integers before scaling; NaN where the packing marks a value missing.
 *
 * packing      section 5
 * data         section 7 from its octet 6
 * differences  true for template 5.3
 */
export function complexIntegers(
  packing: Octets,
  data: Uint8Array,
  count: number,
  differences: boolean,
): Float64Array | string {
  const groups = packing.unsigned(32, 4);
  if (groups > count) return `${groups} groups for ${count} values`;
  if (count === 0 || groups === 0) return new Float64Array(count);
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
  const values = unpackGroups(packing, reader, groups, count, management);
  if (typeof values === 'string') return values;
  if (order > 0) integrate(values, order, first, least);
  return values;
}

function unpackGroups(
  packing: Octets,
  reader: Bits,
  groups: number,
  count: number,
  management: number,
): Float64Array | string {
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
    const read = Float64Array.from({ length: groups }, () => reader.read(size));
    reader.align();
    return read;
  };
  const references = list(bits);
  const widths = list(widthBits);
  const lengths = list(lengthBits);
  if (reader.overrun) return `${reader.bytes.length} bytes of data; the descriptions of ${groups} groups need more`;
  const out = new Float64Array(count);
  const allOnes = 2 ** bits - 1;
  let at = 0;
  for (let g = 0; g < groups; g++) {
    const width = widthReference + (widths[g] ?? 0);
    const length = g === groups - 1 ? lastLength : lengthReference + (lengths[g] ?? 0) * lengthStep;
    if (width > 32 || at + length > count)
      return `group ${g + 1} of ${groups}: ${length} values of ${width} bits, too many`;
    const reference = references[g] ?? 0;
    if (width === 0) {
      // A group without bits is missing as a whole where its reference is all ones (or one less, for the secondary
      // mark).
      const gone = (management >= 1 && reference === allOnes) || (management === 2 && reference === allOnes - 1);
      out.fill(gone ? NaN : reference, at, at + length);
    } else {
      const primary = management >= 1 ? 2 ** width - 1 : -1;
      const secondary = management === 2 ? 2 ** width - 2 : -1;
      for (let k = at; k < at + length; k++) {
        const x = reader.read(width);
        out[k] = x === primary || x === secondary ? NaN : reference + x;
      }
    }
    at += length;
  }
  if (at !== count) return `groups with ${at} values for ${count}`;
  if (reader.overrun) return `${reader.bytes.length} bytes of data; ${count} values in ${groups} groups need more`;
  return out;
}

/**
 * Undoes the differences in place. Missing values take no part: the differences were taken over those that are there.
 */
function integrate(values: Float64Array, order: number, first: readonly number[], least: number): void {
  let before = 0;
  let last = 0;
  let seen = 0;
  for (let k = 0; k < values.length; k++) {
    const difference = values[k] ?? NaN;
    if (Number.isNaN(difference)) continue;
    const value =
      seen < order
        ? (first[seen] ?? 0)
        : order === 1
          ? difference + least + last
          : difference + least + 2 * last - before;
    values[k] = value;
    before = last;
    last = value;
    seen += 1;
  }
}
