// JPEG 2000 beyond what forecasts use: orders, tiles, precincts, layers, the irreversible wavelet, against OpenJPEG's
// own reading by another build. ref: tests/published/jpeg2000-answers.json; source: OpenJPEG through GDAL 3.6's
// JP2OpenJPEG driver; how: make-jpeg2000-answers.mjs.
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { openJpeg2000 } from '../../core/formats/grids/grib2/jpeg2000.ts';

interface Picture {
  readonly name: string;
  readonly options: readonly string[];
  readonly base64: string;
  /** What OpenJPEG reads back; left out where that is the source itself. */
  readonly pixels?: readonly number[];
}
const answers = JSON.parse(readFileSync(new URL('../published/jpeg2000-answers.json', import.meta.url), 'utf8')) as {
  readonly width: number;
  readonly height: number;
  readonly source: readonly number[];
  readonly pictures: readonly Picture[];
};
const COUNT = answers.width * answers.height;
const jpeg = await openJpeg2000();
const bytesOf = (picture: Picture | undefined): Uint8Array =>
  new Uint8Array(Buffer.from(picture?.base64 ?? '', 'base64'));

describe('JPEG 2000 codestreams that OpenJPEG wrote', () => {
  it.each(answers.pictures.map((one) => [one.name, one] as const))('%s', (_, picture) => {
    const samples = jpeg(bytesOf(picture), COUNT);
    if (typeof samples === 'string') throw new Error(samples);
    expect(Array.from(samples)).toEqual(picture.pixels ?? answers.source);
    expect(samples.length).toBe(61 * 47);
  });

  it('are all compared', () => {
    expect(answers.pictures.length).toBe(15);
    expect(answers.pictures.filter(({ pixels }) => pixels === undefined).length).toBeGreaterThanOrEqual(9);
  });
});

describe('what is not read is said', () => {
  const whole = bytesOf(answers.pictures[0]);
  const changed = (at: number, value: number): Uint8Array => whole.map((byte, k) => (k === at ? value : byte));
  it.each([
    ['another number of values', whole, COUNT + 1, '61 by 47 for 2868 values'],
    ['a picture cut short', whole.subarray(0, 400), COUNT, 'a damaged JPEG 2000 picture'],
    ['no codestream', whole.subarray(2), COUNT, 'no JPEG 2000 codestream'],
    ['three components', changed(41, 3), COUNT, '3 components; expected 1'],
    // The library would clamp them to 65535.
    ['samples of 20 bits', changed(42, 19), COUNT, '20 bits; at most 16 are read'],
  ] as const)('%s', (_, data, count, why) => {
    expect(jpeg(data, count)).toContain(why);
    // A damaged picture spoils none after it.
    const after = jpeg(whole, COUNT);
    expect(typeof after === 'string' ? after : Array.from(after)).toEqual(answers.source);
  });
});
