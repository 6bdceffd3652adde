// What a brief is: the same lines for the sheet of paper, the map and the radio, each with a name of its own that stays
// the same from one version to the next, so that two versions can be compared line by line.
import type { CoordinateFormat } from '../words/positions.ts';
import type { AdviceWord } from '../advice/limits.ts';
import type { CrewKind } from '../recovery/crews.ts';
import type { BriefMap } from './mapData.ts';

export interface BriefItem {
  /** Stays the same from version to version: "landing.place", "crew.Kite.standby". Each occurs once in a brief. */
  readonly key: string;
  readonly label: string;
  /** The whole line, as it is read. Compared between versions, so it holds no age that grows by itself. */
  readonly text: string;
  /** In a table: the cells after the label, one per column. */
  readonly cells?: readonly string[];
  /** What must not be missed; a rule in the margin on paper. */
  readonly strong?: boolean;
}

export interface BriefSection {
  readonly key: string;
  readonly title: string;
  /** Read from top to bottom in the ninety seconds; else looked up when it is needed. */
  readonly read: boolean;
  /** Heads of the columns of a table, the label's first; left out: lines. */
  readonly columns?: readonly string[];
  readonly items: readonly BriefItem[];
}

/** Which data a brief was made from. */
export interface BriefVersion {
  /** Number of events of the log that changed the winds and counted (`version.ts`). */
  readonly number: number;
  /** When the last of them came in, s since 1970; null where the winds are the forecast alone. */
  readonly windsTo_s: number | null;
  /** Four hexadecimal digits that differ, in all likelihood, where the plan differs. */
  readonly plan: string;
  readonly at_s: number;
  /** "winds to 07:01Z; landing version 5; plan 7c1e". */
  readonly words: string;
}

export interface BriefHead {
  readonly mission: string;
  readonly site: string;
  /** "14 Apr 2027, 07:24:00Z (09:24:00 local, UTC+2)". */
  readonly at: string;
  readonly version: BriefVersion;
  readonly word: AdviceWord;
  /** The word with what makes it. */
  readonly verdict: string;
}

/** What one crew reads: everything in its own terms and in its own way of writing coordinates. */
export interface CrewBrief {
  readonly crew: string;
  /** Four signs that differ, in all likelihood, where anything on this page does. */
  readonly identity: string;
  readonly kind: CrewKind;
  readonly medical: boolean;
  readonly coordinates: CoordinateFormat;
  readonly subtitle: string;
  readonly sections: readonly BriefSection[];
  /** Filled in as far as it is known; medical crews only. */
  readonly nineLine: BriefSection | null;
}

export interface Brief {
  readonly head: BriefHead;
  /** The same of all that the brief holds. */
  readonly identity: string;
  /** The sheet for all crews. */
  readonly sections: readonly BriefSection[];
  readonly crews: readonly CrewBrief[];
  readonly map: BriefMap;
  /** The radio brief, one transmission per line, to be read aloud. */
  readonly radio: readonly RadioLine[];
  /** Which version each crew has acknowledged, a sentence each. No line of the brief: it changes without the brief. */
  readonly held: readonly string[];
}

/** A stretch of speech that is said in one breath, 20 words at most. `key`: the brief's line that it says. */
export interface RadioLine {
  readonly key: string;
  readonly text: string;
  /** The listener repeats it. */
  readonly readBack: boolean;
}

/** Every line of a brief, sheet and crews, by its key. */
export function itemsOf(brief: Pick<Brief, 'sections' | 'crews'>): Map<string, BriefItem> {
  const found = new Map<string, BriefItem>();
  const take = (sections: readonly BriefSection[]): void => {
    for (const section of sections) for (const item of section.items) found.set(item.key, item);
  };
  take(brief.sections);
  for (const crew of brief.crews) take(crew.nineLine === null ? crew.sections : [...crew.sections, crew.nineLine]);
  return found;
}

/** Words of the parts that are read, numbers and units counted as words: at 150 a minute, how long it takes. */
export function wordsToRead(sections: readonly BriefSection[]): number {
  let count = 0;
  const words = (text: string): number => text.split(/\s+/).filter((word) => /[\p{L}\p{N}]/u.test(word)).length;
  for (const section of sections) {
    if (!section.read) continue;
    count += words(section.title);
    for (const item of section.items)
      count += words(item.label) + (item.cells ?? [item.text]).reduce((sum, cell) => sum + words(cell), 0);
  }
  return count;
}

/** Read speech. ref: radio.md §2; mark M, common practice. */
const WORDS_A_MINUTE = 150;
export const readingTime_s = (words: number): number => (60 * words) / WORDS_A_MINUTE;
