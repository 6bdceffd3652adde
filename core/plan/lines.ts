// Lists of places and tables of a function as a person types them: one a line. Positions in any form; numbers with a
// point or a comma.
import { tidyPlace } from '../base/plainNumbers.ts';
import type { LonLat } from '../base/units.ts';
import { readPosition } from '../earth/grid.ts';

export type LinesRead<T> = { readonly ok: true; readonly value: T } | { readonly ok: false; readonly why: string };

const linesOf = (text: string): { readonly line: string; readonly number: number }[] =>
  text
    .split('\n')
    .map((line, i) => ({ line: line.trim(), number: i + 1 }))
    .filter(({ line }) => line !== '');

/** Places, one a line; at least so many. */
export function readPlaces(text: string, atLeast: number): LinesRead<LonLat[]> {
  const places: LonLat[] = [];
  for (const { line, number } of linesOf(text)) {
    const { value, problems } = readPosition(line);
    if (value === null) return { ok: false, why: `Line ${number}: ${problems[0]?.text ?? 'not a position'}.` };
    places.push(tidyPlace(value));
  }
  return places.length >= atLeast
    ? { ok: true, value: places }
    : { ok: false, why: `${places.length} places; expected at least ${atLeast}.` };
}

/** Pairs of numbers, one a line, the first ones rising. */
export function readKnots(text: string): LinesRead<[number, number][]> {
  const rows: [number, number][] = [];
  for (const { line, number } of linesOf(text)) {
    const numbers = line.split(/\s+/).map((word) => Number(word.replace(',', '.')));
    const [x = NaN, y = NaN] = numbers;
    if (numbers.length !== 2 || !Number.isFinite(x) || !Number.isFinite(y))
      return { ok: false, why: `Line ${number}: “${line.slice(0, 40)}”; expected two numbers, such as 12000 1.05.` };
    const before = rows.at(-1)?.[0] ?? -Infinity;
    if (!(x > before)) return { ok: false, why: `Line ${number}: ${x} does not rise above ${before}.` };
    rows.push([x, y]);
  }
  return rows.length > 0
    ? { ok: true, value: rows }
    : { ok: false, why: 'Nothing typed; expected two numbers per line.' };
}
