// The descent: track by phase with heights and times along it, opening and landing, where the landing was before, and
// live fixes. Freefall is one solid line, filling a heavy one, canopy flight a double line; what rests on extrapolated
// wind is dashed.
import { capital } from '../../core/words/numbers.ts';
import { inverse } from '../../core/earth/geodesic.ts';
import { windFrom, windVector, type LonLat } from '../../core/base/units.ts';
import { age } from '../../core/words/times.ts';
import { direction, isCalm, speed } from '../../core/words/winds.ts';
import { distance, height } from '../../core/words/lengths.ts';
import { boxesAlong, type Spot } from '../../core/base/labels.ts';
import { piecesSeen } from './lines.ts';
import { drawLanding, drawMoment, drawOpening, ringed, traceArrowHead } from './marks.ts';
import {
  block,
  EXTRAPOLATED_DASH,
  faded,
  onScreen,
  rank,
  spotOf,
  strokePieces,
  type Pen,
  type TextLine,
} from './pen.ts';
import type { MapMoment, MapScene, MapTrack } from './scene.ts';
import { paintBody, paintFix } from './paintBodies.ts';
import { placeAt } from './projection.ts';
import { elapsed, momentTime } from './wording.ts';
import { spotAtHeight, type PreparedTrack, type Tick, type TrackCache, type TrackRun } from './track.ts';

/**
 * What the drawing adds to the scene: where the landing stands now while it slides, and where it came from. What is
 * written stands at once where it ends.
 */
export interface LandingMotion {
  readonly at: LonLat;
  readonly from: LonLat | null;
}

export function paintTrack(pen: Pen, scene: MapScene, tracks: TrackCache, motion: LandingMotion | null): void {
  for (const body of scene.bodies) paintBody(pen, body, scene);
  paintTrail(pen, scene);
  if (motion !== null) paintMove(pen, scene, motion);
  if (scene.track !== null) {
    const prepared = tracks.of(scene.track);
    for (const run of prepared.runs) strokeRun(pen, prepared, run);
    paintTicks(pen, scene, tracks.ticks(prepared, pen.screen, scene.units, scene.site.elevation_m));
    if (scene.pointedHeight_m !== null) paintPointed(pen, scene, scene.track, prepared, scene.pointedHeight_m);
  }
  for (const moment of scene.stageMarks) paintMoment(pen, scene, moment);
  if (scene.opening !== null) paintOpening(pen, scene, scene.opening);
  if (scene.landing !== null) paintLanding(pen, scene, scene.landing, motion?.at ?? scene.landing.position);
  for (const fix of scene.fixes) paintFix(pen, scene, fix);
}

function strokeRun(pen: Pen, track: PreparedTrack, run: TrackRun): void {
  const { palette } = pen;
  const pieces = piecesSeen(track.world.subarray(2 * run.first, 2 * run.last + 2), pen.screen, 40);
  for (const piece of pieces) pen.unwelcome.push(...boxesAlong(piece.px, 14, 8));
  const dash = run.extrapolated ? { dash: EXTRAPOLATED_DASH } : {};
  switch (run.phase) {
    case 'freefall':
      return strokePieces(pen, pieces, { colour: palette.path, width: 2.5, halo: 1.25, ...dash });
    case 'filling':
      return strokePieces(pen, pieces, { colour: palette.canopy, width: 6, halo: 1, ...dash });
    case 'canopy':
      strokePieces(pen, pieces, { colour: palette.canopy, width: 5, halo: 1, ...dash });
      return strokePieces(pen, pieces, { colour: palette.map, width: 2 });
  }
}

function paintTicks(pen: Pen, scene: MapScene, ticks: readonly Tick[]): void {
  const { context, palette } = pen;
  context.beginPath();
  for (const tick of ticks) {
    const half = tick.rank === 0 ? 6 : 4.5;
    context.moveTo(tick.x + half * Math.sin(tick.angle), tick.y - half * Math.cos(tick.angle));
    context.lineTo(tick.x - half * Math.sin(tick.angle), tick.y + half * Math.cos(tick.angle));
  }
  context.strokeStyle = palette.ink;
  context.lineWidth = 1.5;
  context.lineCap = 'butt';
  context.stroke();
  const ranks = [rank.trackMain, rank.trackMiddle, rank.trackFine] as const;
  for (const tick of ticks) {
    pen.texts.push({
      id: `tick/${Math.round(tick.height_m)}`,
      priority: ranks[tick.rank],
      role: tick.rank === 0 ? 'ink' : 'quiet',
      lines: [
        { text: `${height(tick.height_m, scene.units, scene.site.elevation_m)}  ${elapsed(tick.t_s)}`, size: 12 },
      ],
      ...(tick.rank === 0 ? {} : { clear: true }),
      place: { kind: 'around', x: tick.x, y: tick.y, gap: 14, rings: tick.rank === 0 ? 3 : 1, tied: true },
    });
  }
}

