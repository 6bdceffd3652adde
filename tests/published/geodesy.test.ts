// Geodesics, UTM, MGRS and angles against published values. ref: geodesy.md; sources as named there (GeographicLib's
// manuals and test set, npm geodesy's documents: mark F; GeodSolve and GeoConvert 2.1.2: mark C). Tolerance there: 1 mm
// and 1e-8 deg; MGRS exact.
import { describe, expect, it } from 'vitest';
import { forward, toPoint } from 'mgrs';
import { direct, inverse, localFrame, offset, radii } from '../../core/earth/geodesic.ts';
import { readPosition } from '../../core/earth/grid.ts';
import { formatDegreesMinutesSeconds, formatMgrs, sexagesimal } from '../../core/words/positions.ts';
import { fromMgrs, toMgrs, toUtm } from '../../core/earth/utm.ts';
import { wrap180, wrap360 } from '../../core/base/units.ts';

const dms = (d: number, m: number, s: number): number => d + m / 60 + s / 3600;

// Digits beyond what a double holds are cut from the test set's lines: the last one kept is the same number.
describe('geodesy.md §1, published geodesics', () => {
  // lat1, lon1, lat2, lon2, metres and their tolerance, azi1, azi2 and their tolerance (half the last printed digit, or
  // 1e-8).
  const inverses: [string, number, number, number, number, number, number, number, number, number][] = [
    [
      '-41.32 174.81 -> 40.96 -5.50 (F; azimuths C)',
      -41.32,
      174.81,
      40.96,
      -5.5,
      19959679.267,
      0.001,
      161.06766998616,
      18.82519512325,
      1e-8,
    ],
    [
      'New York to Singapore (F, to the metre and the second)',
      dms(40, 38, 23),
      -dms(73, 46, 44),
      dms(1, 21, 33),
      dms(103, 59, 22),
      15347628,
      0.5,
      dms(3, 18, 29.9),
      dms(177, 29, 9.2),
      0.05 / 3600,
    ],
    [
      'Flinders Peak to Buninyong (F, C)',
      -dms(37, 57, 3.7203),
      dms(144, 25, 29.5244),
      -dms(37, 39, 10.1561),
      dms(143, 55, 35.3839),
      54972.271,
      0.001,
      dms(306, 52, 5.37),
      dms(307, 10, 25.07),
      0.005 / 3600,
    ],
    [
      '50.06632 -5.71475 -> 58.64402 -3.07009 (F, C)',
      50.06632,
      -5.71475,
      58.64402,
      -3.07009,
      969954.166,
      0.001,
      9.1419,
      11.2972,
      5e-5,
    ],
  ];
  it.each(inverses)('inverse %s', (_, lat1, lon1, lat2, lon2, metres, tolerance_m, azi1, azi2, tolerance_deg) => {
    const line = inverse([lon1, lat1], [lon2, lat2]);
    expect(Math.abs(line.distance_m - metres)).toBeLessThanOrEqual(tolerance_m);
    expect(Math.abs(wrap180(line.bearing_deg - azi1))).toBeLessThanOrEqual(tolerance_deg);
    expect(Math.abs(wrap180(line.finalBearing_deg - azi2))).toBeLessThanOrEqual(tolerance_deg);
  });

  const directs: [string, number, number, number, number, number, number, number, number | null][] = [
    ['-32.06 115.74 azi 225 20000 km (F)', -32.06, 115.74, 225, 20_000_000, 32.11195529, -63.95925278, 1e-8, null],
    [
      'test set 1 (F)',
      35.60777,
      -139.44815,
      111.09874842956033,
      8935244.56048183,
      -11.17491,
      -69.95921,
      1e-8,
      129.28927088970875,
    ],
    [
      'test set 2 (F)',
      55.52454,
      106.05087,
      22.0200598809828,
      4105086.171392441,
      77.03196,
      197.18234,
      1e-8,
      109.11204111067153,
    ],
    [
      'test set 3 (F)',
      -21.97856,
      142.59065,
      -32.44456876433189,
      8394328.894657671,
      41.84138,
      98.56635,
      1e-8,
      -41.84359951440466,
    ],
    [
      'test set 4 (F)',
      -19.79938,
      -174.47484,
      71.16727578017154,
      2319004.860116939,
      -11.99349,
      -154.35109,
      1e-8,
      65.58909977519923,
    ],
  ];
  it.each(directs)('direct %s', (_, lat1, lon1, azi, metres, lat2, lon2, tolerance, azi2) => {
    const [lon, lat] = direct([lon1, lat1], azi, metres);
    expect(Math.abs(lat - lat2)).toBeLessThanOrEqual(tolerance);
    expect(Math.abs(wrap180(lon - lon2))).toBeLessThanOrEqual(tolerance);
    if (azi2 === null) return;
    const back = inverse([lon1, lat1], [lon, lat]);
    expect(Math.abs(wrap180(back.finalBearing_deg - azi2))).toBeLessThanOrEqual(1e-7);
    expect(Math.abs(back.distance_m - metres)).toBeLessThanOrEqual(0.001);
  });
});

