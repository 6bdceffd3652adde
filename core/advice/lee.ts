// What stands upwind within twenty of its heights, of a landing zone or of a single place on a way: every part of each
// obstacle, and the ground on lines against the wind. Metres east and north of the middle; from: degrees true.
import { keptIn } from '../base/kept.ts';
import { localFrame } from '../earth/geodesic.ts';
import { nearestOn, within, type Point } from '../earth/plane.ts';
import type { TerrainGrid } from '../earth/terrain.ts';
import type { Hazard, LandingZone, Mission } from '../plan/schema.ts';
import { zoneMiddle } from '../descent/scenario.ts';
import { RAD_PER_DEG, wrap180, type LonLat } from '../base/units.ts';

/** Something upwind: its distance in its own heights. */
export interface Turbulence {
  readonly name: string;
  readonly distance_m: number;
  readonly height_m: number;
  readonly heights: number;
}

/** Turbulence reaches 10 to 20 obstacle heights downwind. ref: drift-handbook.md §6; source: SIM Category C; mark F. */
export const STRONG_HEIGHTS = 10;
export const WEAK_HEIGHTS = 20;
/** Obstacles lower than this, and ground that rises less, do not disturb a canopy. Common practice. */
const OBSTACLE_M = 3;
const RISE_M = 30;
/** Wind below which nothing is turbulent behind anything. */
const TURBULENT_MPS = 2;
/** An outline is looked at every so many metres. */
const OUTLINE_M = 10;
/** Lines against the wind: so far apart, so long, with a look at the ground each step. */
const LINES_M = 50;
const LINE_M_MAX = 10_000;
const STEP_M = 100;
const HARMLESS: readonly string[] = ['power line', 'road', 'river'];

/**
 * A part of an obstacle counts within so much of straight upwind, as the wind swings, and the ground on lines so far
 * beside. Common practice.
 */
interface Looks {
  readonly sector_deg: number;
  readonly beside_m: number;
}
const AT_ZONE: Looks = { sector_deg: 45, beside_m: 200 };
/** A way passes many places: each is looked at on one line. */
const AT_PLACE: Looks = { sector_deg: 60, beside_m: 0 };

export interface LeeInput {
  readonly mission: Pick<Mission, 'hazards'>;
  readonly terrain: TerrainGrid | null;
  readonly wind: { readonly from_deg: number; readonly speed_mps: number };
}

/**
 * What stands upwind of a zone within 20 of its heights, the nearest in heights first. Of the ground each rise that is
 * higher than all that are nearer in their heights: the wind may be weak at a low one and strong at the next.
 */
export const turbulenceAt = (zone: LandingZone, input: LeeInput): Turbulence[] =>
  upwind(zone.polygon, zoneMiddle(zone), AT_ZONE, input);

/** The same of a single place. */
export const upwindOf = (place: LonLat, input: LeeInput): Turbulence[] => upwind([place], place, AT_PLACE, input);

function upwind(
  places: readonly LonLat[],
  middle: LonLat,
  looks: Looks,
  { mission, terrain, wind }: LeeInput,
): Turbulence[] {
  if (wind.speed_mps < TURBULENT_MPS) return [];
  const frame = localFrame(middle);
  const corners = places.map((place) => frame.toLocal(place));
  const from = wind.from_deg * RAD_PER_DEG;
  const up: Point = [Math.sin(from), Math.cos(from)];
  const found: Turbulence[] = [];
  const radius_m = radiusOf(corners);
  for (const obstacle of obstaclesOf(mission.hazards ?? [])) {
    const { name, height_m } = obstacle;
    const reach_m = WEAK_HEIGHTS * height_m;
    if (isFar(obstacle, middle, radius_m + reach_m)) continue;
    const outline = obstacle.outline.map((place) => frame.toLocal(place));
    const distance_m = nearestUpwind_m(corners, outline, { up, looks, reach_m });
    if (distance_m < reach_m) found.push({ name, distance_m, height_m, heights: distance_m / height_m });
  }
  if (terrain !== null) {
    const across = corners.map(([e, n]) => e * up[1] - n * up[0]);
    const sides = linesAcross(Math.min(...across) - looks.beside_m, Math.max(...across) + looks.beside_m);
    const lines = sides.map((side): Line => {
      const placeAt = (d: number): LonLat => frame.toLonLat(d * up[0] + side * up[1], d * up[1] - side * up[0]);
      return [placeAt(0), placeAt(LINE_M_MAX)];
    });
    found.push(...risingGround(lines, terrain, terrain.heightAt(...middle)));
  }
  return found.sort((a, b) => a.heights - b.heights);
}

