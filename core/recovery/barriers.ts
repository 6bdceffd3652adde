// What stops a vehicle off the road: rivers, fences, water, woods, walls, by the kinds of a mission's hazards, with the
// places where they can be crossed. On the plane of a local frame, metres.
import type { LocalFrame } from '../earth/geodesic.ts';
import type { Hazard } from '../plan/schema.ts';
import type { LonLat } from '../base/units.ts';
import { WATER_KINDS } from '../plan/water.ts';
import { StretchBins } from './bins.ts';
import { crossingAt, type Point } from '../earth/plane.ts';
import { nth, numberAt } from '../base/nth.ts';

/** Kinds that nobody crosses away from a crossing. */
export const STOPS_ALL: ReadonlySet<string> = new Set([...WATER_KINDS, 'cliff', 'border']);
/**
 * Kinds that stop a vehicle and not a person on foot. A town has streets and a power line stands on poles: they stop
 * nobody.
 */
export const STOPS_VEHICLES: ReadonlySet<string> = new Set([
  ...STOPS_ALL,
  'fence',
  'wall',
  'ditch',
  'trees',
  'building',
  'railway',
]);

/** Kinds along lines that no boat passes away from a crossing, such as a lock. */
export const STOPS_BOATS: ReadonlySet<string> = new Set(['dam', 'weir', 'pier', 'wall', 'fence', 'cliff', 'border']);

/** A barrier is open within this of a crossing: the width of a gate or bridge and the error of two maps. */
const CROSSING_M = 40;

interface Crossing {
  readonly x: number;
  readonly y: number;
  readonly barrier: string;
}

/** A line or, `closed`, an outline that stops who comes to it, but for its crossings. */
export interface BarrierLine {
  readonly name: string;
  readonly points: readonly Point[];
  readonly closed: boolean;
  readonly crossings: readonly Point[];
}

/** The hazards of some kinds as barriers. */
export function barrierLines(hazards: readonly Hazard[], kinds: ReadonlySet<string>, frame: LocalFrame): BarrierLine[] {
  const placed = (places: readonly LonLat[]): Point[] => places.map((place) => frame.toLocal(place));
  return hazards
    .filter((hazard) => kinds.has(hazard.kind))
    .map((hazard) =>
      'polygon' in hazard
        ? { name: hazard.name, points: placed(hazard.polygon as readonly LonLat[]), closed: true, crossings: [] }
        : { name: hazard.name, points: placed(hazard.line), closed: false, crossings: placed(hazard.crossings ?? []) },
    );
}

export class Barriers {
  readonly crossings: readonly Crossing[];
  readonly names: readonly string[];
  /** Lines without any crossing. */
  readonly closed: readonly string[];
  readonly #bins: StretchBins;
  readonly #owner: Int32Array;
  readonly #open: readonly (readonly Crossing[])[];

  constructor(lines: readonly BarrierLine[], bin_m: number) {
    this.names = lines.map(({ name }) => name);
    const ends: number[] = [];
    const owner: number[] = [];
    lines.forEach(({ points, closed }, index) =>
      points.forEach((a, i) => {
        const b = points[i + 1] ?? (closed ? points[0] : undefined);
        if (b === undefined) return;
        ends.push(a[0], a[1], b[0], b[1]);
        owner.push(index);
      }),
    );
    this.#open = lines.map(({ name, crossings }) => crossings.map(([x, y]): Crossing => ({ x, y, barrier: name })));
    this.crossings = this.#open.flat();
    this.closed = lines.filter((one) => !one.closed && one.crossings.length === 0).map(({ name }) => name);
    this.#owner = Int32Array.from(owner);
    this.#bins = new StretchBins(Float64Array.from(ends), bin_m);
  }

  get empty(): boolean {
    return this.#bins.count === 0;
  }

  /** Whether a straight way crosses a barrier away from its crossings. */
  blocks(ax: number, ay: number, bx: number, by: number): boolean {
    return this.#bins.along(ax, ay, bx, by, (k) => this.#meets(k, ax, ay, bx, by) >= 0);
  }

  /** Where on a way, 0 to 1, a barrier's stretch closes it; NaN where it does not. */
  #meets(k: number, ax: number, ay: number, bx: number, by: number): number {
    const s = this.#bins.ends;
    const at = crossingAt(
      [ax, ay],
      [bx, by],
      [nth(s, 4 * k), nth(s, 4 * k + 1)],
      [nth(s, 4 * k + 2), nth(s, 4 * k + 3)],
    );
    if (at !== at) return NaN;
    const x = ax + at * (bx - ax);
    const y = ay + at * (by - ay);
    for (const one of this.#open[numberAt(this.#owner, k)] ?? [])
      if (Math.hypot(one.x - x, one.y - y) <= CROSSING_M) return NaN;
    return at;
  }

  /** The first barrier on a straight way and where on it, 0 to 1; null where the way is open. */
  first(ax: number, ay: number, bx: number, by: number): { readonly at: number; readonly name: string } | null {
    let best = Infinity;
    let owner = -1;
    this.#bins.along(ax, ay, bx, by, (k) => {
      const at = this.#meets(k, ax, ay, bx, by);
      if (at < best) {
        best = at;
        owner = numberAt(this.#owner, k);
      }
      return false;
    });
    return owner < 0 ? null : { at: best, name: this.names[owner] ?? '' };
  }

  /** Whether any barrier may lie in a box; the answer errs toward yes. */
  inBox(west: number, south: number, east: number, north: number): boolean {
    return this.#bins.inBox(west, south, east, north, () => true);
  }
}
