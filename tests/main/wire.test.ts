// Plain data over the WebSocket's text: reading what was written gives it back, whatever it is (JSON: RFC 8259; base64:
// RFC 4648).
import { fc } from '../property.ts';
import { describe, expect, it } from 'vitest';
import { base64 } from '../../main/base64.ts';
import { isCallName, isEventName, pack, unpack, type Base64 } from '../../main/contract.ts';

/** As the page does it, with the web's own functions. */
const webBase64: Base64 = {
  encode: (bytes) => btoa(Array.from(bytes, (byte) => String.fromCharCode(byte)).join('')),
  decode: (text) => Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0)),
};

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
  it('gives back what was put in, from either side to the other', () => {
    fc.assert(
      fc.property(plain, (value) => {
        expect(unpack(pack(value, base64), webBase64)).toEqual(value);
        expect(unpack(pack(value, webBase64), base64)).toEqual(value);
      }),
      { numRuns: 2000 },
    );
  });

  it('keeps what merely looks like bytes', () => {
    for (const value of [
      { $bytes: 'AA==' },
      { $plain: { $bytes: 'AA==' } },
      { $plain: 7 },
      [{ $bytes: 7 }],
      { $bytes: '', more: 1 },
      { $bytes: new Uint8Array([1]) },
    ]) {
      expect(unpack(pack(value, base64), base64)).toEqual(value);
    }
  });

  it('refuses bytes that are not base64', () => {
    for (const text of [
      '{"$bytes":7}',
      '{"$bytes":"A"}',
      '{"$bytes":"A A="}',
      '{"$bytes":"AA-_"}',
      '{"$bytes":"=AAA"}',
      '{',
    ])
      expect(() => unpack(text, base64)).toThrow(SyntaxError);
  });

  // RFC 4648 §10, the test vectors.
  it.each([
    ['', ''],
    ['f', 'Zg=='],
    ['fo', 'Zm8='],
    ['foo', 'Zm9v'],
    ['foob', 'Zm9vYg=='],
    ['fooba', 'Zm9vYmE='],
    ['foobar', 'Zm9vYmFy'],
  ])('writes %j in base64 as %j', (raw, encoded) => {
    expect(base64.encode(new TextEncoder().encode(raw))).toBe(encoded);
    expect(new TextDecoder().decode(base64.decode(encoded))).toBe(raw);
  });

  it('encodes the part of a buffer that it is given, not the buffer', () => {
    expect(base64.encode(new Uint8Array([1, 2, 3, 4]).subarray(1, 3))).toBe(base64.encode(new Uint8Array([2, 3])));
  });
});

describe('names', () => {
  it('are those of the contract, and not those of every object', () => {
    for (const name of ['toString', 'constructor', '__proto__', 'hasOwnProperty', '', 7, null, ['host/about']])
      expect([isCallName(name), isEventName(name)]).toEqual([false, false]);
    expect([isCallName('host/about'), isEventName('feed/file'), isCallName('feed/file')]).toEqual([true, true, false]);
  });
});