/** What stands high enough to disturb the air. */
interface LeeObstacle {
  readonly name: string;
  readonly height_m: number;
  readonly outline: readonly LonLat[];
  /** Degrees east and north of the outline's first place that hold all of it, and the longer side of them, m. */
  readonly box: readonly [west: number, south: number, east: number, north: number];
  readonly span_m: number;
}

const M_PER_DEG = 111_320;

/** Of a list of hazards, looked at once: some thousand places ask for the same 500. */
const obstacles = new WeakMap<readonly Hazard[], readonly LeeObstacle[]>();

function obstaclesOf(hazards: readonly Hazard[]): readonly LeeObstacle[] {
  return keptIn(obstacles, hazards, () =>
    hazards.flatMap((hazard): LeeObstacle[] => {
      const height_m = hazard.height_m ?? 0;
      const outline = outlineOf(hazard);
      const first = outline[0];
      if (height_m < OBSTACLE_M || HARMLESS.includes(hazard.kind) || first === undefined) return [];
      const x = outline.map(([lon]) => wrap180(lon - first[0]));
      const y = outline.map(([, lat]) => lat - first[1]);
      const box = [Math.min(...x), Math.min(...y), Math.max(...x), Math.max(...y)] as const;
      const span_m = M_PER_DEG * Math.max(box[2] - box[0], box[3] - box[1]);
      return [{ name: hazard.name, height_m, outline, box, span_m }];
    }),
  );
}

/**
 * Whether all of an obstacle is surely farther from a place than a distance. Degrees bend against the plane that the
 * distance is of: by less than a twentieth of it and of the obstacle's own length.
 */
function isFar({ outline, box, span_m }: LeeObstacle, [lon, lat]: LonLat, distance_m: number): boolean {
  const [lon0, lat0] = outline[0] ?? [lon, lat];
  const far_deg = (1.05 * distance_m + 0.05 * span_m + 100) / M_PER_DEG;
  const north = lat - lat0;
  if (north < box[1] - far_deg || north > box[3] + far_deg) return true;
  const east = wrap180(lon - lon0);
  const wide_deg = far_deg / Math.cos(lat * RAD_PER_DEG);
  return east < box[0] - wide_deg || east > box[2] + wide_deg;
}

/** How far the farthest of some places is from the middle of the plane. */
const radiusOf = (corners: readonly Point[]): number => Math.max(...corners.map((corner) => Math.hypot(...corner)));

function outlineOf(hazard: Hazard): readonly LonLat[] {
  if (!('polygon' in hazard)) return hazard.line;
  const ring = hazard.polygon as readonly LonLat[];
  return [...ring, ...ring.slice(0, 1)];
}

interface Toward {
  /** Toward where the wind comes from. */
  readonly up: Point;
  readonly looks: Looks;
  readonly reach_m: number;
}

/**
 * How far the nearest part of an outline that lies upwind is from a ring of corners, or from the one place that they
 * are; `reach_m` where no part is nearer.
 */
function nearestUpwind_m(corners: readonly Point[], outline: readonly Point[], { up, looks, reach_m }: Toward): number {
  const cos = Math.cos(looks.sector_deg * RAD_PER_DEG);
  const radius = radiusOf(corners);
  let nearest = reach_m;
  for (let i = 0; i + 1 < outline.length; i++) {
    const stretch = outline.slice(i, i + 2);
    const [[e0, n0] = [0, 0], [e1, n1] = [0, 0]] = stretch;
    if (Math.hypot(...nearestOn([0, 0], stretch, false)) > radius + nearest) continue;
    const parts = Math.max(1, Math.ceil(Math.hypot(e1 - e0, n1 - n0) / OUTLINE_M));
    for (let k = 0; k <= parts; k++) {
      const there: Point = [e0 + ((e1 - e0) * k) / parts, n0 + ((n1 - n0) * k) / parts];
      if (within(there, corners)) return 0;
      const [e, n] = nearestOn(there, corners, true);
      const [east, north] = [there[0] - e, there[1] - n];
      const distance = Math.hypot(east, north);
      if (distance < nearest && east * up[0] + north * up[1] >= cos * distance) nearest = distance;
    }
  }
  return nearest;
}

