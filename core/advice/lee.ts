// What stands upwind of a landing zone within twenty of its heights: every part of each obstacle, and the ground on all
// lines against the wind that pass over the zone or near it. Metres east and north of the zone's middle; from: degrees
// true.
import { distanceToPolygon, localFrame, nearestOnLine, type LocalFrame } from '../earth/geodesic.ts';
import type { TerrainGrid } from '../earth/terrain.ts';
import type { Hazard, LandingZone, Mission } from '../plan/schema.ts';
import { zoneMiddle } from '../descent/scenario.ts';
import { RAD_PER_DEG, type LonLat } from '../base/units.ts';

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
/** A part of an obstacle counts within this of straight upwind of the zone: the wind swings. Common practice. */
const SECTOR_DEG = 45;
/** An outline is looked at every so many metres. */
const OUTLINE_M = 10;
/** Lines against the wind: so far apart, so far beside the zone, so long, with a look at the ground each step. */
const LINES_M = 50;
const BESIDE_M = 200;
const LINE_M_MAX = 10_000;
const STEP_M = 100;
const HARMLESS: readonly string[] = ['power line', 'road', 'river'];

type Point = readonly [east_m: number, north_m: number];

interface Upwind {
  readonly zone: LandingZone;
  /** About the zone's middle. */
  readonly frame: LocalFrame;
  readonly corners: readonly Point[];
  /** Toward where the wind comes from. */
  readonly up: Point;
}

/** Obstacles and rising ground upwind of a zone within 20 of their heights, the nearest in heights first. */
export function turbulenceAt(
  zone: LandingZone,
  input: {
    readonly mission: Pick<Mission, 'hazards'>;
    readonly terrain: TerrainGrid | null;
    readonly wind: { readonly from_deg: number; readonly speed_mps: number };
  },
): Turbulence[] {
  const { mission, terrain, wind } = input;
  if (wind.speed_mps < TURBULENT_MPS) return [];
  const frame = localFrame(zoneMiddle(zone));
  const from = wind.from_deg * RAD_PER_DEG;
  const corners = zone.polygon.map((place) => frame.toLocal(place));
  const of: Upwind = { zone, frame, corners, up: [Math.sin(from), Math.cos(from)] };
  const found: Turbulence[] = [];
  for (const hazard of mission.hazards ?? []) {
    const height_m = hazard.height_m ?? 0;
    if (height_m < OBSTACLE_M || HARMLESS.includes(hazard.kind)) continue;
    const distance_m = nearestUpwind_m(of, outlineOf(hazard), WEAK_HEIGHTS * height_m);
    if (distance_m < WEAK_HEIGHTS * height_m)
      found.push({ name: hazard.name, distance_m, height_m, heights: distance_m / height_m });
  }
  const ground = terrain === null ? null : risingGround(of, terrain);
  if (ground !== null) found.push(ground);
  return found.sort((a, b) => a.heights - b.heights);
}

function outlineOf(hazard: Hazard): readonly LonLat[] {
  if (!('polygon' in hazard)) return hazard.line;
  const ring = hazard.polygon as readonly LonLat[];
  return [...ring, ...ring.slice(0, 1)];
}

/** How far the nearest part of an outline that lies upwind is from the zone; `reach_m` where no part is nearer. */
function nearestUpwind_m({ zone, frame, corners, up }: Upwind, outline: readonly LonLat[], reach_m: number): number {
  const cos = Math.cos(SECTOR_DEG * RAD_PER_DEG);
  const radius = Math.max(...corners.map(([e, n]) => Math.hypot(e, n)));
  const edge = [...zone.polygon, ...zone.polygon.slice(0, 1)];
  let nearest = reach_m;
  for (let i = 0; i + 1 < outline.length; i++) {
    const stretch = outline.slice(i, i + 2);
    if (nearestOnLine(zoneMiddle(zone), stretch).distance_m > radius + reach_m) continue;
    const [[e0, n0] = [0, 0], [e1, n1] = [0, 0]] = stretch.map((place) => frame.toLocal(place));
    const parts = Math.max(1, Math.ceil(Math.hypot(e1 - e0, n1 - n0) / OUTLINE_M));
    for (let k = 0; k <= parts; k++) {
      const [east, north] = [e0 + ((e1 - e0) * k) / parts, n0 + ((n1 - n0) * k) / parts];
      const place = frame.toLonLat(east, north);
      const distance = distanceToPolygon(place, zone.polygon);
      if (!(distance < nearest)) continue;
      const [e, n] = frame.toLocal(nearestOnLine(place, edge).position);
      if ((east - e) * up[0] + (north - n) * up[1] >= cos * distance) nearest = distance;
    }
  }
  return nearest;
}

