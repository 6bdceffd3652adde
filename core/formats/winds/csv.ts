// Wind tables with named columns: our own CSV, the archive's comma-separated soundings, and tables with four-letter
// names (PRES, HGHT…). Separators: comma, semicolon (then a decimal comma is read too), tab, or blanks. One level a
// row, in any order.
//
//     # source: balloon release at the fence
//     # validTime: 2026-03-14T06:00:00Z     (or: valid)
//     # position: 141.60, -31.95            (longitude, latitude)
//     # elevation_m: 183                    (what heights above ground stand on)
//     height_m,from_deg,speed_kt,temperature_C,pressure_hPa
//     183,090,4,21.5,993
//
// A column says its unit: height_m, height_ft, height_km, height_agl_ft, geopotential_height_m; speed_mps, speed_kt,
// speed_kmh, speed_mph, or u_mps with v_mps; gust_kt; from_deg; temperature_C or _K, dew_point_C or _K; pressure_hPa or
// _Pa; latitude, longitude, time (of the row) and validTime (of the table: rows with another one are another source).
// Not legal: numbers without a header, a height or speed without a unit, two columns for one quantity (the first is
// read).
import type { Problem, Read } from '../../base/problem.ts';
import type { LonLat } from '../../base/units.ts';
import type { DecodedWinds } from '../../air/levels.ts';
import { columnOf, readCell, readCells } from './columns.ts';
import type { Column, CellQuantity } from './columns.ts';
import { checkHeights, hasContent, isBlank, levelOf, positionOf } from './rows.ts';
import type { PlacedLevel } from './rows.ts';
import { shown } from '../text/shown.ts';
import { answer, decodedWinds, Findings, linesOf, numberOf, refused } from '../text/text.ts';
import { parseTime } from '../text/times.ts';

interface Notes {
  source: string | null;
  validTime: string | null;
  position: LonLat | null;
  elevation_m: number | null;
}

const NOTE = /^#\s*([A-Za-z][A-Za-z_ ]*?)\s*[:=]\s*(.*?)\s*$/;

/** One comment line. Keys that are not ours are a person's remark and stay one. */
function readNote(text: string, line: number, notes: Notes, findings: Findings): void {
  const found = NOTE.exec(text);
  if (found === null) return;
  const [, key = '', value = ''] = found;
  const wrong = (expected: string): void =>
    findings.add('comments', { line }, `${key} ${shown(value)}; expected ${expected}`);
  switch (key.toLowerCase().replace(/[ _]/g, '')) {
    case 'source':
      notes.source = value === '' ? null : value;
      return;
    case 'valid':
    case 'validtime':
      notes.validTime = parseTime(value);
      if (notes.validTime === null) wrong('a time in UTC such as 2026-03-14T06:00:00Z');
      return;
    case 'position': {
      const [lon = NaN, lat = NaN, more] = value
        .replace(/[[\]()]/g, '')
        .split(/[\s,;]+/)
        .filter((part) => part !== '')
        .map(numberOf);
      if (more !== undefined || Number.isNaN(lon) || Number.isNaN(lat))
        wrong('longitude, latitude in degrees, such as 141.60, -31.95');
      else notes.position = positionOf(lon, lat, { line }, findings);
      return;
    }
    case 'elevationm':
    case 'elevationft': {
      const named = columnOf(key.toLowerCase().includes('ft') ? 'height_ft' : 'height_m', 0);
      if (named.kind === 'column') notes.elevation_m = readCell(named.column, value, { line }, findings);
      return;
    }
    default:
  }
}

/** The separator that a header line uses. */
function separatorOf(header: string): '\t' | ';' | ',' | ' ' {
  if (header.includes('\t')) return '\t';
  if (header.includes(';')) return ';';
  return header.includes(',') ? ',' : ' ';
}

/** Cuts a row; a cell may stand in double quotes. */
export function cut(row: string, separator: string): string[] {
  if (separator === ' ') return row.trim().split(/\s+/);
  if (!row.includes('"')) return row.split(separator);
  const cells: string[] = [];
  let cell = '';
  let quoted = false;
  for (const character of row) {
    if (character === '"') quoted = !quoted;
    else if (character === separator && !quoted) {
      cells.push(cell);
      cell = '';
    } else cell += character;
  }
  return [...cells, cell];
}

const NEEDED =
  'expected a header line with named columns, such as height_m,from_deg,speed_kt,temperature_C,pressure_hPa';

