// Weather bulletins as the telecommunication system carries them: groups between blanks, "=" at the end of a report,
// SOH and ETX around a bulletin. Source: WMO-No. 386, Manual on the Global Telecommunication System, part II.

/** The letters that begin a part of an upper-air message: TTAA, PPBB … (FM 32 to 38). */
export const PART = /^(TT|UU|XX|II|PP|QQ|EE)(AA|BB|CC|DD)$/;
/** The first word of a bulletin's abbreviated heading, "USUS44" (WMO-No. 386 part II, 2.3.2). */
export const HEADING = /^[A-Z]{4}\d{2}$/;
/** The words that name a report of an aerodrome (FM 15, 16) or its forecast (FM 51). */
export const AERODROME = /^(METAR|SPECI|TAF)$/;
/** Day, hour and minute of a report. */
export const TIME = /^(\d\d)(\d\d)(\d\d)Z$/;
const STATION = /^[A-Z][A-Z0-9]{3}$/;
/** What may stand where a station's four letters stand, before a time. */
const NO_STATION = new Set(['AUTO', 'METAR', 'SPECI']);

/** Whether an aerodrome's report begins with these two words, whatever stood before: "EDDW 011250Z". */
export const beginsReport = (station: string, time: string): boolean =>
  TIME.test(time) && STATION.test(station) && !NO_STATION.has(station);

/** Stands in the words for SOH, ETX and any other framing character: a bulletin begins or ends here. */
export const FRAME = '\u0003';

/**
 * The words of one row in upper case; "=" and framing characters are words of their own, other control characters are
 * blanks.
 */
export function bulletinWords(row: string): string[] {
  let spaced = '';
  for (const c of row.toUpperCase()) {
    if (c === '=') spaced += ' = ';
    else if (c === '\u0001' || c === '\u0003') spaced += ` ${FRAME} `;
    else spaced += c < ' ' ? ' ' : c;
  }
  return spaced.split(/\s+/).filter((word) => word !== '');
}
