// Where a helicopter may set down and a vehicle may stand: slope, obstacles in their heights, wires, people, water. The
// figures are those of reference/recovery.md §2, and each refusal says which. Metres on the plane of a local frame.
import { angle } from '../words/numbers.ts';
import type { TerrainGrid } from '../earth/terrain.ts';
import type { LocalFrame } from '../earth/geodesic.ts';
import type { Hazard } from '../plan/schema.ts';
import { WATER_KINDS } from '../plan/water.ts';
import type { LonLat } from '../base/units.ts';
import { distance } from '../words/lengths.ts';
import { nearestOn, toLine, within, type Point } from '../earth/plane.ts';

/** A general emergency site is 100 × 100 ft (30.5 m): half of it to each side. source: FAA AIM 10-2-3; mark F. */
export const HALF_SITE_M = 15.25;
/**
 * Climb over an obstacle at 1 in 5 (11.3°): so many heights of clear ground before it. source: field-expedient manual;
 * mark F.
 */
const CLEAR_HEIGHTS = 5;
/** Spectators are kept 200 ft (61 m) back, vehicles 100 ft (30.5 m). source: FAA AIM 10-2-3 d; mark F. */
export const PEOPLE_M = 61;
export const VEHICLE_M = 30.5;
/** Wires, poles and trees to be reported to the pilot: within a quarter mile. source: operators; mark F. */
export const REPORT_M = 402;
/** Ground that a vehicle stands on. Common practice. */
export const STAND_SLOPE_DEG = 15;

const PEOPLE: ReadonlySet<string> = new Set(['town', 'homestead', 'building', 'house', 'camp', 'public']);
const SOFT: ReadonlySet<string> = new Set(WATER_KINDS);
/** Where people are many: not flown over low. */
const TOWN: ReadonlySet<string> = new Set(['town', 'camp', 'public']);
/** Assumed height of an obstacle without one in the plan. Ours: above most of its kind. */
const ASSUMED_M: Readonly<Record<string, number>> = {
  'power line': 60,
  cable: 60,
  mast: 100,
  tower: 100,
  trees: 30,
  building: 15,
  house: 15,
  homestead: 15,
  town: 30,
};
/** Heights of these are those of the ground, which the slope tells. */
const GROUND: ReadonlySet<string> = new Set(['ridge', 'cliff', 'hill', 'road']);
const NO_STANDING: ReadonlySet<string> = new Set([...WATER_KINDS, 'trees', 'building', 'cliff']);

/** How near to somebody a helicopter sets down, and how far off at most. */
export type SetDownRing = readonly [from_m: number, to_m: number];

interface Shape {
  readonly hazard: Hazard;
  readonly closed: boolean;
  readonly points: readonly Point[];
  readonly clear_m: number;
  readonly box: readonly [west: number, south: number, east: number, north: number];
}

/** Something under a flight: how high it stands, and where it is nearest. */
export interface Under {
  readonly words: string;
  readonly height_m: number;
  readonly nearest: Point;
}

export interface Obstacle {
  readonly name: string;
  readonly kind: string;
  readonly height_m: number | null;
  readonly distance_m: number;
}

export class LandableGround {
  readonly #shapes: readonly Shape[];
  readonly #terrain: TerrainGrid | null;
  readonly #frame: LocalFrame;

