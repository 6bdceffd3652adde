// The other bodies of a flight, and where any body was last seen: gondola and envelope each with a line and a mark of
// its own, live fixes with their age.
import { age } from '../../core/words/times.ts';
import { height } from '../../core/words/lengths.ts';
import type { Spot } from '../../core/base/labels.ts';
import { walk, type Piece } from './lines.ts';
import { ringed } from './marks.ts';
import { paintEllipse } from './paintSpread.ts';
import { block, faded, onScreen, rank, spotOf, strokeLine, type Pen } from './pen.ts';
import type { MapBody, MapFix, MapScene } from './scene.ts';
import { momentTime } from './wording.ts';

export function paintBody(pen: Pen, body: MapBody, scene: MapScene): void {
  const { context, palette } = pen;
  const colour = palette.quiet;
  const pieces: Piece[] = strokeLine(pen, body.track, { colour, width: 1.5, halo: 0.75 });
  context.beginPath();
  // The gondola's line carries squares, the envelope's open rings.
  for (const piece of pieces) {
    walk(piece, 46, 23, (x, y) => {
      if (body.kind === 'gondola') context.rect(x - 2.5, y - 2.5, 5, 5);
      else {
        context.moveTo(x + 3.5, y);
        context.arc(x, y, 3.5, 0, 2 * Math.PI);
      }
    });
  }
  context.fillStyle = body.kind === 'gondola' ? colour : palette.map;
  context.fill();
  context.strokeStyle = colour;
  context.lineWidth = 1.25;
  context.stroke();
  if (body.ellipse !== null) paintEllipse(pen, body.ellipse, `body ellipse/${body.name}`, 'quiet', null);
  if (body.landing === null) return;
  const at = spotOf(pen, body.landing.position);
  if (!onScreen(pen, at)) return;
  drawBody(pen, at, body.kind, palette.ink);
  block(pen, at, 11);
  pen.texts.push({
    id: `body/${body.name}`,
    priority: rank.body,
    role: 'ink',
    lines: [
      { text: body.name, size: 14, bold: true },
      { text: momentTime(scene, body.landing), size: 12 },
    ],
    place: { kind: 'around', ...at, gap: 14 },
  });
}

function drawBody(pen: Pen, at: Spot, kind: MapBody['kind'], colour: string): void {
  const { context } = pen;
  ringed(
    pen,
    () => {
      context.beginPath();
      if (kind === 'gondola') {
        context.rect(at.x - 7, at.y - 3, 14, 10);
        context.moveTo(at.x - 7, at.y - 3);
        context.lineTo(at.x, at.y - 11);
        context.lineTo(at.x + 7, at.y - 3);
      } else {
        context.moveTo(at.x - 2, at.y + 9);
        context.bezierCurveTo(at.x - 12, at.y, at.x - 9, at.y - 10, at.x, at.y - 10);
        context.bezierCurveTo(at.x + 9, at.y - 10, at.x + 12, at.y, at.x + 2, at.y + 9);
        context.closePath();
      }
    },
    colour,
    2,
  );
}

/** A fix older than a minute is hollow and thinner: it says where the body was. */
const OLD_FIX_S = 60;

export function paintFix(pen: Pen, scene: MapScene, fix: MapFix): void {
  const { context, palette } = pen;
  const old = !(fix.age_s < OLD_FIX_S);
  const colour = fix.kind === 'crew' ? palette.crew : palette.accent;
  if (fix.history.length > 0) {
    const way = pen.world.derived(fix, () => [...fix.history, fix.position]);
    const pieces = strokeLine(pen, way, { colour: faded(colour, 0.7), width: old ? 1 : 1.5, halo: 0.75 });
    context.fillStyle = colour;
    for (const piece of pieces) {
      walk(piece, 12, 6, (x, y) => {
        context.beginPath();
        context.arc(x, y, 1.6, 0, 2 * Math.PI);
        context.fill();
      });
    }
  }
  const at = spotOf(pen, fix.position);
  if (!onScreen(pen, at)) return;
  ringed(pen, () => traceFix(context, fix.kind, at), colour, old ? 1.5 : 2.5);
  if (!old) {
    context.beginPath();
    context.arc(at.x, at.y, 3, 0, 2 * Math.PI);
    context.fillStyle = colour;
    context.fill();
  }
  block(pen, at, 10);
  const where = fix.height_m === null ? '' : ` ${height(fix.height_m, scene.units, scene.site.elevation_m)}`;
  pen.texts.push({
    id: `fix/${fix.body}`,
    priority: rank.fix,
    role: fix.kind === 'crew' ? 'ink' : 'accent',
    lines: [
      { text: `${fix.body}${where}`, size: 14, bold: true },
      { text: fix.age_s < 30 ? 'live' : `${age(fix.age_s)} old`, size: 12, role: old ? 'caution' : 'quiet' },
    ],
    place: { kind: 'around', ...at, gap: 14 },
  });
}

function traceFix(context: CanvasRenderingContext2D, kind: MapFix['kind'], at: Spot): void {
  context.beginPath();
  if (kind === 'jumper') context.arc(at.x, at.y, 8, 0, 2 * Math.PI);
  else if (kind === 'gondola') context.rect(at.x - 7, at.y - 7, 14, 14);
  else {
    context.moveTo(at.x, at.y - 9);
    context.lineTo(at.x + 8, at.y + 6);
    context.lineTo(at.x - 8, at.y + 6);
    context.closePath();
  }
}
