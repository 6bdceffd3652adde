// Where the words of the map on paper go: gathered while the map is drawn, placed at the end so that none covers
// another; and the arrows at its edge toward what lies beyond it. Millimetres of paper.
import {
  boxesAlong,
  placeLabels,
  spotsAround,
  spotsOn,
  type Box,
  type LabelWish,
  type Spot,
} from '../../base/labels.ts';
import { distance } from '../../words/lengths.ts';
import type { LonLat } from '../../base/units.ts';
import type { BriefMap } from '../mapData.ts';
import { isOn, project, type Mm, type PaperFrame, type PaperOptions } from './frame.ts';
import { INK, PAPER } from './marks.ts';
import { mm, tag, text } from './svg.ts';

/** Letters are 7 pt (2.47 mm) or more, to be read in a cockpit that shakes. */
export const SIZE = 2.9;
const SMALL = 2.5;
/** Mean width of a letter of the bundled face, em; wide enough for its capitals. */
const LETTER_EM = 0.57;
/** Of words in capitals alone, in whatever face a machine has. */
const CAPITAL_EM = 0.74;

/** What is gathered while the layers are drawn: words that want a place, and what they must not cover. */
export interface Drawing {
  readonly paper: PaperFrame;
  readonly options: PaperOptions;
  readonly wishes: (LabelWish & { readonly words: string; readonly bold: boolean; readonly size: number })[];
  readonly blocked: Box[];
  readonly unwelcome: Box[];
  /** Drawn only where the words beside them found a place: an arrow alone says nothing. */
  readonly arrows: Map<string, string>;
}

interface Beyond {
  readonly words: string;
  readonly far_m: number;
  readonly angle: number;
}

/** What lies off the sheet: an arrow at its edge toward it, names and distances from the landing beside it. */
export function offSheet(drawing: Drawing, map: BriefMap): void {
  const { paper } = drawing;
  const found: Beyond[] = [];
  const take = (place: LonLat, words: string): void => {
    if (isOn(paper, project(paper, place), 1.5)) return;
    const [east, north] = paper.frame.toLocal(place);
    const far_m = Math.hypot(east, north);
    found.push({ words: `${words} ${distance(far_m)}`, far_m, angle: Math.atan2(east, north) });
  };
  if (drawing.options.crew === undefined) for (const one of map.cases) take(one.landing, one.letter);
  for (const body of map.others) take(body.landing, body.name);
  for (const crew of map.crews)
    if (drawing.options.crew === undefined || crew.name === drawing.options.crew) take(crew.standby, crew.name);
  if (drawing.options.crew === undefined) take(map.exit.position, 'exit');
  const groups: Beyond[][] = [];
  for (const one of found.sort((a, b) => a.angle - b.angle)) {
    const last = groups.at(-1);
    const first = last?.[0];
    if (last !== undefined && first !== undefined && one.angle - first.angle < 0.25) last.push(one);
    else groups.push([one]);
  }
  groups.forEach((group, k) => edgeArrow(drawing, group, k));
}

function edgeArrow(drawing: Drawing, group: readonly Beyond[], k: number): void {
  const { paper } = drawing;
  const angle = group.reduce((sum, one) => sum + one.angle, 0) / group.length;
  const from = project(paper, paper.frame.origin);
  const [ux, uy] = [Math.sin(angle), -Math.cos(angle)];
  const inset = 6;
  const room = (at: number, step: number, end: number): number =>
    Math.abs(step) < 1e-9 ? Infinity : ((step > 0 ? end - inset : inset) - at) / step;
  const t = Math.max(0, Math.min(room(from[0], ux, paper.width_mm), room(from[1], uy, paper.height_mm)));
  const [x, y]: Mm = [from[0] + t * ux, from[1] + t * uy];
  const words = [...group]
    .sort((a, b) => a.far_m - b.far_m)
    .map((one) => one.words)
    .join(' · ');
  drawing.blocked.push({ x: x - 2, y: y - 2, width: 4, height: 4 });
  wishAround(drawing, [x, y], 2.6, { id: `off ${k}`, priority: 1, words });
  const arrow = tag(
    'g',
    { transform: `translate(${mm(x)} ${mm(y)}) rotate(${mm((angle * 180) / Math.PI)})` },
    tag('path', { d: 'M0 2.4V-1M-1.3 -0.6L0 -2.6L1.3 -0.6Z', fill: INK, stroke: INK, 'stroke-width': 0.5 }),
  );
  drawing.arrows.set(`off ${k}`, arrow);
}

