// The nodes and edges of a map of ways: a lattice of places off the road, the roads in pieces, the crossings of
// barriers, places along a shore. Metres on the plane of a local frame. Built once; `ways.ts` finds times on it.
import type { LocalFrame } from '../earth/geodesic.ts';
import type { Barriers } from './barriers.ts';
import { StretchBins } from './bins.ts';
import type { Point } from '../earth/plane.ts';
import type { Road } from './roads.ts';
import { numberAt } from '../base/nth.ts';

/** Lines that come nearer than this to each other at an end are joined: the error of two maps. */
const JOIN_M = 20;

export interface WayLattice {
  readonly west: number;
  readonly south: number;
  readonly step_m: number;
  readonly columns: number;
  readonly rows: number;
}

export interface WayGraph {
  readonly lattice: WayLattice;
  readonly x: Float64Array;
  readonly y: Float64Array;
  /** Nodes of the lattice come first, then roads, then crossings, then the other places. */
  readonly cells: number;
  readonly roadNodes: number;
  /** Neighbours of node n: entries head[n] to head[n + 1]. */
  readonly head: Int32Array;
  readonly to: Int32Array;
  readonly length_m: Float64Array;
  /** 0: off the road; else the speed that the road allows, m/s, Infinity where it says none. */
  readonly allowed_mps: Float64Array;
  /** Name of the road of an edge by index, −1 off the road. */
  readonly road: Int32Array;
  readonly roadNames: readonly string[];
  /** Names of roads by parts that hang together; the largest part first. */
  readonly parts: readonly (readonly string[])[];
  /** Roads and crossings, to be found from a place. */
  readonly stops: StretchBins;
}

class Edges {
  readonly a: number[] = [];
  readonly b: number[] = [];
  readonly length: number[] = [];
  readonly allowed: number[] = [];
  readonly road: number[] = [];
  add(a: number, b: number, length: number, allowed: number, road: number): void {
    this.a.push(a);
    this.b.push(b);
    this.length.push(length);
    this.allowed.push(allowed);
    this.road.push(road);
  }
}

/**
 * Steps to the neighbours of a lattice node, one of each opposite pair: sixteen directions lengthen a straight way by
 * 2.7 % at most.
 */
const STEPS = [
  [1, 0],
  [0, 1],
  [1, 1],
  [1, -1],
  [2, 1],
  [1, 2],
  [2, -1],
  [1, -2],
] as const;

/** What a map has beside its lattice: roads, and places that ways may lead over where the lattice is too wide. */
interface WayParts {
  readonly roads: readonly Road[];
  readonly frame: LocalFrame;
  readonly places: readonly Point[];
}

export function buildGraph(lattice: WayLattice, { roads, frame, places }: WayParts, barriers: Barriers): WayGraph {
  const { columns, rows, step_m, west, south } = lattice;
  const cells = columns * rows;
  const x: number[] = [];
  const y: number[] = [];
  for (let j = 0; j < rows; j++)
    for (let i = 0; i < columns; i++) {
      x.push(west + i * step_m);
      y.push(south + j * step_m);
    }
  const edges = new Edges();
  latticeEdges(lattice, barriers, x, y, edges);
  const parts = roadEdges(lattice, roads, frame, { x, y, edges });
  const roadNodes = x.length - cells;
  for (const crossing of barriers.crossings) {
    x.push(crossing.x);
    y.push(crossing.y);
  }
  for (const [px, py] of places) {
    x.push(px);
    y.push(py);
  }
  const stops = new StretchBins(
    Float64Array.from({ length: 4 * (x.length - cells) }, (_, k) =>
      k % 2 === 0 ? (x[cells + (k >> 2)] ?? 0) : (y[cells + (k >> 2)] ?? 0),
    ),
    step_m,
  );
  for (let n = cells; n < x.length; n++) joinOffRoad(n, lattice, barriers, { x, y, edges }, stops);
  return { lattice, cells, roadNodes, roadNames: roads.map((road) => road.name), parts, stops, ...packed(x, y, edges) };
}

/** A graph while it is built: nodes' places and edges between them. */
interface Growing {
  readonly x: number[];
  readonly y: number[];
  readonly edges: Edges;
}

