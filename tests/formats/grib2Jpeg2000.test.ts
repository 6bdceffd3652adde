// JPEG 2000 beyond what forecasts use: orders, tiles, precincts, layers, the irreversible wavelet, against OpenJPEG's
// own reading. ref: tests/published/jpeg2000-answers.json; source: OpenJPEG through GDAL 3.6's JP2OpenJPEG driver; how:
// make-jpeg2000-answers.mjs.
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { jpeg2000Image } from '../../core/formats/grids/grib2/jpeg2000/image.ts';

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

describe('JPEG 2000 codestreams that OpenJPEG wrote', () => {
  for (const { name, options, base64, pixels } of answers.pictures) {
    it(`${name}: ${options.join(' ')}`, () => {
      const data = new Uint8Array(Buffer.from(base64, 'base64'));
      const image = jpeg2000Image(data, answers.width * answers.height, null);
      if (name === 'bypass') {
        expect(image).toContain('bypass or termination of passes');
        return;
      }
      if (typeof image === 'string') throw new Error(image);
      expect([image.width, image.height]).toEqual([answers.width, answers.height]);
      const theirs = pixels ?? answers.source;
      // The irreversible wavelet is of real numbers: OpenJPEG has single precision and rounded constants (0.1 of a unit
      // at 4095), we have double, so numbers near a half may round either way: up to one in fifty.
      const allowed = options.includes('REVERSIBLE=NO') ? 1 : 0;
      const differences = theirs.map((x, k) => Math.abs((image.samples[k] ?? NaN) - x));
      expect(Math.max(...differences)).toBeLessThanOrEqual(allowed);
      expect(differences.filter((x) => x > 0).length).toBeLessThanOrEqual((allowed * theirs.length) / 50);
      expect(theirs.length).toBe(61 * 47);
      // A part on its own is the same part of the whole.
      for (const [x, y] of [
        [0, 0],
        [31, 32],
        [40, 20],
        [56, 42],
      ] as const) {
        // prettier-ignore
        const at = Int32Array.from({ length: 20 }, (_, k) => (y + Math.floor(k / 5)) * answers.width + x + (k % 5));
        const part = jpeg2000Image(data, answers.width * answers.height, at);
        if (typeof part === 'string') throw new Error(part);
        expect([...at].map((k) => part.samples[k])).toEqual([...at].map((k) => image.samples[k]));
      }
    });
  }

  it('are all compared', () => {
    expect(answers.pictures.length).toBe(15);
    expect(answers.pictures.filter(({ pixels }) => pixels === undefined).length).toBeGreaterThanOrEqual(9);
  });
});
