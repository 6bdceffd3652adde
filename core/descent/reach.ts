// What an open canopy can reach (MODEL.md §6): losing a metre of height with setting i on heading n covers (wind + Vᵢ
// n)/wᵢ metres of ground; over a stretch of height the reachable set is the integral of the convex hull of those
// circles, a convex region known by its support function s(n) = ∫ maxᵢ (wind·n + Vᵢ)/wᵢ dh. The height kept for the
// landing pattern is left out of the integral.
import { nth } from '../base/nth.ts';
import { RHO0, type Air } from '../air/air.ts';
import { localFrame } from '../earth/geodesic.ts';
import type { Canopy, CanopySetting, LandingZone } from '../plan/schema.ts';
import { RAD_PER_DEG, type LonLat } from '../base/units.ts';
import { WindSampler, type WindField, type WindOffset } from '../winds/field.ts';
import { flownSetting, PATTERN_DEFAULT_AGL_M } from './body.ts';
import { zoneMiddle } from './scenario.ts';

/**
 * Directions in which the support is kept: 5° apart, the region is under-drawn by at most 0.1 % of its radius between
 * them.
 */
const DIRECTIONS = 72;
const STEP_M = 25;

export interface ReachColumn {
  readonly wind: WindField;
  readonly offset: WindOffset | null;
  readonly air: Air;
  /** The column that is flown through, and when the ground is met there, s since 1970. */
  readonly place: LonLat;
  readonly landing_s: number;
  readonly ground_m: number;
}

/** Height above ground at which steering for the zone ends and the pattern begins. */
export function reserve_m(canopy: Canopy): number {
  const steering = canopy.steering;
  return steering?.policy === 'pattern' && steering.downwind_agl_m !== undefined
    ? steering.downwind_agl_m
    : PATTERN_DEFAULT_AGL_M.downwind;
}

/** Displacements that a canopy can make between any height and the beginning of its pattern, for one column of wind. */
export class Reach {
  readonly floor_m: number;
  readonly top_m: number;
  /**
   * At index `k * DIRECTIONS + d` for height floor + k steps: support, m, and the outermost displacement in that
   * direction, m east and north.
   */
  readonly #support: Float64Array;
  readonly #east: Float64Array;
  readonly #north: Float64Array;
  /** Drift of a canopy without drive, flown setting, m east and north, and time to the floor, s, by height. */
  readonly #drift: Float64Array;

  /**
   * mass_kg  of the flight
   * top_m    the highest height that will be asked, m MSL
   * Cost     about 0.2 ms a kilometre of height
   */
  constructor(column: ReachColumn, canopy: Canopy, mass_kg: number, top_m: number) {
    this.floor_m = column.ground_m + reserve_m(canopy);
    const steps = Math.max(1, Math.ceil((top_m - this.floor_m) / STEP_M));
    this.top_m = this.floor_m + steps * STEP_M;
    this.#support = new Float64Array((steps + 1) * DIRECTIONS);
    this.#east = new Float64Array((steps + 1) * DIRECTIONS);
    this.#north = new Float64Array((steps + 1) * DIRECTIONS);
    this.#drift = new Float64Array(3 * (steps + 1));
    const sampler = new WindSampler(column.wind);
    sampler.start(column.landing_s, column.offset);
    const scale = Math.sqrt((RHO0 * mass_kg) / canopy.referenceMass_kg);
    const flown = flownSetting(canopy);
    // Time runs back from the landing: the pattern first.
    let t = this.#keep(sampler, column, reserve_m(canopy), scale, flown);
    for (let k = 0; k < steps; k++) {
      // Midpoint rule: second order in 25 m layers, a ten-thousandth of the displacement.
      const z = this.floor_m + (k + 0.5) * STEP_M;
      const s = scale / Math.sqrt(column.air.density(z));
      t -= STEP_M / (flown.sink_mps * s);
      sampler.sample(column.place[1] * RAD_PER_DEG, column.place[0] * RAD_PER_DEG, z, t);
      this.#layer(k, canopy, s, [nth(sampler.out, 0), nth(sampler.out, 1)], flown.sink_mps * s);
    }
  }

