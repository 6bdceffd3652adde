// Two values are the same where Node's own deep comparison says so (`util.isDeepStrictEqual`), for all plain data.
import { isDeepStrictEqual } from 'node:util';
import { fc } from '../property.ts';
import { expect, it } from 'vitest';
import { same } from '../../core/base/same.ts';

const data = fc.jsonValue();
const copy = (value: fc.JsonValue): unknown => JSON.parse(JSON.stringify(value));

it('says what Node says of two values that were drawn apart', () => {
  fc.assert(
    fc.property(data, data, (a, b) => {
      expect(same(a, b)).toBe(isDeepStrictEqual(a, b));
    }),
  );
});

it('sees every copy as the same, and one changed number as another', () => {
  fc.assert(
    fc.property(data, (value) => {
      expect(same(value, copy(value))).toBe(isDeepStrictEqual(value, copy(value)));
    }),
  );
  const a = { list: [1, { z: Float64Array.of(1, 2) }], map: new Map([['k', 1]]) };
  expect(same(a, structuredClone(a))).toBe(true);
  expect(same(a, { ...a, list: [1, { z: Float64Array.of(1, 3) }] })).toBe(false);
  expect(same(a, { ...a, map: new Map([['k', 2]]) })).toBe(false);
  expect(same({ a: undefined }, {})).toBe(false);
});

it('takes functions and objects of a class by themselves', () => {
  const call = (): number => 1;
  expect(same({ call }, { call })).toBe(true);
  expect(same({ call }, { call: () => 1 })).toBe(false);
  expect(same(new Date(5), new Date(5))).toBe(false);
});
