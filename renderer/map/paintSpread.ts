// What is not known and what is in reach: the sample of landings, its contours and ellipses with their percentage
// written on the line, reachable regions, the exit window on the carrier's line, and the landings of the cases.
import type { LonLat } from '../../core/base/units.ts';
import { clock } from '../../core/words/times.ts';
import { height } from '../../core/words/lengths.ts';
import { number, THIN, quantity } from '../../core/words/numbers.ts';
import type { DotPainter } from './dots.ts';
import { ellipseRing } from '../../core/earth/ellipse.ts';
import { piecesSeen, pointsAlong, walk, type Piece } from './lines.ts';
import { drawCaseMark, ringed, traceArrowHead } from './marks.ts';
import {
  block,
  EXTRAPOLATED_DASH,
  faded,
  onScreen,
  rank,
  spotOf,
  strokeLine,
  strokePieces,
  traceRings,
  type Pen,
} from './pen.ts';
import { boxesAlong, type Spot } from '../../core/base/labels.ts';
import type { MapCase, MapContour, MapEllipse, MapExitLine, MapReach, MapScene } from './scene.ts';
import type { Role } from '../theme/roles.ts';

export function paintSpread(pen: Pen, scene: MapScene, dots: DotPainter): void {
  if (scene.dots !== null) dots.paint(pen.context, pen.world.points(scene.dots), pen.screen, pen.palette.spread);
  for (const reach of scene.reach) paintReach(pen, reach, scene);
  for (const contour of [...scene.contours].sort((a, b) => b.percent - a.percent)) paintContour(pen, contour);
  for (const ellipse of [...scene.ellipses].sort((a, b) => b.percent - a.percent)) {
    paintEllipse(pen, ellipse, `ellipse/${ellipse.percent}`, 'spread', null);
  }
  if (scene.exitLine !== null) paintExitLine(pen, scene.exitLine, scene);
  if (scene.bestExit !== null) paintBestExit(pen, scene.bestExit);
  for (const one of scene.cases) paintCase(pen, one, scene);
}

const shareOnLine = (percent: number): string => quantity(percent, '%', percent % 1 === 0 ? 0 : 1);

function paintContour(pen: Pen, contour: MapContour): void {
  const { context, palette } = pen;
  traceRings(pen, contour.rings);
  context.fillStyle = faded(palette.spread, 0.06);
  context.fill('evenodd');
  const width = contour.percent <= 50 ? 2.25 : contour.percent <= 90 ? 1.75 : 1.25;
  const pieces = contour.rings.flatMap((ring) =>
    strokeLine(pen, ring, { colour: palette.spread, width, halo: 0.75 }, true),
  );
  percentOnLine(pen, `contour/${contour.percent}`, shareOnLine(contour.percent), 'spread', pieces);
}

/** The words on the line itself: many points of it would do, so that one is free. */
function percentOnLine(pen: Pen, id: string, text: string, role: Role, pieces: readonly Piece[]): void {
  const points = pointsAlong(pieces, [0.12, 0.37, 0.62, 0.87, 0.25, 0.5, 0.75, 0, 0.06, 0.31, 0.56, 0.81]);
  if (points.length === 0) return;
  pen.texts.push({
    id,
    priority: rank.percent,
    role,
    lines: [{ text, size: 12, bold: true }],
    plate: true,
    place: { kind: 'on', points },
  });
}

export function paintEllipse(pen: Pen, ellipse: MapEllipse, id: string, role: Role, words: string | null): void {
  const ring = pen.world.derived(ellipse, () => ellipseRing(ellipse));
  const pieces = strokeLine(pen, ring, { colour: pen.palette[role], width: 1.25, halo: 0.5 }, true);
  percentOnLine(pen, id, words ?? shareOnLine(ellipse.percent), role, pieces);
}

/** Reach: a comb of ticks inward, the side on which one still can. A cone's slice: a double line. */
function paintReach(pen: Pen, reach: MapReach, scene: MapScene): void {
  const { context, palette } = pen;
  const dash = reach.extrapolated === true ? { dash: EXTRAPOLATED_DASH } : {};
  const all: Piece[] = [];
  for (const ring of reach.rings) {
    const pieces = piecesSeen(pen.world.line(ring), pen.screen, 40, true);
    all.push(...pieces);
    if (reach.kind === 'cone') {
      strokePieces(pen, pieces, { colour: palette.canopy, width: 4.5, ...dash });
      strokePieces(pen, pieces, { colour: palette.map, width: 2 });
      continue;
    }
    strokePieces(pen, pieces, { colour: palette.canopy, width: 2, halo: 0.75, ...dash });
    const side = turnsRight(pen.world.line(ring)) ? 1 : -1;
    context.beginPath();
    for (const piece of pieces) {
      walk(piece, 14, 7, (x, y, angle) => {
        context.moveTo(x, y);
        context.lineTo(x - side * 5 * Math.sin(angle), y + side * 5 * Math.cos(angle));
      });
    }
    context.strokeStyle = palette.canopy;
    context.lineWidth = 1.25;
    context.stroke();
  }
  for (const piece of all) pen.unwelcome.push(...boxesAlong(piece.px, 16, 6));
  const text = `${reach.name} · ${height(reach.height_m, scene.units, scene.site.elevation_m)}`;
  const points = besideRing(all, text);
  if (points.length === 0) return;
  pen.texts.push({
    id: `reach/${reach.name}`,
    priority: rank.reach,
    role: 'canopy',
    lines: [{ text, size: 12 }],
    plate: true,
    place: { kind: 'on', points },
  });
}