  /**
   * In the height that is kept a canopy holds over the target as far as it can: a wind above its airspeed takes it
   * along by the difference, and that part belongs to every displacement. Answers when the floor is passed, s.
   */
  #keep(sampler: WindSampler, column: ReachColumn, kept_m: number, scale: number, flown: CanopySetting): number {
    const layers = Math.ceil(kept_m / STEP_M);
    const dz = kept_m / layers;
    let t = 0;
    for (let k = 0; k < layers; k++) {
      const z = column.ground_m + (k + 0.5) * dz;
      const s = scale / Math.sqrt(column.air.density(z));
      const passing = dz / (flown.sink_mps * s);
      sampler.sample(column.place[1] * RAD_PER_DEG, column.place[0] * RAD_PER_DEG, z, t - passing / 2);
      t -= passing;
      const [wE, wN] = [nth(sampler.out, 0), nth(sampler.out, 1)];
      const speed = Math.hypot(wE, wN);
      const left = speed > 0 ? (passing * Math.max(0, speed - flown.airspeed_mps * s)) / speed : 0;
      for (let d = 0; d < DIRECTIONS; d++) {
        this.#east[d] = nth(this.#east, d) + left * wE;
        this.#north[d] = nth(this.#north, d) + left * wN;
        this.#support[d] = nth(this.#support, d) + left * (wE * nth(SIN, d) + wN * nth(COS, d));
      }
    }
    return t;
  }

  #layer(k: number, canopy: Canopy, scale: number, [wE, wN]: readonly [number, number], sink: number): void {
    for (let d = 0; d < DIRECTIONS; d++) {
      const nE = nth(SIN, d);
      const nN = nth(COS, d);
      let best = -Infinity;
      let east = 0;
      let north = 0;
      for (const { airspeed_mps, sink_mps } of canopy.settings) {
        const V = airspeed_mps * scale;
        const w = sink_mps * scale;
        const support = (wE * nE + wN * nN + V) / w;
        if (support <= best) continue;
        best = support;
        east = (wE + V * nE) / w;
        north = (wN + V * nN) / w;
      }
      const from = k * DIRECTIONS + d;
      const to = from + DIRECTIONS;
      this.#support[to] = nth(this.#support, from) + STEP_M * best;
      this.#east[to] = nth(this.#east, from) + STEP_M * east;
      this.#north[to] = nth(this.#north, from) + STEP_M * north;
    }
    const at = 3 * k;
    this.#drift[at + 3] = nth(this.#drift, at) + (STEP_M * wE) / sink;
    this.#drift[at + 4] = nth(this.#drift, at + 1) + (STEP_M * wN) / sink;
    this.#drift[at + 5] = nth(this.#drift, at + 2) + STEP_M / sink;
  }

  /** A table read between heights; below the floor nothing is left to steer with. */
  #at(table: Float64Array, width: number, index: number, height_m: number): number {
    const x = Math.min(Math.max((height_m - this.floor_m) / STEP_M, 0), table.length / width - 1);
    const k = Math.min(Math.floor(x), table.length / width - 2);
    const a = nth(table, k * width + index);
    return a + (x - k) * (nth(table, (k + 1) * width + index) - a);
  }

  /** The furthest displacement in direction d of 72, m. */
  support(direction: number, height_m: number): number {
    return this.#at(this.#support, DIRECTIONS, direction, height_m);
  }

  /** Drift without drive from a height to the pattern: m east, m north, s. */
  drift(height_m: number): readonly [east_m: number, north_m: number, time_s: number] {
    return [
      this.#at(this.#drift, 3, 0, height_m),
      this.#at(this.#drift, 3, 1, height_m),
      this.#at(this.#drift, 3, 2, height_m),
    ];
  }

  /** The edge of what can be reached from a place at a height: a ring of 72 places. */
  region(from: LonLat, height_m: number): LonLat[] {
    const frame = localFrame(from);
    return Array.from({ length: DIRECTIONS }, (_, d) =>
      frame.toLonLat(this.#at(this.#east, DIRECTIONS, d, height_m), this.#at(this.#north, DIRECTIONS, d, height_m)),
    );
  }

  /** How far inside its reach a target lies from a place at a height, m; negative: by how much it is out of reach. */
  margin_m(from: LonLat, height_m: number, target: LonLat): number {
    const [east, north] = localFrame(from).toLocal(target);
    let least = Infinity;
    for (let d = 0; d < DIRECTIONS; d++) {
      const left = this.support(d, height_m) - east * nth(SIN, d) - north * nth(COS, d);
      if (left < least) least = left;
    }
    return least;
  }

  /**
   * The slice of a zone's drift cone: the places at a height from which the zone is in reach. For a zone that is convex
   * the whole of it is the target, else its middle alone, which says too little rather than too much.
   */
  coneSlice(zone: LandingZone, height_m: number): LonLat[] {
    const middle = zoneMiddle(zone);
    const frame = localFrame(middle);
    const corners = zone.polygon.map((corner) => frame.toLocal(corner));
    const convex = isConvex(corners);
    return Array.from({ length: DIRECTIONS }, (_, d) => {
      // −D in direction n is reached by D's point in the opposite direction.
      const back = (d + DIRECTIONS / 2) % DIRECTIONS;
      const east = -this.#at(this.#east, DIRECTIONS, back, height_m);
      const north = -this.#at(this.#north, DIRECTIONS, back, height_m);
      const corner = convex ? outermost(corners, nth(SIN, d), nth(COS, d)) : [0, 0];
      return frame.toLonLat(east + (corner[0] ?? 0), north + (corner[1] ?? 0));
    });
  }

  /**
   * How far inside its reach a zone lies: the best of its middle and corners drawn a third inward; negative out of
   * reach.
   */
  zoneMargin_m(from: LonLat, height_m: number, zone: LandingZone): number {
    const middle = zoneMiddle(zone);
    return Math.max(
      this.margin_m(from, height_m, middle),
      ...zone.polygon.map(([lon, lat]) =>
        this.margin_m(from, height_m, [
          middle[0] + ((lon - middle[0]) * 2) / 3,
          middle[1] + ((lat - middle[1]) * 2) / 3,
        ]),
      ),
    );
  }
}

const SIN = Float64Array.from({ length: DIRECTIONS }, (_, d) => Math.sin((2 * Math.PI * d) / DIRECTIONS));
const COS = Float64Array.from({ length: DIRECTIONS }, (_, d) => Math.cos((2 * Math.PI * d) / DIRECTIONS));

type Place = readonly [east_m: number, north_m: number];

function outermost(corners: readonly Place[], nE: number, nN: number): Place {
  return corners.reduce(
    (best, corner) => (corner[0] * nE + corner[1] * nN > best[0] * nE + best[1] * nN ? corner : best),
    corners[0] ?? [0, 0],
  );
}

function isConvex(corners: readonly Place[]): boolean {
  let sign = 0;
  for (let i = 0; i < corners.length; i++) {
    const a = corners[i];
    const b = corners[(i + 1) % corners.length];
    const c = corners[(i + 2) % corners.length];
    if (a === undefined || b === undefined || c === undefined) return false;
    const cross = (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0]);
    if (Math.abs(cross) < 1e-6) continue;
    if (sign !== 0 && Math.sign(cross) !== sign) return false;
    sign = Math.sign(cross);
  }
  return sign !== 0;
}
