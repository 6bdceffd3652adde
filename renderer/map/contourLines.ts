// Contour lines of the terrain for the map: which interval suits a scale, and the lines of one block of a terrain grid
// in world units. Heights m MSL inside; the interval is round in the unit that the person reads.
import type { TerrainGrid } from '../../core/earth/terrain.ts';
import { M_PER_FT } from '../../core/base/units.ts';
import { isolines, type GridPart } from '../../core/base/isolines.ts';
import { worldX, worldY } from './projection.ts';

export interface ContourInterval {
  /** m between lines. */
  readonly step_m: number;
  /** Every how manieth line is drawn heavier and carries its height. */
  readonly indexEvery: number;
}

export interface ContourLine {
  readonly height_m: number;
  readonly index: boolean;
  readonly closed: boolean;
  /** World units, x, y, x, y, … */
  readonly world: Float64Array;
}

const ROUND = [1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000] as const;
/** CSS px between lines on the terrain's ordinary slope: closer than this they read as a grey. */
const SPACING_PX = 34;

/**
 * The smallest round interval whose lines stand `SPACING_PX` apart on an ordinary slope; null where the ground is flat
 * to the metre.
 */
export function contourInterval(rmsSlope: number, metresPerPx: number, unit: 'm' | 'ft'): ContourInterval | null {
  const wanted_m = SPACING_PX * metresPerPx * rmsSlope;
  if (!(wanted_m > 0)) return null;
  const unit_m = unit === 'm' ? 1 : M_PER_FT;
  const least = unit === 'm' ? 1 : 5;
  const step = ROUND.find((value) => value >= least && value * unit_m >= wanted_m) ?? 5000;
  return { step_m: step * unit_m, indexEvery: 5 };
}

/**
 * Every contour line that crosses a part of a grid. Parts that share their border nodes give lines that meet there.
 *
 * west_deg   the grid's first column, on the side of 180° that the map is on
 */
export function contourLines(
  grid: TerrainGrid,
  part: GridPart,
  interval: ContourInterval,
  west_deg: number,
): ContourLine[] {
  const [low, high] = range(grid, part);
  const lines: ContourLine[] = [];
  if (!(high > low)) return lines;
  const first = Math.ceil(low / interval.step_m);
  const last = Math.floor(high / interval.step_m);
  // 400 lines through one block would be a black square; a cliff of bad data must not cost the frame either.
  const stride = Math.max(1, Math.ceil((last - first) / 400));
  for (let k = first; k <= last; k += stride) {
    const height_m = k * interval.step_m;
    for (const line of isolines(grid.heights_m, grid.columns, part, height_m)) {
      if (line.points.length < 4) continue;
      const index = k % interval.indexEvery === 0;
      lines.push({ height_m, index, closed: line.closed, world: toWorld(grid, line.points, west_deg) });
    }
  }
  return lines;
}

function range(grid: TerrainGrid, part: GridPart): [low: number, high: number] {
  let low = Infinity;
  let high = -Infinity;
  for (let row = part.row0; row <= part.row1; row++) {
    for (let column = part.column0; column <= part.column1; column++) {
      const height = grid.heights_m[row * grid.columns + column] ?? NaN;
      if (height < low) low = height;
      if (height > high) high = height;
    }
  }
  return [low, high];
}

function toWorld(grid: TerrainGrid, points: Float64Array, west_deg: number): Float64Array {
  const out = new Float64Array(points.length);
  for (let i = 0; i < points.length; i += 2) {
    out[i] = worldX(west_deg + (points[i] ?? NaN) * grid.stepLon_deg);
    out[i + 1] = worldY(grid.north_deg - (points[i + 1] ?? NaN) * grid.stepLat_deg);
  }
  return out;
}
