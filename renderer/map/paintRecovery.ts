// Who goes where: standby points with their approach routes and gates, the region to keep clear of, smoke, and search
// patterns.
import { RAD_PER_DEG } from '../../core/base/units.ts';
import { pointsAlong, walk, type Piece } from './lines.ts';
import { ringed, traceArrowHead } from './marks.ts';
import { block, faded, onScreen, rank, spotOf, strokeLine, traceRings, type Pen } from './pen.ts';
import type { MapArea, MapScene, MapSearch, MapSmoke, MapStandby } from './scene.ts';

export function paintRecovery(pen: Pen, scene: MapScene): void {
  for (const area of scene.keepClear) paintKeepClear(pen, area);
  for (const search of scene.search) paintSearch(pen, search);
  for (const standby of scene.standby) paintStandby(pen, standby);
  for (const smoke of scene.smoke) paintSmoke(pen, smoke);
}

const BAND_PX = 9;

/**
 * A heavy outline with a hatched band inside it; the middle stays open, for what lies there is what one wants to see.
 */
function paintKeepClear(pen: Pen, area: MapArea): void {
  const { context, palette } = pen;
  context.save();
  traceRings(pen, area.rings);
  context.clip('evenodd');
  traceRings(pen, area.rings);
  const hatch = bandHatch(pen, palette.caution);
  if (hatch !== null) {
    context.strokeStyle = hatch;
    context.lineWidth = 2 * BAND_PX;
    context.lineJoin = 'round';
    context.stroke();
  }
  context.restore();
  const pieces = area.rings.flatMap((ring) =>
    strokeLine(pen, ring, { colour: palette.caution, width: 2.5, halo: 0.75 }, true),
  );
  const points = pointsAlong(pieces, [0.25, 0.75, 0.5, 0, 0.12, 0.37, 0.62, 0.87]);
  if (points.length === 0) return;
  pen.texts.push({
    id: `keep-clear/${area.label}`,
    priority: rank.keepClear,
    role: 'caution',
    lines: [{ text: area.label, size: 14, bold: true }],
    place: { kind: 'on', points },
  });
}

/** A pattern of falling diagonals (hazards have rising ones), hung on the ground so that it does not swim. */
function bandHatch(pen: Pen, colour: string): CanvasPattern | null {
  const size = Math.round(7 * pen.screen.ratio);
  const cell = document.createElement('canvas');
  cell.width = size;
  cell.height = size;
  const context = cell.getContext('2d');
  if (context === null) return null;
  context.strokeStyle = colour;
  context.lineWidth = 1.25 * pen.screen.ratio;
  context.beginPath();
  for (const shift of [-size, 0, size]) {
    context.moveTo(shift - size / 2, -size / 2);
    context.lineTo(shift + size * 1.5, size * 1.5);
  }
  context.stroke();
  const pattern = pen.context.createPattern(cell, 'repeat');
  const step = size / pen.screen.ratio;
  const scale = 1 / pen.screen.ratio;
  pattern?.setTransform(new DOMMatrix([scale, 0, 0, scale, -(pen.screen.left % step), -(pen.screen.top % step)]));
  return pattern;
}

function paintStandby(pen: Pen, standby: MapStandby): void {
  const { context, palette } = pen;
  for (const route of standby.routes) {
    const pieces = strokeLine(pen, route.points, { colour: palette.crew, width: 2, halo: 1 });
    context.beginPath();
    for (const piece of pieces) walk(piece, 54, 30, (x, y, angle) => traceArrowHead(context, x, y, angle, 8));
    context.strokeStyle = palette.crew;
    context.lineWidth = 2;
    context.stroke();
    nameLine(pen, `route/${standby.crew}/${route.name}`, route.name, pieces);
    for (const gate of route.gates) {
      const at = spotOf(pen, gate.position);
      if (!onScreen(pen, at)) continue;
      // A gate is two posts: one flies between them.
      ringed(
        pen,
        () => {
          context.beginPath();
          context.rect(at.x - 8, at.y - 4, 3, 8);
          context.rect(at.x + 5, at.y - 4, 3, 8);
        },
        palette.crew,
        1.5,
      );
      block(pen, at, 8);
      pen.texts.push({
        id: `gate/${standby.crew}/${gate.label}`,
        priority: rank.gate,
        role: 'ink',
        lines: [{ text: gate.label, size: 12 }],
        place: { kind: 'around', ...at, gap: 12 },
      });
    }
  }
  const at = spotOf(pen, standby.position);
  if (!onScreen(pen, at)) return;
  ringed(
    pen,
    () => {
      context.beginPath();
      context.rect(at.x - 8, at.y - 8, 16, 16);
      context.moveTo(at.x + 3, at.y);
      context.arc(at.x, at.y, 3, 0, 2 * Math.PI);
    },
    palette.crew,
    2,
  );
  block(pen, at, 10);
  pen.texts.push({
    id: `standby/${standby.crew}`,
    priority: rank.standby,
    role: 'ink',
    lines: [{ text: standby.label, size: 12, bold: true }],
    place: { kind: 'around', ...at, gap: 14 },
  });
}

