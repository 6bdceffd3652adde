// A brief as plain text: the sheet, the crews' pages, the radio brief. Lines that changed since the version that the
// reader holds start with "*", and say what they were.
import type { Change, Marks } from './changes.ts';
import {
  readingTime_s,
  wordsToRead,
  type Brief,
  type BriefItem,
  type BriefSection,
  type CrewBrief,
  type RadioLine,
} from './model.ts';

/** The whole brief. `marks`: what changed since the reader's version; null marks nothing. */
export function briefText(brief: Brief, marks: Marks | null = null): string {
  const { head } = brief;
  const out = [
    head.mission,
    `Brief for ${head.site}, ${head.at}`,
    `${head.version.words}; brief ${brief.identity}`,
    '',
    head.verdict,
    ...since(marks),
    ...sectionsText(brief.sections, marks),
  ];
  if (brief.held.length > 0) out.push('', 'Who holds which version', ...brief.held.map((words) => `  ${words}`));
  for (const crew of brief.crews) out.push('', '='.repeat(72), '', crewText(brief, crew, marks));
  out.push('', '='.repeat(72), '', 'Radio brief', ...radioText(brief.radio));
  return `${out.join('\n')}\n`;
}

/** One crew's page. */
export function crewText(brief: Brief, crew: CrewBrief, marks: Marks | null = null): string {
  const { head } = brief;
  const out = [
    `${crew.crew}: ${crew.subtitle}`,
    `${head.mission}, ${head.at}`,
    `${head.version.words}; page ${crew.identity}`,
    ...since(marks),
    ...sectionsText(crew.sections, marks),
    '',
    `Read in ${Math.round(readingTime_s(wordsToRead(crew.sections)))} s.`,
  ];
  if (crew.nineLine !== null) out.push(...sectionsText([crew.nineLine], marks));
  return out.join('\n');
}

const since = (marks: Marks | null): string[] =>
  marks === null ? [] : ['', `Lines with * changed since ${marks.since}.`];

function sectionsText(sections: readonly BriefSection[], marks: Marks | null): string[] {
  return sections.flatMap((section) => [
    '',
    section.title,
    ...(section.columns === undefined ? lines(section, marks) : table(section, section.columns, marks)),
  ]);
}

function lines({ items }: BriefSection, marks: Marks | null): string[] {
  const width = Math.max(0, ...items.map((item) => item.label.length));
  return items.flatMap((item) =>
    marked(item, `${item.label === '' ? '' : `${item.label.padEnd(width)}  `}${item.text}`, marks),
  );
}

function table({ items }: BriefSection, columns: readonly string[], marks: Marks | null): string[] {
  const rows = [columns, ...items.map((item) => [item.label, ...(item.cells ?? [item.text])])];
  const widths = columns.map((_, k) => Math.max(...rows.map((cells) => (cells[k] ?? '').length)));
  const written = rows.map((cells) =>
    columns
      .map((_, k) => (k === columns.length - 1 ? (cells[k] ?? '') : (cells[k] ?? '').padEnd(widths[k] ?? 0)))
      .join('  ')
      .trimEnd(),
  );
  return written.flatMap((text, k) => {
    const item = items[k - 1];
    return item === undefined ? [`  ${text}`] : marked(item, text, marks);
  });
}

function marked(item: BriefItem, text: string, marks: Marks | null): string[] {
  const change = marks?.changes.get(item.key);
  if (change === undefined) return [`  ${text}`];
  const was = wasWords(change);
  return [`* ${text}`, ...(was === null ? [] : [`    was: ${was}`])];
}

/**
 * What a changed line said before; null for a new one, and for a sentence without a label (a caution), which is only
 * marked: it is read as it stands, and two of them below each other are mistaken for two cautions.
 */
export function wasWords(change: Change): string | null {
  if (change.kind === 'new' || change.was.label === '') return null;
  return change.was.cells === undefined ? change.was.text : change.was.cells.join('; ');
}

/** One breath per line; a sign marks what is to be read back. */
export const radioText = (radio: readonly RadioLine[]): string[] =>
  radio.map((line) => `  ${line.readBack ? '>' : ' '} ${line.text}`);
