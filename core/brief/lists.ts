// The lead's lists on paper: each item with who answers it, a box and a line for the time. What the log has already is
// marked with its time; the rest is written by hand when the window is not at hand.
import { unusedName } from '../base/unusedName.ts';
import { isOpen, listsAt, type ItemNow, type ListNow } from '../log/lists.ts';
import { MISSING, number } from '../words/numbers.ts';
import { clock } from '../words/times.ts';
import { roomOn_mm, tableHeight_mm, type Face } from './layout.ts';
import type { Marks } from './changes.ts';
import type { BriefItem, BriefSection } from './model.ts';
import { row, type Facts } from './sheet.ts';

/** A space at which no line breaks: a box stays whole. */
const EMPTY_BOX = '[\u00a0]';
const TICKED_BOX = '[x]';
const BLANK = '__________';

const COLUMNS = ['No.', 'Item', 'Who', '', 'Time, by whom'];

/** By this a section is known as a list's. */
const LIST_KEY = 'list.';
export const isList = ({ key }: BriefSection): boolean => key.startsWith(LIST_KEY);

export const listSections = ({ source }: Facts): BriefSection[] => {
  const { mission, state } = source.situation;
  // Keys are compared between versions; of two things of one name the second is told apart.
  const keys = new Set<string>();
  return listsAt(mission, state).map((list) => ({
    key: unusedName(`${LIST_KEY}${list.name}`, keys),
    title: list.note === null ? list.name : `${list.name} (${list.note})`,
    read: false,
    columns: COLUMNS,
    items: list.items.map((item, i) => itemRow(list, item, i, keys)),
  }));
};

function itemRow(list: ListNow, item: ItemNow, i: number, keys: Set<string>): BriefItem {
  const { state, gates } = item;
  const name = gates ? `${item.name} (GO waits for it)` : item.name;
  const key = unusedName(`${LIST_KEY}${list.name}.${item.name}`, keys);
  const [box, words] = onPaper(item);
  const cells = [name, item.who ?? MISSING, box, words];
  return { ...row(key, number(i + 1), cells), ...(gates && isOpen(state) ? { strong: true } : {}) };
}

/** The box and what stands beside it. */
function onPaper({ state }: ItemNow): readonly [box: string, words: string] {
  if (state.kind === 'open' || state.kind === 'withdrawn' || state.kind === 'too old') return [EMPTY_BOX, BLANK];
  const by = state.by === null ? '' : `, ${state.by}`;
  if (state.kind === 'read back') return [TICKED_BOX, `${clock(state.at_s)}${by}`];
  return [EMPTY_BOX, `skipped ${clock(state.at_s)}${by}: ${state.reason ?? 'no reason given'}`];
}

/** The lists by page: one that is longer than what is left of a page goes on on the next under the same title. */
export function listPages(
  sections: readonly BriefSection[],
  header_mm: number,
  marks: Marks | null,
  face: Face,
): BriefSection[][] {
  const pages: BriefSection[][] = [];
  let page: BriefSection[] = [];
  const used = (more: BriefSection): number =>
    [...page, more].reduce((sum, one) => sum + tableHeight_mm(one, marks, face), header_mm);
  for (const section of sections.filter(isList)) {
    let begun: BriefSection = { ...section, items: [] };
    for (const item of section.items) {
      const longer = { ...begun, items: [...begun.items, item] };
      if (roomOn_mm(used(longer), face) < 0 && page.length + begun.items.length > 0) {
        pages.push(begun.items.length === 0 ? page : [...page, begun]);
        page = [];
        begun = { ...section, items: [item] };
      } else begun = longer;
    }
    if (begun.items.length > 0) page.push(begun);
  }
  return page.length === 0 ? pages : [...pages, page];
}
