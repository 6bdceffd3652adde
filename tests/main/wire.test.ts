// Plain data over the WebSocket: reading what was written gives it back, whatever it is (JSON: RFC 8259).
import { fc } from '../property.ts';
import { describe, expect, it } from 'vitest';
import { isCallName, isEventName, pack, unpack } from '../../main/contract.ts';

const key = fc.oneof(fc.string(), fc.constantFrom('$bytes', '$plain', '__proto__', 'constructor', 'toString', ''));
const plain = fc.letrec((tie) => ({
  value: fc.oneof(
    { maxDepth: 5, depthSize: 'small' },
    fc.constantFrom(null, true, false, 0, 1e-300, -1.5),
    fc.string({ unit: 'binary' }),
    fc.double({ noNaN: true, noDefaultInfinity: true }).map((x) => (Object.is(x, -0) ? 0 : x)),
    fc.uint8Array(),
    fc.array(tie('value')),
    fc.dictionary(key, tie('value'), { noNullPrototype: true }),
  ),
})).value;

describe('a frame', () => {
  it('gives back what was put in', () => {
    fc.assert(
      fc.property(plain, (value) => {
        expect(unpack(pack(value))).toEqual(value);
      }),
      { numRuns: 2000 },
    );
  });

  it('is text where it holds no bytes; else the length of the text, the text and the bytes as they are', () => {
    expect(pack({ a: [1, 'ü'] })).toBe('{"a":[1,"ü"]}');
    const text = '{"ü":[{"$bytes":2},{"$bytes":1}]}';
    // UTF-8 (RFC 3629 §3): "ü" is C3 BC, so the text has one byte more than letters.
    expect(pack({ ü: [new Uint8Array([7, 8]), new Uint8Array([9])] })).toEqual(
      Uint8Array.from([0, 0, 0, text.length + 1, ...Buffer.from(text, 'utf8'), 7, 8, 9]),
    );
  });

  it('keeps what merely looks like bytes', () => {
    for (const value of [
      { $bytes: 4 },
      { $plain: { $bytes: 4 } },
      { $plain: 7 },
      [{ $bytes: '7' }],
      { $bytes: 0, more: 1 },
      { $bytes: new Uint8Array([1]) },
    ]) {
      expect(unpack(pack(value))).toEqual(value);
    }
  });

  it('refuses bytes that are not there, that nobody names, and a text that is cut short or not allowed', () => {
    const framed = (text: string, bytes: number): Uint8Array =>
      Uint8Array.from([0, 0, 0, text.length, ...Buffer.from(text), ...new Uint8Array(bytes)]);
    expect(unpack(framed('{"$bytes":2}', 2))).toEqual(new Uint8Array(2));
    for (const message of [
      '{"$bytes":1}',
      '{',
      framed('{"$bytes":3}', 2),
      framed('{"$bytes":1}', 2),
      framed('[{"$bytes":2},{"$bytes":1}]', 2),
      framed('{"$bytes":-1}', 2),
      framed('{"$bytes":1.5}', 2),
      framed('{"$bytes":"2"}', 2),
      framed('{"$bytes":2}', 2).subarray(0, 10),
      new Uint8Array(3),
    ])
      expect(() => unpack(message)).toThrow(SyntaxError);
    expect(() => unpack(framed('{"$bytes":2}', 2), () => false)).toThrow('not allowed');
  });

  it('takes the part of a buffer that it is given, not the buffer, and gives bytes of their own', () => {
    const message = pack([new Uint8Array([1, 2, 3, 4]).subarray(1, 3), new Uint8Array([5])]);
    const [first] = unpack(message) as readonly Uint8Array[];
    expect(first).toEqual(new Uint8Array([2, 3]));
    expect(first?.buffer.byteLength).toBe(2);
  });
});

describe('names', () => {
  it('are those of the contract, and not those of every object', () => {
    for (const name of ['toString', 'constructor', '__proto__', 'hasOwnProperty', '', 7, null, ['host/about']])
      expect([isCallName(name), isEventName(name)]).toEqual([false, false]);
    expect([isCallName('host/about'), isEventName('feed/file'), isCallName('feed/file')]).toEqual([true, true, false]);
  });
});
