// Where things are, for fitting the map, for focusing and for names: middles, bounds, and all places of a scene.
import { roundTo } from '../../core/base/plainNumbers.ts';
import { centroid } from '../../core/earth/geodesic.ts';
import type { TerrainGrid } from '../../core/earth/terrain.ts';
import type { LonLat } from '../../core/base/units.ts';
import { ellipseRing } from '../../core/earth/ellipse.ts';
import { unwrapLon, wrapPlace } from './projection.ts';
import type { MapScene } from './scene.ts';

/** The middle of a ring's area; of an empty ring the zero place, which nothing draws. */
export function ringMiddle(ring: readonly LonLat[]): LonLat {
  return ring.length === 0 ? [0, 0] : centroid(ring);
}

/** The middle point of a line, by its count of points: good enough to look at. */
export function lineMiddle(line: readonly LonLat[]): LonLat {
  return line[Math.floor(line.length / 2)] ?? [0, 0];
}

export interface Bounds {
  readonly west_deg: number;
  readonly south_deg: number;
  readonly east_deg: number;
  readonly north_deg: number;
}

/** The box about places, longitudes on the side of `near_deg`; null of none. */
export function boundsOf(places: Iterable<LonLat>, near_deg: number): Bounds | null {
  let [west_deg, south_deg, east_deg, north_deg] = [Infinity, Infinity, -Infinity, -Infinity];
  for (const place of places) {
    const lon = unwrapLon(place[0], near_deg);
    if (!Number.isFinite(lon) || !Number.isFinite(place[1])) continue;
    west_deg = Math.min(west_deg, lon);
    east_deg = Math.max(east_deg, lon);
    south_deg = Math.min(south_deg, place[1]);
    north_deg = Math.max(north_deg, place[1]);
  }
  return west_deg <= east_deg ? { west_deg, south_deg, east_deg, north_deg } : null;
}

/** Every place that is drawn, but for the terrain and the single dots of a sample. */
export function* allPlaces(scene: MapScene): Generator<LonLat> {
  yield scene.site.position;
  for (const zone of scene.zones) yield* zone.polygon;
  for (const hazard of scene.hazards) yield* hazard.polygon ?? hazard.line ?? [];
  for (const mark of scene.landmarks) yield* mark.position === undefined ? (mark.line ?? []) : [mark.position];
  for (const crew of scene.crews) yield crew.position;
  yield* descentPlaces(scene);
  for (const area of scene.reach) for (const ring of area.rings) yield* ring;
  for (const body of scene.bodies) {
    yield* body.track;
    if (body.landing !== null) yield body.landing.position;
  }
  for (const one of scene.cases) {
    yield one.landing;
    if (one.ellipse !== null) yield* ellipseRing(one.ellipse, 16);
  }
  for (const standby of scene.standby) {
    yield standby.position;
    for (const route of standby.routes) yield* route.points;
  }
  for (const area of scene.keepClear) for (const ring of area.rings) yield* ring;
  for (const smoke of scene.smoke) yield smoke.position;
  for (const search of scene.search) yield* search.points;
  for (const fix of scene.fixes) yield fix.position;
}

/** Exit, track and landing with their spread, and the exit window: what the first look must hold. */
export function* descentPlaces(scene: MapScene): Generator<LonLat> {
  if (scene.exit !== null) yield scene.exit.position;
  for (const point of scene.track?.points ?? []) yield [point[1], point[2]];
  if (scene.opening !== null) yield scene.opening.position;
  yield* landingPlaces(scene);
  if (scene.exitLine !== null) {
    const { points, window } = scene.exitLine;
    for (const point of points) {
      if (window === null || (point.at_s >= window.opens_s - 120 && point.at_s <= window.closes_s + 120))
        yield point.position;
    }
  }
}

/** The landing with its spread. */
export function* landingPlaces(scene: MapScene): Generator<LonLat> {
  if (scene.landing !== null) yield scene.landing.position;
  for (const point of scene.trail) yield point.position;
  for (const contour of scene.contours) for (const ring of contour.rings) yield* ring;
  for (const ellipse of scene.ellipses) yield* ellipseRing(ellipse, 16);
}

/**
 * A place for the desk: longitude in (−180, 180], nine decimals (a tenth of a millimetre) so that files stay readable.
 */
export function tidy(place: LonLat): LonLat {
  const [lon, lat] = wrapPlace(place);
  return [roundTo(lon, 9), roundTo(lat, 9)];
}

/** Terrain height at a place on whichever side of 180° the grid lies; NaN without terrain. */
export function terrainAt(terrain: TerrainGrid | null, place: LonLat): number {
  if (terrain === null) return NaN;
  const middle = terrain.west_deg + (terrain.stepLon_deg * (terrain.columns - 1)) / 2;
  return terrain.heightAt(unwrapLon(place[0], middle), place[1]);
}