function nameLine(pen: Pen, id: string, text: string, pieces: readonly Piece[]): void {
  const points = pointsAlong(pieces, [0.5, 0.3, 0.7, 0.15, 0.85]);
  if (points.length === 0) return;
  const place = {
    kind: 'on' as const,
    points: points.flatMap(({ x, y }) => [
      { x, y: y - 13 },
      { x, y: y + 13 },
    ]),
  };
  pen.texts.push({ id, priority: rank.gate, role: 'ink', lines: [{ text, size: 12 }], place });
}

function paintSmoke(pen: Pen, smoke: MapSmoke): void {
  const at = spotOf(pen, smoke.position);
  if (!onScreen(pen, at)) return;
  const { context, palette } = pen;
  const [dx, dy] = [-Math.sin(smoke.from_deg * RAD_PER_DEG), Math.cos(smoke.from_deg * RAD_PER_DEG)];
  // Puffs that grow downwind: the plume lies where the wind blows to.
  ringed(
    pen,
    () => {
      context.beginPath();
      for (const [far, r] of [
        [0, 3],
        [8, 4.5],
        [18, 6.5],
      ] as const) {
        context.moveTo(at.x + dx * far + r, at.y + dy * far);
        context.arc(at.x + dx * far, at.y + dy * far, r, 0, 2 * Math.PI);
      }
    },
    palette.wind,
    1.75,
  );
  block(pen, { x: at.x + dx * 9, y: at.y + dy * 9 }, 15);
  pen.texts.push({
    id: `smoke/${smoke.label}`,
    priority: rank.smoke,
    role: 'wind',
    lines: [{ text: smoke.label, size: 12, bold: true }],
    place: { kind: 'around', x: at.x + dx * 9, y: at.y + dy * 9, gap: 18 },
  });
}

function paintSearch(pen: Pen, search: MapSearch): void {
  const { context, palette } = pen;
  const pieces = strokeLine(pen, search.points, { colour: faded(palette.ink, 0.85), width: 1.5, halo: 1 });
  context.beginPath();
  for (const piece of pieces) walk(piece, 80, 40, (x, y, angle) => traceArrowHead(context, x, y, angle, 7));
  context.strokeStyle = palette.ink;
  context.lineWidth = 1.5;
  context.stroke();
  nameLine(pen, `search/${search.label}`, search.label, pieces);
  if (search.datum === null) return;
  const at = spotOf(pen, search.datum);
  if (!onScreen(pen, at)) return;
  ringed(
    pen,
    () => {
      context.beginPath();
      context.arc(at.x, at.y, 7, 0, 2 * Math.PI);
      context.moveTo(at.x - 5, at.y - 5);
      context.lineTo(at.x + 5, at.y + 5);
      context.moveTo(at.x + 5, at.y - 5);
      context.lineTo(at.x - 5, at.y + 5);
    },
    palette.ink,
    1.75,
  );
  block(pen, at, 9);
  pen.texts.push({
    id: `datum/${search.label}`,
    priority: rank.search,
    role: 'ink',
    lines: [{ text: 'datum', size: 12, bold: true }],
    place: { kind: 'around', ...at, gap: 12 },
  });
}
