// What every painter of the map is given, and the few strokes that they share. CSS px; colours by role, never by value.
import type { Palette, Role } from '../theme/roles.ts';
import type { Box, Spot } from '../../core/base/labels.ts';
import { piecesSeen, type Piece } from './lines.ts';
import { screenX, screenY, unwrapLon, type Screen, type WorldCache } from './projection.ts';
import type { LonLat } from '../../core/base/units.ts';

/** The sizes that a map uses. */
export type TextSize = 12 | 14 | 18;

export interface TextLine {
  readonly text: string;
  readonly size: TextSize;
  readonly bold?: boolean;
  readonly role?: Role;
}

/** Words that want to stand on the map. `around` a mark, `on` one of several points, or `turned` along a line. */
export interface TextWish {
  readonly id: string;
  /** Lower goes first; see `rank`. */
  readonly priority: number;
  readonly lines: readonly TextLine[];
  readonly role: Role;
  /** On ground of its own: a line that runs under the words stops at them. */
  readonly plate?: boolean;
  /** Left out where it would lie on a track or an outline. */
  readonly clear?: boolean;
  readonly place:
    | {
        readonly kind: 'around';
        readonly x: number;
        readonly y: number;
        readonly gap: number;
        readonly rings?: number;
        /** A line leads to the label even beside its mark: where marks lie close it would be read as another's. */
        readonly tied?: boolean;
      }
    | {
        readonly kind: 'on';
        readonly points: readonly Spot[];
        /** A line leads to the label from here where it took a spot of this number or a later one. */
        readonly leader?: { readonly from: Spot; readonly after: number };
      }
    | { readonly kind: 'turned'; readonly x: number; readonly y: number; readonly angle: number };
}

/** What is written first where not everything fits: the order in which a lead needs it with five minutes to go. */
export const rank = {
  pointed: 0,
  landing: 1,
  fix: 2,
  exit: 3,
  exitWindow: 4,
  target: 4.9,
  opening: 5,
  moved: 6,
  zone: 7,
  keepClear: 8,
  crew: 9,
  danger: 10,
  smoke: 11,
  body: 12,
  percent: 13,
  case: 14,
  trackMain: 15,
  reach: 16,
  standby: 17,
  hazard: 18,
  stage: 19,
  search: 20,
  trackMiddle: 21,
  landmark: 22,
  gate: 23,
  trackFine: 24,
  trail: 25,
  site: 26,
  terrain: 27,
} as const;

export interface Pen {
  readonly context: CanvasRenderingContext2D;
  readonly screen: Screen;
  readonly palette: Palette;
  readonly world: WorldCache;
  readonly texts: TextWish[];
  /** No label covers these. */
  readonly blocked: Box[];
  /** Labels keep off these where they can. */
  readonly unwelcome: Box[];
}

/** The channels of `#rrggbb`, 0 to 255. */
export function rgb(hex: string): [red: number, green: number, blue: number] {
  const value = parseInt(hex.slice(1), 16);
  return [(value >> 16) & 255, (value >> 8) & 255, value & 255];
}

export const faded = (hex: string, alpha: number): string => `rgba(${rgb(hex).join(', ')}, ${alpha})`;

export function spotOf(pen: Pen, place: LonLat): Spot {
  return { x: screenX(pen.screen, unwrapLon(place[0], pen.world.near_deg)), y: screenY(pen.screen, place[1]) };
}

export function onScreen(pen: Pen, spot: Spot, margin = 30): boolean {
  const { width, height } = pen.screen;
  return spot.x > -margin && spot.y > -margin && spot.x < width + margin && spot.y < height + margin;
}

/** Dashes mean extrapolated, here and in the wind column; nothing else on the map is dashed. */
export const EXTRAPOLATED_DASH: readonly number[] = [7, 5];

export interface Stroke {
  readonly colour: string;
  readonly width: number;
  readonly dash?: readonly number[];
  /** A wider stroke of the ground's colour beneath, so that a mark stands off hillshade and hatch. */
  readonly halo?: number;
}

/** Strokes pieces of a line; dashes keep their place on the ground. */
export function strokePieces(pen: Pen, pieces: readonly Piece[], stroke: Stroke): void {
  const { context } = pen;
  context.lineJoin = 'round';
  context.lineCap = stroke.dash === undefined ? 'round' : 'butt';
  const passes =
    stroke.halo === undefined
      ? []
      : [{ colour: faded(pen.palette.map, 0.75), width: stroke.width + 2 * stroke.halo, dash: [] }];
  for (const pass of [...passes, { colour: stroke.colour, width: stroke.width, dash: stroke.dash ?? [] }]) {
    context.strokeStyle = pass.colour;
    context.lineWidth = pass.width;
    context.setLineDash([...pass.dash]);
    for (const piece of pieces) {
      context.lineDashOffset = piece.from_px;
      context.beginPath();
      tracePiece(context, piece);
      context.stroke();
    }
  }
  context.setLineDash([]);
  context.lineDashOffset = 0;
}

