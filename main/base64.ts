// Base64 (RFC 4648 §4) on Node's side of the WebSocket; strict, because Buffer skips invalid characters.
import type { Base64 } from './contract.ts';

export const base64: Base64 = {
  encode: (bytes) => Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength).toString('base64'),
  decode(text) {
    if (text.length % 4 !== 0 || !/^[A-Za-z0-9+/]*={0,2}$/.test(text)) throw new SyntaxError('not base64');
    const buffer = Buffer.from(text, 'base64');
    return new Uint8Array(buffer.buffer, buffer.byteOffset, buffer.byteLength);
  },
};
