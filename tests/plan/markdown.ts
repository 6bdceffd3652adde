// What a test reads out of one of the project's pages: its tables row by row, and its fenced blocks.

export interface Row {
  /** The table's header, cells joined by ` | `. */
  readonly header: string;
  readonly cells: readonly string[];
}

const cellsOf = (line: string): string[] =>
  line
    .slice(1, -1)
    .split(' | ')
    .map((cell) => cell.trim());

/** Every row of every table. */
export function rowsOf(page: string): Row[] {
  const rows: Row[] = [];
  let header: string | null = null;
  for (const line of page.split('\n')) {
    if (!line.startsWith('|')) header = null;
    else if (header === null) header = cellsOf(line).join(' | ');
    else if (!/^\|[-|]+\|$/.test(line)) rows.push({ header, cells: cellsOf(line) });
  }
  return rows;
}

/** The fenced blocks of one language. */
export const blocksOf = (page: string, language: string): string[] =>
  [...page.matchAll(new RegExp(`^\`\`\`${language}\\n([^]*?)^\`\`\`$`, 'gm'))].map((match) =>
    (match[1] ?? '').trimEnd(),
  );
