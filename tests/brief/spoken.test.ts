// Speaking on the radio. ref: radio.md §1 and §2; source: ICAO Annex 10 vol. II 5.2.1.4, Doc 9432 as quoted in study
// pages, FAA AIM 4-2-8 to 4-2-12; mark F unless another is named.
import { fc } from '../property.ts';
import { describe, expect, it } from 'vitest';
import {
  breaths,
  sayAge,
  sayDegreesMinutes,
  sayDigits,
  sayDirection,
  sayDistance,
  sayDuration,
  sayHeading,
  sayHeight,
  sayMgrs,
  sayName,
  sayNumber,
  saySpeed,
  sayTime,
  sayVariableWind,
  sayWind,
  WORDS_A_BREATH,
} from '../../core/words/spoken.ts';
import { MPS_PER_KT } from '../../core/base/units.ts';
import { soundAlikes } from './soundAlikes.ts';

const kt = (x: number): number => x * MPS_PER_KT;

describe('numbers as they are said', () => {
  it('wind: each digit of direction and speed by itself, then the unit, the gust after; FROM and the north are ours', () => {
    const plain = (text: string): string => text.replace('FROM ', '').replace(' true', '').replaceAll(',', '');
    // The printed examples: 200° 70 kt, and 160° 18 kt gusting 30.
    expect(plain(sayWind(200, kt(70), 'true'))).toBe('wind two zero zero degrees seven zero knots');
    expect(plain(sayWind(160, kt(18), 'true', kt(30)))).toBe(
      'wind one six zero degrees one eight knots gusting three zero knots',
    );
    expect(sayWind(160, kt(18), 'magnetic')).toBe('wind FROM one six zero degrees magnetic, one eight knots');
    expect(sayWind(160, kt(0.4), 'true')).toBe('wind calm');
  });

  it('headings have three digits', () => {
    expect(sayHeading(80, 'magnetic')).toBe('heading zero eight zero degrees magnetic');
    // North is 360, as in the weather formats; also what rounds to it.
    expect([sayDirection(0), sayDirection(359.7), sayDirection(5)]).toEqual([
      'three six zero',
      'three six zero',
      'zero zero five',
    ]);
  });

  it('other numbers digit by digit, the decimal mark as "decimal", 9 as "niner", 0 as "zero"', () => {
    expect(sayDigits('118.95')).toBe('one one eight decimal niner five');
    expect(sayNumber(-2.5, 1)).toBe('minus two decimal five');
    expect([sayDistance(620), sayDistance(2340), sayDistance(41_600)]).toEqual([
      'six two zero metres',
      'two decimal three kilometres',
      'four two kilometres',
    ]);
    expect(sayTime(Date.UTC(2027, 3, 14, 7, 42, 10) / 1000)).toBe('zero seven four two Zulu');
  });

  it('heights by the digits of the thousands, then hundreds; other heights digit by digit', () => {
    // The printed examples: 800, 3400 and 12 000.
    expect([800, 3400, 12_000].map((height_m) => sayHeight(height_m, 'm'))).toEqual([
      'eight hundred metres',
      'three thousand four hundred metres',
      'one two thousand metres',
    ]);
    expect([850, 1049, 0, -20].map((height_m) => sayHeight(height_m, 'm'))).toEqual([
      'eight five zero metres',
      'one thousand metres',
      'zero metres',
      'minus two zero metres',
    ]);
    // 3400 ft are 1036.32 m.
    expect(sayHeight(1036.32, 'ft')).toBe('three thousand four hundred feet');
  });

  it('speeds with their unit, times since the exit, and an age to the minute', () => {
    expect([saySpeed(55, 'm/s'), saySpeed(kt(70), 'kt'), saySpeed(50, 'km/h')]).toEqual([
      'five five metres a second',
      'seven zero knots',
      'one eight zero kilometres an hour',
    ]);
    expect([sayDuration(42), sayDuration(60), sayDuration(190)]).toEqual([
      'four two seconds',
      'one minute',
      'three minutes one zero seconds',
    ]);
    expect([sayAge(0), sayAge(100), sayAge(600)]).toEqual([
      'one minute old',
      'two minutes old',
      'one zero minutes old',
    ]);
    expect(sayVariableWind(kt(4), kt(9))).toBe('wind variable, four knots, gusting niner knots');
  });

  it('says places in degrees and minutes and as a grid reference, letters by the spelling alphabet', () => {
    // 30° 05.136′ S 022° 24.748′ E.
    expect(sayDegreesMinutes([22 + 24.748 / 60, -(30 + 5.136 / 60)])).toEqual([
      'three zero degrees zero five decimal one four south',
      'zero two two degrees two four decimal seven five east',
    ]);
    // 59.999′ carries into the degree and is never said as sixty.
    expect(sayDegreesMinutes([0, 59.99999])[0]).toBe('six zero degrees zero zero decimal zero zero north');
    // ref: geodesy.md; the White House, 18S UJ 23394 07395 (NGA example as widely printed, mark M).
    expect(sayMgrs([-77.0365, 38.8977])[0]).toBe('grid one eight Sierra Uniform Juliett');
    expect(sayName('Team 2 (north)')).toBe('Team two north');
  });
});

describe('words that sound like digits', () => {
  it('are found beside a number and nowhere else', () => {
    for (const said of ['descend to two thousand', 'climb for eight hundred', 'two won five', 'zero oh five'])
      expect(soundAlikes(said)).toHaveLength(1);
    expect(soundAlikes('Go to the hold. Four crews. Wait for the call.')).toEqual([]);
  });

  it('no digit of any number is said with a word outside the list', () => {
    const words = new Set([
      'zero',
      'one',
      'two',
      'three',
      'four',
      'five',
      'six',
      'seven',
      'eight',
      'niner',
      'decimal',
      'minus',
    ]);
    fc.assert(
      fc.property(fc.double({ min: -1e6, max: 1e6, noNaN: true }), (x) =>
        sayNumber(x, 2)
          .split(' ')
          .every((word) => words.has(word)),
      ),
      { seed: 20_270_414 },
    );
  });
});

describe('breaths', () => {
  it('hold 20 words at most and lose none (ref: radio.md §2, mark C: eight seconds hold 16 to 20 words)', () => {
    const phrase = fc
      .array(fc.constantFrom('wind', 'FROM', 'three', 'zero,', 'Kite.'), { minLength: 1, maxLength: 50 })
      .map((words) => words.join(' '));
    fc.assert(
      fc.property(fc.array(phrase, { maxLength: 12 }), (phrases) => {
        const out = breaths(phrases);
        const words = (text: string): string[] => text.split(' ').filter((word) => word !== '');
        return (
          out.every((one) => words(one).length <= WORDS_A_BREATH) &&
          words(out.join(' ')).join(' ') === words(phrases.join(' ')).join(' ')
        );
      }),
      { seed: 7 },
    );
    expect(WORDS_A_BREATH).toBe(20);
  });
});