/** The columns of a header; what is wrong with them goes to `findings`. Null where nothing in it names a wind. */
function readHeader(names: readonly string[], line: number, findings: Findings): Column[] | null {
  const columns: Column[] = [];
  const wrong: string[] = [];
  const taken = new Map<CellQuantity, Column>();
  names.forEach((name, index) => {
    if (name.trim() === '') return;
    const named = columnOf(name.replace(/^"|"$/g, ''), index);
    if (named.kind === 'wrong') wrong.push(named.text);
    if (named.kind !== 'column') return;
    const first = taken.get(named.column.quantity);
    if (first !== undefined) {
      wrong.push(
        `columns ${shown(first.name)} and ${shown(named.column.name)} say the same quantity; only the first is read`,
      );
      return;
    }
    taken.set(named.column.quantity, named.column);
    columns.push(named.column);
  });
  for (const text of wrong) findings.add('columns', { line }, text);
  return columns.length === 0 ? null : columns;
}

/** True where the first line that is not a comment names at least one column that is known. */
export function isTable(text: string): boolean {
  const header = linesOf(text).find((line) => line.trim() !== '' && !line.trimStart().startsWith('#'));
  return header !== undefined && readHeader(cut(header, separatorOf(header)), 1, new Findings()) !== null;
}

/** What a header must have before its rows are worth reading; null where it has. */
function missingColumns(columns: readonly Column[]): string | null {
  const has = (...wanted: CellQuantity[]): boolean => columns.some((column) => wanted.includes(column.quantity));
  const wind = (has('from') && has('speed')) || (has('u') && has('v'));
  if (wind && has('height', 'geopotential', 'agl')) return null;
  const missing = [
    ...(has('height', 'geopotential', 'agl') ? [] : ['a height (height_m, height_ft, height_agl_ft)']),
    ...(wind || has('from') ? [] : ['a direction (from_deg)']),
    ...(wind || has('speed') ? [] : ['a speed (speed_mps, speed_kt, speed_kmh)']),
  ];
  return `the columns do not say ${missing.join(' and ')}; ${NEEDED}`;
}

const HEIGHTS: ReadonlySet<CellQuantity> = new Set(['height', 'geopotential', 'agl']);

/** A height of the table as it is written, to tell "12.000" for twelve thousand from twelve. */
const THOUSANDS = /^\d{1,3}\.\d{3}$/;

/**
 * Heights in metres or feet that are all written with three decimals, or with three beside whole ones, and that all
 * would lie below 100, are as likely thousands: they are not used.
 */
function ambiguousHeights(rows: readonly string[]): boolean {
  const written = rows.filter((text) => text !== '');
  const grouped = written.filter((text) => THOUSANDS.test(text));
  if (grouped.length === 0 || !grouped.every((text) => Number(text) < 100)) return false;
  return (
    grouped.every((text) => text.endsWith('00')) &&
    written.every((text) => THOUSANDS.test(text) || /^\d{1,3}$/.test(text))
  );
}

interface Table {
  /** Heights as they are written, where the unit is metre or foot. */
  readonly heights: string[];
  readonly validTime: string | null;
  position: LonLat | null;
  readonly rows: PlacedLevel[];
  readonly findings: Findings;
}

/** The place and times of a row, where the table has such columns. */
function readSetting(
  columns: readonly Column[],
  cells: readonly string[],
  line: number,
  findings: Findings,
): { time: string | null; validTime: string | null } {
  const read = (quantity: CellQuantity): string | null => {
    const column = columns.find((candidate) => candidate.quantity === quantity);
    const text = column === undefined ? '' : (cells[column.index] ?? '').trim();
    if (text === '') return null;
    const time = parseTime(text);
    if (time === null)
      findings.add('times', { line }, `time ${shown(text)}; expected a time in UTC such as 2026-03-14T06:00:00Z`);
    return time;
  };
  return { time: read('time'), validTime: read('validTime') };
}

