// A position found in pasted text. Truth: the same place as the position alone is read, whose forms are held against
// published cases in grid.test.ts.
import { fc } from '../property.ts';
import { describe, expect, it } from 'vitest';
import {
  formatDegrees,
  formatDegreesMinutes,
  formatDegreesMinutesSeconds,
  formatMgrs,
  formatUtm,
} from '../../core/words/positions.ts';
import { positionIn } from '../../core/earth/positionIn.ts';

const AROUND = [
  (text: string) => text,
  (text: string) => `Meet at ${text}, by nine.`,
  (text: string) => `Gate 4 / tel. 0172 55 / ${text} (north field)\nsecond line`,
];

describe('a position in a text', () => {
  it('is found in every form, alone and among words', () => {
    const place = fc.tuple(
      fc.double({ min: -179, max: 179, noNaN: true }),
      fc.double({ min: -79, max: 83, noNaN: true }),
    );
    fc.assert(
      fc.property(place, fc.nat(4), fc.nat(2), (at, form, around) => {
        const write = [formatDegrees, formatDegreesMinutes, formatDegreesMinutesSeconds, formatMgrs, formatUtm][form];
        const wrap = AROUND[around];
        const read = positionIn(wrap?.(write?.(at) ?? '') ?? '');
        const [lon, lat] = read.value?.position ?? [NaN, NaN];
        // Half a unit of the coarsest form: a metre of the grid, a thousandth of a minute, five decimals of a degree.
        expect(Math.abs(lat - at[1])).toBeLessThan(2e-5);
        expect(Math.abs(lon - at[0]) * Math.cos((at[1] * Math.PI) / 180)).toBeLessThan(2e-5);
      }),
    );
  });

  it.each([
    ['https://maps.example/@-30.7431,22.3187,15z', [22.3187, -30.7431]],
    ['LZ: 54.10012, 11.25034', [11.25034, 54.10012]],
    ['wind 270/12, pad N 54 06.100 E 011 15.200', [11 + 15.2 / 60, 54 + 6.1 / 60]],
  ] as const)('%s', (text, [lon, lat]) => {
    const { value } = positionIn(text);
    expect(value?.position[0]).toBeCloseTo(lon, 6);
    expect(value?.position[1]).toBeCloseTo(lat, 6);
  });

  it.each([['wind 270/12 kt at 1500 ft'], [''], ['30.7431'], ['from 54.1000N 11.2000E to 54.2000N 11.3000E']])(
    'is not made up: %s',
    (text) => {
      const read = positionIn(text);
      expect(read.value).toBe(null);
      expect(read.problems[0]?.text).toMatch(/expected|two places/);
    },
  );
});