describe('geodesy.md §2, short lines for drift work (C)', () => {
  const ends: [number, number, number, number, number, number][] = [
    [-30.7, 22.3, 90, 20000, -30.699832207, 22.508763806],
    [-30.7, 22.3, 45, 60000, -30.316551764, 22.741118978],
    [-30.7, 22.3, 270, 150000, -30.690562539, 20.734371216],
    [46.5, 7.5, 200, 35000, 46.204016641, 7.344895647],
    [-33.9, 151.2, 315, 100000, -33.260135947, 150.441131583],
    [60, 25, 10, 25000, 60.220955952, 25.078322047],
    [0, 179.9, 90, 50000, 0, -179.650842358],
  ];
  it.each(ends)('%f %f, azimuth %f, %f m', (lat1, lon1, azi, metres, lat2, lon2) => {
    const [lon, lat] = offset(
      [lon1, lat1],
      metres * Math.sin((azi * Math.PI) / 180),
      metres * Math.cos((azi * Math.PI) / 180),
    );
    expect(Math.abs(lat - lat2)).toBeLessThanOrEqual(1e-9);
    expect(Math.abs(lon - lon2)).toBeLessThanOrEqual(1e-9);
    // The local frame's own statement (30 mm within 100 km, more at 150 km) on the same lines.
    const [e, n] = localFrame([lon1, lat1]).toLocal([lon2, lat2]);
    expect(Math.abs(Math.hypot(e, n) - metres)).toBeLessThanOrEqual(metres > 100_000 ? 0.1 : 0.03);
  });

  const lines: [number, number, number, number, number, number, number][] = [
    [-30.7, 22.3, -30.55, 22.7, 41800.5627, 66.659498837, 66.455731271],
    [46.4983, 7.5674, 46.6863, 7.8632, 30831.5506, 47.218214632, 47.43310862],
    [51.4779, -0.0015, 51.5007, -0.1246, 8918.4864, -73.427140848, -73.523465616],
    [0, 179.9, 0, -179.9, 22263.8982, 90, 90],
    [60, 25, 60, 26, 55799.4704, 89.566984546, 90.433015454],
  ];
  it.each(lines)('%f %f to %f %f', (lat1, lon1, lat2, lon2, metres, azi1, azi2) => {
    const line = inverse([lon1, lat1], [lon2, lat2]);
    expect(Math.abs(line.distance_m - metres)).toBeLessThanOrEqual(0.0001);
    expect(Math.abs(wrap180(line.bearing_deg - azi1))).toBeLessThanOrEqual(2e-9);
    expect(Math.abs(wrap180(line.finalBearing_deg - azi2))).toBeLessThanOrEqual(2e-9);
    expect(line.bearing_deg).toBeGreaterThanOrEqual(0);
  });

  it('metres per degree and radii at 45°', () => {
    const rows = [
      [0, 110574.276, 111319.491],
      [30, 110852.442, 96486.28],
      [45, 111131.777, 78846.835],
      [60, 111412.287, 55800.002],
      [80, 111659.94, 19393.486],
    ] as const;
    for (const [lat, north, east] of rows) {
      const { meridian_m, primeVertical_m } = radii(lat);
      expect(Math.abs(primeVertical_m * Math.cos((lat * Math.PI) / 180) * (Math.PI / 180) - east)).toBeLessThanOrEqual(
        0.0005,
      );
      expect(Math.abs(meridian_m * (Math.PI / 180) - north)).toBeLessThanOrEqual(0.0005);
    }
    expect(Math.abs(radii(45).meridian_m - 6367381.816)).toBeLessThanOrEqual(0.0005);
    expect(Math.abs(radii(45).primeVertical_m - 6388838.29)).toBeLessThanOrEqual(0.0005);
  });
});

