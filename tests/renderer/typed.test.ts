// What is typed into fields: the lists of legal and illegal inputs that the readers' comments promise.
// ISO 8601 for times.
import { fc } from '../property.ts';
import { describe, expect, test } from 'vitest';
import { plain } from '../../core/words/numbers.ts';
import { parseNumber, parseTime, readNumber } from '../../renderer/parts/typed.ts';

describe('numbers', () => {
  test.each([
    ['1500', 1500],
    ['1 500', 1500],
    [' -3.5 ', -3.5],
    ['−3,5', -3.5],
    ['39\u202f000', 39_000],
    ['.5', 0.5],
    ['+7', 7],
  ])('%s is %d', (text, value) => expect(readNumber(text)).toBe(value));
  test.each(['', '12 kg', '1.2.3', 'NaN', 'Infinity', '1e5', '0x10', '--1', '39,000', '1 -2', `1${'0'.repeat(400)}`])(
    '%s is refused',
    (text) => expect(readNumber(text)).toBeNull(),
  );
  test('bounds are said in the unit that is typed', () => {
    const feet = parseNumber(
      '300000',
      { min: 0, max: 85_000 },
      'ft',
      (x) => x * 0.3048,
      (x) => x / 0.3048,
    );
    // 85 000 m are 278 871.4 ft (NIST SP 811: 1 ft = 0.3048 m exactly).
    expect(feet).toEqual({ ok: false, why: '300000 is out of bounds; expected 0 to 278\u202f871 ft.' });
    expect(parseNumber('0', { min: 0, max: 500, above: true }, 'kg').ok).toBe(false);
    expect(parseNumber('', { min: 0, max: 500 }, 'kg')).toEqual({
      ok: false,
      why: 'Nothing typed; expected 0 to 500 kg.',
    });
    expect(parseNumber('118', { min: 0, max: 500 }, 'kg')).toEqual({ ok: true, value: 118 });
  });
  test('what a field writes it reads back', () => {
    fc.assert(
      fc.property(fc.double({ min: -1e6, max: 1e6, noNaN: true }), (x) => {
        expect(readNumber(plain(x, 4))).toBeCloseTo(x, 3);
      }),
    );
  });
  test('any text is read without a throw', () => {
    fc.assert(
      fc.property(fc.string({ unit: 'binary' }), (text) => {
        parseNumber(text, { min: 0, max: 1 }, 'm');
        parseTime(text, 0);
      }),
    );
  });
});

describe('times', () => {
  const day = Date.parse('2026-03-14T12:00:00Z');
  test.each([
    ['06:05', '2026-03-14T06:05:00Z'],
    ['0605Z', '2026-03-14T06:05:00Z'],
    ['6:05:30', '2026-03-14T06:05:30Z'],
    ['2026-03-15 06:05', '2026-03-15T06:05:00Z'],
    ['2028-02-29T23:59:59Z', '2028-02-29T23:59:59Z'],
  ])('%s', (text, iso) => expect(parseTime(text, day)).toMatchObject({ ok: true, value: iso }));
  test.each(['', 'noon', '25:00', '12:60', '12:00:60', '2026-02-30 06:00', '2026-13-01 06:00', '06:05 local', '6'])(
    '%s is refused',
    (text) => expect(parseTime(text, day).ok).toBe(false),
  );
});
