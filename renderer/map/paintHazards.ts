// Hazards by kind. Areas: diagonal hatch inside an outline. Lines: each kind has a stroke of its own, so that a power
// line is never taken for a road on a grey print; a ridge shows the side on which the wind tumbles.
import { never } from '../../core/base/problem.ts';
import { RAD_PER_DEG } from '../../core/base/units.ts';
import { lengthUp } from '../../core/words/lengths.ts';
import { pointsAlong, walk, type Piece } from './lines.ts';
import { boxesAlong } from '../../core/base/labels.ts';
import { ringed } from './marks.ts';
import { faded, hatchRings, onScreen, rank, spotOf, strokeLine, strokePieces, type Pen, type Stroke } from './pen.ts';
import type { MapHazard, MapScene } from './scene.ts';
import { ringMiddle } from './places.ts';

type HazardStroke = 'power line' | 'river' | 'road' | 'ridge' | 'fence' | 'cliff' | 'other';

/** `kind` is free text in a plan: what its line is drawn as. */
export function hazardStroke(kind: string): HazardStroke {
  const word = kind.toLowerCase();
  if (/power|cable|wire|pylon/.test(word)) return 'power line';
  if (/river|stream|canal|creek|water|lake|\bsea\b/.test(word)) return 'river';
  if (/road|track|rail|highway/.test(word)) return 'road';
  if (/ridge/.test(word)) return 'ridge';
  if (/fence|wall|hedge/.test(word)) return 'fence';
  if (/cliff|scarp|quarry/.test(word)) return 'cliff';
  return 'other';
}

export function paintHazard(pen: Pen, hazard: MapHazard, scene: MapScene): void {
  const chosen = scene.chosen?.kind === 'hazard' && scene.chosen.name === hazard.name;
  const colour = chosen ? pen.palette.accent : pen.palette.hazard;
  if (hazard.polygon !== undefined) paintArea(pen, hazard, colour, scene);
  if (hazard.line !== undefined) paintLine(pen, hazard, colour, scene);
  for (const crossing of hazard.crossings ?? []) {
    const at = spotOf(pen, crossing);
    if (!onScreen(pen, at)) continue;
    const { context } = pen;
    ringed(
      pen,
      () => {
        context.beginPath();
        context.moveTo(at.x - 6, at.y - 4);
        context.lineTo(at.x + 6, at.y - 4);
        context.moveTo(at.x - 6, at.y + 4);
        context.lineTo(at.x + 6, at.y + 4);
      },
      pen.palette.ink,
      1.75,
    );
  }
}

/** "Pylons at the ford 38 m": a hazard's height is above its ground, which the reference says. */
function hazardWords(hazard: MapHazard, scene: MapScene): string {
  return hazard.height_m === undefined || hazard.height_m === 0
    ? hazard.name
    : `${hazard.name} ${lengthUp(hazard.height_m, scene.units)} AGL`;
}

function paintArea(pen: Pen, hazard: MapHazard, colour: string, scene: MapScene): void {
  const ring = hazard.polygon ?? [];
  hatchRings(pen, [ring], { colour: faded(colour, 0.6), width: 1.25, gap: 8, angle_deg: 45 });
  strokeLine(pen, ring, { colour, width: 1.5, halo: 0.75 }, true);
  const middle = spotOf(pen, ringMiddle(ring));
  const corners = ring.map((place) => spotOf(pen, place));
  const top = corners.reduce((least, corner) => Math.min(least, corner.y), Infinity);
  const bottom = corners.reduce((most, corner) => Math.max(most, corner.y), -Infinity);
  pen.texts.push({
    id: `hazard/${hazard.name}`,
    priority: rank.hazard,
    role: 'hazard',
    lines: [{ text: hazardWords(hazard, scene), size: 12, bold: true }],
    place: { kind: 'on', points: [middle, { x: middle.x, y: top - 11 }, { x: middle.x, y: bottom + 11 }] },
  });
}

function paintLine(pen: Pen, hazard: MapHazard, colour: string, scene: MapScene): void {
  const kind = hazardStroke(hazard.kind);
  const pieces = strokeLine(pen, hazard.line ?? [], baseStroke(kind, colour, pen));
  if (kind === 'road' || kind === 'river') strokePieces(pen, pieces, { colour: pen.palette.map, width: 2 });
  for (const piece of pieces) {
    decorate(pen, piece, kind, colour, scene);
    pen.unwelcome.push(...boxesAlong(piece.px, 16, 4));
  }
  const points = pointsAlong(pieces, [0.5, 0.3, 0.7, 0.15, 0.85]);
  if (points.length === 0) return;
  const quiet = kind === 'road' || kind === 'fence';
  pen.texts.push({
    id: `hazard/${hazard.name}`,
    priority: kind === 'power line' ? rank.danger : rank.hazard,
    role: quiet ? 'quiet' : 'hazard',
    lines: [{ text: hazardWords(hazard, scene), size: 12, bold: !quiet }],
    place: {
      kind: 'on',
      points: points.flatMap(({ x, y }) => [
        { x, y: y - 13 },
        { x, y: y + 13 },
      ]),
    },
  });
}

