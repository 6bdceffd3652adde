// The display's projection: spherical Mercator, as Leaflet's default has it, in units of the world's width (x east from
// 180° W, y south from the top). For drawing only: every distance that is shown comes from `core/earth/geodesic.ts`.
import { DEG_PER_RAD, RAD_PER_DEG, wrap180, type LonLat } from '../../core/base/units.ts';

/** Beyond this latitude the square Mercator world ends; places nearer a pole are drawn at its edge. */
const LATITUDE_MAX_DEG = 85.0511287798;

export const worldX = (lon_deg: number): number => lon_deg / 360 + 0.5;

export function worldY(lat_deg: number): number {
  const lat = Math.min(Math.max(lat_deg, -LATITUDE_MAX_DEG), LATITUDE_MAX_DEG) * RAD_PER_DEG;
  return 0.5 - Math.asinh(Math.tan(lat)) / (2 * Math.PI);
}

export const lonAt = (x: number): number => (x - 0.5) * 360;
export const latAt = (y: number): number => Math.atan(Math.sinh((0.5 - y) * 2 * Math.PI)) * DEG_PER_RAD;

/**
 * What a canvas shows: its size in CSS px, device px per CSS px, the world's width in CSS px, and the world px at its
 * upper left corner.
 */
export interface Screen {
  readonly width: number;
  readonly height: number;
  readonly ratio: number;
  readonly scale: number;
  readonly left: number;
  readonly top: number;
}

export const screenX = (screen: Screen, lon_deg: number): number => worldX(lon_deg) * screen.scale - screen.left;
export const screenY = (screen: Screen, lat_deg: number): number => worldY(lat_deg) * screen.scale - screen.top;

/** The place under a point of the screen; the longitude runs on past 180° as the screen does. */
export function placeAt(screen: Screen, x: number, y: number): LonLat {
  return [lonAt((x + screen.left) / screen.scale), latAt((y + screen.top) / screen.scale)];
}

/** The longitude that is the same meridian and nearest to `near_deg`: what keeps a line whole across 180°. */
export function unwrapLon(lon_deg: number, near_deg: number): number {
  return near_deg + wrap180(lon_deg - near_deg);
}

/** A place as the world writes it: longitude in (−180, 180]. */
export const wrapPlace = (place: LonLat): LonLat => [wrap180(place[0]), place[1]];

/**
 * A line in world units (x, y, x, y, …), each point on the side of its predecessor, so that the date line does not
 * cut it. The first point is taken on the side of `near_deg`.
 */
export function worldLine(line: readonly LonLat[], near_deg: number): Float64Array {
  const out = new Float64Array(line.length * 2);
  let near = near_deg;
  line.forEach((place, i) => {
    near = unwrapLon(place[0], near);
    out[2 * i] = worldX(near);
    out[2 * i + 1] = worldY(place[1]);
  });
  return out;
}

/**
 * Packed places (lon, lat, lon, lat, …) in world units, each on the side of `near_deg`. Float64: at the scale of a
 * field a Float32 world is too coarse.
 */
export function worldPoints(lonLat: Float32Array | Float64Array, near_deg: number): Float64Array {
  const out = new Float64Array(lonLat.length - (lonLat.length % 2));
  for (let i = 0; i < out.length; i += 2) {
    out[i] = worldX(unwrapLon(lonLat[i] ?? NaN, near_deg));
    out[i + 1] = worldY(lonLat[i + 1] ?? NaN);
  }
  return out;
}

/**
 * World coordinates of lines and clouds, computed once for each array: scenes share what did not change, so a frame
 * of a drag only projects what moved. One cache serves one `near_deg`.
 */
export class WorldCache {
  readonly near_deg: number;
  readonly #known = new WeakMap<object, Float64Array>();
  readonly #derived = new WeakMap<object, readonly LonLat[]>();

  constructor(near_deg: number) {
    this.near_deg = near_deg;
  }

  line(line: readonly LonLat[]): Float64Array {
    return this.#once(line, () => worldLine(line, this.near_deg));
  }

  points(lonLat: Float32Array | Float64Array): Float64Array {
    return this.#once(lonLat, () => worldPoints(lonLat, this.near_deg));
  }

  /**
   * A line made from something else (an ellipse's outline), once for each source: the same array for the same source.
   */
  derived(source: object, make: () => readonly LonLat[]): readonly LonLat[] {
    const known = this.#derived.get(source);
    if (known !== undefined) return known;
    const made = make();
    this.#derived.set(source, made);
    return made;
  }

  #once(key: object, make: () => Float64Array): Float64Array {
    const known = this.#known.get(key);
    if (known !== undefined) return known;
    const made = make();
    this.#known.set(key, made);
    return made;
  }
}
