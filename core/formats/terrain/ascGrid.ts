// Arc ASCII grids: some lines "name value", then the heights in metres, row by row from the north. The file has no
// coordinate system:
// `raster.ts` says what the coordinates can be. Keys: ncols nrows xllcorner|xllcenter yllcorner|yllcenter cellsize [dx
// dy] [NODATA_value].
import type { Problem, Read } from '../../base/problem.ts';
import { CELLS_MAX } from './raster.ts';
import type { Raster } from './raster.ts';

const KEYS = [
  'ncols',
  'nrows',
  'xllcorner',
  'xllcenter',
  'yllcorner',
  'yllcenter',
  'cellsize',
  'dx',
  'dy',
  'nodata_value',
];

/** True of a text that begins as such a grid does. */
export const looksLikeAscGrid = (bytes: Uint8Array): boolean =>
  /^\s*(ncols|nrows|[xy]ll(corner|center)|cellsize|d[xy]|nodata_value)\s+[\d.,+-]/i.test(
    latin(bytes, 0, Math.min(200, bytes.length)),
  );

function latin(bytes: Uint8Array, from: number, to: number): string {
  let text = '';
  for (let k = from; k < to; k++) text += String.fromCharCode(bytes[k] ?? 0);
  return text;
}

/**
 * One grid. legal: any order of keys, any case, blanks or tabs, CR LF, decimal commas, several rows on a line or one
 * row on several lines. Refused: a missing or impossible key, no heights. A word that is not a number is an unknown
 * cell, and counted.
 */
export function readAscGrid(bytes: Uint8Array): Read<Raster | null> {
  const words = new Words(bytes);
  const header = new Map<string, number>();
  const problems: Problem[] = [];
  const refuse = (text: string): Read<null> => ({ value: null, problems: [{ line: words.line, text }] });
  for (let count = 0; count < 20; count++) {
    const mark = words.save();
    const key = words.next().toLowerCase();
    if (!/^[a-z]/.test(key) || key === 'nan') {
      words.restore(mark);
      break;
    }
    const text = words.next();
    const value = number(text);
    if (!KEYS.includes(key))
      problems.push({ line: words.line, text: `key "${key.slice(0, 20)}"; not known, left out` });
    else if (!Number.isFinite(value) && key !== 'nodata_value')
      return refuse(`${key} "${text.slice(0, 20)}"; expected a number`);
    else header.set(key, value);
  }
  const columns = header.get('ncols') ?? NaN;
  const rows = header.get('nrows') ?? NaN;
  const stepX = header.get('dx') ?? header.get('cellsize') ?? NaN;
  const stepY = header.get('dy') ?? header.get('cellsize') ?? NaN;
  if (!(Number.isInteger(columns) && Number.isInteger(rows) && columns >= 2 && rows >= 2)) {
    return refuse(`ncols ${columns}, nrows ${rows}; expected two whole numbers of 2 or more`);
  }
  if (!(columns * rows <= CELLS_MAX))
    return refuse(`${columns} × ${rows} cells; at most ${CELLS_MAX / 1e6} million are read`);
  if (!(columns * rows * 2 <= bytes.length + 1))
    return refuse(`${columns} × ${rows} cells; the file is too short to hold them`);
  if (!(stepX > 0 && stepY > 0)) return refuse(`cellsize ${stepX}; expected a number above 0`);
  const x0 = header.get('xllcenter') ?? (header.get('xllcorner') ?? NaN) + stepX / 2;
  const south = header.get('yllcenter') ?? (header.get('yllcorner') ?? NaN) + stepY / 2;
  if (!Number.isFinite(x0)) return refuse('no xllcorner or xllcenter; expected one of them');
  if (!Number.isFinite(south)) return refuse('no yllcorner or yllcenter; expected one of them');
  const heights_m = readCells(words, columns * rows, header.get('nodata_value') ?? -9999, problems);
  const value: Raster = {
    columns,
    rows,
    heights_m,
    x0,
    y0: south + (rows - 1) * stepY,
    stepX,
    stepY: -stepY,
    crs: { kind: 'unknown' },
  };
  return { value, problems };
}

function readCells(words: Words, count: number, nodata: number, problems: Problem[]): Float32Array {
  const heights_m = new Float32Array(count).fill(NaN);
  let bad = 0;
  let badLine = 0;
  let badWord = '';
  let read = 0;
  for (; read < count; read++) {
    const word = words.next();
    if (word === '') break;
    const h = number(word);
    if (h !== h && !/^nan$/i.test(word)) {
      if (bad === 0) [badLine, badWord] = [words.line, word.slice(0, 20)];
      bad++;
    } else if (h !== nodata) heights_m[read] = h;
  }
  if (bad > 0)
    problems.push({
      line: badLine,
      text: `${bad} cells that are not numbers, the first "${badWord}"; taken as unknown`,
    });
  if (read < count)
    problems.push({ line: words.line, text: `${read} of ${count} heights; the file ends early, the rest is unknown` });
  else if (words.next() !== '')
    problems.push({
      line: words.line,
      text: `more than the ${count} heights that the header announces; the rest is left out`,
    });
  return heights_m;
}

/** A number with a decimal point or comma; NaN for anything else. */
function number(word: string): number {
  const text = word.includes('.') ? word : word.replace(',', '.');
  return /^[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?$/i.test(text) ? Number(text) : NaN;
}

/**
 * Words of a byte text one by one, with the line; no copy of the whole as a string, which for 50 MB would be hundreds.
 */
class Words {
  readonly bytes: Uint8Array;
  at = 0;
  line = 1;

  constructor(bytes: Uint8Array) {
    this.bytes = bytes;
  }

  save(): readonly [at: number, line: number] {
    return [this.at, this.line];
  }

  restore([at, line]: readonly [number, number]): void {
    this.at = at;
    this.line = line;
  }

  /** The next word, '' at the end; a word of more than 64 characters comes cut. */
  next(): string {
    const { bytes } = this;
    while (this.at < bytes.length && (bytes[this.at] ?? 0) <= 32) {
      if (bytes[this.at] === 10) this.line++;
      this.at++;
    }
    const from = this.at;
    while (this.at < bytes.length && (bytes[this.at] ?? 0) > 32) this.at++;
    return latin(bytes, from, Math.min(this.at, from + 64));
  }
}
