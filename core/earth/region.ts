// Many places against one area or line, fast: for counting how much of an ensemble lies in a zone or near a power line.
// Edges are straight in longitude and latitude, as RFC 7946 §3.1.1 has them; distances in metres in the tangent plane,
// for reaches of some km.
import { RAD_PER_DEG, wrap180, type LonLat } from '../base/units.ts';
import { radii } from './geodesic.ts';

export interface Region {
  /**
   * Whether place `i` of many is in the area, or within the half width of the line. Numbers handed over one by one
   * would be put on the heap.
   */
  holds(lons_deg: Float64Array, lats_deg: Float64Array, i: number): boolean;
  /** What holds all of it, degrees: `west` from −180 on, `wide` eastward of it. */
  readonly bounds: Bounds;
}

interface Bounds {
  readonly west: number;
  readonly wide: number;
  readonly south: number;
  readonly north: number;
}

/**
 * The inside of a ring (even-odd rule); the ring closes itself. Agrees with `isInside` of `geodesic.ts`, some twenty
 * times faster.
 */
export const ringRegion = (ring: readonly LonLat[]): Region => new Ring(ring);

/**
 * All places within a half width of a line, m. Error of the distance below 0.1 % within 20 km of the line's first
 * place.
 */
export const corridorRegion = (line: readonly LonLat[], halfWidth_m: number): Region => new Corridor(line, halfWidth_m);

/** Most places asked lie far outside: the box about an area answers for them. Of nothing it holds nothing. */
class Box {
  readonly #west: number;
  readonly #east: number;
  readonly #south: number;
  readonly #north: number;

  constructor(x: Float64Array, y: Float64Array, margin: number) {
    this.#west = least(x) - margin;
    this.#east = most(x) + margin;
    this.#south = least(y) - margin;
    this.#north = most(y) + margin;
  }

  holdsX(x: number): boolean {
    return x >= this.#west && x <= this.#east;
  }

  holdsY(y: number): boolean {
    return y >= this.#south && y <= this.#north;
  }

