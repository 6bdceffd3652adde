// The shortest way of a flight round areas that it may not enter, on the plane of the scene's frame, metres. The
// corners of the areas are the only places where such a way turns (the visibility graph of computational geometry).
import { assert } from '../base/problem.ts';
import { nth, numberAt } from '../base/nth.ts';
import type { Point } from '../earth/plane.ts';

/** Corners in their order round, convex: whatever is not is taken as its hull by whoever makes it. */
export type DetourArea = readonly Point[];

type Cost = (from: Point, to: Point) => number;

/** An area's edges as half-planes x·e + y·n ≤ c, each a hand inside the edge: what runs along an edge keeps out. */
interface Convex {
  readonly e: Float64Array;
  readonly n: Float64Array;
  readonly c: Float64Array;
  readonly middle: Point;
  readonly box: readonly [west: number, south: number, east: number, north: number];
}

const EDGE_M = 0.1;

export class Detour {
  readonly #outlines: readonly DetourArea[];
  readonly #areas: readonly Convex[];
  readonly #corners: readonly Point[];
  /** The last way's: helicopters fly to one hold after each other. */
  #grown: { readonly to: Point; readonly tree: DetourTree } | null = null;

  constructor(areas: readonly DetourArea[]) {
    this.#outlines = areas;
    this.#areas = areas.map(convexOf);
    this.#corners = areas.flatMap((area, k) =>
      area.filter((corner) => !this.#areas.some((other, i) => i !== k && cuts(other, corner, corner))),
    );
  }

