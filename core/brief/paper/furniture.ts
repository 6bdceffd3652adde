// What every map on paper has about it: the crews' grid, a scale bar, north true and magnetic, the wind, a key of the
// signs.
import { type CoordinateFormat, declinationWords } from '../../words/positions.ts';
import type { Box } from '../../base/labels.ts';
import { MPS_PER_KT } from '../../base/units.ts';
import { direction, isCalm, octant } from '../../words/winds.ts';
import type { BriefMap } from '../mapData.ts';
import { gridOn, type PaperFrame, type Tick } from './frame.ts';
import { GREY, INK, northArrow, PAPER, windArrow } from './marks.ts';
import { mm, tag, text } from './svg.ts';
import { quantity, number } from '../../words/numbers.ts';

export interface Furniture {
  readonly under: string;
  readonly over: string;
  /** What words must keep off. */
  readonly boxes: readonly Box[];
}

/** 7 pt, as all words of the map (`words.ts`). */
const LABEL = 2.5;

export function furniture(paper: PaperFrame, map: BriefMap, format: CoordinateFormat): Furniture {
  const { width_mm: w, height_mm: h } = paper;
  const grid = gridOn(paper, format);
  const crosses = grid.crosses.map(([x, y]) => `M${mm(x - 1)} ${mm(y)}h2M${mm(x)} ${mm(y - 1)}v2`).join('');
  const under = tag('path', { d: crosses, stroke: GREY, 'stroke-width': 0.2 });
  // The corner panel: wind, north, scale, on white so that nothing runs into them.
  const panel = { x: w - 52, y: h - 24, width: 52, height: 24 };
  const bar = scaleBar(paper, panel.x + 3, h - 4);
  const calm = isCalm(map.wind.speed_mps);
  const wind = calm
    ? text(panel.x + 3, panel.y + 4, LABEL, 'wind calm', { fill: INK })
    : windArrow([panel.x + 8, panel.y + 8], map.wind.from_deg) +
      text(panel.x + 15.5, panel.y + 5, LABEL, `FROM ${direction(map.wind.from_deg)}`, {
        fill: INK,
        'font-weight': 600,
      }) +
      text(panel.x + 15.5, panel.y + 8.4, LABEL, octant(map.wind.from_deg), { fill: INK }) +
      text(panel.x + 15.5, panel.y + 11.8, LABEL, `${quantity(map.wind.speed_mps / MPS_PER_KT, 'kt')} on the ground`, {
        fill: INK,
      });
  const north = northArrow([w - 6, panel.y + 6]);
  const edge = tag('path', {
    d: `M${mm(panel.x)} ${mm(h)}V${mm(panel.y)}H${mm(w)}`,
    fill: 'none',
    stroke: INK,
    'stroke-width': 0.25,
  });
  const ground = tag('rect', { ...panel, fill: PAPER });
  const ticks = grid.ticks.filter((tick) => !covered(tick, panel) && !inCorner(tick, h));
  const over =
    ticks.map((tick) => tickMark(tick, w)).join('') + ground + edge + wind + north + magnetic(map, panel) + bar;
  return { under, over, boxes: [panel, ...ticks.map((tick) => tickBox(tick, w))] };
}

const covered = ({ at: [x, y] }: Tick, panel: Box): boolean => x > panel.x - 1 && y > panel.y - 1;

/** At a corner a row's label would lie on a column's. */
const inCorner = ({ at: [, y], edge }: Tick, height_mm: number): boolean =>
  (edge === 'left' || edge === 'right') && (y < 6 || y > height_mm - 6);

/** Declination in words: an arrow so small would not be read to the degree. */
function magnetic({ declination_deg }: BriefMap, panel: Box): string {
  if (declination_deg === null) return '';
  const words = `mag. north ${declinationWords(declination_deg, 0)}`;
  return text(panel.x + panel.width - 1, panel.y + panel.height - 7, LABEL, words, { 'text-anchor': 'end', fill: INK });
}

const widthOf = (label: string): number => label.length * LABEL * 0.57;

/** The middle of a column's label: over its tick, but never over the side of the map. */
const middleOf = (x: number, label: string, width_mm: number): number =>
  Math.min(Math.max(x, widthOf(label) / 2), width_mm - widthOf(label) / 2);

function tickMark({ at: [x, y], edge, label }: Tick, width_mm: number): string {
  const to = { top: `V2`, bottom: `v-2`, left: `H2`, right: `h-2` }[edge];
  const line = tag('path', { d: `M${mm(x)} ${mm(y)}${to}`, stroke: INK, 'stroke-width': 0.3 });
  const halo = { fill: INK, stroke: PAPER, 'stroke-width': 0.7, 'paint-order': 'stroke' };
  const middle = middleOf(x, label, width_mm);
  if (edge === 'top') return line + text(middle, y + 4, LABEL, label, { 'text-anchor': 'middle', ...halo });
  if (edge === 'bottom') return line + text(middle, y - 2.6, LABEL, label, { 'text-anchor': 'middle', ...halo });
  if (edge === 'left') return line + text(x + 2.5, y + 0.7, LABEL, label, halo);
  return line + text(x - 2.5, y + 0.7, LABEL, label, { 'text-anchor': 'end', ...halo });
}

function tickBox({ at: [x, y], edge, label }: Tick, width_mm: number): Box {
  const width = widthOf(label);
  const left = middleOf(x, label, width_mm) - width / 2;
  if (edge === 'top') return { x: left, y, width, height: 4.4 };
  if (edge === 'bottom') return { x: left, y: y - 4.4, width, height: 4.4 };
  return { x: edge === 'left' ? x : x - width - 2.5, y: y - 1.2, width: width + 2.5, height: 2.4 };
}

const BAR_MM_MAX = 27;

function scaleBar(paper: PaperFrame, x: number, y: number): string {
  const longest_m = (BAR_MM_MAX * paper.scale) / 1000;
  const power = 10 ** Math.floor(Math.log10(longest_m));
  const length_m = [5, 2, 1].map((one) => one * power).find((one) => one <= longest_m) ?? power;
  const length = (length_m * 1000) / paper.scale;
  const words = length_m >= 1000 ? quantity(length_m / 1000, 'km') : quantity(length_m, 'm');
  const half = tag('rect', { x, y: y - 1, width: length / 2, height: 1, fill: INK });
  const box = tag('rect', { x, y: y - 1, width: length, height: 1, fill: 'none', stroke: INK, 'stroke-width': 0.25 });
  const ratio = `1:${number(paper.scale)}`;
  return (
    half +
    box +
    text(x, y + 2.6, LABEL, '0', { fill: INK }) +
    text(x + length, y + 2.6, LABEL, words, { 'text-anchor': 'middle', fill: INK }) +
    text(x + 46, y + 2.6, LABEL, ratio, { 'text-anchor': 'end', fill: INK })
  );
}
