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

/**
 * Corners of one part: the area of so many is 0.01 % short of the round one's. With the next number where turf's union
 * throws, as it does where edges nearly meet ("Unable to complete output ring": 4 of 1500 random groups of three to
 * five ellipses): other corners meet elsewhere.
 */
const CORNERS = [240, 239, 241, 238];

/** One outline for each group of parts that meet once the margin is about them. */
export function clearOutlines(clear: KeepClear, frame: LocalFrame, margin_m: number): ClearOutline[] {
  return joinedParts(clear, margin_m).map((outline) => {
    const within = clear.ellipses.filter((one) => booleanPointInPolygon([one.east, one.north], outline));
    return {
      names: [...new Set(within.map((one) => one.name))],
      rings: outline.geometry.coordinates.map((ring) =>
        ring.slice(0, -1).map(([x = NaN, y = NaN]) => frame.toLonLat(x, y)),
      ),
    };
  });
}

type Part = ReturnType<typeof polygon>;

function partsOf(clear: KeepClear, margin_m: number, corners: number): Part[] {
  return clear.ellipses.map((_, k) => {
    const ring = clear.outline(k, margin_m, corners).map(([x, y]): [number, number] => [x, y]);
    return polygon([[...ring, ...ring.slice(0, 1)]]);
  });
}

/** Should no number of corners serve, the parts stand as they are: what is kept clear is the same. */
function joinedParts(clear: KeepClear, margin_m: number): Part[] {
  let parts: Part[] = [];
  for (const corners of CORNERS) {
    parts = partsOf(clear, margin_m, corners);
    if (parts.length < 2) return parts;
    try {
      const joined = union(featureCollection(parts));
      return joined === null ? [] : flatten(joined).features;
    } catch {
      continue;
    }
  }
  return parts;
}