/** The ground that stands highest above the zone for its distance; null where none is within 20 of its heights. */
function risingGround({ zone, frame, corners, up }: Upwind, terrain: TerrainGrid): Turbulence | null {
  const middle = zoneMiddle(zone);
  const base = terrain.heightAt(middle[0], middle[1]);
  const across = corners.map(([e, n]) => e * up[1] - n * up[0]);
  let worst: Turbulence | null = null;
  const [left, right] = [Math.min(...across) - BESIDE_M, Math.max(...across) + BESIDE_M];
  const lines = Math.max(1, Math.ceil((right - left) / LINES_M));
  for (let k = 0; k <= lines; k++) {
    const side = left + ((right - left) * k) / lines;
    for (let d = STEP_M; d <= LINE_M_MAX; d += STEP_M) {
      const [lon, lat] = frame.toLonLat(d * up[0] + side * up[1], d * up[1] - side * up[0]);
      const rise = terrain.heightAt(lon, lat) - base;
      if (!(rise > RISE_M) || d > WEAK_HEIGHTS * rise) continue;
      if (worst === null || d / rise < worst.heights)
        worst = { name: 'the rising ground', distance_m: d, height_m: rise, heights: d / rise };
    }
  }
  return worst;
}

/** A part of an obstacle counts for a single place within this of straight upwind. Common practice. */
const PLACE_SECTOR_DEG = 60;

/**
 * The same for a single place, as a way in passes many: the nearest part of each obstacle, and the ground on one line
 * against the wind.
 *
 * Cost   some tens of microseconds, where a zone takes some ten milliseconds
 */
export function upwindOf(place: LonLat, { mission, terrain, wind }: Parameters<typeof turbulenceAt>[1]): Turbulence[] {
  if (wind.speed_mps < TURBULENT_MPS) return [];
  const found: Turbulence[] = [];
  const frame = localFrame(place);
  const from = wind.from_deg * RAD_PER_DEG;
  const up: Point = [Math.sin(from), Math.cos(from)];
  const cos = Math.cos(PLACE_SECTOR_DEG * RAD_PER_DEG);
  for (const hazard of mission.hazards ?? []) {
    const height_m = hazard.height_m ?? 0;
    if (height_m < OBSTACLE_M || HARMLESS.includes(hazard.kind)) continue;
    const [east, north] = nearestFromHere(outlineOf(hazard).map((corner) => frame.toLocal(corner)));
    const distance_m = Math.hypot(east, north);
    if (distance_m < WEAK_HEIGHTS * height_m && east * up[0] + north * up[1] >= cos * distance_m)
      found.push({ name: hazard.name, distance_m, height_m, heights: distance_m / height_m });
  }
  if (terrain === null) return found;
  const base = terrain.heightAt(place[0], place[1]);
  for (let d = STEP_M; d <= LINE_M_MAX; d += STEP_M) {
    const [lon, lat] = frame.toLonLat(d * up[0], d * up[1]);
    const rise = terrain.heightAt(lon, lat) - base;
    if (rise > RISE_M && d < WEAK_HEIGHTS * rise)
      found.push({ name: 'the rising ground', distance_m: d, height_m: rise, heights: d / rise });
  }
  return found;
}

/** The point of a line on the plane that lies nearest to its origin. */
function nearestFromHere(line: readonly Point[]): Point {
  let nearest: Point = line[0] ?? [Infinity, Infinity];
  for (let i = 0; i + 1 < line.length; i++) {
    const [[e0, n0], [e1, n1]] = [line[i] ?? nearest, line[i + 1] ?? nearest];
    const [de, dn] = [e1 - e0, n1 - n0];
    const square = de * de + dn * dn;
    const x = square > 0 ? Math.min(Math.max(-(e0 * de + n0 * dn) / square, 0), 1) : 0;
    const there: Point = [e0 + x * de, n0 + x * dn];
    if (Math.hypot(...there) < Math.hypot(...nearest)) nearest = there;
  }
  return nearest;
}
