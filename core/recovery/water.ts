// The water of a mission: its areas, the shore about them, what keeps a boat on them, and how a place in them lies to
// the shore. Areas that overlap or touch are one water; islands are cut out. On the plane of a local frame, metres.
import { localFrame, type LocalFrame } from '../earth/geodesic.ts';
import { boxOf, crossingAt, nearestOn, within, type PlaneBox, type Point } from '../earth/plane.ts';
import type { Hazard } from '../plan/schema.ts';
import { islandAreas, waterAreas, type AreaHazard } from '../plan/water.ts';
import { toward_deg, type LonLat } from '../base/units.ts';
import { barrierLines, Barriers, STOPS_BOATS } from './barriers.ts';
import { StretchBins } from './bins.ts';
import { buildGraph, type WayLattice } from './wayNodes.ts';
import { WayMap } from './ways.ts';

/** How far beside the shore boats and people are put, where there is room: the error of two maps. Ours. */
const BESIDE_SHORE_M = [15, 7, 3, 1] as const;
/** Two maps of one shore differ by so much: water this near to water is one. */
const TOUCH_M = 0.5;
/** A launch place this near to the water counts as at it: a slip, a quay, a boat on its trailer. Ours. */
const LAUNCH_M = 200;
/** Places along the shore that are tried for those who come over land, and how far apart. Ours. */
const SHORE_STEP_M = 150;
const SHORE_PLACES_MAX = 24;

interface Ring {
  readonly name: string;
  readonly points: readonly Point[];
  readonly box: PlaneBox;
}

/** A stretch between water and land; `wet`: the unit vector from it into the water. */
interface ShoreStretch {
  readonly name: string;
  readonly a: Point;
  readonly b: Point;
  readonly wet: Point;
}

/** The shore that is nearest to a place in the water. */
export interface Shore {
  /** Of the water. */
  readonly name: string;
  readonly distance_m: number;
  /** From the place toward the shore, degrees true. */
  readonly toward_deg: number;
  readonly position: LonLat;
}

function ringOf({ name, polygon }: AreaHazard, frame: LocalFrame): Ring {
  const points = (polygon as readonly LonLat[]).map((place) => frame.toLocal(place));
  return { name, points, box: boxOf(points) };
}

/** Thousands of landings are asked about: the box first. */
function holds({ points, box: [west, south, east, north] }: Ring, place: Point): boolean {
  const [x, y] = place;
  return x >= west && y >= south && x <= east && y <= north && within(place, points);
}

export class Water {
  readonly #frame: LocalFrame;
  readonly #areas: readonly Ring[];
  readonly #islands: readonly Ring[];
  readonly #stops: readonly Hazard[];
  #shore: readonly ShoreStretch[] | null = null;

  constructor(hazards: readonly Hazard[] | undefined, frame: LocalFrame) {
    this.#frame = frame;
    this.#areas = waterAreas(hazards).map((area) => ringOf(area, frame));
    this.#islands = islandAreas(hazards).map((area) => ringOf(area, frame));
    this.#stops = (hazards ?? []).filter((hazard) => 'line' in hazard);
  }

  get empty(): boolean {
    return this.#areas.length === 0;
  }

  /** The name of the water that a place lies in; null on land. */
  at(place: Point): string | null {
    const area = this.#areas.find((one) => holds(one, place));
    return area === undefined || this.#islands.some((one) => holds(one, place)) ? null : area.name;
  }

  /** How a place in the water lies to the shore; null on land. */
  shoreOf(place: Point): Shore | null {
    const name = this.at(place);
    const near = name === null ? null : this.#nearest(place);
    if (name === null || near === null) return null;
    const [x, y] = near.at;
    return {
      name,
      distance_m: near.distance_m,
      toward_deg: toward_deg(x - place[0], y - place[1]),
      position: this.#frame.toLonLat(x, y),
    };
  }

  /** A place in the water beside a place at its shore; the same place afloat; null too far from any water. */
  afloat(place: Point): Point | null {
    if (this.at(place) !== null) return place;
    const near = this.empty ? null : this.#nearest(place);
    return near === null || near.distance_m > LAUNCH_M ? null : this.#beside(near.at, near.stretch, 1);
  }

  /** Where on a straight way from the water, 0 to 1, it first comes to a shore; null where it does not. */
  firstShore(from: Point, to: Point): number | null {
    let first = Infinity;
    for (const { a, b } of this.#stretches()) {
      const at = crossingAt(from, to, a, b);
      if (at < first) first = at;
    }
    return first < Infinity ? first : null;
  }

  /** Places on land along the shore, the nearest to a place in the water first. */
  landingPlaces([x, y]: Point, within_m: number): Point[] {
    const found: { readonly away_m: number; readonly stretch: ShoreStretch; readonly at: Point }[] = [];
    const add = (stretch: ShoreStretch, at: Point): void => {
      const away_m = Math.hypot(at[0] - x, at[1] - y);
      if (away_m <= within_m) found.push({ away_m, stretch, at });
    };
    for (const stretch of this.#stretches()) {
      const { a, b } = stretch;
      const near = nearestOn([x, y], [a, b], false);
      if (Math.hypot(near[0] - x, near[1] - y) > within_m) continue;
      add(stretch, near);
      const pieces = Math.ceil(Math.hypot(b[0] - a[0], b[1] - a[1]) / SHORE_STEP_M);
      for (let k = 0; k < pieces; k++)
        add(stretch, [a[0] + ((b[0] - a[0]) * (k + 0.5)) / pieces, a[1] + ((b[1] - a[1]) * (k + 0.5)) / pieces]);
    }
    found.sort((one, other) => one.away_m - other.away_m);
    const places: Point[] = [];
    for (const { at, stretch } of found) {
      if (places.some((one) => Math.hypot(one[0] - at[0], one[1] - at[1]) < SHORE_STEP_M)) continue;
      const dry = this.#beside(at, stretch, -1);
      if (dry !== null) places.push(dry);
      if (places.length === SHORE_PLACES_MAX) break;
    }
    return places;
  }

