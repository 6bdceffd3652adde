// Text for XML 1.0 (fifth edition, §2.2 and §2.4): markup signs as entities; what XML cannot hold at all (control
// characters, lone surrogates, U+FFFE and U+FFFF) becomes a question mark, so that a name is never the reason why a
// file does not open.

const ENTITIES: Readonly<Record<string, string>> = {
  '&': '&amp;',
  '<': '&lt;',
  '>': '&gt;',
  '"': '&quot;',
  "'": '&#39;',
};

/** Serves for elements and for attributes in either kind of quotes. */
export function xmlText(text: string): string {
  return text.replace(/[&<>"']/g, (sign) => ENTITIES[sign] ?? sign).replace(FORBIDDEN, '?');
}

// By code point (flag u), so that a pair of surrogates is one character and only a lone one is found.
// eslint-disable-next-line no-control-regex -- control characters are what is looked for
const FORBIDDEN = /[\u0000-\u0008\u000B\u000C\u000E-\u001F\uD800-\uDFFF\uFFFE\uFFFF]/gu;

/**
 * A number for a file: never NaN, never an exponent, so many decimals at most, no zeros at their end. Null where it is
 * not finite.
 */
export function plainNumber(x: number, decimals: number): string | null {
  if (!Number.isFinite(x) || Math.abs(x) >= 1e15) return null;
  const fixed = x.toFixed(decimals);
  const short = decimals > 0 ? fixed.replace(/\.?0+$/, '') : fixed;
  return short === '-0' ? '0' : short;
}