function latticeEdges(
  { columns, rows, step_m }: WayLattice,
  barriers: Barriers,
  x: readonly number[],
  y: readonly number[],
  edges: Edges,
): void {
  const lengths = STEPS.map(([di, dj]) => step_m * Math.hypot(di, dj));
  for (let j = 0; j < rows; j++)
    for (let i = 0; i < columns; i++) {
      const n = j * columns + i;
      const [px, py] = [numberAt(x, n), numberAt(y, n)];
      const near = !barriers.empty && barriers.inBox(px, py - 2 * step_m, px + 2 * step_m, py + 2 * step_m);
      STEPS.forEach(([di, dj], k) => {
        if (!(i + di < columns && j + dj >= 0 && j + dj < rows)) return;
        const m = n + dj * columns + di;
        if (near && barriers.blocks(px, py, numberAt(x, m), numberAt(y, m))) return;
        edges.add(n, m, numberAt(lengths, k), 0, -1);
      });
    }
}

/**
 * A line in pieces no longer than the lattice's step, joined where lines meet. Answers the parts that hang together.
 */
function roadEdges(
  { step_m, west, south, columns, rows }: WayLattice,
  roads: readonly Road[],
  frame: LocalFrame,
  { x, y, edges }: Growing,
): string[][] {
  const first = x.length;
  const lines = joined(roads.map((road) => road.line.map((place) => frame.toLocal(place))));
  const byPlace = new Map<string, number>();
  const parent: number[] = [];
  const root = (n: number): number => {
    let at = n;
    while (parent[at] !== at) at = parent[at] = numberAt(parent, numberAt(parent, at));
    return at;
  };
  const node = (px: number, py: number): number => {
    const [i, j] = [Math.round(px / JOIN_M), Math.round(py / JOIN_M)];
    for (const [di, dj] of NEAR) {
      const found = byPlace.get(`${i + di},${j + dj}`);
      if (found !== undefined && Math.hypot(numberAt(x, found) - px, numberAt(y, found) - py) <= JOIN_M) return found;
    }
    const n = x.length;
    x.push(px);
    y.push(py);
    parent.push(n - first);
    byPlace.set(`${i},${j}`, n);
    return n;
  };
  const inside = ([px, py]: Point): boolean =>
    px >= west - step_m && py >= south - step_m && px <= west + columns * step_m && py <= south + rows * step_m;
  const nodesOf: number[][] = lines.map(() => []);
  lines.forEach((line, index) => {
    const allowed = roads[index]?.speed_mps ?? Infinity;
    line.forEach((b, k) => {
      const a = line[k - 1];
      if (a === undefined || (!inside(a) && !inside(b))) return;
      const length = Math.hypot(b[0] - a[0], b[1] - a[1]);
      const pieces = Math.max(1, Math.ceil(length / step_m));
      let from = node(a[0], a[1]);
      for (let p = 1; p <= pieces; p++) {
        const next = node(a[0] + ((b[0] - a[0]) * p) / pieces, a[1] + ((b[1] - a[1]) * p) / pieces);
        nodesOf[index]?.push(from, next);
        if (next !== from) {
          edges.add(from, next, length / pieces, allowed, index);
          parent[root(next - first)] = root(from - first);
        }
        from = next;
      }
    });
  });
  return partsOf(roads, nodesOf, (n) => root(n - first));
}

const NEAR = [-1, 0, 1].flatMap((i) => [-1, 0, 1].map((j) => [i, j] as const));

/** Names of roads by the part that they belong to, the part with most nodes first; roads off the map are in none. */
function partsOf(
  roads: readonly Road[],
  nodesOf: readonly (readonly number[])[],
  root: (n: number) => number,
): string[][] {
  const parts = new Map<number, { names: Set<string>; size: number }>();
  nodesOf.forEach((nodes, index) => {
    const some = nodes[0];
    if (some === undefined) return;
    const part = parts.get(root(some)) ?? { names: new Set<string>(), size: 0 };
    part.names.add(roads[index]?.name ?? 'road');
    part.size += nodes.length;
    parts.set(root(some), part);
  });
  return [...parts.values()].sort((a, b) => b.size - a.size).map((part) => [...part.names]);
}