/**
 * "from 250°, 41 kt" at a height, linear in the vector between levels as the physics has it; null outside the levels
 * given.
 */
function windAtHeight(track: MapTrack, height_m: number): { from_deg: number; speed_mps: number } | null {
  const levels = track.winds;
  for (let i = 0; i + 1 < levels.length; i++) {
    const a = levels[i];
    const b = levels[i + 1];
    if (a === undefined || b === undefined || !(height_m >= a.height_m && height_m <= b.height_m)) continue;
    const f = b.height_m > a.height_m ? (height_m - a.height_m) / (b.height_m - a.height_m) : 0;
    const [ua, va] = windVector(a.from_deg, a.speed_mps);
    const [ub, vb] = windVector(b.from_deg, b.speed_mps);
    return windFrom(ua + f * (ub - ua), va + f * (vb - va));
  }
  return null;
}

function paintPointed(pen: Pen, scene: MapScene, track: MapTrack, prepared: PreparedTrack, height_m: number): void {
  const spot = spotAtHeight(prepared, pen.screen, height_m);
  if (spot === null || !onScreen(pen, spot)) return;
  const { context, palette } = pen;
  ringed(
    pen,
    () => {
      context.beginPath();
      context.arc(spot.x, spot.y, 6.5, 0, 2 * Math.PI);
    },
    palette.accent,
    2.5,
  );
  block(pen, spot, 9);
  pen.texts.push({
    id: 'pointed',
    priority: rank.pointed,
    role: 'accent',
    lines: pointedWords(scene, track, prepared, pen, height_m),
    place: { kind: 'around', x: spot.x, y: spot.y, gap: 14 },
  });
}

function pointedWords(
  scene: MapScene,
  track: MapTrack,
  prepared: PreparedTrack,
  pen: Pen,
  height_m: number,
): TextLine[] {
  const words: TextLine[] = [{ text: height(height_m, scene.units, scene.site.elevation_m), size: 14, bold: true }];
  const spot = spotAtHeight(prepared, pen.screen, height_m);
  const start = track.points[0];
  if (spot !== null && start !== undefined) {
    const here = placeAt(pen.screen, spot.x, spot.y);
    const drift = inverse([start[1], start[2]], here);
    const way =
      drift.distance_m < 10
        ? ''
        : ` · drifted ${distance(drift.distance_m, scene.units)} ${direction(drift.bearing_deg)}`;
    words.push({ text: `${elapsed(spot.t_s)}${way}`, size: 12, role: 'ink' });
  }
  const wind = windAtHeight(track, height_m);
  if (wind !== null) {
    const text = isCalm(wind.speed_mps)
      ? 'calm'
      : `wind FROM ${direction(wind.from_deg)} ${speed(wind.speed_mps, scene.units)}`;
    words.push({ text, size: 12, role: 'wind' });
  }
  return words;
}

function paintMoment(pen: Pen, scene: MapScene, moment: MapMoment): void {
  const at = spotOf(pen, moment.position);
  if (!onScreen(pen, at)) return;
  drawMoment(pen, at, pen.palette.path);
  block(pen, at, 5);
  pen.texts.push({
    id: `stage/${moment.name}`,
    priority: rank.stage,
    role: 'ink',
    lines: [
      { text: `${capital(moment.name)}  ${height(moment.height_m, scene.units, scene.site.elevation_m)}`, size: 12 },
    ],
    place: { kind: 'around', ...at, gap: 11 },
  });
}

function paintOpening(pen: Pen, scene: MapScene, opening: MapMoment): void {
  const at = spotOf(pen, opening.position);
  if (!onScreen(pen, at)) return;
  drawOpening(pen, at, pen.palette.canopy);
  block(pen, at, 10);
  pen.texts.push({
    id: 'opening',
    priority: rank.opening,
    role: 'ink',
    lines: [
      {
        text: `${capital(opening.name)} ${height(opening.height_m, scene.units, scene.site.elevation_m)}`,
        size: 14,
        bold: true,
      },
      { text: momentTime(scene, opening), size: 12 },
    ],
    place: { kind: 'around', ...at, gap: 14 },
  });
}