describe('geodesy.md §3, UTM and MGRS', () => {
  // lat, lon, zone, easting, northing, MGRS at 1 m. F for the Eiffel Tower, C for the others.
  const rows: [number, number, number, number, number, string][] = [
    [48.8582, 2.2945, 31, 448251.795, 5411932.678, '31UDQ4825111932'],
    [0, 0, 31, 166021.443, 0, '31NAA6602100000'],
    [-30.7431, 22.3187, 34, 626232.681, 6598125.804, '34JFL2623298125'],
    [46.9212, 60.2475, 41, 290437.451, 5200085.486, '41TKN9043700085'],
    [-33.8568, 151.2153, 56, 334900.57, 6252288.753, '56HLH3490052288'],
    [60.3, 5.1, 32, 284524.304, 6691196.04, '32VKM8452491196'],
    [78.2, 15.6, 33, 513696.945, 8680760.053, '33XWG1369680760'],
    [56, 3, 32, 126049.971, 6222336.335, '32VJH2604922336'],
    [55.9, 2.9, 31, 493747.125, 6194954.467, '31UDB9374794954'],
  ];
  it.each(rows)('%f %f', (lat, lon, zone, easting, northing, mgrs) => {
    const utm = toUtm([lon, lat]);
    expect(utm?.zone).toBe(zone);
    expect(Math.abs((utm?.easting_m ?? NaN) - easting)).toBeLessThanOrEqual(0.0006);
    expect(Math.abs((utm?.northing_m ?? NaN) - northing)).toBeLessThanOrEqual(0.0006);
    expect(formatMgrs([lon, lat]).replaceAll(' ', '')).toBe(mgrs);
    const read = readPosition(mgrs);
    expect(read.problems).toEqual([]);
    // The middle of a square of 1 m, at most 0.71 m from any place in it.
    expect(inverse(read.value ?? [0, 0], [lon, lat]).distance_m).toBeLessThan(0.71);
  });

  it('E44d24 N33d20 is 38SMB4488 at 1 km (F); the middle of 38SMB4488 is 444500 3688500, 33.33424 44.40363 (F)', () => {
    expect(formatMgrs([44.4, 33 + 20 / 60], 2).replaceAll(' ', '')).toBe('38SMB4488');
    const middle = readPosition('38SMB4488').value;
    expect(middle?.[1]).toBeCloseTo(33.33424, 5);
    expect(middle?.[0]).toBeCloseTo(44.40363, 5);
    const utm = toUtm(middle ?? [0, 0]);
    expect(utm?.easting_m).toBeCloseTo(444500, 6);
    expect(utm?.northing_m).toBeCloseTo(3688500, 6);
  });

  it('31U DQ 48251 11932 is 31 N 448251 5411932 (F)', () => {
    const found = fromMgrs({ zone: 31, band: 'U', square: 'DQ', easting: '48251', northing: '11932' });
    expect(found).toEqual({
      corner: { zone: 31, hemisphere: 'north', easting_m: 448251, northing_m: 5411932 },
      side_m: 1,
    });
  });

  it('npm mgrs 2.2.0 takes references that name no square, and puts 180° into zone 60: why it is not used', () => {
    expect(toPoint('34JAA1234')[1]).toBeGreaterThan(-24);
    expect(toPoint('32XMG1369680760').every(Number.isFinite)).toBe(true);
    expect(forward([180, 0], 5)).toMatch(/^60N/);
    // Ours: bands of 8° (J: −32° to −24°), no 32X, and 180° as the western edge of zone 1 (NGA.STND.0037 §3.2).
    expect(readPosition('34JAA1234').value).toBeNull();
    expect(readPosition('32XMG1369680760').value).toBeNull();
    expect(formatMgrs([180, 0])).toMatch(/^1N/);
  });

  it('agrees with npm mgrs 2.2.0 (an independent program) over 3000 places, away from its edges of a square', () => {
    let same = 0;
    let compared = 0;
    for (let k = 0; k < 3000; k++) {
      const place: [number, number] = [-179.5 + ((k * 7919) % 359000) / 1000, -79.9 + ((k * 104_729) % 159_800) / 1000];
      const utm = toUtm(place);
      // That package's series is good to some millimetres: within 5 cm of a line nothing is asked of it.
      const clear = (metres: number): boolean => metres % 1 > 0.05 && metres % 1 < 0.95;
      if (utm === null || !clear(utm.easting_m) || !clear(utm.northing_m)) continue;
      compared++;
      const ours = toMgrs(place);
      const text = ours === null ? '' : `${ours.zone}${ours.band}${ours.square}${ours.easting}${ours.northing}`;
      if (text === forward(place, 5)) same++;
      else if (compared - same < 6) console.log('differs', place, text, forward(place, 5));
    }
    expect(compared).toBeGreaterThan(2300);
    expect(same).toBe(compared);
  });
});

