// Weather bulletins as the telecommunication system carries them: groups between blanks, "=" at the end of a report, SOH and ETX around
// a bulletin. Source: WMO-No. 386, Manual on the Global Telecommunication System, part II.

/** Stands in the words for SOH, ETX and any other framing character: a bulletin begins or ends here. */
export const FRAME = '\u0003';

/** The words of one row in upper case; "=" and framing characters are words of their own, other control characters are blanks. */
export function bulletinWords(row: string): string[] {
  let spaced = '';
  for (const c of row.toUpperCase()) {
    if (c === '=') spaced += ' = ';
    else if (c === '\u0001' || c === '\u0003') spaced += ` ${FRAME} `;
    else spaced += c < ' ' ? ' ' : c;
  }
  return spaced.split(/\s+/).filter((word) => word !== '');
}
