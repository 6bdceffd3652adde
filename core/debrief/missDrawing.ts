// The miss of the expected landing over time, as a drawing: a step at each moment at which it moved. Hours before the
// exit and minutes after it have half of the width each.
import { xmlText } from '../formats/out/xmlText.ts';
import { distance } from '../words/lengths.ts';
import { clock } from '../words/times.ts';
import type { Debrief } from './debrief.ts';

const WIDTH = 900;
const HEIGHT = 180;
const LEFT = 70;
const TOP = 14;
const BASE = 150;

/** Lengths that an axis ends on, m. */
const ENDS_M = [1, 2, 3, 5]
  .flatMap((n) => [10, 100, 1000, 10_000, 100_000].map((ten) => n * ten))
  .sort((a, b) => a - b);

/** Empty where fewer than two moments are known. */
export function missDrawing({ moments, exit, touchdown }: Debrief): string {
  const first = moments[0];
  if (first === undefined || moments.length < 2) return '';
  const most_m = Math.max(...moments.map(({ miss_m }) => miss_m));
  const top_m = ENDS_M.find((end_m) => end_m >= most_m) ?? most_m;
  const exit_s = exit === null || exit.time_s <= first.at_s ? null : exit.time_s;
  const right = WIDTH - 20;
  const middle = exit_s === null ? LEFT : (LEFT + right) / 2;
  const part = (at_s: number, from_s: number, to_s: number): number => (at_s - from_s) / (to_s - from_s);
  const x = (at_s: number): number =>
    Math.round(
      exit_s !== null && at_s < exit_s
        ? LEFT + (middle - LEFT) * part(at_s, first.at_s, exit_s)
        : middle + (right - middle) * part(at_s, exit_s ?? first.at_s, touchdown.time_s),
    );
  const y = (miss_m: number): number => Math.round(BASE - ((BASE - TOP) * miss_m) / top_m);
  const way = moments.map(({ at_s, miss_m }, i) => (i === 0 ? `M${x(at_s)} ${y(miss_m)}` : `H${x(at_s)}V${y(miss_m)}`));
  const text = (at: readonly [number, number], anchor: string, words: string): string =>
    `<text x="${at[0]}" y="${at[1]}" text-anchor="${anchor}" font-size="11">${xmlText(words)}</text>`;
  const rule = (at_x: number): string => `<path d="M${at_x} ${TOP}V${BASE}" stroke="#777" stroke-dasharray="4 3"/>`;
  const grid = [0, top_m / 2, top_m].map(
    (miss_m) =>
      `<path d="M${LEFT} ${y(miss_m)}H${right}" stroke="#bbb"/>` +
      text([LEFT - 6, y(miss_m) + 4], 'end', distance(miss_m)),
  );
  const left = exit_s === null ? '' : rule(middle) + text([middle, BASE + 16], 'middle', `exit ${clock(exit_s)}`);
  return (
    `<svg viewBox="0 0 ${WIDTH} ${HEIGHT}" width="${WIDTH}" role="img" ` +
    `aria-label="Miss of the expected landing over time">${grid.join('')}${left}` +
    `<path d="${way.join('')}H${x(touchdown.time_s)}" fill="none" stroke="#111" stroke-width="2"/>` +
    text([LEFT, BASE + 16], 'start', clock(first.at_s)) +
    text([right, BASE + 16], 'end', `touchdown ${clock(touchdown.time_s)}`) +
    text([LEFT, TOP - 3], 'start', 'Miss of the expected landing') +
    '</svg>'
  );
}
