// How long a vehicle or a boat takes from anywhere to anywhere: on roads where they are faster, off them where they are
// not, through crossings where something stops it, the last stretch on foot where only a person gets on. Metres on the
// plane of a local frame, seconds.
import type { LocalFrame } from '../earth/geodesic.ts';
import type { Hazard } from '../plan/schema.ts';
import { barrierLines, Barriers, STOPS_ALL, STOPS_VEHICLES } from './barriers.ts';
import type { Point } from '../earth/plane.ts';
import type { Road } from './roads.ts';
import { buildGraph, type WayLattice, type WayGraph } from './wayNodes.ts';
import { nth, numberAt } from '../base/nth.ts';

/** A person with a kit across country, m/s. Common practice. */
export const WALK_MPS = 1.2;
/** Nobody is sent farther on foot than this at the end of a drive. Ours. */
const WALK_M_MAX = 3000;

export interface DriveSpeeds {
  readonly road_mps: number;
  readonly offRoad_mps: number;
}

/** Places with what joins them to the graph: entries first[k] to first[k + 1]. */
export interface Attached {
  readonly x: Float64Array;
  readonly y: Float64Array;
  readonly first: Int32Array;
  readonly node: Int32Array;
  readonly drive_m: Float64Array;
  readonly walk_m: Float64Array;
}

/** Fields that are kept, 60 kB each. */
const KEPT_MAX = 256;

const LATTICE_NODES_MAX = 7000;
const STEP_M_MIN = 120;

/** A lattice over a box, with about seven thousand nodes at most and no finer than 120 m. */
export function latticeOver(west: number, south: number, east: number, north: number): WayLattice {
  const step_m = Math.max(STEP_M_MIN, Math.sqrt(((east - west) * (north - south)) / LATTICE_NODES_MAX));
  const columns = Math.ceil((east - west) / step_m) + 1;
  const rows = Math.ceil((north - south) / step_m) + 1;
  return { west, south, step_m, columns, rows };
}

/** The ways of vehicles, and of somebody on foot at their ends. */
export function landWays(
  lattice: WayLattice,
  roads: readonly Road[],
  hazards: readonly Hazard[],
  frame: LocalFrame,
): WayMap {
  const barriers = new Barriers(barrierLines(hazards, STOPS_VEHICLES, frame), lattice.step_m);
  const foot = new Barriers(barrierLines(hazards, STOPS_ALL, frame), lattice.step_m);
  return new WayMap(buildGraph(lattice, { roads, frame, places: [] }, barriers), barriers, foot);
}

export class WayMap {
  readonly graph: WayGraph;
  readonly barriers: Barriers;
  /** Running sums of lattice cells in which a barrier lies, so that "nothing between" is often known at once. */
  readonly #sums: Int32Array;
  readonly #foot: Barriers;
  /** Edge times of the last speeds asked for: crews alternate, each asking about many places. */
  #speeds: DriveSpeeds = { road_mps: NaN, offRoad_mps: NaN };
  #seconds = new Float64Array(0);
  readonly #kept = new Map<string, Float64Array>();

  /** Whether a way may begin or end at a place; null: anywhere. */
  readonly #on: ((place: Point) => boolean) | null;

  /** `foot`: what stops somebody on foot as well. */
  constructor(graph: WayGraph, barriers: Barriers, foot: Barriers, on: ((place: Point) => boolean) | null = null) {
    this.barriers = barriers;
    this.#foot = foot;
    this.#on = on;
    this.graph = graph;
    this.#sums = sumsOf(graph.lattice, barriers);
  }