  /** In degrees, about a place, by how many of the box's own units a degree has east and north. */
  around(lon0: number, lat0: number, kx: number, ky: number): Bounds {
    return {
      west: wrap180(lon0 + this.#west / kx),
      wide: (this.#east - this.#west) / kx,
      south: lat0 + this.#south / ky,
      north: lat0 + this.#north / ky,
    };
  }
}

class Ring implements Region {
  readonly #lon0: number;
  /** Degrees. */
  readonly #x: Float64Array;
  readonly #y: Float64Array;
  readonly #box: Box;

  constructor(ring: readonly LonLat[]) {
    const lon0 = ring[0]?.[0] ?? 0;
    this.#lon0 = lon0;
    this.#x = Float64Array.from(ring, (place) => wrap180(place[0] - lon0));
    this.#y = Float64Array.from(ring, (place) => place[1]);
    this.#box = new Box(this.#x, this.#y, 0);
  }

  get bounds(): Bounds {
    return this.#box.around(this.#lon0, 0, 1, 1);
  }

  holds(lons_deg: Float64Array, lats_deg: Float64Array, i: number): boolean {
    const lat_deg = lats_deg[i] as number;
    if (!this.#box.holdsY(lat_deg)) return false;
    const px = wrap180((lons_deg[i] as number) - this.#lon0);
    if (!this.#box.holdsX(px)) return false;
    const x = this.#x;
    const y = this.#y;
    let inside = false;
    for (let k = 0, j = x.length - 1; k < x.length; j = k++) {
      const yk = y[k] as number;
      const yj = y[j] as number;
      if (yk > lat_deg === yj > lat_deg) continue;
      const xk = x[k] as number;
      if (px < xk + ((lat_deg - yk) / (yj - yk)) * ((x[j] as number) - xk)) inside = !inside;
    }
    return inside;
  }
}

class Corridor implements Region {
  readonly #lon0: number;
  readonly #lat0: number;
  /** Metres a degree, east and north. */
  readonly #kx: number;
  readonly #ky: number;
  /** Metres from the line's first place. */
  readonly #x: Float64Array;
  readonly #y: Float64Array;
  readonly #halfWidth_m: number;
  readonly #box: Box;

  constructor(line: readonly LonLat[], halfWidth_m: number) {
    const [lon0, lat0] = line[0] ?? [0, 0];
    const { meridian_m, primeVertical_m } = radii(lat0);
    const ky = meridian_m * RAD_PER_DEG;
    const kx = primeVertical_m * Math.cos(lat0 * RAD_PER_DEG) * RAD_PER_DEG;
    this.#lon0 = lon0;
    this.#lat0 = lat0;
    this.#kx = kx;
    this.#ky = ky;
    this.#x = Float64Array.from(line, (place) => wrap180(place[0] - lon0) * kx);
    this.#y = Float64Array.from(line, (place) => (place[1] - lat0) * ky);
    this.#halfWidth_m = halfWidth_m;
    this.#box = new Box(this.#x, this.#y, halfWidth_m);
  }

  get bounds(): Bounds {
    return this.#box.around(this.#lon0, this.#lat0, this.#kx, this.#ky);
  }

  holds(lons_deg: Float64Array, lats_deg: Float64Array, i: number): boolean {
    const py = ((lats_deg[i] as number) - this.#lat0) * this.#ky;
    if (!this.#box.holdsY(py)) return false;
    const px = wrap180((lons_deg[i] as number) - this.#lon0) * this.#kx;
    if (!this.#box.holdsX(px)) return false;
    const x = this.#x;
    const y = this.#y;
    const half = this.#halfWidth_m;
    let bx = (x[0] as number) - px;
    let by = (y[0] as number) - py;
    // A line of one place is one stretch without length.
    for (let k = Math.min(1, x.length - 1); k < x.length; k++) {
      const ax = bx;
      const ay = by;
      bx = (x[k] as number) - px;
      by = (y[k] as number) - py;
      // A line has many stretches, and most lie with both ends to one side of the place, farther than the half width.
      if (
        (ax > half && bx > half) ||
        (ax < -half && bx < -half) ||
        (ay > half && by > half) ||
        (ay < -half && by < -half)
      )
        continue;
      const dx = bx - ax;
      const dy = by - ay;
      const square = dx * dx + dy * dy;
      const f = square > 0 ? Math.min(Math.max(-(ax * dx + ay * dy) / square, 0), 1) : 0;
      const ex = ax + f * dx;
      const ey = ay + f * dy;
      if (ex * ex + ey * ey <= half * half) return true;
    }
    return false;
  }
}

const least = (values: Float64Array): number => values.reduce((a, b) => Math.min(a, b), Infinity);
const most = (values: Float64Array): number => values.reduce((a, b) => Math.max(a, b), -Infinity);

/** Bounds are widened by so much, 0.1 mm: a degree of them was worked out another way than a place's. */
const HAIR_DEG = 1e-9;
const SIDE_MAX = 64;
const NONE: readonly number[] = [];

/**
 * Many regions, of which few are near any place: filed on a grid over all of them, so that a place asks only those
 * whose bounds touch its cell. Regions that reach around half the earth are all asked.
 */
export class Regions {
  readonly #regions: readonly Region[];
  readonly #lon0: number;
  readonly #west: number;
  readonly #south: number;
  readonly #side: number;
  /** Degrees a cell. */
  readonly #dx: number;
  readonly #dy: number;
  /** Of each cell its regions, in their order; one cell where all are asked. */
  readonly #cells: readonly (readonly number[])[];

  constructor(regions: readonly Region[]) {
    this.#regions = regions;
    const bounds = regions.map((region) => region.bounds);
    const lon0 = bounds.find(({ south, north }) => north >= south)?.west ?? 0;
    const boxes = bounds.map(({ west, wide, south, north }) => ({
      west: wrap180(west - lon0) - HAIR_DEG,
      east: wrap180(west - lon0) + wide + HAIR_DEG,
      south: south - HAIR_DEG,
      north: north + HAIR_DEG,
    }));
    const real = boxes.filter(({ south, north }) => north >= south);
    const most = (of: (box: (typeof boxes)[number]) => number): number =>
      real.reduce((so_far, box) => Math.max(so_far, of(box)), -Infinity);
    this.#lon0 = lon0;
    this.#west = -most(({ west }) => -west);
    this.#south = -most(({ south }) => -south);
    const [east, north] = [most((box) => box.east), most((box) => box.north)];
    const isWide = !(this.#west > -179 && east < 179);
    this.#side = isWide ? 0 : Math.min(Math.ceil(Math.sqrt(real.length)), SIDE_MAX);
    this.#dx = (east - this.#west) / this.#side;
    this.#dy = (north - this.#south) / this.#side;
    this.#cells = isWide ? [regions.map((_, k) => k)] : this.#filed(boxes);
  }

  #filed(boxes: readonly { west: number; east: number; south: number; north: number }[]): number[][] {
    const side = this.#side;
    const cells: number[][] = Array.from({ length: side * side }, () => []);
    const cell = (from: number, d: number): number => Math.min(Math.max(Math.floor(from / d), 0), side - 1);
    for (const [k, { west, east, south, north }] of boxes.entries()) {
      if (!(north >= south)) continue;
      for (let j = cell(south - this.#south, this.#dy); j <= cell(north - this.#south, this.#dy); j++)
        for (let i = cell(west - this.#west, this.#dx); i <= cell(east - this.#west, this.#dx); i++)
          cells[j * side + i]?.push(k);
    }
    return cells;
  }

  /** Those that may hold place `i` of many. */
  #near(lons_deg: Float64Array, lats_deg: Float64Array, i: number): readonly number[] {
    const side = this.#side;
    if (side === 0) return this.#cells[0] ?? NONE;
    const row = Math.floor(((lats_deg[i] as number) - this.#south) / this.#dy);
    if (!(row >= 0 && row <= side)) return NONE;
    const column = Math.floor((wrap180((lons_deg[i] as number) - this.#lon0) - this.#west) / this.#dx);
    if (!(column >= 0 && column <= side)) return NONE;
    return this.#cells[Math.min(row, side - 1) * side + Math.min(column, side - 1)] ?? NONE;
  }

  /** Whether any of them holds place `i` of many. */
  some(lons_deg: Float64Array, lats_deg: Float64Array, i: number): boolean {
    const near = this.#near(lons_deg, lats_deg, i);
    for (let k = 0; k < near.length; k++)
      if (this.#regions[near[k] as number]?.holds(lons_deg, lats_deg, i) === true) return true;
    return false;
  }

  /** The same, and one more in `counts` for each that does. */
  count(lons_deg: Float64Array, lats_deg: Float64Array, i: number, counts: Int32Array): boolean {
    const near = this.#near(lons_deg, lats_deg, i);
    let any = false;
    for (let k = 0; k < near.length; k++) {
      const at = near[k] as number;
      if (this.#regions[at]?.holds(lons_deg, lats_deg, i) !== true) continue;
      counts[at] = (counts[at] as number) + 1;
      any = true;
    }
    return any;
  }
}
