// Where a body may still come down, and what must stay out of it: the region that holds 99 % of the drawn landings of
// everything still in the air, as ellipses, one a case, cut at one level of density so that rare and wide cases do not
// close the whole country. Method: Hyndman, Computing and graphing highest density regions, The American Statistician
// 50 (1996): the level is a quantile of the density at the sample's own places. Metres on the plane of a local frame.
import type { Members } from '../descent/ensemble.ts';
import { ellipseOf, landingsIn } from '../descent/statistics.ts';
import type { LocalFrame } from '../earth/geodesic.ts';
import { RAD_PER_DEG, type LonLat } from '../base/units.ts';
import type { Point } from '../earth/plane.ts';
import { nth } from '../base/nth.ts';

const KEEP_CLEAR_SHARE = 0.99;
/**
 * How far a helicopter keeps from where a canopy may come down: 1000 ft (305 m). No published clear distance for an
 * open parachute was found; of weak figures (200 ft for loose items, a paraglider pilot's own 1000 ft sideways) the
 * larger. ref: recovery.md §2; mark F, weak.
 */
export const ROTOR_WASH_M = 304.8;
/** No landing is known better than this: the error of a position and a map. */
const STD_M_MIN = 15;

/** A group of landings that counts together: a case of the jumper's, or another body. */
export interface LandingGroup {
  readonly name: string;
  readonly weight: number;
  readonly members: Members;
}

export interface ClearEllipse {
  readonly name: string;
  readonly east: number;
  readonly north: number;
  readonly semiMajor_m: number;
  readonly semiMinor_m: number;
  /** Of the major axis, degrees from north. */
  readonly bearing_deg: number;
}

interface Spot {
  readonly name: string;
  readonly weight: number;
  readonly east: number;
  readonly north: number;
  readonly ee: number;
  readonly en: number;
  readonly nn: number;
  readonly places: Float64Array;
}

/** The ellipses of one body whose cases exclude each other: weights are probabilities and are brought to a sum of 1. */
export function clearEllipses(
  groups: readonly LandingGroup[],
  frame: LocalFrame,
  share: number = KEEP_CLEAR_SHARE,
): ClearEllipse[] {
  const spots = groups.flatMap((group) => spotOf(group, frame));
  const total = spots.reduce((sum, spot) => sum + spot.weight, 0);
  const rows: [density: number, weight: number][] = [];
  for (const spot of spots) {
    const count = spot.places.length / 2;
    for (let i = 0; i < spot.places.length; i += 2) {
      let best = 0;
      for (const one of spots) best = Math.max(best, densityAt(one, nth(spot.places, i), nth(spot.places, i + 1)));
      rows.push([best, spot.weight / total / count]);
    }
  }
  rows.sort((a, b) => b[0] - a[0]);
  let held = 0;
  let level = 0;
  for (const [density, weight] of rows) {
    held += weight;
    level = density;
    if (held >= share - 1e-12) break;
  }
  return spots.flatMap((spot) => {
    const radius2 = 2 * Math.log(peakOf(spot) / level);
    if (!(radius2 > 0)) return [];
    // A hair more, so that the member whose density is the level lies inside.
    const k = Math.sqrt(radius2) * (1 + 1e-9);
    const one = ellipseOf(spot.ee, spot.en, spot.nn, 1 - Math.exp(-0.5));
    return [
      {
        name: spot.name,
        east: spot.east,
        north: spot.north,
        semiMajor_m: k * one.semiMajor_m,
        semiMinor_m: k * one.semiMinor_m,
        bearing_deg: one.bearing_deg,
      },
    ];
  });
}

function spotOf(group: LandingGroup, frame: LocalFrame): Spot[] {
  const places = landingsIn(frame, group.members).slice();
  const n = places.length / 2;
  if (n === 0 || !(group.weight > 0)) return [];
  let [east, north] = [0, 0];
  for (let i = 0; i < places.length; i += 2) {
    east += nth(places, i) / n;
    north += nth(places, i + 1) / n;
  }
  let [ee, en, nn] = [STD_M_MIN ** 2, 0, STD_M_MIN ** 2];
  for (let i = 0; i < places.length; i += 2) {
    const [e, m] = [nth(places, i) - east, nth(places, i + 1) - north];
    ee += (e * e) / n;
    en += (e * m) / n;
    nn += (m * m) / n;
  }
  return [{ name: group.name, weight: group.weight, east, north, ee, en, nn, places }];
}

const peakOf = ({ weight, ee, en, nn }: Spot): number => weight / (2 * Math.PI * Math.sqrt(ee * nn - en * en));

function densityAt(spot: Spot, x: number, y: number): number {
  const { ee, en, nn, east, north } = spot;
  const [dx, dy] = [x - east, y - north];
  const det = ee * nn - en * en;
  return peakOf(spot) * Math.exp(-(nn * dx * dx - 2 * en * dx * dy + ee * dy * dy) / (2 * det));
}

export class KeepClear {
  readonly ellipses: readonly ClearEllipse[];
  readonly #sin: Float64Array;
  readonly #cos: Float64Array;

