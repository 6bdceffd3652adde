// Writing and reading places. Truth: the published values stand in tests/published/geodesy.test.ts; here what must hold
// for any place, the lists of legal and refused inputs beside `readPosition`, and the corners where grids go wrong.
import { fc } from '../property.ts';
import { describe, expect, it } from 'vitest';
import { inverse } from '../../core/earth/geodesic.ts';
import { readPosition } from '../../core/earth/grid.ts';
import {
  formatDegrees,
  formatDegreesMinutes,
  formatDegreesMinutesSeconds,
  formatMgrs,
  formatPosition,
  formatUtm,
  type CoordinateFormat,
} from '../../core/words/positions.ts';
import { fromUtm, toMgrs, toUtm, utmBand, utmZone } from '../../core/earth/utm.ts';
import type { LonLat } from '../../core/base/units.ts';

// Doubles are drawn by their bits, mostly near zero and the ends: micro-degrees fill the middle.
const degrees = (min: number, max: number): fc.Arbitrary<number> =>
  fc.oneof(
    fc.double({ min, max, noNaN: true }),
    fc.integer({ min: min * 1e6, max: max * 1e6 }).map((micro) => micro / 1e6),
  );
const lon = degrees(-180, 180);
const lat = degrees(-80, 84);
const place = fc.tuple(lon, lat);

describe('what was written reads back', () => {
  // Half a unit of the last digit, as a distance on the ground in both directions.
  const forms: [string, (p: LonLat) => string, number][] = [
    ['degrees', (p) => formatDegrees(p), 0.8],
    ['degrees and minutes', (p) => formatDegreesMinutes(p), 1.4],
    ['degrees, minutes, seconds', (p) => formatDegreesMinutesSeconds(p), 2.3],
    ['MGRS', (p) => formatMgrs(p), 0.71],
    ['MGRS at 100 m', (p) => formatMgrs(p, 3), 71],
    ['UTM', (p) => formatUtm(p, 1), 0.08],
  ];
  it.each(forms)('%s, any place between -80° and 84°', (_, write, metres) => {
    fc.assert(
      fc.property(place, (p) => {
        const { value, problems } = readPosition(write(p));
        expect(problems).toEqual([]);
        expect(inverse(value ?? [0, 0], p).distance_m).toBeLessThan(metres);
      }),
      {
        numRuns: 400,
        examples: [
          [[0, -5e-324]],
          [[0, -7.105427357601003e-15]],
          [[3, -1e-12]],
          [[6, 1e-13]],
          [[-180, 84]],
          [[180, -80]],
          [[0, 32]],
          [[0, 31.999999999998995]],
          [[3, 36]],
          [[3, 40]],
        ],
      },
    );
  });
  it('nothing that prints says 60 minutes or 60 seconds', () => {
    fc.assert(
      fc.property(fc.double({ min: -90, max: 90, noNaN: true }), fc.integer({ min: 0, max: 4 }), (y, decimals) => {
        expect(formatDegreesMinutes([y, y], decimals)).not.toMatch(/(?<![\d.])60(\.0*)?′/);
        expect(formatDegreesMinutesSeconds([y, y], decimals)).not.toMatch(/(?<![\d.])60(\.0*)?[′″]/);
      }),
      {
        examples: [
          [59.9999999, 1],
          [-0.99999999, 3],
        ],
      },
    );
  });
  it('UTM undoes itself to a micrometre over its whole reach', () => {
    fc.assert(
      fc.property(place, (p) => {
        const utm = toUtm(p);
        expect(utm).not.toBeNull();
        if (utm !== null) expect(inverse(fromUtm(utm), p).distance_m).toBeLessThan(1e-6);
      }),
    );
  });
  it('an MGRS square holds its place: the cut digits are never more than the place', () => {
    fc.assert(
      fc.property(place, fc.integer({ min: 0, max: 5 }), (p, digits) => {
        const mgrs = toMgrs(p, digits);
        const fine = toMgrs(p, 5);
        expect(fine?.easting.startsWith(mgrs?.easting ?? '?')).toBe(true);
        expect(fine?.northing.startsWith(mgrs?.northing ?? '?')).toBe(true);
        expect(mgrs?.square).toBe(fine?.square);
      }),
    );
  });
});