function tracePiece(context: CanvasRenderingContext2D, piece: Piece): void {
  for (let i = 0; i + 1 < piece.px.length; i += 2) {
    const x = piece.px[i] ?? 0;
    const y = piece.px[i + 1] ?? 0;
    if (i === 0) context.moveTo(x, y);
    else context.lineTo(x, y);
  }
}

/** Strokes a whole line or ring of places and answers its pieces, for ticks and names. */
export function strokeLine(pen: Pen, line: readonly LonLat[], stroke: Stroke, closed = false): Piece[] {
  const pieces = piecesSeen(pen.world.line(line), pen.screen, 40, closed);
  strokePieces(pen, pieces, stroke);
  return pieces;
}

/** Traces rings as one path, for filling by the even-odd rule and for clipping. */
export function traceRings(pen: Pen, rings: readonly (readonly LonLat[])[]): void {
  const { context, screen } = pen;
  context.beginPath();
  for (const ring of rings) {
    const world = pen.world.line(ring);
    for (let i = 0; i < world.length; i += 2) {
      const x = (world[i] ?? 0) * screen.scale - screen.left;
      const y = (world[i + 1] ?? 0) * screen.scale - screen.top;
      if (i === 0) context.moveTo(x, y);
      else context.lineTo(x, y);
    }
    context.closePath();
  }
}

/**
 * Hatches rings with parallel lines. The lines are fixed to the world's origin and not to the canvas, so they do not
 * swim when the map moves.
 *
 * angle_deg   of the lines, 45: rising to the right
 */
export function hatchRings(
  pen: Pen,
  rings: readonly (readonly LonLat[])[],
  hatch: { readonly colour: string; readonly width: number; readonly gap: number; readonly angle_deg: 45 | 135 },
): void {
  const { context, screen } = pen;
  context.save();
  traceRings(pen, rings);
  context.clip('evenodd');
  const box = ringsBox(pen, rings);
  const sign = hatch.angle_deg === 45 ? 1 : -1;
  // A line of the hatch is x + sign·y = c; c steps by the gap measured across the lines.
  const step = hatch.gap * Math.SQRT2;
  const origin = (screen.left + sign * screen.top) % step;
  const y0 = box.y;
  const y1 = box.y + box.height;
  const low = Math.min(box.x + sign * y0, box.x + sign * y1);
  const high = Math.max(box.x + box.width + sign * y0, box.x + box.width + sign * y1);
  context.beginPath();
  for (let c = Math.floor((low + origin) / step) * step - origin; c <= high + step; c += step) {
    context.moveTo(c - sign * y0, y0);
    context.lineTo(c - sign * y1, y1);
  }
  context.strokeStyle = hatch.colour;
  context.lineWidth = hatch.width;
  context.lineCap = 'butt';
  context.stroke();
  context.restore();
}

/** The seen part of the box about rings, px. */
export function ringsBox(pen: Pen, rings: readonly (readonly LonLat[])[]): Box {
  let [left, top, right, bottom] = [Infinity, Infinity, -Infinity, -Infinity];
  const { screen } = pen;
  for (const ring of rings) {
    const world = pen.world.line(ring);
    for (let i = 0; i < world.length; i += 2) {
      const x = (world[i] ?? NaN) * screen.scale - screen.left;
      const y = (world[i + 1] ?? NaN) * screen.scale - screen.top;
      left = Math.min(left, x);
      right = Math.max(right, x);
      top = Math.min(top, y);
      bottom = Math.max(bottom, y);
    }
  }
  left = Math.max(left, -20);
  top = Math.max(top, -20);
  right = Math.min(right, screen.width + 20);
  bottom = Math.min(bottom, screen.height + 20);
  return { x: left, y: top, width: Math.max(right - left, 0), height: Math.max(bottom - top, 0) };
}

/** Keeps labels off a mark. */
export function block(pen: Pen, spot: Spot, radius: number): void {
  pen.blocked.push({ x: spot.x - radius, y: spot.y - radius, width: 2 * radius, height: 2 * radius });
}