/**
 * Beside a ring, at its top, foot and sides, so that it does not run through its words: outside, where a bulging ring
 * bends away from them, then inside.
 */
export function besideRing(pieces: readonly Piece[], text: string): Spot[] {
  const spots = pieces.flatMap(({ px }) =>
    Array.from({ length: Math.floor(px.length / 2) }, (_, i) => ({ x: px[2 * i] ?? NaN, y: px[2 * i + 1] ?? NaN })),
  );
  const most = (of: (spot: Spot) => number): Spot | undefined =>
    spots.reduce<Spot | undefined>(
      (best, spot) => (best === undefined || of(spot) > of(best) ? spot : best),
      undefined,
    );
  const [top, foot, right, left] = [most(({ y }) => -y), most(({ y }) => y), most(({ x }) => x), most(({ x }) => -x)];
  if (top === undefined || foot === undefined || right === undefined || left === undefined) return [];
  const [up, aside] = [RING_WORDS_PX, RING_WORDS_PX + (text.length * LETTER_PX) / 2];
  // At a corner the ring bends away from both of the words' sides.
  const corner = (east: number, south: number): Spot => {
    const at = most(({ x, y }) => east * x + south * y) ?? top;
    return { x: at.x + east * aside * CORNER, y: at.y + south * up };
  };
  return [
    { x: foot.x, y: foot.y + up },
    { x: top.x, y: top.y - up },
    corner(1, -1),
    corner(1, 1),
    corner(-1, 1),
    corner(-1, -1),
    { x: right.x + aside, y: right.y },
    { x: left.x - aside, y: left.y },
    { x: top.x, y: top.y + 2 * up },
    { x: foot.x, y: foot.y - 2 * up },
  ];
}

/** px between a ring and the middle of words beside it, and the width of a letter of 12 px at most. */
const RING_WORDS_PX = 14;
const LETTER_PX = 6.6;
/** Share of the words' half width by which they begin inside a ring's corner. */
const CORNER = 0.9;

/** Whether a ring runs clockwise on the screen: its inside lies to the right of travel. */
export function turnsRight(ring: ArrayLike<number>): boolean {
  let twice = 0;
  const count = Math.floor(ring.length / 2);
  for (let i = 0; i < count; i++) {
    const j = (i + 1) % count;
    twice += (ring[2 * i] ?? 0) * (ring[2 * j + 1] ?? 0) - (ring[2 * j] ?? 0) * (ring[2 * i + 1] ?? 0);
  }
  return twice > 0;
}

function paintExitLine(pen: Pen, line: MapExitLine, scene: MapScene): void {
  const { context, palette } = pen;
  const way = pen.world.derived(line.points, () => line.points.map((point) => point.position));
  const dash = line.extrapolated === true ? { dash: EXTRAPOLATED_DASH } : {};
  const pieces = strokeLine(pen, way, { colour: palette.quiet, width: 1.5, halo: 0.75, ...dash });
  context.beginPath();
  for (const piece of pieces) walk(piece, 70, 35, (x, y, angle) => traceArrowHead(context, x, y, angle, 7));
  context.strokeStyle = palette.quiet;
  context.lineWidth = 1.5;
  context.stroke();
  const named = pointsAlong(pieces, [0.12, 0.88, 0.3, 0.7, 0.5, 0.04, 0.96]);
  if (named.length > 0)
    pen.texts.push({
      id: 'carrier’s line',
      priority: rank.reach,
      role: 'quiet',
      lines: [{ text: 'carrier’s line', size: 12 }],
      place: { kind: 'on', points: named.flatMap(({ x, y, angle }) => besideLine(x, y, angle)) },
    });
  const { window } = line;
  if (window === null) return;
  const stretch = pen.world.derived(window, () => stretchOf(line, window.opens_s, window.closes_s));
  strokeLine(pen, stretch, { colour: palette.accent, width: 6, halo: 1.5 });
  const inner = strokeLine(pen, stretch, { colour: palette.map, width: 2 });
  for (const piece of inner) pen.unwelcome.push(...piecesBoxes(piece));
  const moments = [
    ['opens', window.opens_s],
    ['best', window.best_s],
    ['closes', window.closes_s],
  ] as const;
  for (const [word, at_s] of moments) {
    const place = placeAtTime(line, at_s);
    if (place === null) continue;
    const at = spotOf(pen, place);
    if (!onScreen(pen, at)) continue;
    markWindow(pen, at, word === 'best');
    pen.texts.push({
      id: `exit window/${word}`,
      priority: word === 'best' ? rank.exitWindow : rank.exitWindow + 0.5,
      role: 'accent',
      lines: [{ text: `${word} ${clock(at_s, scene.units)}`, size: 14, bold: word === 'best' }],
      place: { kind: 'around', ...at, gap: 14 },
    });
  }
}

