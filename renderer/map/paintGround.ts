// The ground as the plan knows it: site, landing zones, hazards and landmarks. Zones are outlined with heavy corners;
// hazards are hatched or have the stroke of their kind, and say their height; landmarks are small and quiet.
import { ringMiddle } from './places.ts';
import { onScreen, rank, spotOf, strokeLine, traceRings, faded, block, type Pen } from './pen.ts';
import { paintHazard } from './paintHazards.ts';
import { pointsAlong, walk } from './lines.ts';
import { ringed } from './marks.ts';
import type { MapScene, MapZone, MapLandmark } from './scene.ts';
import { number, THIN } from '../../core/words/numbers.ts';
import { RAD_PER_DEG, type LonLat } from '../../core/base/units.ts';
import { boxesAlong, type Spot } from '../../core/base/labels.ts';

export function paintGround(pen: Pen, scene: MapScene): void {
  for (const zone of scene.zones) paintZone(pen, zone, isChosen(scene, zone));
  for (const hazard of scene.hazards) paintHazard(pen, hazard, scene);
  for (const landmark of scene.landmarks) paintLandmark(pen, landmark);
  paintSite(pen, scene);
}

const isChosen = (scene: MapScene, zone: MapZone): boolean =>
  scene.chosen?.kind === 'zone' && scene.chosen.name === zone.name;

function paintZone(pen: Pen, zone: MapZone, chosen: boolean): void {
  const { context, palette } = pen;
  const colour = chosen ? palette.accent : palette.zone;
  traceRings(pen, [zone.polygon]);
  context.fillStyle = faded(colour, chosen ? 0.14 : 0.08);
  context.fill('evenodd');
  for (const piece of strokeLine(pen, zone.polygon, { colour, width: chosen ? 2.5 : 1.75, halo: 1 }, true))
    pen.unwelcome.push(...boxesAlong(piece.px, 16, 6));
  const corners = openRing(zone.polygon).map((place) => spotOf(pen, place));
  drawCorners(pen, corners, colour);
}

/**
 * The zones' names with the share of landings in each. They are asked for with the labels: a share changes far more
 * often than a zone.
 */
export function writeZones(pen: Pen, scene: MapScene): void {
  for (const zone of scene.zones) {
    const share = scene.chances[zone.name];
    const words = share === undefined ? zone.name : `${zone.name} ${number(100 * share)}${THIN}%`;
    writeZone(pen, zone, words, { chosen: isChosen(scene, zone), target: zone.name === scene.target });
  }
}

interface ZoneLook {
  readonly chosen: boolean;
  readonly target: boolean;
}

function writeZone(pen: Pen, zone: MapZone, words: string, { chosen, target }: ZoneLook): void {
  const corners = openRing(zone.polygon).map((place) => spotOf(pen, place));
  const middle = spotOf(pen, ringMiddle(zone.polygon));
  const top = corners.reduce((least, corner) => Math.min(least, corner.y), Infinity);
  const bottom = corners.reduce((most, corner) => Math.max(most, corner.y), -Infinity);
  pen.texts.push({
    id: `zone/${zone.name}`,
    priority: target ? rank.target : chosen ? rank.zone - 1 : rank.zone,
    role: chosen ? 'accent' : 'zone',
    lines: [{ text: words, size: 14, bold: true }],
    place: {
      kind: 'on',
      ...(target ? { leader: { from: middle, after: 6 } } : {}),
      points: [
        { x: middle.x, y: top - 14 },
        { x: middle.x, y: bottom + 14 },
        middle,
        { x: corners[0]?.x ?? middle.x, y: top - 14 },
        { x: corners[1]?.x ?? middle.x, y: bottom + 14 },
        { x: corners[2]?.x ?? middle.x, y: top - 14 },
        ...(target ? around(middle) : []),
      ],
    },
  });
}

/** Where a name goes that must stand somewhere, with a line to it: in rings about the middle, above and below first. */
const around = (middle: Spot): readonly Spot[] =>
  [48, 80, 120, 170, 230].flatMap((r) =>
    [-90, 90, -60, 60, -120, 120, -30, 30, -150, 150, 0, 180].map((turn_deg) => ({
      x: middle.x + 1.6 * r * Math.cos(turn_deg * RAD_PER_DEG),
      y: middle.y + r * Math.sin(turn_deg * RAD_PER_DEG),
    })),
  );

