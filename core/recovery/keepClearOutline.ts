// The outline of everything to be kept clear of, parts that overlap as one: what is drawn on a map, where ten outlines
// across each other would hide what they are about. Metres on the plane of the scene's frame.
import type { LocalFrame } from '../earth/geodesic.ts';
import { isolines } from '../base/isolines.ts';
import type { LonLat } from '../base/units.ts';
import { KeepClear, type ClearEllipse } from './keepClear.ts';
import { nth } from '../base/nth.ts';

export interface ClearOutline {
  /** The landings that it is about. */
  readonly names: readonly string[];
  /** Outer edges and holes; what lies inside an odd number of them is to be kept clear of. */
  readonly rings: readonly (readonly LonLat[])[];
}

/** Cells along the longer side of a part. */
const CELLS = 160;

/**
 * One outline a group of parts that meet once the margin is about them.
 *
 * margin_m  at least a metre is taken: a region without a margin has no outside to be measured from
 * Error     a 160th of a part's longer side where two parts meet; elsewhere below a hundredth of that
 *           (`tests/recovery/keepClearOutline.test.ts`)
 */
export function clearOutlines(clear: KeepClear, frame: LocalFrame, margin_m: number): ClearOutline[] {
  const margin = Math.max(margin_m, 1);
  return groupsOf(clear.ellipses, margin).map((group) => ({
    names: [...new Set(group.map((one) => one.name))],
    rings: ringsOf(new KeepClear(group), margin).map((ring) => ring.map(([x, y]) => frame.toLonLat(x, y))),
  }));
}

/** Parts whose surrounding circles meet stand in one group: drawn apart they would come to the same outlines. */
function groupsOf(ellipses: readonly ClearEllipse[], margin: number): ClearEllipse[][] {
  const groups: ClearEllipse[][] = [];
  for (const one of ellipses) {
    const meets = (other: ClearEllipse): boolean =>
      Math.hypot(one.east - other.east, one.north - other.north) <= one.semiMajor_m + other.semiMajor_m + 2 * margin;
    const joined = groups.filter((group) => group.some(meets));
    for (const group of joined) groups.splice(groups.indexOf(group), 1);
    groups.push([...joined.flat(), one]);
  }
  return groups;
}

function ringsOf(clear: KeepClear, margin: number): (readonly [x: number, y: number])[][] {
  const edge = (side: 1 | -1, of: 'east' | 'north'): number =>
    side * Math.max(...clear.ellipses.map((one) => side * one[of] + one.semiMajor_m + margin));
  const [west, east, south, north] = [edge(-1, 'east'), edge(1, 'east'), edge(-1, 'north'), edge(1, 'north')];
  const step = Math.max(east - west, north - south) / CELLS;
  // A cell to spare on each side, so that every outline closes.
  const columns = Math.ceil((east - west) / step) + 3;
  const rows = Math.ceil((north - south) / step) + 3;
  const values = new Float64Array(columns * rows);
  for (let row = 0; row < rows; row++)
    for (let column = 0; column < columns; column++)
      values[row * columns + column] = clear.distance_m(west + (column - 1) * step, south + (row - 1) * step);
  const part = { column0: 0, column1: columns - 1, row0: 0, row1: rows - 1 };
  return isolines(values, columns, part, margin).map(({ points }) => {
    const ring: [number, number][] = [];
    for (let i = 0; i + 1 < points.length; i += 2)
      ring.push([west + (nth(points, i) - 1) * step, south + (nth(points, i + 1) - 1) * step]);
    return ring;
  });
}
