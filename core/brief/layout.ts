// How much of a page its words take, so that the map gets the rest and nothing runs over. A cautious estimate
// from the sizes of the style sheet and the width of the bundled face, held to printed pages by
// `tests/brief/pages.test.ts`. Millimetres.
import type { Marks } from './changes.ts';
import type { BriefItem, BriefSection } from './model.ts';
import { wasWords } from './text.ts';

/** A4 less its margins, less a little that rounding takes. */
const PAGE_MM = 276;
const LINE_MM = 4.45;
const SMALL_LINE_MM = 3.75;
const HEADING_MM = 6.6;
const ROW_MM = 5.2;
/** Letters on a line of 9.5 pt across the whole page and across one of two columns, without the label. */
const WIDE = 98;
const HALF = 40;
/** Above and below the map; the key; the footer. */
const MAP_EDGE_MM = 2.6;
const KEY_LINE_MM = 4.4;
const FOOTER_MM = 8.5;

export interface Face {
  /** Of the bundled face's letters that fit on a line, and of its height. */
  readonly letters: number;
  readonly height: number;
}

export const BUNDLED: Face = { letters: 1, height: 1 };
/** An unknown face: as wide and as high as the widest common ones. */
export const OTHER: Face = { letters: 0.8, height: 1.12 };

const linesOf = (text: string, letters: number, face: Face): number =>
  Math.max(1, Math.ceil(text.length / (letters * face.letters)));

/** A section's height on the whole width, or in one of two columns. */
export function sectionHeight_mm(
  section: BriefSection | undefined,
  half: boolean,
  marks: Marks | null,
  face: Face,
): number {
  if (section === undefined) return 0;
  const letters = half ? HALF : WIDE;
  const items = section.items.map((item) =>
    section.columns === undefined ? lineHeight(item, letters, marks, face) : rowHeight(item, marks, face),
  );
  const head = section.columns === undefined ? 0 : SMALL_LINE_MM;
  return face.height * (HEADING_MM + head) + items.reduce((sum, one) => sum + one, 0);
}

function lineHeight(item: BriefItem, letters: number, marks: Marks | null, face: Face): number {
  return face.height * (LINE_MM * linesOf(item.text, letters, face) + wasHeight(item, letters * 1.15, marks, face));
}

/**
 * A row's cells share its width by what they hold: its words run on as one line would, and the longest cell may take
 * one more.
 */
function rowHeight(item: BriefItem, marks: Marks | null, face: Face): number {
  const all = [item.label, ...(item.cells ?? [item.text])].join('  ');
  return face.height * (ROW_MM + LINE_MM * (linesOf(all, WIDE + 6, face) - 1) + wasHeight(item, WIDE, marks, face));
}

function wasHeight(item: BriefItem, letters: number, marks: Marks | null, face: Face): number {
  const change = marks?.changes.get(item.key);
  const words = change === undefined ? null : wasWords(change);
  return words === null ? 0 : SMALL_LINE_MM * linesOf(`was ${words}`, letters, face);
}

/** A header of a title and a line below it that may run on to a second. */
export const headerHeight_mm = (under: string, face: Face): number =>
  face.height * (9.4 + LINE_MM * linesOf(under, 88, face));
export const verdictHeight_mm = (text: string, face: Face): number =>
  face.height * (5.6 + LINE_MM * linesOf(text, 88, face));
export const sinceHeight_mm = (marks: Marks | null, face: Face): number => (marks === null ? 0 : face.height * 5.2);

/** A form's rows are of one height, but for those that run on. */
export function formHeight_mm(section: BriefSection | null, marks: Marks | null, face: Face): number {
  if (section === null) return 0;
  const row = (item: BriefItem): number =>
    5.5 + SMALL_LINE_MM * (linesOf(item.text, 98, face) - 1) + wasHeight(item, 98, marks, face);
  return face.height * (HEADING_MM + section.items.reduce((sum, item) => sum + row(item), 0));
}

/** Of a column's letters as many are counted on: words do not fill a narrow line. */
const FILLED = 0.8;

/**
 * A table whose rows are alike: its columns share the width by the longest that each holds, so a short row wraps where
 * another made its column narrow.
 */
export function tableHeight_mm({ title, items, columns = [] }: BriefSection, marks: Marks | null, face: Face): number {
  const rows = items.map((item) => [item.label, ...(item.cells ?? [item.text])]);
  const longest = columns.map((_, k) => Math.max(1, ...rows.map((cells) => cells[k]?.length ?? 0)));
  const all = longest.reduce((sum, length) => sum + length, 0);
  const letters = longest.map((length) => (FILLED * length * (WIDE * face.letters)) / Math.max(all, WIDE * FILLED));
  const linesIn = (cells: readonly string[]): number =>
    Math.max(1, ...cells.map((cell, k) => Math.ceil(cell.length / Math.max(1, letters[k] ?? 1))));
  const heights = items.map(
    (item, i) => ROW_MM + LINE_MM * (linesIn(rows[i] ?? []) - 1) + wasHeight(item, WIDE * FILLED, marks, face),
  );
  const head = HEADING_MM * linesOf(title, WIDE * FILLED, face) + 2 * SMALL_LINE_MM;
  return face.height * heights.reduce((sum, one) => sum + one, head);
}

/** What is left of a page above its footer; negative: it runs over. */
export const roomOn_mm = (used_mm: number, face: Face): number => PAGE_MM - used_mm - face.height * FOOTER_MM;

/** A smaller map is useless. */
const MAP_MM_MIN = 42;

/** What is left for the map, so much at most; 0 where that is too little for one. */
export function mapHeight_mm(used_mm: number, keyLines: number, most_mm: number, face: Face): number {
  const left = PAGE_MM - used_mm - MAP_EDGE_MM - face.height * (KEY_LINE_MM * keyLines + FOOTER_MM);
  return left < MAP_MM_MIN ? 0 : Math.min(most_mm, Math.floor(left));
}