function linesAcross(left: number, right: number): number[] {
  const gaps = Math.ceil((right - left) / LINES_M);
  return Array.from({ length: gaps + 1 }, (_, k) => left + (gaps === 0 ? 0 : ((right - left) * k) / gaps));
}

/**
 * A line against the wind, `LINE_M_MAX` long. Straight in longitude and latitude: in its middle 3 m off a geodesic at
 * 60° of latitude, a small part of a terrain's cell.
 */
type Line = readonly [from: LonLat, to: LonLat];

/** The ground on lines against the wind that stands above a height, m MSL. */
function risingGround(lines: readonly Line[], terrain: TerrainGrid, base_m: number): Turbulence[] {
  const found: Turbulence[] = [];
  const most_m = (terrain.extremes()?.max_m ?? base_m) - base_m;
  if (!(most_m > RISE_M)) return [];
  const far_m = Math.min(LINE_M_MAX, WEAK_HEIGHTS * most_m);
  for (let d = STEP_M; d <= far_m; d += STEP_M) {
    const part = d / LINE_M_MAX;
    let height_m = -Infinity;
    for (const [[lon, lat], to] of lines) {
      const there_m = terrain.heightAt(lon + part * wrap180(to[0] - lon), lat + part * (to[1] - lat)) - base_m;
      if (there_m > height_m) height_m = there_m;
    }
    if (height_m > RISE_M && d <= WEAK_HEIGHTS * height_m)
      found.push({ name: 'the rising ground', distance_m: d, height_m, heights: d / height_m });
  }
  let highest = 0;
  return found
    .sort((a, b) => a.heights - b.heights)
    .filter(({ height_m }) => {
      const higher = height_m > highest;
      highest = Math.max(highest, height_m);
      return higher;
    });
}

/** Ground that stands so high above the landing makes rotors, and so far downwind of it, m (20 NM). */
const CREST_M = 300;
const ROTOR_M = 37_040;
/** Directions and distances at which its height is looked at. */
const CREST_EVERY_DEG = 10;
const CREST_STEP_M = 500;

/** Ground that may make rotors over a landing: how high above it, how far, and in which direction from it. */
export interface Crest {
  readonly place: LonLat;
  readonly rise_m: number;
  readonly away_m: number;
  readonly toward_deg: number;
}

/**
 * The highest ground of each direction from a landing, where it stands `CREST_M` above it. Straight in longitude and
 * latitude: some 100 m off a geodesic at the far end, less than a step.
 */
export function crestsAround(terrain: TerrainGrid, at: LonLat): Crest[] {
  const frame = localFrame(at);
  const base_m = terrain.heightAt(at[0], at[1]);
  const steps = Math.floor(ROTOR_M / CREST_STEP_M);
  const crests: Crest[] = [];
  for (let bearing_deg = 0; bearing_deg < 360; bearing_deg += CREST_EVERY_DEG) {
    const [e, n] = [Math.sin(bearing_deg * RAD_PER_DEG), Math.cos(bearing_deg * RAD_PER_DEG)];
    const [lon, lat] = frame.toLonLat(steps * CREST_STEP_M * e, steps * CREST_STEP_M * n);
    const placeOf = (k: number): LonLat => [
      wrap180(at[0] + (wrap180(lon - at[0]) * k) / steps),
      at[1] + ((lat - at[1]) * k) / steps,
    ];
    let highest = 0;
    let rise_m = 0;
    for (let k = 1; k <= steps; k++) {
      const there_m = terrain.heightAt(...placeOf(k)) - base_m;
      if (there_m >= CREST_M && there_m > rise_m) [highest, rise_m] = [k, there_m];
    }
    if (highest > 0)
      crests.push({ place: placeOf(highest), rise_m, away_m: highest * CREST_STEP_M, toward_deg: bearing_deg });
  }
  return crests;
}