/** Words that want a place; the smaller its priority, the sooner it gets one. */
interface Wish {
  readonly id: string;
  readonly priority: number;
  readonly words: string;
  readonly size?: number;
  readonly bold?: boolean;
}

export function wishAround(drawing: Drawing, [x, y]: Mm, gap: number, wish: Wish): void {
  const [width, height] = sizeOf(wish);
  push(drawing, wish, spotsAround({ x, y }, { width, height }, Math.min(gap, 12)));
}

export function wishOn(drawing: Drawing, points: readonly Mm[], wish: Wish): void {
  const [width, height] = sizeOf(wish);
  push(
    drawing,
    wish,
    spotsOn(
      points.map(([x, y]): Spot => ({ x, y })),
      width,
      height,
    ),
  );
}

function push(drawing: Drawing, wish: Wish, spots: Spot[]): void {
  const [width, height] = sizeOf(wish);
  drawing.wishes.push({ size: SMALL, bold: false, ...wish, width, height, spots });
}

/** Gives the wish that was made last more places, about a point. */
export function alsoAround(drawing: Drawing, [x, y]: Mm, gap: number): void {
  const last = drawing.wishes.pop();
  if (last === undefined) return;
  drawing.wishes.push({ ...last, spots: [...last.spots, ...spotsAround({ x, y }, last, gap)] });
}

const sizeOf = ({ words, size = SMALL }: Wish): readonly [number, number] => [
  words.length * size * (words === words.toUpperCase() && /\p{L}{2}/u.test(words) ? CAPITAL_EM : LETTER_EM) + 0.6,
  size * 1.25,
];

export function labels(drawing: Drawing): string {
  const { width_mm: w, height_mm: h } = drawing.options;
  const area = { x: 1, y: 1, width: w - 2, height: h - 2 };
  const placed = placeLabels(
    drawing.wishes,
    { area, blocked: drawing.blocked, unwelcome: drawing.unwelcome },
    new Map(),
  );
  const byId = new Map(drawing.wishes.map((wish) => [wish.id, wish]));
  return placed
    .map((label) => {
      const wish = byId.get(label.id);
      if (wish === undefined) return '';
      const arrow = drawing.arrows.get(label.id) ?? '';
      return (
        arrow +
        text(label.x + 0.3, label.y + wish.size * 0.98, wish.size, wish.words, {
          fill: INK,
          stroke: PAPER,
          'stroke-width': 0.8,
          'stroke-linejoin': 'round',
          'paint-order': 'stroke',
          'font-weight': wish.bold ? 600 : undefined,
        })
      );
    })
    .join('');
}

/** Points along a line that lie on the sheet, some millimetres apart, those near its middle first. */
export function alongLine(paper: PaperFrame, line: readonly Mm[]): Mm[] {
  const spots = boxesAlong(line.flat(), 6, 0)
    .map(({ x, y }): Mm => [x, y])
    .filter((point) => isOn(paper, point, 4));
  const middle = spots[Math.floor(spots.length / 2)];
  if (middle === undefined) return [];
  const away = ([x, y]: Mm): number => Math.hypot(x - middle[0], y - middle[1]);
  return spots.sort((a, b) => away(a) - away(b));
}

export const centreOf = (points: readonly Mm[]): Mm => {
  const n = Math.max(points.length, 1);
  return [points.reduce((sum, point) => sum + point[0], 0) / n, points.reduce((sum, point) => sum + point[1], 0) / n];
};

export const radiusOf = (points: readonly Mm[], middle: Mm): number =>
  Math.max(2, ...points.map((point) => Math.hypot(point[0] - middle[0], point[1] - middle[1])));

/** Places for a zone's name: a little inside each corner, the topmost first, then the middle. */
export const inward = (corners: readonly Mm[], middle: Mm): Mm[] => [
  ...corners.map(([x, y]): Mm => [x + 0.35 * (middle[0] - x), y + 0.25 * (middle[1] - y)]),
  middle,
];
