// The shapes of the map's marks, each told from the others by its outline alone. px; every mark stands on a halo of the
// ground's colour.
import type { CaseMark } from './scene.ts';
import { faded, type Pen } from './pen.ts';
import type { Spot } from '../../core/base/labels.ts';

type Context = CanvasRenderingContext2D;

/**
 * Traces a shape about the origin's place; those of one stroke only (cross, plus, hourglass, bar) are strokes, not
 * areas.
 */
function traceCaseMark(context: Context, mark: CaseMark, x: number, y: number, r: number): void {
  context.beginPath();
  switch (mark) {
    case 'circle':
      context.arc(x, y, r, 0, 2 * Math.PI);
      return;
    case 'square':
      return corners(context, x, y, [-r, -r, r, -r, r, r, -r, r], 0.85);
    case 'triangle':
      return corners(context, x, y, [0, -r, r, r, -r, r], 1);
    case 'diamond':
      return corners(context, x, y, [0, -r, r, 0, 0, r, -r, 0], 1.2);
    case 'cross':
      return strokes(context, x, y, [-r, -r, r, r, -r, r, r, -r], 0.85);
    case 'plus':
      return strokes(context, x, y, [0, -r, 0, r, -r, 0, r, 0], 1.1);
    case 'star':
      return star(context, x, y, r * 1.15);
    case 'hexagon':
      return regular(context, x, y, r * 1.05, 6);
    case 'triangle down':
      return corners(context, x, y, [-r, -r, r, -r, 0, r], 1);
    case 'ring':
      context.arc(x, y, r, 0, 2 * Math.PI);
      context.moveTo(x + r * 0.45, y);
      context.arc(x, y, r * 0.45, 0, 2 * Math.PI);
      return;
    case 'pentagon':
      return regular(context, x, y, r * 1.05, 5);
    case 'hourglass':
      return corners(context, x, y, [-r, -r, r, -r, -r, r, r, r], 0.9);
    case 'bar':
      return corners(context, x, y, [-r, -r * 0.4, r, -r * 0.4, r, r * 0.4, -r, r * 0.4], 1.2);
    case 'house':
      return corners(context, x, y, [0, -r, r, -r * 0.1, r, r, -r, r, -r, -r * 0.1], 0.95);
  }
}

function corners(context: Context, x: number, y: number, points: readonly number[], scale: number): void {
  for (let i = 0; i + 1 < points.length; i += 2) {
    const px = x + (points[i] ?? 0) * scale;
    const py = y + (points[i + 1] ?? 0) * scale;
    if (i === 0) context.moveTo(px, py);
    else context.lineTo(px, py);
  }
  context.closePath();
}

function strokes(context: Context, x: number, y: number, points: readonly number[], scale: number): void {
  for (let i = 0; i + 3 < points.length; i += 4) {
    context.moveTo(x + (points[i] ?? 0) * scale, y + (points[i + 1] ?? 0) * scale);
    context.lineTo(x + (points[i + 2] ?? 0) * scale, y + (points[i + 3] ?? 0) * scale);
  }
}

function regular(context: Context, x: number, y: number, r: number, sides: number): void {
  for (let i = 0; i < sides; i++) {
    const turn = (i / sides) * 2 * Math.PI;
    const px = x + r * Math.cos(turn);
    const py = y + r * Math.sin(turn);
    if (i === 0) context.moveTo(px, py);
    else context.lineTo(px, py);
  }
  context.closePath();
}

function star(context: Context, x: number, y: number, r: number): void {
  for (let i = 0; i < 10; i++) {
    const turn = (i / 10) * 2 * Math.PI - Math.PI / 2;
    const length = i % 2 === 0 ? r : r * 0.42;
    const px = x + length * Math.cos(turn);
    const py = y + length * Math.sin(turn);
    if (i === 0) context.moveTo(px, py);
    else context.lineTo(px, py);
  }
  context.closePath();
}

const isStroke = (mark: CaseMark): boolean => mark === 'cross' || mark === 'plus';

/** Half of a case's mark. */
const CASE_PX = 7.5;

/** A case's mark: filled with the ground, outlined in the role; a halo around. */
export function drawCaseMark(pen: Pen, mark: CaseMark, at: Spot, colour: string, strong: boolean): void {
  const { context } = pen;
  context.lineJoin = 'round';
  context.lineCap = 'round';
  traceCaseMark(context, mark, at.x, at.y, CASE_PX);
  context.strokeStyle = faded(pen.palette.map, 0.85);
  context.lineWidth = 6;
  context.stroke();
  if (!isStroke(mark)) {
    context.fillStyle = strong ? colour : pen.palette.map;
    context.fill();
  }
  context.strokeStyle = colour;
  context.lineWidth = isStroke(mark) ? 3 : 2;
  context.stroke();
}

/** Where the descent ends: a ring with a dot and four ticks, the strongest mark on the map. */
export function drawLanding(pen: Pen, at: Spot, colour: string): void {
  const { context } = pen;
  const trace = (): void => {
    context.beginPath();
    context.arc(at.x, at.y, 8, 0, 2 * Math.PI);
    for (const [dx, dy] of [
      [1, 0],
      [-1, 0],
      [0, 1],
      [0, -1],
    ] as const) {
      context.moveTo(at.x + dx * 8, at.y + dy * 8);
      context.lineTo(at.x + dx * 14, at.y + dy * 14);
    }
  };
  ringed(pen, trace, colour, 2.5);
  context.beginPath();
  context.arc(at.x, at.y, 2.5, 0, 2 * Math.PI);
  context.fillStyle = colour;
  context.fill();
}

/** Where the canopy opens: a dome with its lines coming together below. */
export function drawOpening(pen: Pen, at: Spot, colour: string): void {
  const { context } = pen;
  ringed(
    pen,
    () => {
      context.beginPath();
      context.arc(at.x, at.y, 8, Math.PI, 2 * Math.PI);
      context.lineTo(at.x, at.y + 9);
      context.lineTo(at.x - 8, at.y);
      context.closePath();
    },
    colour,
    2,
  );
}

/** A moment on the track: a short bar across it. */
export function drawMoment(pen: Pen, at: Spot, colour: string): void {
  const { context } = pen;
  ringed(
    pen,
    () => {
      context.beginPath();
      context.rect(at.x - 4, at.y - 4, 8, 8);
    },
    colour,
    1.75,
  );
}

/** Strokes a traced shape on its halo, filled with the ground's colour. */
export function ringed(pen: Pen, trace: () => void, colour: string, width: number): void {
  const { context } = pen;
  context.lineJoin = 'round';
  context.lineCap = 'round';
  trace();
  context.strokeStyle = faded(pen.palette.map, 0.85);
  context.lineWidth = width + 4;
  context.stroke();
  context.fillStyle = faded(pen.palette.map, 0.8);
  context.fill();
  context.strokeStyle = colour;
  context.lineWidth = width;
  context.stroke();
}

/** A small arrow head pointing along `angle` (rad, x right, y down). */
export function traceArrowHead(context: Context, x: number, y: number, angle: number, size: number): void {
  context.moveTo(x - size * Math.cos(angle - 0.45), y - size * Math.sin(angle - 0.45));
  context.lineTo(x, y);
  context.lineTo(x - size * Math.cos(angle + 0.45), y - size * Math.sin(angle + 0.45));
}
