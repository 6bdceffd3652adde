// GRIB2 files taken apart into their messages, and put together again with others between them.
// Source: WMO-No. 306, Manual on Codes, vol. I.2, FM 92 GRIB edition 2.

/** One message of a file; where its sections begin, by number. */
export interface Message {
  readonly bytes: Uint8Array;
  readonly sections: ReadonlyMap<number, number>;
}

const u32 = (bytes: Uint8Array, at: number): number =>
  new DataView(bytes.buffer, bytes.byteOffset + at, 4).getUint32(0);

export function messagesOf(file: Uint8Array): Message[] {
  const messages: Message[] = [];
  for (let start = 0; start < file.length; start += u32(file, start + 12)) {
    const bytes = file.slice(start, start + u32(file, start + 12));
    const sections = new Map<number, number>();
    for (let at = 16; at < bytes.length - 4; at += u32(bytes, at)) sections.set(bytes[at + 4] ?? 0, at);
    messages.push({ bytes, sections });
  }
  return messages;
}

/** Temperature, u, v and geopotential height. */
const USED = new Set(['0.0', '2.2', '2.3', '3.5']);

export function isUsed({ bytes, sections }: Message): boolean {
  const product = sections.get(4) ?? 0;
  return bytes[6] === 0 && USED.has(`${bytes[product + 9]}.${bytes[product + 10]}`);
}

/** The same with a packing that nobody knows and every byte of its data spoilt. */
export function spoilt({ bytes, sections }: Message): Uint8Array {
  const out = Uint8Array.from(bytes);
  out.set([0x7f, 0xff], (sections.get(5) ?? 0) + 9);
  out.fill(0xa5, (sections.get(7) ?? 0) + 5, bytes.length - 4);
  return out;
}

export const joined = (parts: readonly Uint8Array[]): Uint8Array => new Uint8Array(Buffer.concat(parts));

const LONG_BYTES = 10_000_000;

/** The same made ten megabytes long by its data, all of which but the first bytes is zero. */
function lengthened({ bytes, sections }: Message): Uint8Array {
  const data = sections.get(7) ?? 0;
  const out = new Uint8Array(LONG_BYTES);
  out.set(bytes.subarray(0, data));
  const view = new DataView(out.buffer);
  view.setUint32(12, out.length);
  view.setUint32(data, out.length - 4 - data);
  out[data + 4] = 7;
  out.set([0x37, 0x37, 0x37, 0x37], out.length - 4);
  return out;
}

/** The messages that a wind is made of, alone and between ten long ones of which none is made: over a hundred MB. */
export function smallAndLarge(messages: readonly Message[]): {
  readonly small: Uint8Array;
  readonly large: Uint8Array;
} {
  const used = messages.filter(isUsed).map(({ bytes }) => bytes);
  const long = messages
    .filter((message) => !isUsed(message))
    .slice(0, 10)
    .map(lengthened);
  const mixed = used.flatMap((bytes, k) => [bytes, ...long.slice(k, k + 1)]);
  return { small: joined(used), large: joined(mixed) };
}
