// The hillshade: how far each node of a terrain grid goes from the map's plain ground to its shaded one. Light from the
// upper left of the map, as maps have it so that hills do not read as holes (common practice): azimuth 315°, 45° up.
import type { TerrainGrid } from '../../core/earth/terrain.ts';
import type { GridPart } from '../../core/base/isolines.ts';
import { stepMetres } from './pyramid.ts';
import { numberAt } from '../../core/base/nth.ts';

const LIGHT_EAST = -0.5;
const LIGHT_NORTH = 0.5;
const LIGHT_UP = Math.SQRT1_2;
/** Level ground takes this much of the shaded tone, so that lit slopes can stand out against it. */
const LEVEL_GROUND = 0.3;
const GAIN = 1.5;

/**
 * Slopes are stretched so that a plain shows its folds and a mountain does not turn black; a shade is read as form,
 * never as an angle.
 */
export function exaggeration(rmsSlope: number): number {
  return rmsSlope > 0 ? Math.min(Math.max(0.3 / rmsSlope, 1), 8) : 1;
}

/**
 * Shade of each node of a part, row by row, both ends held: 0 the plain ground, 255 the shaded one. Unknown height: −1.
 *
 * lit   'dark' shades what faces away from the light (day), 'bright' what faces it (night, on a near-black ground)
 */
export function shadeOf(grid: TerrainGrid, part: GridPart, stretch: number, lit: 'dark' | 'bright'): Int16Array {
  const width = part.column1 - part.column0 + 1;
  const out = new Int16Array(width * (part.row1 - part.row0 + 1));
  const h = grid.heights_m;
  const sign = lit === 'dark' ? -1 : 1;
  let k = 0;
  for (let row = part.row0; row <= part.row1; row++) {
    const { x_m, y_m } = stepMetres(grid, grid.north_deg - row * grid.stepLat_deg);
    const north = Math.max(row - 1, 0) * grid.columns;
    const south = Math.min(row + 1, grid.rows - 1) * grid.columns;
    const here = row * grid.columns;
    for (let column = part.column0; column <= part.column1; column++) {
      const west = Math.max(column - 1, 0);
      const east = Math.min(column + 1, grid.columns - 1);
      const dx = (stretch * (numberAt(h, here + east) - numberAt(h, here + west))) / (x_m * Math.max(east - west, 1));
      const dy = (stretch * (numberAt(h, north + column) - numberAt(h, south + column))) / (2 * y_m);
      const light = (LIGHT_UP - LIGHT_EAST * dx - LIGHT_NORTH * dy) / Math.sqrt(1 + dx * dx + dy * dy);
      const shade = LEVEL_GROUND + sign * GAIN * (Math.max(light, 0) - LIGHT_UP);
      out[k++] = Number.isNaN(shade) ? -1 : Math.round(255 * Math.min(Math.max(shade, 0), 1));
    }
  }
  return out;
}