/** Reads a table with named columns (see the head of the file for what is legal). */
export function readCsv(text: string): Read<DecodedWinds[]> {
  const general = new Findings();
  const notes: Notes = { source: null, validTime: null, position: null, elevation_m: null };
  let columns: Column[] | null = null;
  let separator: ReturnType<typeof separatorOf> = ',';
  let width = 0;
  const tables = new Map<string, Table>();
  for (const [i, raw] of linesOf(text).entries()) {
    const line = i + 1;
    const row = raw.trim();
    if (row === '') continue;
    if (row.startsWith('#')) readNote(row, line, notes, general);
    else if (columns === null) {
      separator = separatorOf(raw);
      const names = cut(raw, separator);
      columns = readHeader(names, line, general);
      width = names.length;
      if (columns === null) return refused(line, `no column is known in ${shown(row)}; ${NEEDED}`);
      const why = missingColumns(columns);
      if (why !== null) return answer([], [{ line, text: why }, ...general.all()]);
    } else addRow({ raw, line }, { separator, columns, width }, notes, tables, general);
  }
  if (columns === null) return refused(0, `there is no table; ${NEEDED}`);
  return finish([...tables.values()], notes, general);
}

interface Layout {
  readonly separator: string;
  readonly columns: readonly Column[];
  /** Cells that the header names, known or not. */
  readonly width: number;
}

function addRow(
  { raw, line }: { readonly raw: string; readonly line: number },
  { separator, columns, width }: Layout,
  notes: Notes,
  tables: Map<string, Table>,
  general: Findings,
): void {
  const place = { line };
  const cells = cut(raw, separator);
  if (cells.slice(width).some((cell) => cell.trim() !== '')) {
    const found = `${cells.length} cells under a header of ${width}`;
    general.add('rows with surplus cells', place, `${found}; decimal commas would do that. The row is left out`);
    return;
  }
  const last = columns[columns.length - 1];
  if (last !== undefined && cells.length <= last.index) {
    const found = `${cells.length} column${cells.length === 1 ? '' : 's'}`;
    general.add(
      'short rows',
      place,
      `${found}; the header names ${last.index + 1} up to ${last.name}: what is missing stays unknown`,
    );
  }
  const plain =
    separator === ';' || separator === '\t'
      ? cells.map((cell) => cell.replace(/^(\s*[+-]?\d+),(\d+\s*)$/, '$1.$2'))
      : cells;
  const setting = readSetting(columns, plain, line, general);
  const key = setting.validTime ?? '';
  let table = tables.get(key);
  if (table === undefined) {
    const validTime = setting.validTime ?? setting.time;
    table = { heights: [], validTime, position: null, rows: [], findings: new Findings() };
    tables.set(key, table);
  }
  const read = readCells(columns, plain, place, table.findings);
  const heights = columns.find(({ unit, quantity }) => HEIGHTS.has(quantity) && unit.factor <= 1);
  if (heights !== undefined) table.heights.push((plain[heights.index] ?? '').trim());
  const level = levelOf(read, place, table.findings, notes.elevation_m);
  if (level.agl_m !== undefined) {
    table.findings.add(
      'heights above unknown ground',
      place,
      'a height above ground; expected a comment "# elevation_m: …" before the table',
    );
  }
  if (table.position === null && read.longitude !== undefined && read.latitude !== undefined) {
    table.position = positionOf(read.longitude, read.latitude, place, table.findings);
  }
  if (hasContent(level)) table.rows.push({ level, place });
  else if (isBlank(read)) table.findings.add('rows without any value', place, 'the row holds nothing that can be used');
}

function finish(tables: readonly Table[], notes: Notes, general: Findings): Read<DecodedWinds[]> {
  const shared: Problem[] = general.all();
  if (tables.length === 0) return answer([], [{ line: 0, text: 'the header is not followed by any row' }, ...shared]);
  const sources = tables.map((table) => {
    const doubtful = ambiguousHeights(table.heights);
    if (doubtful) {
      const example = table.heights.find((text) => THOUSANDS.test(text)) ?? '';
      const both = `${Number(example)} or ${Number(example.replace('.', ''))}`;
      table.findings.add(
        'heights',
        { line: 0 },
        `heights such as ${shown(example)} may be ${both}: write them without a sign between thousands; they ` +
          'are not used',
      );
    } else checkHeights(table.rows, table.findings);
    const source = decodedWinds(
      {
        source: notes.source ?? 'wind table',
        validTime: table.validTime ?? notes.validTime,
        position: table.position ?? notes.position,
        levels: table.rows.map(({ level }) => (doubtful ? { ...level, height_m: null } : level)),
      },
      table.findings,
      'no row holds a level',
    );
    return { ...source, problems: [...shared, ...source.problems] };
  });
  return answer(sources, shared);
}