describe('as typed', () => {
  const here: LonLat = [22.3187, -30.7431];
  it.each([
    '-30.7431, 22.3187',
    '-30.7431 22.3187',
    '−30.7431; 22.3187',
    '30.7431S 22.3187E',
    '22.3187 E, 30.7431 S',
    'S30.7431 E22.3187',
    'lat -30.7431 lon 22.3187',
    'S30 44.586 E022 19.122',
    "30°44.586'S 022°19.122'E",
    'S 30° 44.586′, E 022° 19.122′',
    '30°44\'35.16"S 22°19\'7.32"E',
    '30:44:35.16S 22:19:07.32E',
    '22:19:07.32E 30:44:35.16S',
    '-30 44 35.16 22 19 7.32',
    '-30 44.586, 22 19.122',
    '3044.586S 02219.122E',
    '304435.16S 0221907.32E',
    '30.7431 south 22.3187 east',
    '34JFL2623298125',
    '34J FL 26232 98125',
    '34 J FL 2623298125',
    '34jfl2623298125',
    '34J 626232.7 6598125.8',
    '34 south 626232.7 6598125.8',
    '34S 626232.7 6598125.8',
    '34J 626232.7E 6598125.8N',
  ])('"%s"', (text) => {
    const { value, problems } = readPosition(text);
    expect(problems).toEqual([]);
    expect(inverse(value ?? [0, 0], here).distance_m).toBeLessThan(1);
  });

  it.each([
    ['', 'nothing typed'],
    ['95 10', 'latitude 95; expected -90 to 90, the latitude first'],
    ['10N 190E', 'longitude 190; expected -180 to 180'],
    ['30.7', '1 number; expected a latitude and a longitude'],
    ['22.3E 21.0E', 'two longitudes'],
    ['22.3N 21.0S', 'two latitudes'],
    ['30.1S 22.3', 'a letter N, S, E or W at one number only'],
    ['-30.1S 22.3E', 'both a minus sign and S'],
    ['30 75 S 22 10 E', '75 minutes; expected less than 60'],
    ['30 10 61 S 22 10 0 E', '61 seconds; expected less than 60'],
    ['30.5 10 S 22 10 E', '"30.5"; a decimal point belongs to the last'],
    ['34JAA1234', 'square "AA" does not lie in band J of zone 34'],
    ['34JZL2623298125', 'in zone 34 the first letter is one of ABCDEFGH'],
    ['34JFW2623298125', 'the second letter is one of ABCDEFGHJKLMNPQRSTUV'],
    ['34IFL2623298125', 'band "I"'],
    ['61JFL2623298125', 'zone 61; expected 1 to 60'],
    ['32XMG1369680760', 'zone 32X'],
    ['34JFL262329812', '9 digits after the square'],
    ['34JFL262321 981251', '6 digits per side'],
    ['34JFL 2623 981', '4 and 3 digits'],
    ['34S 300000 3700000', 'may mean band S'],
    ['34J 626232 2000000', 'band J reaches from -32 to -24'],
    ['34J 26232 6598125', 'easting 26232'],
    ['hello', '"H" in a position'],
    ['1 2 3 4 5 6 7', '7 numbers'],
    ['9'.repeat(200), '200 characters'],
    ['1.2.3, 4', '"1.2.3"; expected a number'],
  ])('"%s" is refused: %s', (text, why) => {
    const { value, problems } = readPosition(text);
    expect(value).toBeNull();
    expect(problems).toHaveLength(1);
    expect(problems[0]?.text).toContain(why);
  });

  it('any text is answered without a throw, and a value is always a place', () => {
    const bits = fc.constantFrom(...Array.from('0123456789.-°\'" NSEWJFL,:;+X\n\t−′″é\u0000'));
    fc.assert(
      fc.property(fc.oneof(fc.string(), fc.string({ unit: bits, maxLength: 40 })), (text) => {
        const { value, problems } = readPosition(text);
        expect(value === null).toBe(problems.length > 0);
        if (value !== null) {
          expect(Math.abs(value[0])).toBeLessThanOrEqual(180);
          expect(Math.abs(value[1])).toBeLessThanOrEqual(90);
        }
      }),
      { numRuns: 5000 },
    );
  });
});

describe('zones and bands', () => {
  // Source: NGA.STND.0037 (2014), §3.2 and figure 1: the widened zones of Norway and Svalbard; bands C to X, X of 12°.
  it.each([
    [[2.9999, 60], 31],
    [[3, 60], 32],
    [[3, 55.9999], 31],
    [[3, 64], 31],
    [[11.9999, 60], 32],
    [[8.9999, 75], 31],
    [[9, 75], 33],
    [[20.9999, 75], 33],
    [[21, 75], 35],
    [[33, 75], 37],
    [[42, 75], 38],
    [[180, 0], 1],
    [[-180, 0], 1],
    [[179.9999, 0], 60],
  ] as [LonLat, number][])('%j lies in zone %i', (p, zone) => {
    expect(utmZone(p)).toBe(zone);
  });
  it.each([
    [-80, 'C'],
    [-72.0001, 'C'],
    [-72, 'D'],
    [-0.0001, 'M'],
    [0, 'N'],
    [72, 'X'],
    [84, 'X'],
    [84.0001, null],
    [-80.0001, null],
    [NaN, null],
  ])('latitude %f lies in band %s', (y, band) => {
    expect(utmBand(y)).toBe(band);
  });
  it('outside the grid an en dash, never a wrong reference', () => {
    for (const format of ['MGRS', 'UTM'] as CoordinateFormat[]) expect(formatPosition([10, 85], format)).toBe('–');
    expect(formatDegrees([NaN, 10])).toBe('–');
  });
});

describe('precision of the text', () => {
  const here: LonLat = [22.3187, -30.7431];
  it.each([
    ['degrees', 1, '30.74310° S 022.31870° E'],
    ['degrees', 10, '30.7431° S 022.3187° E'],
    ['degrees-minutes', 1, '30° 44.586′ S 022° 19.122′ E'],
    ['degrees-minutes', 10, '30° 44.59′ S 022° 19.12′ E'],
    ['degrees-minutes-seconds', 10, '30° 44′ 35.2″ S 022° 19′ 07.3″ E'],
    ['MGRS', 1, '34J FL 26232 98125'],
    ['MGRS', 10, '34J FL 2623 9812'],
    ['MGRS', 1000, '34J FL 26 98'],
    ['UTM', 1, '34J 626233 6598126'],
  ] as [CoordinateFormat, number, string][])('%s to %f m', (format, precision, text) => {
    expect(formatPosition(here, format, precision)).toBe(text);
  });
});
