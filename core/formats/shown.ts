/** What was found in an input, short enough for one line of a problem and without control characters. */
export function shown(found: string): string {
  let printable = '';
  for (const c of found.slice(0, 40)) printable += c < ' ' || c === '\u007F' ? '·' : c;
  return `"${printable}${found.length > 40 ? '…' : ''}"`;
}
