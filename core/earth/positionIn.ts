// A position somewhere in a text that was pasted: a message, a line of a table, an address with coordinates in it.
import type { Read } from '../base/problem.ts';
import type { LonLat } from '../base/units.ts';
import { readPosition } from './grid.ts';

export interface FoundPosition {
  readonly position: LonLat;
  /** The part of the text that was read. */
  readonly text: string;
}

const ANGLE = String.raw`-?\d{1,3}(?:[.,]\d+)?\s*[°º˚:d]?\s*(?:\d{1,2}(?:[.,]\d+)?\s*['′’:]?\s*)?(?:\d{1,2}(?:[.,]\d+)?\s*["″”]?\s*)?`;
const SIDE = String.raw`[NSEW]`;

/** Ways in which a position stands in running text, the most certain first. */
const SHAPES = [
  String.raw`\b\d{1,2}\s?[C-HJ-NP-X]\s?[A-HJ-NP-Z]{2}\s?(?:\d{5}\s?\d{5}|\d{4}\s?\d{4}|\d{3}\s?\d{3})\b`,
  String.raw`\b\d{1,2}\s?[C-HJ-NP-X]\s+\d{6}(?:\.\d+)?\s?m?E?[ ,]+\d{1,8}(?:\.\d+)?\s?m?N?\b`,
  `${ANGLE}${SIDE}[\\s,;/]*${ANGLE}${SIDE}\\b`,
  `\\b${SIDE}\\s*${ANGLE}[\\s,;/]*${SIDE}\\s*${ANGLE}`,
  String.raw`-?\d{1,3}\.\d{3,}\s*[,; /]\s*-?\d{1,3}\.\d{3,}`,
].map((shape) => new RegExp(shape, 'giu'));

/** Longest text that is searched: a page, not a book. */
const LONGEST = 20_000;

/**
 * The one position that a text holds, whole or among other words; null with a sentence where it holds none, or several
 * that differ.
 *
 * legal    "30.7431S 22.3187E"      "meet at 34J FL 26232 98125 by nine"      "…/@-30.7431,22.3187,15z"
 * refused  "30.7431"                "from 54.1N 11.2E to 54.2N 11.3E" (two places)
 */
export function positionIn(text: string): Read<FoundPosition | null> {
  const whole = readPosition(text);
  if (whole.value !== null) return { value: { position: whole.value, text: text.trim() }, problems: [] };
  const searched = text.slice(0, LONGEST);
  for (const shape of SHAPES) {
    const found = [...searched.matchAll(shape)].flatMap(([part]) => {
      const { value } = readPosition(part);
      return value === null ? [] : [{ position: value, text: part.trim() }];
    });
    const [first] = found;
    if (first === undefined) continue;
    const other = found.find(({ position }) =>
      position.some((x, i) => Math.abs(x - (first.position[i] ?? NaN)) > 1e-4),
    );
    if (other === undefined) return { value: first, problems: [] };
    const why = `two places stand here, ${first.text} and ${other.text}; keep the one that is meant`;
    return { value: null, problems: [{ line: 1, text: why }] };
  }
  return { value: null, problems: whole.problems };
}