/** A ring's places without the repeated last one, which RFC 7946 has and plans may leave out. */
function openRing(ring: readonly LonLat[]): readonly LonLat[] {
  const first = ring[0];
  const last = ring.at(-1);
  const repeats =
    ring.length > 1 && first !== undefined && last !== undefined && first[0] === last[0] && first[1] === last[1];
  return repeats ? ring.slice(0, -1) : ring;
}

/**
 * Heavy ends along both edges of every real corner, and a tick outward: which mark a zone even without its colour.
 */
function drawCorners(pen: Pen, corners: readonly Spot[], colour: string): void {
  const { context } = pen;
  const count = corners.length;
  context.beginPath();
  corners.forEach((corner, i) => {
    const before = corners[(i + count - 1) % count];
    const after = corners[(i + 1) % count];
    if (before === undefined || after === undefined || !onScreen(pen, corner)) return;
    const inLength = Math.hypot(corner.x - before.x, corner.y - before.y);
    const outLength = Math.hypot(after.x - corner.x, after.y - corner.y);
    if (!(inLength > 0 && outLength > 0)) return;
    const [ix, iy] = [(before.x - corner.x) / inLength, (before.y - corner.y) / inLength];
    const [ox, oy] = [(after.x - corner.x) / outLength, (after.y - corner.y) / outLength];
    // A bend of less than 25° belongs to a curve.
    if (ix * ox + iy * oy < -0.9) return;
    const arm = Math.min(11, inLength / 3, outLength / 3);
    context.moveTo(corner.x + ix * arm, corner.y + iy * arm);
    context.lineTo(corner.x, corner.y);
    context.lineTo(corner.x + ox * arm, corner.y + oy * arm);
    const away = Math.hypot(ix + ox, iy + oy) || 1;
    context.moveTo(corner.x, corner.y);
    context.lineTo(corner.x - ((ix + ox) / away) * 7, corner.y - ((iy + oy) / away) * 7);
  });
  context.strokeStyle = colour;
  context.lineWidth = 3.5;
  context.lineCap = 'butt';
  context.lineJoin = 'miter';
  context.stroke();
}

function paintLandmark(pen: Pen, landmark: MapLandmark): void {
  const { palette } = pen;
  const words = { id: `landmark/${landmark.name}`, priority: rank.landmark, role: 'quiet' as const };
  const lines = [{ text: landmark.name, size: 12 as const }];
  if (landmark.line !== undefined) {
    const pieces = strokeLine(pen, landmark.line, { colour: faded(palette.quiet, 0.6), width: 1 });
    for (const piece of pieces) dotAlong(pen, piece);
    const points = pointsAlong(pieces, [0.5, 0.3, 0.7, 0.15, 0.85]);
    if (points.length > 0)
      pen.texts.push({ ...words, lines, place: { kind: 'on', points: points.map(({ x, y }) => ({ x, y: y - 11 })) } });
  }
  if (landmark.position !== undefined) {
    const at = spotOf(pen, landmark.position);
    if (!onScreen(pen, at)) return;
    const { context } = pen;
    ringed(
      pen,
      () => {
        context.beginPath();
        context.moveTo(at.x, at.y - 5);
        context.lineTo(at.x + 4.5, at.y + 4);
        context.lineTo(at.x - 4.5, at.y + 4);
        context.closePath();
      },
      palette.quiet,
      1.5,
    );
    block(pen, at, 6);
    pen.texts.push({ ...words, lines, place: { kind: 'around', ...at, gap: 9 } });
  }
}

function dotAlong(pen: Pen, piece: Parameters<typeof walk>[0]): void {
  const { context, palette } = pen;
  context.fillStyle = palette.quiet;
  walk(piece, 20, 10, (x, y) => {
    context.beginPath();
    context.arc(x, y, 1.6, 0, 2 * Math.PI);
    context.fill();
  });
}

function paintSite(pen: Pen, scene: MapScene): void {
  const at = spotOf(pen, scene.site.position);
  if (!onScreen(pen, at)) return;
  const { context, palette } = pen;
  ringed(
    pen,
    () => {
      context.beginPath();
      context.arc(at.x, at.y, 4, 0, 2 * Math.PI);
      context.moveTo(at.x - 7, at.y);
      context.lineTo(at.x + 7, at.y);
      context.moveTo(at.x, at.y - 7);
      context.lineTo(at.x, at.y + 7);
    },
    palette.quiet,
    1.25,
  );
  block(pen, at, 7);
  pen.texts.push({
    id: 'site',
    priority: rank.site,
    role: 'quiet',
    lines: [{ text: scene.site.name, size: 12 }],
    place: { kind: 'around', ...at, gap: 10 },
  });
}