  constructor(hazards: readonly Hazard[], terrain: TerrainGrid | null, frame: LocalFrame) {
    this.#terrain = terrain;
    this.#frame = frame;
    this.#shapes = hazards.map((hazard) => {
      const closed = 'polygon' in hazard;
      const points = ((closed ? hazard.polygon : hazard.line) as readonly LonLat[]).map((place) =>
        frame.toLocal(place),
      );
      const clear_m = clearOf(hazard);
      const xs = points.map((point) => point[0]);
      const ys = points.map((point) => point[1]);
      const box = [
        Math.min(...xs) - clear_m,
        Math.min(...ys) - clear_m,
        Math.max(...xs) + clear_m,
        Math.max(...ys) + clear_m,
      ] as const;
      return { hazard, closed, points, clear_m, box };
    });
  }

  /** Why a helicopter does not set down at a place; null where it may. */
  refusesLanding(x: number, y: number, slope_deg_max: number): string | null {
    const shape = firstTooNear(this.#shapes, x, y);
    if (shape !== null) {
      const away = away_m(shape, x, y);
      const { name } = shape.hazard;
      if (away === 0 && shape.closed) return `it lies in ${name}`;
      return `${name} is ${distance(away)} away, nearer than ${distance(shape.clear_m)}`;
    }
    const slope = this.slope_deg(x, y);
    return slope !== null && slope > slope_deg_max
      ? `the ground is ${angle(slope)} steep, over ${angle(slope_deg_max)}`
      : null;
  }

  /** Why a vehicle does not wait at a place; null where it may. */
  refusesStanding(x: number, y: number): string | null {
    for (const shape of this.#shapes) {
      if (!NO_STANDING.has(shape.hazard.kind)) continue;
      const away = away_m(shape, x, y);
      if (away === 0 || (!shape.closed && away < HALF_SITE_M)) return `it lies in ${shape.hazard.name}`;
    }
    const slope = this.slope_deg(x, y);
    return slope !== null && slope > STAND_SLOPE_DEG ? `the ground is ${angle(slope)} steep` : null;
  }

  /** Null where the ground is not known. */
  slope_deg(x: number, y: number): number | null {
    if (this.#terrain === null) return null;
    const [lon, lat] = this.#frame.toLonLat(x, y);
    return this.#terrain.slopeAt(lon, lat)?.slope_deg ?? null;
  }

  /** What stands higher than the ground within a distance of a place. */
  under(x: number, y: number, within_m: number): Under[] {
    const found: Under[] = [];
    for (const { hazard, closed, points, box, clear_m } of this.#shapes) {
      const height_m = hazard.height_m ?? ASSUMED_M[hazard.kind] ?? 0;
      // Where the ground is known, a ridge's height is in it.
      if (!(height_m > 0) || SOFT.has(hazard.kind) || (GROUND.has(hazard.kind) && this.#terrain !== null)) continue;
      const far = within_m - clear_m;
      if (x < box[0] - far || y < box[1] - far || x > box[2] + far || y > box[3] + far) continue;
      const nearest = closed && within([x, y], points) ? ([x, y] as const) : nearestOn([x, y], points, closed);
      if (Math.hypot(nearest[0] - x, nearest[1] - y) > within_m) continue;
      const high = hazard.height_m === undefined ? `taken as ${distance(height_m)}` : distance(height_m);
      found.push({ words: `${hazard.name} (${high})`, height_m, nearest });
    }
    return found;
  }

  /** Outlines of towns and crowds. */
  get towns(): readonly (readonly Point[])[] {
    return this.#shapes.filter(({ hazard, closed }) => closed && TOWN.has(hazard.kind)).map(({ points }) => points);
  }

  /** Metres to the nearest town or crowd; 0 inside, Infinity without one. */
  townAway_m(x: number, y: number): number {
    return Math.min(
      Infinity,
      ...this.towns.map((points) => (within([x, y], points) ? 0 : toLine([x, y], points, true))),
    );
  }

  /** What stands within a distance of a place, the nearest first. */
  obstaclesNear(x: number, y: number, within_m: number): Obstacle[] {
    const found: Obstacle[] = [];
    for (const { hazard, closed, points } of this.#shapes) {
      if (GROUND.has(hazard.kind) || SOFT.has(hazard.kind)) continue;
      const distance_m = closed && within([x, y], points) ? 0 : toLine([x, y], points, closed);
      if (distance_m <= within_m)
        found.push({ name: hazard.name, kind: hazard.kind, height_m: hazard.height_m ?? null, distance_m });
    }
    return found.sort((a, b) => a.distance_m - b.distance_m);
  }

  /** The nearest place to set down about another, first in a wanted direction; null without one within reach. */
  setDownNear(at: Point, slope_deg_max: number, toward_deg: number, ring: SetDownRing): Point | null {
    const first = this.setDownsNear(at, slope_deg_max, toward_deg, ring).next();
    return first.done === true ? null : first.value;
  }

  /** Places to set down about another, the nearest ring first. */
  *setDownsNear(
    [x, y]: Point,
    slope_deg_max: number,
    toward_deg: number,
    [from_m, to_m]: SetDownRing,
  ): Generator<Point, undefined> {
    // Of 500 hazards hardly any is near: all are looked at once, and not for each place.
    const shapes = this.#shapes.filter(
      ({ box }) => x + to_m >= box[0] && y + to_m >= box[1] && x - to_m <= box[2] && y - to_m <= box[3],
    );
    for (let r = from_m; r <= to_m; r = r < 50 ? 50 : r * 1.35) {
      for (const turn of TURNS) {
        const angle = ((toward_deg + turn) * Math.PI) / 180;
        const [px, py] = [x + r * Math.sin(angle), y + r * Math.cos(angle)];
        if (firstTooNear(shapes, px, py) === null && !((this.slope_deg(px, py) ?? 0) > slope_deg_max)) yield [px, py];
        if (r === 0) break;
      }
    }
    return undefined;
  }
}

const TURNS = [0, 30, -30, 60, -60, 90, -90, 120, -120, 150, -150, 180] as const;

function clearOf(hazard: Hazard): number {
  if (GROUND.has(hazard.kind)) return hazard.kind === 'road' || hazard.kind === 'cliff' ? HALF_SITE_M : 0;
  const heights = CLEAR_HEIGHTS * (hazard.height_m ?? 0) + HALF_SITE_M;
  return PEOPLE.has(hazard.kind) ? Math.max(heights, PEOPLE_M) : heights;
}

/** The first shape that is nearer than it is kept clear of; null where every one is far enough. */
function firstTooNear(shapes: readonly Shape[], x: number, y: number): Shape | null {
  for (const shape of shapes) if (away_m(shape, x, y) < shape.clear_m) return shape;
  return null;
}

/** Metres to a hazard, 0 inside; Infinity where it is farther than it is kept clear of. */
function away_m({ points, closed, box }: Shape, x: number, y: number): number {
  if (x < box[0] || y < box[1] || x > box[2] || y > box[3]) return Infinity;
  return closed && within([x, y], points) ? 0 : toLine([x, y], points, closed);
}