function paintLanding(pen: Pen, scene: MapScene, landing: MapMoment, now: LonLat): void {
  const sliding = spotOf(pen, now);
  if (onScreen(pen, sliding)) drawLanding(pen, sliding, pen.palette.ink);
  const at = spotOf(pen, landing.position);
  if (!onScreen(pen, at)) return;
  block(pen, at, 14);
  pen.texts.push({
    id: 'landing',
    priority: rank.landing,
    role: 'ink',
    lines: [
      { text: capital(landing.name), size: 18, bold: true },
      { text: momentTime(scene, landing), size: 14 },
    ],
    place: { kind: 'around', ...at, gap: 18 },
  });
}

/** Two hours on, an earlier landing is almost gone; it never quite goes while the scene still gives it. */
const trailStrength = (age_s: number): number => 0.25 + 0.65 * Math.max(0, 1 - age_s / 7200);

function paintTrail(pen: Pen, scene: MapScene): void {
  const { context, palette } = pen;
  let before: Spot | null = null;
  const newest = scene.trail.at(-1);
  for (const point of scene.trail) {
    const at = spotOf(pen, point.position);
    const strength = trailStrength(point.age_s);
    context.strokeStyle = faded(palette.ink, strength * 0.7);
    context.lineWidth = 0.75 + strength * 0.5;
    if (before !== null) {
      context.beginPath();
      context.moveTo(before.x, before.y);
      context.lineTo(at.x, at.y);
      context.stroke();
    }
    before = at;
    if (!onScreen(pen, at)) continue;
    context.beginPath();
    context.arc(at.x, at.y, 3.5, 0, 2 * Math.PI);
    context.fillStyle = palette.map;
    context.fill();
    context.strokeStyle = faded(palette.ink, strength);
    context.lineWidth = 0.75 + strength;
    context.stroke();
    // The others are told by their order; a cloud of ages would be read as marks of something else.
    if (point !== newest) continue;
    const label = point.label === undefined ? age(point.age_s) : `${age(point.age_s)} · ${point.label}`;
    pen.texts.push({
      id: `trail/${point.position.join()}`,
      priority: rank.trail,
      role: 'quiet',
      lines: [{ text: label, size: 12 }],
      place: { kind: 'around', ...at, gap: 8 },
    });
  }
  if (before !== null && scene.landing !== null) {
    const to = spotOf(pen, scene.landing.position);
    context.strokeStyle = faded(palette.ink, 0.6);
    context.lineWidth = 1.25;
    context.beginPath();
    context.moveTo(before.x, before.y);
    context.lineTo(to.x, to.y);
    context.stroke();
  }
}

/** What moved and by how much: from the hollow mark of where it was to where it is. */
function paintMove(pen: Pen, scene: MapScene, motion: LandingMotion): void {
  if (motion.from === null) return;
  const from = spotOf(pen, motion.from);
  ringed(
    pen,
    () => {
      pen.context.beginPath();
      pen.context.arc(from.x, from.y, 5, 0, 2 * Math.PI);
    },
    pen.palette.quiet,
    1.5,
  );
  strokeMove(pen, from, spotOf(pen, motion.at));
  const end = scene.landing?.position ?? motion.at;
  const to = spotOf(pen, end);
  if (!longEnough(from, to)) return;
  const moved = inverse(motion.from, end);
  pen.texts.push({
    id: 'moved',
    priority: rank.moved,
    role: 'ink',
    lines: [
      { text: `moved ${distance(moved.distance_m, scene.units)} toward ${direction(moved.bearing_deg)}`, size: 12 },
    ],
    place: { kind: 'around', x: (from.x + to.x) / 2, y: (from.y + to.y) / 2, gap: 12 },
  });
}

/** Whether an arrow has room between the two marks. */
const longEnough = (from: Spot, to: Spot): boolean => Math.hypot(to.x - from.x, to.y - from.y) >= 26;

function strokeMove(pen: Pen, from: Spot, to: Spot): void {
  if (!longEnough(from, to)) return;
  const { context, palette } = pen;
  const angle = Math.atan2(to.y - from.y, to.x - from.x);
  const [cos, sin] = [Math.cos(angle), Math.sin(angle)];
  context.beginPath();
  context.moveTo(from.x + 6 * cos, from.y + 6 * sin);
  context.lineTo(to.x - 15 * cos, to.y - 15 * sin);
  traceArrowHead(context, to.x - 15 * cos, to.y - 15 * sin, angle, 7);
  context.strokeStyle = palette.quiet;
  context.lineWidth = 1.5;
  context.stroke();
}