function baseStroke(kind: HazardStroke, colour: string, pen: Pen): Stroke {
  switch (kind) {
    case 'road':
      return { colour: pen.palette.quiet, width: 4 };
    case 'river':
      return { colour: pen.palette.wind, width: 4.5 };
    case 'fence':
      return { colour: pen.palette.quiet, width: 1 };
    case 'power line':
      return { colour, width: 2, halo: 1 };
    case 'ridge':
      return { colour, width: 2.5, halo: 1 };
    case 'cliff':
    case 'other':
      return { colour, width: 2, halo: 1 };
    default:
      return never(kind);
  }
}

function decorate(pen: Pen, piece: Piece, kind: HazardStroke, colour: string, scene: MapScene): void {
  const { context, palette } = pen;
  context.beginPath();
  switch (kind) {
    case 'power line':
      // Masts: two strokes across the line, because wires leave on both sides.
      walk(piece, 26, 13, (x, y, angle) => {
        for (const shift of [-2.5, 2.5])
          across(context, x + shift * Math.cos(angle), y + shift * Math.sin(angle), angle, 5);
      });
      break;
    case 'fence':
      walk(piece, 18, 9, (x, y, angle) => {
        across(context, x, y, angle + 0.7, 3.5);
        across(context, x, y, angle - 0.7, 3.5);
      });
      break;
    case 'cliff':
      walk(piece, 9, 4, (x, y, angle) => toSide(context, x, y, angle, 6));
      break;
    case 'ridge':
      leeStrokes(pen, piece, scene);
      break;
    case 'river':
      walk(piece, 40, 20, (x, y, angle) => {
        context.moveTo(x - 5 * Math.cos(angle), y - 5 * Math.sin(angle));
        context.lineTo(x + 5 * Math.cos(angle), y + 5 * Math.sin(angle));
      });
      break;
    case 'road':
    case 'other':
      return;
  }
  context.strokeStyle = kind === 'fence' ? palette.quiet : kind === 'river' ? palette.wind : colour;
  context.lineWidth = kind === 'river' ? 1 : 1.5;
  context.lineCap = 'butt';
  context.stroke();
}

function across(context: CanvasRenderingContext2D, x: number, y: number, angle: number, half: number): void {
  context.moveTo(x + half * Math.sin(angle), y - half * Math.cos(angle));
  context.lineTo(x - half * Math.sin(angle), y + half * Math.cos(angle));
}

/** A stroke to one side: a positive length to the right of travel (screen), a negative one to the left. */
function toSide(context: CanvasRenderingContext2D, x: number, y: number, angle: number, length: number): void {
  context.moveTo(x, y);
  context.lineTo(x - length * Math.sin(angle), y + length * Math.cos(angle));
}

/**
 * The lee of a ridge: strokes on the side that the wind blows to, none where it blows along the ridge or where no wind
 * is known.
 */
function leeStrokes(pen: Pen, piece: Piece, scene: MapScene): void {
  const wind = scene.surfaceWind;
  if (wind === null || !(wind.speed_mps >= 0.5)) return;
  const [east, south] = [-Math.sin(wind.from_deg * RAD_PER_DEG), Math.cos(wind.from_deg * RAD_PER_DEG)];
  const { context } = pen;
  walk(piece, 8, 4, (x, y, angle, along) => {
    const side = leeSide(angle, east, south);
    if (side !== 0) toSide(context, x, y, angle, side * (Math.round(along / 8) % 2 === 0 ? 15 : 9));
  });
}

/**
 * On which side of a direction of travel the lee lies: 1 right, −1 left (screen: x right, y down), 0 within 15° of
 * along.
 *
 * east, south   the air's motion, of unit length, in screen axes
 */
export function leeSide(angle: number, east: number, south: number): 1 | 0 | -1 {
  const across = -Math.sin(angle) * east + Math.cos(angle) * south;
  return Math.abs(across) < Math.sin(15 * RAD_PER_DEG) ? 0 : across > 0 ? 1 : -1;
}
