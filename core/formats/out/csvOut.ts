// CSV as RFC 4180 has it: CRLF after each record, fields with a comma, a quote or a line break in quotes, quotes
// doubled. The first record names the columns, with their units. A number that is not finite is an empty field, never
// NaN.
import { plainNumber } from './xmlText.ts';

export type Cell = string | number | boolean | null;

export interface CsvColumn {
  readonly name: string;
  /** Of its numbers; left out: 3. */
  readonly decimals?: number;
}

/** Control characters but line breaks are left out: no reader agrees on them. */
// eslint-disable-next-line no-control-regex -- control characters are what is looked for
const CONTROL = /[\u0000-\u0008\u000B\u000C\u000E-\u001F]/g;

export function toCsv(columns: readonly CsvColumn[], rows: readonly (readonly Cell[])[]): string {
  const head = columns.map((column) => field(column.name, 0)).join(',');
  const body = rows.map((row) => columns.map((column, k) => field(row[k] ?? null, column.decimals ?? 3)).join(','));
  return `${[head, ...body].join('\r\n')}\r\n`;
}

function field(cell: Cell, decimals: number): string {
  if (cell === null) return '';
  if (typeof cell === 'number') return plainNumber(cell, decimals) ?? '';
  if (typeof cell === 'boolean') return String(cell);
  const plain = cell.replace(CONTROL, '');
  // A spreadsheet would evaluate a text that begins like a formula: the apostrophe keeps it text.
  const text = /^[=+\-@\t\r]/.test(plain) ? `'${plain}` : plain;
  return /[",\r\n]/.test(text) || text !== text.trim() ? `"${text.replaceAll('"', '""')}"` : text;
}
