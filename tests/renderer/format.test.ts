// Numbers as a person reads them. Unit factors: NIST SP 811 (2008) §B.8 (foot 0.3048 m, knot 1852/3600 m/s),
// exact.
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  age,
  clock,
  clockLocal,
  dateUtc,
  direction,
  directionWords,
  distance,
  duration,
  height,
  metresFrom,
  metresTo,
  mpsFrom,
  mpsTo,
  number,
  octant,
  quantity,
  speed,
  windWords,
  THIN as t,
  type Units,
} from '../../renderer/format.ts';

const si: Units = { length: 'm', speed: 'm/s', height: 'MSL', time: 'UTC' };
const us: Units = { length: 'ft', speed: 'kt', height: 'AGL', time: 'local' };

describe('numbers', () => {
  test.each([
    [0, 0, '0'],
    [-0.2, 0, '0'],
    [1500, 0, '1500'],
    [39_000, 0, `39${t}000`],
    [1_234_567.891, 2, `1${t}234${t}567.89`],
    [-12.34, 1, '−12.3'],
  ])('%d to %d decimals is %s', (value, decimals, text) => expect(number(value, decimals)).toBe(text));

  test('a missing value is an en dash, never 0', () => {
    for (const text of [
      quantity(NaN, 'm'),
      height(NaN, si, 0),
      distance(NaN, us),
      speed(NaN, us),
      direction(NaN),
      age(NaN),
      duration(NaN),
    ])
      expect(text).toBe('–');
    expect(windWords(90, NaN, si, null)).toBe('–');
    expect(clock(NaN, si, undefined)).toBe('–');
  });
});

describe('heights, distances, speeds', () => {
  test('a height carries its reference', () => {
    expect(height(1620, si, 120)).toBe(`1620${t}m MSL`);
    expect(height(1620, { ...si, height: 'AGL' }, 120)).toBe(`1500${t}m AGL`);
    expect(height(1524 + 120, us, 120)).toBe(`5000${t}ft AGL`);
    expect(height(39_004, si, 0)).toBe(`39${t}000${t}m MSL`);
  });
  test.each([
    [234, `230${t}m`],
    [996, `1.0${t}km`],
    [1234, `1.2${t}km`],
    [123_456, `123${t}km`],
  ])('%d m over the ground is %s', (d, text) => expect(distance(d, si)).toBe(text));
  test('feet, then nautical miles', () => {
    expect(distance(152.4, us)).toBe(`500${t}ft`);
    expect(distance(18_520, us)).toBe(`10.0${t}NM`);
  });
  test('speeds by the switch', () => {
    expect(speed(10, si)).toBe(`10.0${t}m/s`);
    expect(speed((1852 / 3600) * 7, us)).toBe(`7${t}kt`);
    expect(speed(10, { ...si, speed: 'km/h' })).toBe(`36${t}km/h`);
  });
  test('typed values come back as they were, in any unit', () => {
    fc.assert(
      fc.property(fc.double({ min: -1e5, max: 1e5, noNaN: true }), (x) => {
        for (const unit of ['m', 'ft'] as const) expect(metresTo(metresFrom(x, unit), unit)).toBeCloseTo(x, 8);
        for (const unit of ['m/s', 'kt', 'km/h'] as const) expect(mpsTo(mpsFrom(x, unit), unit)).toBeCloseTo(x, 8);
      }),
    );
  });
});

describe('directions', () => {
  test.each([
    [0, '360°', 'north'],
    [359.7, '360°', 'north'],
    [4.4, '004°', 'north'],
    [22.4, '022°', 'north'],
    [22.6, '023°', 'north-east'],
    [90, '090°', 'east'],
    [-90, '270°', 'west'],
    [225, '225°', 'south-west'],
    [337.6, '338°', 'north'],
  ])('%d is %s, %s', (angle, text, word) => {
    expect(direction(angle)).toBe(text);
    expect(octant(angle)).toBe(word);
    expect(directionWords(angle)).toBe(`${text} (${word})`);
  });
  test('a wind says from and toward, with a landmark where there is one', () => {
    expect(windWords(90, 3.6, us, 'Long Ridge')).toBe(`from 090° (east), 7${t}kt, blowing toward Long Ridge`);
    expect(windWords(90, 3.6, si, null)).toBe(`from 090° (east), 3.6${t}m/s, blowing toward 270° (west)`);
    expect(windWords(90, 0.2, si, null)).toBe('calm');
  });
});

describe('times', () => {
  const at = Date.parse('2026-03-14T06:05:09Z');
  test('UTC carries Z, local says so', () => {
    expect(clock(at, si, 'Australia/Broken_Hill')).toBe('06:05:09Z');
    // Broken Hill keeps South Australian time: UTC+10:30 in daylight saving, until the first Sunday of April (IANA tz,
    // Australia/Broken_Hill).
    expect(clock(at, us, 'Australia/Broken_Hill')).toBe('16:35:09 local');
    expect(clockLocal(Date.parse('2026-06-14T06:05:09Z'), 'Australia/Broken_Hill')).toBe('15:35:09 local');
    expect(clock(at, us, undefined)).toBe('06:05:09Z');
    expect(clock(at, us, 'Nowhere/Land')).toBe('06:05:09Z');
    expect(dateUtc(at)).toBe('14 Mar 2026');
  });
  test.each([
    [42.4, `42${t}s`],
    [245, `4${t}min 05${t}s`],
    [59.6, `1${t}min 00${t}s`],
    [7500, `2${t}h 05${t}min`],
    [273_600, `3${t}d 4${t}h`],
    [-90, `−1${t}min 30${t}s`],
  ])('%d s lasts %s', (s, text) => expect(duration(s)).toBe(text));
  test.each([
    [5, 'now'],
    [40, `1${t}min`],
    [185, `3${t}min`],
    [3600, `1${t}h`],
    [7800, `2${t}h 10${t}min`],
    [5 * 86_400, `5${t}d`],
    [-180, `in 3${t}min`],
  ])('%d s old is %s', (s, text) => expect(age(s)).toBe(text));
});
