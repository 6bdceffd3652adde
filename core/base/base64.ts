const LETTERS = 'ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/';

/** The bytes of a text in base 64 (RFC 4648 §4); anything that is not a letter of it ends it. */
export function base64Bytes(text: string): Uint8Array<ArrayBuffer> {
  const out = new Uint8Array(Math.floor((text.replace(/=+$/, '').length * 3) / 4));
  let held = 0;
  for (let k = 0, at = 0; at < out.length; k++) {
    const value = LETTERS.indexOf(text[k] ?? '');
    if (value < 0) break;
    held = (held << 6) | value;
    if (k % 4 > 0) out[at++] = (held >> (6 - 2 * (k % 4))) & 255;
  }
  return out;
}