/** Over and under a line that may rise or fall, so that it does not run through words of some 80 px. */
function besideLine(x: number, y: number, angle: number): Spot[] {
  const off = 10 + 40 * Math.min(Math.abs(Math.tan(angle)), 1);
  return [
    { x, y: y - off },
    { x, y: y + off },
  ];
}

/** Four corners about the place: a spot to go to, where nothing is. */
function paintBestExit(pen: Pen, best: NonNullable<MapScene['bestExit']>): void {
  const at = spotOf(pen, best.position);
  if (!onScreen(pen, at)) return;
  ringed(
    pen,
    () => {
      pen.context.beginPath();
      for (const [sx, sy] of CORNERS) {
        pen.context.moveTo(at.x + sx * 9, at.y + sy * 4);
        pen.context.lineTo(at.x + sx * 9, at.y + sy * 9);
        pen.context.lineTo(at.x + sx * 4, at.y + sy * 9);
      }
    },
    pen.palette.accent,
    2,
  );
  block(pen, at, 10);
  pen.texts.push({
    id: 'best exit',
    priority: rank.exitWindow + 0.75,
    role: 'accent',
    lines: [{ text: `best exit ${number(100 * best.share)}${THIN}%`, size: 12 }],
    place: { kind: 'around', ...at, gap: 13 },
  });
}

const CORNERS = [
  [-1, -1],
  [1, -1],
  [1, 1],
  [-1, 1],
] as const;

function piecesBoxes(piece: Piece): { x: number; y: number; width: number; height: number }[] {
  const boxes: { x: number; y: number; width: number; height: number }[] = [];
  walk(piece, 12, 0, (x, y) => boxes.push({ x: x - 4, y: y - 4, width: 8, height: 8 }));
  return boxes;
}

function markWindow(pen: Pen, at: Spot, best: boolean): void {
  const { context, palette } = pen;
  const r = best ? 8 : 6;
  ringed(
    pen,
    () => {
      context.beginPath();
      if (best) {
        context.moveTo(at.x, at.y - r);
        context.lineTo(at.x + r, at.y);
        context.lineTo(at.x, at.y + r);
        context.lineTo(at.x - r, at.y);
        context.closePath();
      } else context.rect(at.x - 2.5, at.y - r, 5, 2 * r);
    },
    palette.accent,
    2,
  );
  block(pen, at, r);
}

/** Where the carrier is at a time, linear between its points; null before and after them. */
export function placeAtTime(line: MapExitLine, at_s: number): LonLat | null {
  for (let i = 0; i + 1 < line.points.length; i++) {
    const a = line.points[i];
    const b = line.points[i + 1];
    if (a === undefined || b === undefined || !(at_s >= a.at_s && at_s <= b.at_s)) continue;
    const f = b.at_s > a.at_s ? (at_s - a.at_s) / (b.at_s - a.at_s) : 0;
    const turn = b.position[0] - a.position[0];
    const dLon = turn - 360 * Math.round(turn / 360);
    return [a.position[0] + f * dLon, a.position[1] + f * (b.position[1] - a.position[1])];
  }
  return null;
}

function stretchOf(line: MapExitLine, from_s: number, to_s: number): LonLat[] {
  const inner = line.points.filter((point) => point.at_s > from_s && point.at_s < to_s).map((point) => point.position);
  const ends = [placeAtTime(line, from_s), placeAtTime(line, to_s)];
  return [ends[0] ?? null, ...inner, ends[1] ?? null].filter((place): place is LonLat => place !== null);
}

function paintCase(pen: Pen, one: MapCase, scene: MapScene): void {
  const chosen = scene.chosen?.kind === 'case' && scene.chosen.name === one.name;
  const role = chosen ? 'accent' : 'ink';
  const colour = pen.palette[role];
  if (one.track !== undefined) strokeLine(pen, one.track, { colour: faded(colour, 0.55), width: 1.5 });
  if (one.ellipse !== null)
    paintEllipse(pen, one.ellipse, `case ellipse/${one.name}`, role, shareOnLine(one.ellipse.percent));
  const at = spotOf(pen, one.landing);
  if (!onScreen(pen, at)) return;
  drawCaseMark(pen, one.mark, at, colour, chosen);
  block(pen, at, 10);
  pen.texts.push({
    id: `case/${one.name}`,
    priority: chosen ? rank.landing + 0.5 : rank.case,
    role,
    lines: [{ text: one.label, size: 12, bold: true }],
    place: { kind: 'around', ...at, gap: 13 },
  });
}
