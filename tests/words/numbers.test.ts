// Numbers as a person reads them. Unit factors: NIST SP 811 (2008) §B.8 (foot 0.3048 m, knot 1852/3600 m/s),
// exact.
import { fc } from '../property.ts';
import { describe, expect, test } from 'vitest';
import {
  area,
  atLeast,
  distance,
  halfAxes,
  height,
  lengthUp,
  spreadSize,
  statedHeight,
} from '../../core/words/lengths.ts';
import {
  chanceWords,
  metresFrom,
  metresTo,
  mpsFrom,
  mpsTo,
  number,
  percent,
  quantity,
  trimmed,
  THIN as t,
  type Units,
} from '../../core/words/numbers.ts';
import {
  age,
  bothClocks,
  clock,
  clockMinute,
  date,
  dayShown,
  duration,
  offset_s,
  roughDuration,
  sinceExit,
  zoneName,
} from '../../core/words/times.ts';
import {
  CALM_MPS,
  direction,
  isCalm,
  sink,
  speed,
  windBothWays,
  directionWords,
  octant,
  windWords,
} from '../../core/words/winds.ts';

const si: Units = { length: 'm', speed: 'm/s', height: 'MSL', time: 'UTC' };
const us: Units = { length: 'ft', speed: 'kt', height: 'AGL', time: 'local', timeZone: 'Australia/Broken_Hill' };

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
    expect(windBothWays(90, NaN, si, null)).toBe('–');
    expect(clock(NaN, si)).toBe('–');
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
    expect(windBothWays(90, 3.6, us, 'Long Ridge')).toBe(`from 090° (east), 7${t}kt, blowing toward Long Ridge`);
    expect(windBothWays(90, 3.6, si, null)).toBe(`from 090° (east), 3.6${t}m/s, blowing toward 270° (west)`);
    expect(windBothWays(90, 0.2, si, null)).toBe('calm');
  });
});

describe('times', () => {
  const at = Date.parse('2026-03-14T06:05:09Z') / 1000;
  const zone = 'Australia/Broken_Hill';
  test('UTC carries Z, local says so', () => {
    expect(clock(at)).toBe('06:05:09Z');
    expect(clock(at, { ...si, timeZone: zone })).toBe('06:05:09Z');
    // Broken Hill keeps South Australian time: UTC+10:30 in daylight saving, until the first Sunday of April (IANA tz,
    // Australia/Broken_Hill).
    expect(clock(at, us)).toBe('16:35:09 local');
    expect(clock(Date.parse('2026-06-14T06:05:09Z') / 1000, us)).toBe('15:35:09 local');
    expect(bothClocks(at, zone)).toBe('06:05:09Z (16:35:09 local)');
    expect(offset_s(at, zone)).toBe(10.5 * 3600);
    expect(zoneName(at, zone)).toBe('UTC+10:30');
    for (const timeZone of [undefined, 'Nowhere/Land']) {
      expect(clock(at, { ...us, timeZone })).toBe('06:05:09Z');
      expect(bothClocks(at, timeZone)).toBe('06:05:09Z');
      expect(zoneName(at, timeZone)).toBeNull();
    }
    expect(date(at)).toBe('14 Mar 2026');
  });
  test('a time on another day than today’s carries its date, by the clock that is shown', () => {
    const today = dayShown(at, si);
    expect(today).toBe('2026-03-14');
    expect(clock(at + 3600, { ...si, today })).toBe('07:05:09Z');
    expect(clock(at + 86_400, { ...si, today })).toBe('15 Mar 06:05:09Z');
    // 20:05Z is the next day in Broken Hill, and 13:05Z still the same.
    expect(clock(at + 14 * 3600, { ...us, today })).toBe('15 Mar 06:35:09 local');
    expect(clock(at + 7 * 3600, { ...us, today })).toBe('23:35:09 local');
  });
  test('a minute is the nearest, the next, or the one that has begun', () => {
    expect([clockMinute(at), clockMinute(at, 'up'), clockMinute(at, 'down')]).toEqual(['06:05Z', '06:06Z', '06:05Z']);
  });
  test.each([
    [42.4, `42${t}s`],
    [245, `4${t}min${t}05${t}s`],
    [240, `4${t}min`],
    [59.6, `1${t}min`],
    [7500, `2${t}h${t}05${t}min`],
    [273_600, `3${t}d${t}04${t}h`],
    [-90, `−1${t}min${t}30${t}s`],
  ])('%d s lasts %s', (s, text) => expect(duration(s)).toBe(text));
  test.each([
    [45, `45${t}s`],
    [190, `3${t}min`],
    [3900, `1${t}h${t}05${t}min`],
    [3 * 86_400, '3 days'],
  ])('%d s is about %s', (s, text) => expect(roughDuration(s)).toBe(text));
  test.each([
    [5, 'now'],
    [40, `1${t}min`],
    [185, `3${t}min`],
    [3600, `1${t}h`],
    [7800, `2${t}h${t}10${t}min`],
    [5 * 86_400, '5 days'],
    [-180, `in 3${t}min`],
  ])('%d s old is %s', (s, text) => expect(age(s)).toBe(text));
  test('T counts from the exit', () => {
    expect([sinceExit(250), sinceExit(-900), sinceExit(3850)]).toEqual(['T+4:10', 'T−15:00', 'T+1:04:10']);
  });
});

