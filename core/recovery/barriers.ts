// What stops a vehicle off the road: rivers, fences, water, woods, walls, by the kinds of a mission's hazards, with the
// places where they can be crossed. On the plane of a local frame, metres.
import type { LocalFrame } from '../earth/geodesic.ts';
import type { Hazard } from '../plan/schema.ts';
import type { LonLat } from '../base/units.ts';
import { StretchBins } from './bins.ts';
import { crossingAt } from '../earth/plane.ts';
import { nth, numberAt } from '../base/nth.ts';

/** Kinds that nobody crosses away from a crossing. */
export const STOPS_ALL: ReadonlySet<string> = new Set(['river', 'water', 'lake', 'canal', 'cliff', 'border']);
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

/** A barrier is open within this of a crossing: the width of a gate or bridge and the error of two maps. */
const CROSSING_M = 40;

interface Crossing {
  readonly x: number;
  readonly y: number;
  readonly barrier: string;
}

export class Barriers {
  readonly crossings: readonly Crossing[];
  readonly names: readonly string[];
  /** Lines without any crossing. */
  readonly closed: readonly string[];
  readonly #bins: StretchBins;
  readonly #owner: Int32Array;
  readonly #open: readonly (readonly Crossing[])[];

  /** `kinds`: `STOPS_VEHICLES` or `STOPS_ALL`. */
  constructor(hazards: readonly Hazard[], kinds: ReadonlySet<string>, frame: LocalFrame, bin_m: number) {
    const stops = hazards.filter((hazard) => kinds.has(hazard.kind));
    this.names = stops.map((hazard) => hazard.name);
    const ends: number[] = [];
    const owner: number[] = [];
    const open = stops.map((hazard, index) => {
      const closed = 'polygon' in hazard;
      const places = (closed ? hazard.polygon : hazard.line) as readonly LonLat[];
      const points = places.map((place) => frame.toLocal(place));
      points.forEach((a, i) => {
        const b = points[i + 1] ?? (closed ? points[0] : undefined);
        if (b === undefined) return;
        ends.push(a[0], a[1], b[0], b[1]);
        owner.push(index);
      });
      const crossings = 'line' in hazard ? ((hazard.crossings ?? []) as readonly LonLat[]) : [];
      return crossings.map((place): Crossing => {
        const [x, y] = frame.toLocal(place);
        return { x, y, barrier: hazard.name };
      });
    });
    this.#open = open;
    this.crossings = open.flat();
    this.closed = stops.filter((hazard, i) => 'line' in hazard && open[i]?.length === 0).map((hazard) => hazard.name);
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
