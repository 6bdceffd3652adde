// The outline of everything to be kept clear of, parts that overlap as one: what is drawn on a map, where ten outlines
// across each other would hide what they are about. Turf joins the parts; it takes any plane's coordinates, here the
// metres of the scene's frame.
import { booleanPointInPolygon, featureCollection, flatten, polygon, union } from '@turf/turf';
import type { LocalFrame } from '../earth/geodesic.ts';
import type { LonLat } from '../base/units.ts';
import type { KeepClear } from './keepClear.ts';

export interface ClearOutline {
  /** The landings that it is about. */
  readonly names: readonly string[];
  /** Outer edges and holes; what lies inside an odd number of them is to be kept clear of. */
  readonly rings: readonly (readonly LonLat[])[];
}

/** Corners of one part: the area of so many is 0.01 % short of the round one's. */
const CORNERS = 240;

/** One outline for each group of parts that meet once the margin is about them. */
export function clearOutlines(clear: KeepClear, frame: LocalFrame, margin_m: number): ClearOutline[] {
  const parts = clear.ellipses.map((one, k) => {
    const ring = clear.outline(k, margin_m, CORNERS).map(([x, y]): [number, number] => [x, y]);
    return { one, shape: polygon([[...ring, ...ring.slice(0, 1)]]) };
  });
  const [first] = parts;
  if (first === undefined) return [];
  const joined = parts.length === 1 ? first.shape : union(featureCollection(parts.map(({ shape }) => shape)));
  return (joined === null ? [] : flatten(joined).features).map((outline) => {
    const within = parts.filter(({ one }) => booleanPointInPolygon([one.east, one.north], outline));
    return {
      names: [...new Set(within.map(({ one }) => one.name))],
      rings: outline.geometry.coordinates.map((ring) =>
        ring.slice(0, -1).map(([x = NaN, y = NaN]) => frame.toLonLat(x, y)),
      ),
    };
  });
}
