// The first directory of a TIFF or BigTIFF: tags and their values, each checked to lie inside the file before it is
// read, so that a damaged count is a sentence and not a list of four thousand million numbers. TIFF 6.0 (1992) §2;
// BigTIFF (2007).

/** Bytes of one value by field type; index 0 is no type. 13: IFD; 16 to 18: the 8-byte integers of BigTIFF. */
const TYPE_BYTES = [0, 1, 1, 2, 4, 8, 1, 1, 2, 4, 8, 4, 8, 4, 0, 0, 8, 8, 8];

interface Field {
  readonly type: number;
  readonly count: number;
  readonly at: number;
}

export const looksLikeTiff = (bytes: Uint8Array): boolean => {
  const [a, b, c, d] = bytes;
  return (
    (a === 0x49 && b === 0x49 && (c === 42 || c === 43) && d === 0) ||
    (a === 0x4d && b === 0x4d && c === 0 && (d === 42 || d === 43))
  );
};

export class TiffDirectory {
  readonly view: DataView;
  readonly little: boolean;
  readonly #fields: ReadonlyMap<number, Field>;

  constructor(view: DataView, little: boolean, fields: ReadonlyMap<number, Field>) {
    this.view = view;
    this.little = little;
    this.#fields = fields;
  }

  has(tag: number): boolean {
    return this.#fields.has(tag);
  }

  /** How many values a tag has; 0 where it is missing. */
  count(tag: number): number {
    return this.#fields.get(tag)?.count ?? 0;
  }

  /** All values of a tag as numbers; empty where it is missing. Fractions are divided out. */
  numbers(tag: number): number[] {
    const field = this.#fields.get(tag);
    if (field === undefined) return [];
    return Array.from({ length: field.count }, (_, k) =>
      this.#value(field.type, field.at + k * (TYPE_BYTES[field.type] ?? 1)),
    );
  }

  first(tag: number): number | null {
    const field = this.#fields.get(tag);
    return field === undefined || field.count < 1 ? null : this.#value(field.type, field.at);
  }

  /** A tag's text up to its closing zero; null where it is missing. */
  text(tag: number): string | null {
    const field = this.#fields.get(tag);
    if (field === undefined) return null;
    let out = '';
    for (let k = 0; k < Math.min(field.count, 100_000); k++) {
      const code = this.view.getUint8(field.at + k);
      if (code === 0) break;
      out += String.fromCharCode(code);
    }
    return out;
  }

  #value(type: number, at: number): number {
    const { view, little } = this;
    switch (type) {
      case 3:
        return view.getUint16(at, little);
      case 4:
      case 13:
        return view.getUint32(at, little);
      case 5:
        return view.getUint32(at, little) / view.getUint32(at + 4, little);
      case 6:
        return view.getInt8(at);
      case 8:
        return view.getInt16(at, little);
      case 9:
        return view.getInt32(at, little);
      case 10:
        return view.getInt32(at, little) / view.getInt32(at + 4, little);
      case 11:
        return view.getFloat32(at, little);
      case 12:
        return view.getFloat64(at, little);
      case 16:
      case 18:
        return Number(view.getBigUint64(at, little));
      case 17:
        return Number(view.getBigInt64(at, little));
      default:
        return view.getUint8(at);
    }
  }
}

/** The first directory, or a sentence why there is none. An entry that does not fit into the file spoils the whole. */
export function readDirectory(bytes: Uint8Array): TiffDirectory | string {
  if (!looksLikeTiff(bytes)) return 'not a TIFF: it begins with neither II nor MM and 42 or 43';
  const little = bytes[0] === 0x49;
  const big = (little ? bytes[2] : bytes[3]) === 43;
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const word = (at: number): number => {
    if (!(at >= 0 && at + (big ? 8 : 4) <= bytes.length)) return NaN;
    return big ? Number(view.getBigUint64(at, little)) : view.getUint32(at, little);
  };
  const start = big ? word(8) : word(4);
  const head = big ? 8 : 2;
  if (!(start >= 8 && start + head <= bytes.length))
    return `a directory at byte ${start} of ${bytes.length}; the file is cut off`;
  const count = big ? word(start) : view.getUint16(start, little);
  const entryBytes = big ? 20 : 12;
  if (!(count >= 1 && count <= 4096 && start + head + count * entryBytes <= bytes.length)) {
    return `a directory of ${count} entries at byte ${start} of ${bytes.length}; the file is cut off or damaged`;
  }
  const fields = new Map<number, Field>();
  for (let k = 0; k < count; k++) {
    const at = start + head + k * entryBytes;
    const tag = view.getUint16(at, little);
    const type = view.getUint16(at + 2, little);
    const values = word(at + 4);
    const size = (TYPE_BYTES[type] ?? 0) * values;
    if (!(size > 0)) continue;
    const inline = at + (big ? 12 : 8);
    const place = size <= (big ? 8 : 4) ? inline : word(inline);
    if (!(place + size <= bytes.length))
      return `tag ${tag} holds ${values} values, which do not fit into ${bytes.length} bytes; the file is cut off or damaged`;
    fields.set(tag, { type, count: values, at: place });
  }
  return new TiffDirectory(view, little, fields);
}