  constructor(ellipses: readonly ClearEllipse[]) {
    this.ellipses = ellipses;
    this.#sin = Float64Array.from(ellipses, (one) => Math.sin(one.bearing_deg * RAD_PER_DEG));
    this.#cos = Float64Array.from(ellipses, (one) => Math.cos(one.bearing_deg * RAD_PER_DEG));
  }

  /** Metres from a place to the region: 0 inside. Exact to a centimetre. */
  distance_m(x: number, y: number): number {
    let least = Infinity;
    this.ellipses.forEach((one, k) => {
      if (least === 0) return;
      const [dx, dy] = [x - one.east, y - one.north];
      const [sin, cos] = [nth(this.#sin, k), nth(this.#cos, k)];
      if (Math.hypot(dx, dy) - one.semiMajor_m >= least) return;
      least = Math.min(
        least,
        toEllipse(one.semiMajor_m, one.semiMinor_m, Math.abs(dx * sin + dy * cos), Math.abs(dx * cos - dy * sin)),
      );
    });
    return least;
  }

  /** How far it reaches from the frame's middle, at most. */
  get reach_m(): number {
    return Math.max(0, ...this.ellipses.map((one) => Math.hypot(one.east, one.north) + one.semiMajor_m));
  }

  holds(x: number, y: number): boolean {
    return this.distance_m(x, y) === 0;
  }

  /** Which part of the region a place is nearest to; null where the region is empty. */
  nearest(x: number, y: number): ClearEllipse | null {
    let best: ClearEllipse | null = null;
    let least = Infinity;
    for (const one of this.ellipses) {
      const d = new KeepClear([one]).distance_m(x, y);
      if (d < least) [least, best] = [d, one];
    }
    return best;
  }

  /** The outline of a part at a distance: along the outward normal of its ellipse. */
  outline(k: number, margin_m: number, corners: number): (readonly [x: number, y: number])[] {
    const one = this.ellipses[k];
    if (one === undefined) return [];
    const [a, b, sin, cos] = [one.semiMajor_m, one.semiMinor_m, nth(this.#sin, k), nth(this.#cos, k)];
    return Array.from({ length: corners }, (_, i) => {
      const angle = (2 * Math.PI * i) / corners;
      const [n1, n2] = [b * Math.cos(angle), a * Math.sin(angle)];
      const scale = margin_m / Math.max(Math.hypot(n1, n2), 1e-9);
      const [along, across] = [a * Math.cos(angle) + scale * n1, b * Math.sin(angle) + scale * n2];
      return [one.east + along * sin + across * cos, one.north + along * cos - across * sin] as const;
    });
  }

  /** Twenty-four corners about each part, its margin with it: their edges touch the curve and cut nowhere into it. */
  outlines(margin_m: number): Point[][] {
    return this.ellipses.map((one, k) => {
      const [sin, cos] = [nth(this.#sin, k), nth(this.#cos, k)];
      const step = Math.PI / 12;
      const reach = (angle: number): number =>
        Math.hypot(one.semiMajor_m * Math.cos(angle), one.semiMinor_m * Math.sin(angle)) + margin_m;
      return Array.from({ length: 24 }, (_, i): Point => {
        const [a, b] = [i * step, (i + 1) * step];
        // Where the tangents of two neighbouring directions meet.
        const along = (reach(a) * Math.sin(b) - reach(b) * Math.sin(a)) / Math.sin(step);
        const across = (reach(b) * Math.cos(a) - reach(a) * Math.cos(b)) / Math.sin(step);
        return [one.east + along * sin + across * cos, one.north + along * cos - across * sin];
      });
    });
  }

  /** The outline of each part, as rings of places: for the map and the brief. */
  rings(frame: LocalFrame, margin_m = 0): { readonly name: string; readonly ring: readonly LonLat[] }[] {
    return this.ellipses.map(({ name }, k) => ({
      name,
      ring: this.outline(k, margin_m, 72).map(([x, y]) => frame.toLonLat(x, y)),
    }));
  }
}

/**
 * Distance from a place (p, q ≥ 0 along the axes) to an ellipse of semi-axes a ≥ b; 0 inside. Bisection on the foot's
 * parameter.
 */
function toEllipse(a: number, b: number, p: number, q: number): number {
  if ((p / a) ** 2 + (q / b) ** 2 <= 1) return 0;
  // The foot is (a² p/(t + a²), b² q/(t + b²)) with the t ≥ 0 that puts it on the ellipse.
  let low = 0;
  let high = Math.hypot(a * p, b * q);
  for (let i = 0; i < 60 && high - low > 1e-9 * high; i++) {
    const t = (low + high) / 2;
    const on = ((a * p) / (t + a * a)) ** 2 + ((b * q) / (t + b * b)) ** 2;
    if (on > 1) low = t;
    else high = t;
  }
  const t = (low + high) / 2;
  return Math.hypot(p - (a * a * p) / (t + a * a), q - (b * b * q) / (t + b * b));
}
