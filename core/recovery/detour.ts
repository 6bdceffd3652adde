// The shortest way of a flight round areas that it may not enter, on the plane of the scene's frame, metres. The
// corners of the areas are the only places where such a way turns (the visibility graph of computational geometry).
import { nth } from '../base/nth.ts';
import { crossingAt, within, type Point } from '../earth/plane.ts';

/** Corners in their order round; an area that is not convex is taken as its hull by whoever makes it. */
export type DetourArea = readonly Point[];

type Cost = (from: Point, to: Point) => number;

export class Detour {
  readonly #areas: readonly DetourArea[];
  readonly #corners: readonly Point[];

  constructor(areas: readonly DetourArea[]) {
    this.#areas = areas;
    this.#corners = areas.flatMap((area) =>
      area.filter((corner) => !areas.some((other) => other !== area && inside(corner, other))),
    );
  }

  /** Whether a straight way keeps out of every area; one that runs along an edge does. */
  open(from: Point, to: Point): boolean {
    return this.#areas.every((area) => isClear(from, to, area));
  }

  /** Whether a place lies in an area. */
  holds(point: Point): boolean {
    return this.#areas.some((area) => inside(point, area));
  }

  /** Corners of the cheapest way, both ends included; null where every way leads through an area. */
  way(from: Point, to: Point, cost: Cost = straight): Point[] | null {
    if (this.open(from, to)) return [from, to];
    const places = [from, to, ...this.#corners];
    const best = new Float64Array(places.length).fill(Infinity);
    const before = new Int32Array(places.length).fill(-1);
    const done = new Uint8Array(places.length);
    best[0] = 0;
    for (;;) {
      let here = -1;
      for (let k = 0; k < best.length; k++)
        if (done[k] === 0 && nth(best, k) < Infinity && (here < 0 || nth(best, k) < nth(best, here))) here = k;
      const place = places[here];
      if (place === undefined) return null;
      if (here === 1) break;
      done[here] = 1;
      places.forEach((next, k) => {
        if (done[k] === 1) return;
        const through = nth(best, here) + cost(place, next);
        if (!(through < nth(best, k)) || !this.open(place, next)) return;
        best[k] = through;
        before[k] = here;
      });
    }
    const corners: Point[] = [];
    for (let k = 1; k >= 0; k = before[k] ?? -1) {
      const place = places[k];
      if (place !== undefined) corners.unshift(place);
    }
    return corners;
  }
}

const straight: Cost = (a, b) => Math.hypot(b[0] - a[0], b[1] - a[1]);

/** Strictly inside: neither on an edge nor within a hand of one. */
function inside(point: Point, area: DetourArea): boolean {
  return within(point, area) && !onEdge(point, area);
}

function onEdge([x, y]: Point, area: DetourArea): boolean {
  return area.some((a, i) => {
    const b = area[(i + 1) % area.length] ?? a;
    const length = Math.hypot(b[0] - a[0], b[1] - a[1]);
    const across = Math.abs((b[0] - a[0]) * (y - a[1]) - (b[1] - a[1]) * (x - a[0])) / Math.max(length, 1e-9);
    const along = ((x - a[0]) * (b[0] - a[0]) + (y - a[1]) * (b[1] - a[1])) / Math.max(length * length, 1e-9);
    return across < EDGE_M && along > -EDGE_M / Math.max(length, 1) && along < 1 + EDGE_M / Math.max(length, 1);
  });
}

const EDGE_M = 0.1;

/** Cut by the edges into pieces; none of their middles lies inside. */
function isClear(from: Point, to: Point, area: DetourArea): boolean {
  const cuts = [0, 1];
  area.forEach((a, i) => {
    const b = area[(i + 1) % area.length] ?? a;
    const at = crossingAt(from, to, a, b);
    if (at >= 0) cuts.push(at);
  });
  cuts.sort((a, b) => a - b);
  return cuts.every((at, i) => !inside(middle(from, to, cuts[i - 1] ?? 0, at), area));
}

const middle = (from: Point, to: Point, a: number, b: number): Point => {
  const f = (a + b) / 2;
  return [from[0] + f * (to[0] - from[0]), from[1] + f * (to[1] - from[1])];
};

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