describe('one way to say it', () => {
  test('a value never leaves its unit at the end of a line', () => {
    for (const text of [duration(245), age(7800), distance(1234), quantity(39_000, 'm'), percent(0.33), sink(5)])
      expect(text).not.toMatch(/[ \u2009]/);
  });
  test('a probability is neither 0 nor 1', () => {
    expect([0, 0.004, 0.01, 0.87, 0.99, 0.995, 1].map((p) => chanceWords(p))).toEqual([
      `under 1${t}%`,
      `under 1${t}%`,
      `1${t}%`,
      `87${t}%`,
      `99${t}%`,
      `over 99${t}%`,
      `over 99${t}%`,
    ]);
  });
  test('the size of a spread is said as it is drawn', () => {
    expect(spreadSize(90, { semiMajor_m: 1412, semiMinor_m: 1290 })).toBe(`90 of 100 within ±1.4${t}km by ±1.3${t}km`);
    expect(halfAxes(240, 90, us)).toBe(`±800${t}ft by ±300${t}ft`);
  });
  test('a low height keeps its precision', () => {
    expect(lengthUp(1.4, us)).toBe(`4.6${t}ft`);
    expect(lengthUp(1.4, si)).toBe(`1.4${t}m`);
    expect(lengthUp(2, si)).toBe(`2${t}m`);
    expect(lengthUp(10, us)).toBe(`33${t}ft`);
    expect(statedHeight({ agl_m: 2 })).toBe(`2${t}m AGL`);
    expect(statedHeight({})).toBe('no height');
  });
  test('sink is never in knots', () => {
    expect(sink(5.08, us)).toBe(`1000${t}ft/min`);
    expect(sink(5.08, { ...si, speed: 'kt' })).toBe(`5.1${t}m/s`);
  });
  test('what is to be kept at least is rounded up', () => expect(atLeast(101)).toBe(`110${t}m`));
  test('areas', () => expect([area(15_000), area(2_340_000)]).toEqual([`1.5${t}ha`, `2.34${t}km²`]));
  test('digits that say nothing are left out', () =>
    expect([trimmed(7.2, 2), trimmed(100, 1), trimmed(-0.04, 1)]).toEqual(['7.2', '100', '0']));
  // ICAO Annex 3, appendix 3, 4.1.5.2 d: "less than 0.5 m/s (1 kt)" is calm.
  test('one calm', () => {
    expect(CALM_MPS).toBe(0.5);
    expect([0, 0.49, NaN].map(isCalm)).toEqual([true, true, true]);
    expect(isCalm(0.5)).toBe(false);
    expect(windWords(90, 0.49)).toBe('calm');
    expect(windWords(90, 7.2)).toBe(`from 090° (east), 7.2${t}m/s (14${t}kt)`);
  });
});