  /** The ways of boats over a lattice: they end at the shore, and lead along it where the lattice is too wide. */
  ways(lattice: WayLattice): WayMap {
    const shore = this.#stretches();
    const lines = [
      ...shore.map(({ name, a, b }) => ({ name, points: [a, b], closed: false, crossings: [] })),
      ...barrierLines(this.#stops, STOPS_BOATS, this.#frame),
    ];
    const barriers = new Barriers(lines, lattice.step_m);
    const { west, south, step_m, columns, rows } = lattice;
    const places: Point[] = [];
    const taken = new Set<string>();
    for (const stretch of shore)
      for (const [x, y] of alongShore(stretch, step_m / 2)) {
        if (x < west || y < south || x > west + columns * step_m || y > south + rows * step_m) continue;
        const key = `${Math.round((4 * x) / step_m)},${Math.round((4 * y) / step_m)}`;
        const wet = taken.has(key) ? null : this.#beside([x, y], stretch, 1);
        taken.add(key);
        if (wet !== null) places.push(wet);
      }
    const graph = buildGraph(lattice, { roads: [], frame: this.#frame, places }, barriers);
    return new WayMap(graph, barriers, barriers, (place) => this.at(place) !== null);
  }

  /** A place beside the shore: in the water (`side` 1) or on land (−1); null where there is no room for one. */
  #beside([x, y]: Point, { wet }: ShoreStretch, side: 1 | -1): Point | null {
    for (const d of BESIDE_SHORE_M) {
      const place: Point = [x + side * d * wet[0], y + side * d * wet[1]];
      if ((this.at(place) !== null) === (side === 1)) return place;
    }
    return null;
  }

  #nearest(place: Point): { readonly stretch: ShoreStretch; readonly at: Point; readonly distance_m: number } | null {
    let best: { readonly stretch: ShoreStretch; readonly at: Point; readonly distance_m: number } | null = null;
    for (const stretch of this.#stretches()) {
      const at = nearestOn(place, [stretch.a, stretch.b], false);
      const distance_m = Math.hypot(at[0] - place[0], at[1] - place[1]);
      if (best === null || distance_m < best.distance_m) best = { stretch, at, distance_m };
    }
    return best;
  }

  #stretches(): readonly ShoreStretch[] {
    return (this.#shore ??= this.#shoreMade());
  }

  /** Every outline cut where it meets another; of the pieces those with water on one side alone. */
  #shoreMade(): ShoreStretch[] {
    const rings = [...this.#areas, ...this.#islands];
    const edges = rings.flatMap(({ name, points }) =>
      points.map((a, i) => ({ name, a, b: points[(i + 1) % points.length] ?? a })),
    );
    const bins = new StretchBins(Float64Array.from(edges.flatMap(({ a, b }) => [...a, ...b])), 500);
    return edges.flatMap(({ name, a, b }): ShoreStretch[] => {
      const length = Math.hypot(b[0] - a[0], b[1] - a[1]);
      if (!(length > 0)) return [];
      const cuts = [0, 1];
      bins.along(a[0], a[1], b[0], b[1], (k) => {
        const other = edges[k];
        const at = other === undefined ? NaN : crossingAt(a, b, other.a, other.b);
        if (at > 0 && at < 1) cuts.push(at);
        return false;
      });
      cuts.sort((p, q) => p - q);
      const on = (f: number): Point => [a[0] + f * (b[0] - a[0]), a[1] + f * (b[1] - a[1])];
      const left: Point = [-(b[1] - a[1]) / length, (b[0] - a[0]) / length];
      return cuts.slice(1).flatMap((end, i): ShoreStretch[] => {
        const begin = cuts[i] ?? 0;
        if ((end - begin) * length < 1e-6) return [];
        const [mx, my] = on((begin + end) / 2);
        const wetOn = (side: 1 | -1): boolean =>
          this.at([mx + side * TOUCH_M * left[0], my + side * TOUCH_M * left[1]]) !== null;
        const [isLeft, isRight] = [wetOn(1), wetOn(-1)];
        if (isLeft === isRight) return [];
        const wet: Point = isLeft ? left : [-left[0], -left[1]];
        return [{ name, a: on(begin), b: on(end), wet }];
      });
    });
  }
}

/** How a place lies to the shore of the water that it is in; null on land. */
export const shoreFrom = (hazards: readonly Hazard[] | undefined, place: LonLat): Shore | null =>
  new Water(hazards, localFrame(place)).shoreOf([0, 0]);

/** The ends and the middles of the parts of a stretch, each no longer than `step_m`. */
function* alongShore({ a, b }: ShoreStretch, step_m: number): Generator<Point, undefined> {
  const pieces = Math.max(1, Math.ceil(Math.hypot(b[0] - a[0], b[1] - a[1]) / step_m));
  for (let k = 0; k <= pieces; k++) yield [a[0] + ((b[0] - a[0]) * k) / pieces, a[1] + ((b[1] - a[1]) * k) / pieces];
  return undefined;
}