  /** The same without the areas in which any of some places lies. */
  without(places: readonly Point[]): Detour {
    if (places.length === 0) return this;
    return new Detour(this.#outlines.filter((area) => !places.some((place) => cuts(convexOf(area), place, place))));
  }

  /** Whether a straight way keeps out of every area; one that runs along an edge does. */
  open(from: Point, to: Point): boolean {
    return !this.#areas.some((area) => cuts(area, from, to));
  }

  /** Whether a place lies in an area. */
  holds(point: Point): boolean {
    return !this.open(point, point);
  }

  /**
   * The nearest place out of every area, straight outward: an area's corners lie a little outside of what it is about,
   * so that what stands at the very edge may lie within it. Null where it lies deep inside.
   */
  out(place: Point): Point | null {
    let [x, y] = place;
    for (let tries = 0; tries < 30; tries++) {
      const area = this.#areas.find((one) => cuts(one, [x, y], [x, y]));
      if (area === undefined) return [x, y];
      [x, y] = [x + 0.01 * (x - area.middle[0]), y + 0.01 * (y - area.middle[1])];
    }
    return this.holds([x, y]) ? null : [x, y];
  }

  /** Corners of the shortest way, both ends included; null where every way leads through an area. */
  way(from: Point, to: Point): Point[] | null {
    if (this.open(from, to)) return [from, to];
    const last = this.#grown;
    const tree = last !== null && last.to[0] === to[0] && last.to[1] === to[1] ? last.tree : this.to(to);
    this.#grown = { to, tree };
    const first = tree.firstFrom(from);
    if (first === null) return null;
    const ways = [from];
    for (let k: number = first.corner; k >= 0; k = numberAt(tree.next, k)) ways.push(this.#corners[k] ?? to);
    return [...ways, to];
  }

  /** The cheapest ways from everywhere to one place. */
  to(to: Point, cost: Cost = straight): DetourTree {
    const corners = this.#corners;
    const best = Float64Array.from(corners, (corner) => (this.open(corner, to) ? cost(corner, to) : Infinity));
    const next = new Int32Array(corners.length).fill(-1);
    const done = new Uint8Array(corners.length);
    for (;;) {
      let here = -1;
      for (let k = 0; k < best.length; k++)
        if (done[k] === 0 && nth(best, k) < Infinity && (here < 0 || nth(best, k) < nth(best, here))) here = k;
      const place = corners[here];
      if (place === undefined) break;
      done[here] = 1;
      corners.forEach((corner, k) => {
        if (done[k] === 1) return;
        const through = nth(best, here) + cost(corner, place);
        if (!(through < nth(best, k)) || !this.open(corner, place)) return;
        best[k] = through;
        next[k] = here;
      });
    }
    return new DetourTree({ detour: this, corners, to, cost, best }, next);
  }
}

interface Grown {
  readonly detour: Detour;
  readonly corners: readonly Point[];
  readonly to: Point;
  readonly cost: Cost;
  /** From each corner to the place; Infinity where no way leads there. */
  readonly best: Float64Array;
}

/** The cheapest ways from everywhere to one place: asked for thousands of beginnings. */
export class DetourTree {
  /** The corner after each; −1: the place itself. */
  readonly next: Int32Array;
  readonly #grown: Grown;
  readonly #bounds: Float64Array;

  constructor(grown: Grown, next: Int32Array) {
    this.#grown = grown;
    this.next = next;
    this.#bounds = new Float64Array(grown.corners.length);
  }

  /** The first corner of the way from a place that does not lie open, and the cost of the way; null without one. */
  firstFrom(from: Point): { readonly corner: number; readonly cost: number } | null {
    const { corners, best, cost, detour } = this.#grown;
    const bounds = this.#bounds;
    corners.forEach((corner, k) => (bounds[k] = nth(best, k) + (best[k] === Infinity ? 0 : cost(from, corner))));
    // The cheapest first: most places see theirs.
    for (;;) {
      let least = -1;
      for (let k = 0; k < bounds.length; k++)
        if (nth(bounds, k) < Infinity && (least < 0 || nth(bounds, k) < nth(bounds, least))) least = k;
      const corner = corners[least];
      if (corner === undefined) return null;
      if (detour.open(from, corner)) return { corner: least, cost: nth(bounds, least) };
      bounds[least] = Infinity;
    }
  }

  /** Cost of the cheapest way from a place; Infinity where every way leads through an area. */
  cost(from: Point): number {
    const { detour, to, cost } = this.#grown;
    return detour.open(from, to) ? cost(from, to) : (this.firstFrom(from)?.cost ?? Infinity);
  }
}

const straight: Cost = (a, b) => Math.hypot(b[0] - a[0], b[1] - a[1]);

function convexOf(corners: DetourArea): Convex {
  const count = corners.length;
  const [e, n, c] = [new Float64Array(count), new Float64Array(count), new Float64Array(count)];
  let turns = 0;
  corners.forEach(([ax, ay], i) => {
    const [bx, by] = corners[(i + 1) % count] ?? [ax, ay];
    turns += ax * by - bx * ay;
  });
  const sign = turns >= 0 ? 1 : -1;
  corners.forEach(([ax, ay], i) => {
    const [bx, by] = corners[(i + 1) % count] ?? [ax, ay];
    const length = Math.hypot(bx - ax, by - ay);
    if (!(length > 0)) {
      c[i] = Infinity;
      return;
    }
    e[i] = (sign * (by - ay)) / length;
    n[i] = (sign * (ax - bx)) / length;
    c[i] = nth(e, i) * ax + nth(n, i) * ay - EDGE_M;
  });
  const mean = (k: 0 | 1): number => corners.reduce((sum, one) => sum + one[k], 0) / count;
  const middle: Point = [mean(0), mean(1)];
  corners.forEach((_, i) =>
    assert(nth(e, i) * middle[0] + nth(n, i) * middle[1] <= nth(c, i) + 2 * EDGE_M, 'an area of a detour is convex'),
  );
  const [xs, ys] = [corners.map((one) => one[0]), corners.map((one) => one[1])];
  return { e, n, c, middle, box: [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)] };
}

/** Whether a straight way has a part inside an area: it is clipped by one half-plane after another. */
function cuts({ e, n, c, box }: Convex, [ax, ay]: Point, [bx, by]: Point): boolean {
  if (Math.max(ax, bx) < box[0] || Math.max(ay, by) < box[1] || Math.min(ax, bx) > box[2] || Math.min(ay, by) > box[3])
    return false;
  let [enters, leaves] = [0, 1];
  for (let i = 0; i < e.length; i++) {
    const from = nth(e, i) * ax + nth(n, i) * ay - nth(c, i);
    const to = nth(e, i) * bx + nth(n, i) * by - nth(c, i);
    if (from >= 0 && to >= 0) return false;
    if (from < 0 && to < 0) continue;
    const at = from / (from - to);
    if (from >= 0) enters = Math.max(enters, at);
    else leaves = Math.min(leaves, at);
    if (!(enters < leaves)) return false;
  }
  return true;
}

/** The convex hull of places (Andrew's monotone chain), and of a circle about each where a margin is asked for. */
export function hullOf(points: readonly Point[], margin_m = 0): Point[] {
  // Sixteen corners outside the circle: their edges touch it.
  const out = margin_m / Math.cos(Math.PI / 16);
  const round = Array.from({ length: margin_m > 0 ? 16 : 1 }, (_, k): Point => [
    out * Math.sin((k * Math.PI) / 8),
    out * Math.cos((k * Math.PI) / 8),
  ]);
  const all = points
    .flatMap(([x, y]) => round.map(([e, n]): Point => [x + e, y + n]))
    .sort((a, b) => a[0] - b[0] || a[1] - b[1]);
  const chain = (places: readonly Point[]): Point[] => {
    const kept: Point[] = [];
    for (const place of places) {
      for (;;) {
        const [a, b] = kept.slice(-2);
        if (a === undefined || b === undefined) break;
        if ((b[0] - a[0]) * (place[1] - a[1]) - (b[1] - a[1]) * (place[0] - a[0]) > 0) break;
        kept.pop();
      }
      kept.push(place);
    }
    return kept.slice(0, -1);
  };
  return [...chain(all), ...chain([...all].reverse())];
}