  #begins(place: Point): boolean {
    return this.#on === null || this.#on(place);
  }

  /** Whether the cells under the box of a way hold no barrier. */
  #open(ax: number, ay: number, bx: number, by: number): boolean {
    if (this.barriers.empty) return true;
    const { west, south, step_m, columns, rows } = this.graph.lattice;
    const i0 = Math.floor((Math.min(ax, bx) - west) / step_m);
    const i1 = Math.floor((Math.max(ax, bx) - west) / step_m) + 1;
    const j0 = Math.floor((Math.min(ay, by) - south) / step_m);
    const j1 = Math.floor((Math.max(ay, by) - south) / step_m) + 1;
    if (!(i0 >= 0 && j0 >= 0 && i1 <= columns && j1 <= rows)) return false;
    const s = this.#sums;
    const at = (i: number, j: number): number => numberAt(s, j * (columns + 1) + i);
    return at(i1, j1) - at(i0, j1) - at(i1, j0) + at(i0, j0) === 0;
  }

  /**
   * Joins places to the graph: to the sixteen lattice nodes about each and the roads and crossings near it, by car
   * where nothing lies between, on foot for the rest of the way beyond what only stops a car. A place off the map is
   * joined to the nearest edge of it.
   *
   * onFoot  whether the last stretch may be walked: for a place where somebody lies, not for one where a vehicle stands
   */
  attach(places: readonly Point[], onFoot: boolean): Attached {
    const first = new Int32Array(places.length + 1);
    const node: number[] = [];
    const drive: number[] = [];
    const walk: number[] = [];
    places.forEach(([px, py], k) => {
      first[k + 1] = node.length;
      if (!this.#begins([px, py])) return;
      this.#eachNear(px, py, (n) => {
        const [x, y] = [nth(this.graph.x, n), nth(this.graph.y, n)];
        const length = Math.hypot(x - px, y - py);
        const stop = this.#open(x, y, px, py) ? null : this.barriers.first(x, y, px, py);
        const walked = stop === null ? 0 : (1 - stop.at) * length;
        if (stop !== null && (!onFoot || walked > WALK_M_MAX || this.#foot.blocks(x, y, px, py))) return;
        node.push(n);
        drive.push(length - walked);
        walk.push(walked);
      });
      first[k + 1] = node.length;
    });
    return {
      x: Float64Array.from(places, (place) => place[0]),
      y: Float64Array.from(places, (place) => place[1]),
      first,
      node: Int32Array.from(node),
      drive_m: Float64Array.from(drive),
      walk_m: Float64Array.from(walk),
    };
  }

  #eachNear(px: number, py: number, visit: (node: number) => void): void {
    const { lattice, cells, stops } = this.graph;
    const { west, south, step_m, columns, rows } = lattice;
    const i0 = Math.min(Math.max(Math.floor((px - west) / step_m), 0), columns - 1);
    const j0 = Math.min(Math.max(Math.floor((py - south) / step_m), 0), rows - 1);
    for (let j = Math.max(j0 - 1, 0); j <= Math.min(j0 + 2, rows - 1); j++)
      for (let i = Math.max(i0 - 1, 0); i <= Math.min(i0 + 2, columns - 1); i++) visit(j * columns + i);
    const r = 1.5 * step_m;
    stops.inBox(px - r, py - r, px + r, py + r, (k) => {
      visit(cells + k);
      return false;
    });
  }

  /** Seconds an edge takes. */
  #edgeTimes(speeds: DriveSpeeds): Float64Array {
    if (speeds.road_mps === this.#speeds.road_mps && speeds.offRoad_mps === this.#speeds.offRoad_mps)
      return this.#seconds;
    const { length_m, allowed_mps } = this.graph;
    this.#speeds = speeds;
    this.#seconds = length_m.map((length, k) => {
      const allowed = nth(allowed_mps, k);
      return (
        length / (allowed === 0 ? speeds.offRoad_mps : Math.max(Math.min(allowed, speeds.road_mps), speeds.offRoad_mps))
      );
    });
    return this.#seconds;
  }

  /**
   * Time from a place to every node, s, Infinity where there is no way.
   *
   * onFoot  as in `attach`, for this place
   * before  gets the node before each on the best way, −1 at the start; null: not wanted
   */
  field(x: number, y: number, speeds: DriveSpeeds, onFoot = false, before: Int32Array | null = null): Float64Array {
    const seconds = this.#edgeTimes(speeds);
    const { head, to, lattice } = this.graph;
    const time = new Float64Array(this.graph.x.length).fill(Infinity);
    // Waiting nodes by slices of time, each as long as the quickest lattice edge: within one, order hardly matters, and
    // a node that is reached sooner after all is looked at again (a field takes 1.0 ms, by a heap 1.9).
    const slice_s = lattice.step_m / Math.max(speeds.road_mps, speeds.offRoad_mps);
    const slices: number[][] = [];
    const seen = new Float64Array(time.length).fill(-1);
    const reach = (n: number, t: number, from: number): void => {
      time[n] = t;
      if (before !== null) before[n] = from;
      const at = Math.floor(t / slice_s);
      while (slices.length <= at) slices.push([]);
      slices[at]?.push(n);
    };
    before?.fill(-1);
    const start = this.attach([[x, y]], onFoot);
    start.node.forEach((n, k) => {
      const t = nth(start.drive_m, k) / speeds.offRoad_mps + nth(start.walk_m, k) / WALK_MPS;
      if (t < nth(time, n)) reach(n, t, -1);
    });
    for (const waiting of slices) {
      for (let n = waiting.pop(); n !== undefined; n = waiting.pop()) {
        const t = nth(time, n);
        if (seen[n] === t) continue;
        seen[n] = t;
        const end = head[n + 1] ?? 0;
        for (let k = head[n] ?? 0; k < end; k++) {
          const m = to[k] ?? 0;
          const there = t + nth(seconds, k);
          if (there < nth(time, m)) reach(m, there, n);
        }
      }
    }
    return time;
  }

  /**
   * Time from a place to each attached one, s, into `out`; Infinity where it cannot be reached. `field`: from that
   * place.
   */
  times([x, y]: Point, field: Float64Array, targets: Attached, speeds: DriveSpeeds, out: Float64Array): void {
    const off = 1 / speeds.offRoad_mps;
    const begins = this.#begins([x, y]);
    const { first, node, drive_m, walk_m } = targets;
    for (let k = 0; k < out.length; k++) {
      const [tx, ty] = [nth(targets.x, k), nth(targets.y, k)];
      let best = begins && this.#open(x, y, tx, ty) ? Math.hypot(tx - x, ty - y) * off : Infinity;
      const end = numberAt(first, k + 1);
      for (let e = numberAt(first, k); e < end; e++) {
        const t = nth(field, numberAt(node, e)) + nth(drive_m, e) * off + nth(walk_m, e) / WALK_MPS;
        if (t < best) best = t;
      }
      out[k] = best;
    }
  }

  /** Whether a vehicle gets from one place to another; `onFoot`: the last of it on foot if need be. */
  reaches(from: Point, to: Point, speeds: DriveSpeeds, onFoot: boolean): boolean {
    const out = new Float64Array(1);
    this.times(from, this.fieldKept(from, speeds, false), this.attach([to], onFoot), speeds, out);
    return nth(out, 0) < Infinity;
  }

  /**
   * The field of a place that is asked about again and again, not to be written to: the base of each crew, for hundreds
   * of places, and the landings that stand for all, for each crew of the same speeds. 40 crews and 20 cases ask 2000
   * times for 110 of them, 2 ms and 60 kB each.
   */
  fieldKept([x, y]: Point, speeds: DriveSpeeds, onFoot: boolean): Float64Array {
    const key = [x, y, speeds.road_mps, speeds.offRoad_mps, onFoot].join();
    const found = this.#kept.get(key) ?? this.field(x, y, speeds, onFoot);
    if (this.#kept.size < KEPT_MAX) this.#kept.set(key, found);
    return found;
  }

  /** Whether something that nobody crosses on foot lies between two places. */
  walkBlocks(a: Point, b: Point): boolean {
    return this.#foot.blocks(a[0], a[1], b[0], b[1]);
  }

  /** Whether `times` takes the straight way between two places off the road. */
  straight(a: Point, b: Point): boolean {
    return this.#begins(a) && this.#open(a[0], a[1], b[0], b[1]);
  }

  /** What keeps a vehicle from going straight from one place to another; null where nothing does. */
  inTheWay(ax: number, ay: number, bx: number, by: number): string | null {
    return this.barriers.first(ax, ay, bx, by)?.name ?? null;
  }
}

function sumsOf({ west, south, step_m, columns, rows }: WayLattice, barriers: Barriers): Int32Array {
  const sums = new Int32Array((columns + 1) * (rows + 1));
  if (barriers.empty) return sums;
  for (let j = 0; j < rows; j++)
    for (let i = 0; i < columns; i++) {
      const [x, y] = [west + i * step_m, south + j * step_m];
      const held = barriers.inBox(x, y, x + step_m, y + step_m) ? 1 : 0;
      const at = (a: number, b: number): number => numberAt(sums, b * (columns + 1) + a);
      sums[(j + 1) * (columns + 1) + i + 1] = held + at(i, j + 1) + at(i + 1, j) - at(i, j);
    }
  return sums;
}
