// Lines in screen px: cut to what is seen, with the length before each cut kept, so that dashes and ticks stay where
// they are on the ground while the map is panned, and a track of 300 km costs no more than the part of it on the
// screen.
import type { Screen } from './projection.ts';

/** A run of points in CSS px (x, y, x, y, …), and how far along the whole line it begins. */
export interface Piece {
  readonly px: readonly number[];
  readonly from_px: number;
}

/**
 * The parts of a line that a screen shows, with `margin` px around it.
 *
 * world    x, y, x, y, … in world units; a gap is a NaN point
 * closed   joins the last point to the first
 */
export function piecesSeen(world: ArrayLike<number>, screen: Screen, margin: number, closed = false): Piece[] {
  const pieces: Piece[] = [];
  const count = Math.floor(world.length / 2);
  const box = { left: -margin, top: -margin, right: screen.width + margin, bottom: screen.height + margin };
  let run: number[] = [];
  let runFrom = 0;
  let along = 0;
  const finish = (): void => {
    if (run.length >= 4) pieces.push({ px: run, from_px: runFrom });
    run = [];
  };
  const xAt = (i: number): number => (world[2 * (i % count)] ?? NaN) * screen.scale - screen.left;
  const yAt = (i: number): number => (world[2 * (i % count) + 1] ?? NaN) * screen.scale - screen.top;
  const inside = (x: number, y: number): boolean => x >= box.left && x <= box.right && y >= box.top && y <= box.bottom;
  const last = closed ? count : count - 1;
  let x1 = xAt(0);
  let y1 = yAt(0);
  for (let i = 0; i < last; i++) {
    const x0 = x1;
    const y0 = y1;
    x1 = xAt(i + 1);
    y1 = yAt(i + 1);
    const length = Math.sqrt((x1 - x0) * (x1 - x0) + (y1 - y0) * (y1 - y0));
    if (Number.isNaN(length)) {
      finish();
      continue;
    }
    // Most segments lie on the screen with both their ends, or with both off the same side of it.
    const cut = offOneSide(x0, y0, x1, y1, box)
      ? null
      : inside(x0, y0) && inside(x1, y1)
        ? WHOLE
        : clip(x0, y0, x1, y1, box);
    if (cut !== null) {
      const [t0, t1] = cut;
      if (t0 > 0) finish();
      if (run.length === 0) {
        run = [x0 + t0 * (x1 - x0), y0 + t0 * (y1 - y0)];
        runFrom = along + t0 * length;
      }
      run.push(x0 + t1 * (x1 - x0), y0 + t1 * (y1 - y0));
      if (t1 < 1) finish();
    } else finish();
    along += length;
  }
  finish();
  return pieces;
}

const WHOLE = [0, 1] as const;

export interface Edges {
  readonly left: number;
  readonly top: number;
  readonly right: number;
  readonly bottom: number;
}

/** Whether both ends of a segment lie off the same side of a box: nothing of it is inside then. */
export const offOneSide = (
  x0: number,
  y0: number,
  x1: number,
  y1: number,
  { left, top, right, bottom }: Edges,
): boolean =>
  (x0 < left && x1 < left) || (x0 > right && x1 > right) || (y0 < top && y1 < top) || (y0 > bottom && y1 > bottom);

/**
 * Which stretch of a segment lies in a box, as two fractions; null where none does. Liang & Barsky, ACM TOG 3 (1984) 1.
 */
export function clip(x0: number, y0: number, x1: number, y1: number, box: Edges): [t0: number, t1: number] | null {
  let t0 = 0;
  let t1 = 1;
  const dx = x1 - x0;
  const dy = y1 - y0;
  const sides = [
    [-dx, x0 - box.left],
    [dx, box.right - x0],
    [-dy, y0 - box.top],
    [dy, box.bottom - y0],
  ] as const;
  for (const [p, q] of sides) {
    if (p === 0) {
      if (q < 0) return null;
      continue;
    }
    const t = q / p;
    if (p < 0) t0 = Math.max(t0, t);
    else t1 = Math.min(t1, t);
    if (t0 > t1) return null;
  }
  return [t0, t1];
}

/**
 * Visits a piece every `step` px of the whole line, first at `phase`, with the direction of travel in radians (x right,
 * y down).
 */
export function walk(
  piece: Piece,
  step: number,
  phase: number,
  visit: (x: number, y: number, angle: number, along_px: number) => void,
): void {
  let along = piece.from_px;
  let next = phase + Math.ceil((along - phase) / step) * step;
  for (let i = 2; i + 1 < piece.px.length; i += 2) {
    const x0 = piece.px[i - 2] ?? 0;
    const y0 = piece.px[i - 1] ?? 0;
    const dx = (piece.px[i] ?? 0) - x0;
    const dy = (piece.px[i + 1] ?? 0) - y0;
    const length = Math.sqrt(dx * dx + dy * dy);
    if (length === 0) continue;
    for (; next <= along + length; next += step) {
      const f = (next - along) / length;
      visit(x0 + f * dx, y0 + f * dy, Math.atan2(dy, dx), next);
    }
    along += length;
  }
}

function pieceLength(piece: Piece): number {
  let length = 0;
  for (let i = 2; i + 1 < piece.px.length; i += 2) {
    const dx = (piece.px[i] ?? 0) - (piece.px[i - 2] ?? 0);
    const dy = (piece.px[i + 1] ?? 0) - (piece.px[i - 1] ?? 0);
    length += Math.sqrt(dx * dx + dy * dy);
  }
  return length;
}

/** Points at fractions of the longest piece: where a line's name may stand. */
export function pointsAlong(
  pieces: readonly Piece[],
  fractions: readonly number[],
): { x: number; y: number; angle: number }[] {
  const longest = pieces.reduce<{ piece: Piece; length: number } | null>((best, piece) => {
    const length = pieceLength(piece);
    return best === null || length > best.length ? { piece, length } : best;
  }, null);
  if (longest === null || longest.length === 0) return [];
  const out: { x: number; y: number; angle: number }[] = [];
  for (const f of fractions) {
    const along = longest.piece.from_px + f * longest.length;
    // A step longer than the piece: the walk visits the one point.
    walk(longest.piece, longest.length * 2, along, (x, y, angle) => out.push({ x, y, angle }));
  }
  return out;
}

/**
 * The nearest point of a line to (x, y): its distance, which segment it is on and how far along that. Null for a line
 * without length.
 */
export function nearestOn(
  line: ArrayLike<number>,
  x: number,
  y: number,
): { distance: number; segment: number; fraction: number } | null {
  let best: { distance: number; segment: number; fraction: number } | null = null;
  for (let i = 2; i + 1 < line.length; i += 2) {
    const x0 = line[i - 2] ?? NaN;
    const y0 = line[i - 1] ?? NaN;
    const dx = (line[i] ?? NaN) - x0;
    const dy = (line[i + 1] ?? NaN) - y0;
    const square = dx * dx + dy * dy;
    const f = square > 0 ? Math.min(Math.max(((x - x0) * dx + (y - y0) * dy) / square, 0), 1) : 0;
    const distance = Math.hypot(x0 + f * dx - x, y0 + f * dy - y);
    if (best === null || distance < best.distance) best = { distance, segment: i / 2 - 1, fraction: f };
  }
  return best;
}