describe('geodesy.md §4, angles (F)', () => {
  it.each([
    ['51 28 40.37 N', 51.477881, 5e-7],
    ['3 37 12 S', -3.62, 1e-12],
    ['51 12 00 N', 51.2, 1e-12],
  ])('%s', (text, degrees, tolerance) => {
    const lat = readPosition(`${text} 0 0 0 E`).value?.[1] ?? NaN;
    expect(Math.abs(lat - degrees)).toBeLessThanOrEqual(tolerance);
  });
  it('000 00 05.29 W = -0.001469; 000 19 48 E = 0.33', () => {
    expect(Math.abs((readPosition('51N 000 00 05.29 W').value?.[0] ?? NaN) + 0.001469)).toBeLessThanOrEqual(5e-7);
    expect(readPosition('51N 000 19 48 E').value?.[0]).toBeCloseTo(0.33, 12);
  });
  it('-3.62 and 51.2 0.33 written; a bearing of -3.62 is 356 22 48', () => {
    expect(formatDegreesMinutesSeconds([0.33, 51.2], 0)).toBe('51° 12′ 00″ N 000° 19′ 48″ E');
    expect(formatDegreesMinutesSeconds([0, -3.62], 0)).toBe('03° 37′ 12″ S 000° 00′ 00″ E');
    expect(sexagesimal(wrap360(-3.62), 3, 0)).toEqual([356, 22, 48]);
  });
  it('rounding carries: 59.9999 s does not print 60 (C)', () => {
    expect(formatDegreesMinutesSeconds([0, dms(38, 59, 59.9999)], 1)).toBe('39° 00′ 00.0″ N 000° 00′ 00.0″ E');
    expect(sexagesimal(dms(38, 59, 59.9999), 3, 3)).toEqual([39, 0, 0]);
    expect(sexagesimal(dms(38, 59, 59.9999), 3, 4)).toEqual([38, 59, 59.9999]);
    expect(sexagesimal(179.9999999, 2, 3)).toEqual([180, 0]);
  });
});
