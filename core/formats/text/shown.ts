/** What was found in an input, short enough for one line of a problem and without control characters. */
export function shown(found: string): string {
  let printable = '';
  for (const c of found.slice(0, 40)) printable += c < ' ' || c === '\u007F' ? '·' : c;
  return `"${printable}${found.length > 40 ? '…' : ''}"`;
}

/**
 * The same for a value out of JSON: only plain values are written out; a list or an object can be of any depth and is
 * only named.
 */
export function shownValue(found: unknown): string {
  if (typeof found === 'string') return shown(found);
  if (typeof found === 'number' || typeof found === 'boolean' || found === null) return `"${String(found)}"`;
  return found === undefined ? 'nothing' : Array.isArray(found) ? `a list of ${found.length}` : `a ${typeof found}`;
}