/** Lines with a point put in where another line ends on them. */
function joined(lines: readonly (readonly Point[])[]): Point[][] {
  const owners: [line: number, stretch: number][] = [];
  const ends: number[] = [];
  lines.forEach((line, i) =>
    line.forEach((b, k) => {
      const a = line[k - 1];
      if (a === undefined) return;
      owners.push([i, k - 1]);
      ends.push(a[0], a[1], b[0], b[1]);
    }),
  );
  const bins = new StretchBins(Float64Array.from(ends), 500);
  const extra = new Map<string, { at: number; point: Point }[]>();
  lines.forEach((line, i) => {
    for (const end of [line[0], line.at(-1)]) {
      if (end === undefined) continue;
      bins.inBox(end[0] - JOIN_M, end[1] - JOIN_M, end[0] + JOIN_M, end[1] + JOIN_M, (k) => {
        const [owner, stretch] = owners[k] ?? [-1, -1];
        if (owner === i) return false;
        const [ax, ay, bx, by] = [
          numberAt(ends, 4 * k),
          numberAt(ends, 4 * k + 1),
          numberAt(ends, 4 * k + 2),
          numberAt(ends, 4 * k + 3),
        ];
        const length2 = (bx - ax) ** 2 + (by - ay) ** 2;
        const at = length2 > 0 ? ((end[0] - ax) * (bx - ax) + (end[1] - ay) * (by - ay)) / length2 : 0;
        if (!(at > 0 && at < 1) || Math.hypot(ax + at * (bx - ax) - end[0], ay + at * (by - ay) - end[1]) > JOIN_M)
          return false;
        const key = `${owner},${stretch}`;
        extra.set(key, [...(extra.get(key) ?? []), { at, point: end }]);
        return false;
      });
    }
  });
  return lines.map((line, i) =>
    line.flatMap((point, k) => [
      point,
      ...(extra.get(`${i},${k}`) ?? []).sort((a, b) => a.at - b.at).map((one) => one.point),
    ]),
  );
}

/**
 * A road's or crossing's node joined to the lattice about it and to other such nodes near it, where nothing lies
 * between.
 */
function joinOffRoad(
  n: number,
  { west, south, step_m, columns, rows }: WayLattice,
  barriers: Barriers,
  { x, y, edges }: Growing,
  stops: StretchBins,
): void {
  const cells = columns * rows;
  const [px, py] = [numberAt(x, n), numberAt(y, n)];
  const add = (m: number): void => {
    const length = Math.hypot(numberAt(x, m) - px, numberAt(y, m) - py);
    if (length <= 2 * step_m && !barriers.blocks(px, py, numberAt(x, m), numberAt(y, m)))
      edges.add(n, m, length, 0, -1);
  };
  const [i0, j0] = [Math.floor((px - west) / step_m), Math.floor((py - south) / step_m)];
  for (let j = j0 - 1; j <= j0 + 2; j++)
    for (let i = i0 - 1; i <= i0 + 2; i++) if (i >= 0 && j >= 0 && i < columns && j < rows) add(j * columns + i);
  const r = 1.5 * step_m;
  stops.inBox(px - r, py - r, px + r, py + r, (k) => {
    if (cells + k < n) add(cells + k);
    return false;
  });
}

function packed(
  x: readonly number[],
  y: readonly number[],
  edges: Edges,
): Pick<WayGraph, 'x' | 'y' | 'head' | 'to' | 'length_m' | 'allowed_mps' | 'road'> {
  const n = x.length;
  const count = edges.a.length;
  const head = new Int32Array(n + 1);
  for (let k = 0; k < count; k++) {
    head[numberAt(edges.a, k) + 1] = numberAt(head, numberAt(edges.a, k) + 1) + 1;
    head[numberAt(edges.b, k) + 1] = numberAt(head, numberAt(edges.b, k) + 1) + 1;
  }
  for (let k = 0; k < n; k++) head[k + 1] = numberAt(head, k + 1) + numberAt(head, k);
  const next = head.slice(0, n);
  const to = new Int32Array(2 * count);
  const length_m = new Float64Array(2 * count);
  const allowed_mps = new Float64Array(2 * count);
  const road = new Int32Array(2 * count);
  const put = (from: number, into: number, k: number): void => {
    const at = numberAt(next, from);
    next[from] = at + 1;
    to[at] = into;
    length_m[at] = numberAt(edges.length, k);
    allowed_mps[at] = numberAt(edges.allowed, k);
    road[at] = numberAt(edges.road, k);
  };
  for (let k = 0; k < count; k++) {
    put(numberAt(edges.a, k), numberAt(edges.b, k), k);
    put(numberAt(edges.b, k), numberAt(edges.a, k), k);
  }
  return { x: Float64Array.from(x), y: Float64Array.from(y), head, to, length_m, allowed_mps, road };
}
