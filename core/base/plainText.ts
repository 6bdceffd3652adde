// Text from outside before it reaches a terminal, a page or a table: control characters could drive a terminal, and
// marks of writing direction could show a sentence in another order than it has.

/**
 * C0 but tab and line feed, DEL, C1; the marks, embeddings, overrides and isolates of Unicode's bidi algorithm (UAX 9).
 */
// oxlint-disable-next-line no-control-regex -- control characters are what is looked for
const UNSEEN = /[\u0000-\u0008\u000b-\u001f\u007f-\u009f\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]/g;

/** The same text with a replacement character where something stood that must not be sent on. */
export const plainText = (text: string): string => text.replace(UNSEEN, '\ufffd');

/** Whether there is something in it that must not be sent on. */
export const isPlainText = (text: string): boolean => text.search(UNSEEN) < 0;

/**
 * A JSON text with those characters written as escapes: the same value, and nothing that a terminal takes for an order.
 */
export const plainJson = (json: string): string =>
  json.replace(UNSEEN, (one) => `\\u${one.charCodeAt(0).toString(16).padStart(4, '0')}`);

/** Plain data with every text in it made plain; the same object where nothing was to be changed. */
export function plainData<T>(value: T): T {
  return plainOf(value) as T;
}

function plainOf(value: unknown): unknown {
  if (typeof value === 'string') return isPlainText(value) ? value : plainText(value);
  if (typeof value !== 'object' || value === null) return value;
  if (Array.isArray(value)) {
    const list = value.map(plainOf);
    return list.every((one, i) => one === value[i]) ? value : list;
  }
  const entries = Object.entries(value);
  const made = entries.map(([key, one]) => [key, plainOf(one)] as const);
  return made.every(([, one], i) => one === entries[i]?.[1]) ? value : Object.fromEntries(made);
}
