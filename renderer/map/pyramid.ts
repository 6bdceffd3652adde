// Terrain at halved resolutions, each made once and kept: level 0 is the grid itself, every next one averages 2 × 2
// nodes. A map that is zoomed out reads a coarse level, so the cost of drawing depends on the screen and not on the
// terrain's size.
import { TerrainGrid } from '../../core/earth/terrain.ts';
import { RAD_PER_DEG } from '../../core/base/units.ts';
import { numberAt } from '../../core/base/nth.ts';

/**
 * Metres to a degree of latitude, to half a per cent: good enough to shade a hill, and used for nothing that is read as
 * a number.
 */
const M_PER_DEG = 111_320;

export class Pyramid {
  readonly #levels: TerrainGrid[];
  readonly #slopes = new Map<number, number>();

  constructor(terrain: TerrainGrid) {
    this.#levels = [terrain];
  }

  /** The coarsest level still has four nodes a side. */
  level(wanted: number): TerrainGrid {
    for (let level = this.#levels.length; level <= wanted; level++) {
      const finer = this.#finest(level - 1);
      if (finer.columns < 8 || finer.rows < 8) return finer;
      this.#levels.push(halved(finer));
    }
    return this.#finest(wanted);
  }

  /**
   * The level whose nodes stand nearest to `px` apart at a scale (the world's width in px); never finer than the grid
   * is.
   */
  levelFor(scale: number, px: number): number {
    const finest_px = (this.#finest(0).stepLon_deg / 360) * scale;
    const wanted = Math.max(0, Math.round(Math.log2(px / finest_px)));
    this.level(wanted);
    return Math.min(wanted, this.#levels.length - 1);
  }

  /**
   * Root mean square slope of a level, rise over run: tells how much to exaggerate the shade and how far apart contours
   * should be.
   */
  slope(level: number): number {
    const known = this.#slopes.get(level);
    if (known !== undefined) return known;
    const slope = rmsSlope(this.level(level));
    this.#slopes.set(level, slope);
    return slope;
  }

  #finest(level: number): TerrainGrid {
    const grid = this.#levels[Math.min(level, this.#levels.length - 1)];
    if (grid === undefined) throw new Error('broken promise: a pyramid has at least its base');
    return grid;
  }
}

/** Metres between a grid's columns and rows at a latitude. */
export function stepMetres(grid: TerrainGrid, lat_deg: number): { x_m: number; y_m: number } {
  return {
    x_m: grid.stepLon_deg * M_PER_DEG * Math.max(Math.cos(lat_deg * RAD_PER_DEG), 0.01),
    y_m: grid.stepLat_deg * M_PER_DEG,
  };
}

/**
 * A grid of half the nodes a side, each the mean of the known among four; nodes lie in the middle of those they stand
 * for.
 */
export function halved(grid: TerrainGrid): TerrainGrid {
  const columns = grid.columns >> 1;
  const rows = grid.rows >> 1;
  const out = new Float32Array(columns * rows);
  const h = grid.heights_m;
  for (let row = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++) {
      const at = 2 * row * grid.columns + 2 * column;
      const a = numberAt(h, at);
      const b = numberAt(h, at + 1);
      const c = numberAt(h, at + grid.columns);
      const d = numberAt(h, at + grid.columns + 1);
      const all = (a + b + c + d) / 4;
      out[row * columns + column] = Number.isNaN(all) ? meanKnown(a, b, c, d) : all;
    }
  }
  const shape = {
    west_deg: grid.west_deg + grid.stepLon_deg / 2,
    north_deg: grid.north_deg - grid.stepLat_deg / 2,
    stepLon_deg: grid.stepLon_deg * 2,
    stepLat_deg: grid.stepLat_deg * 2,
    columns,
    rows,
  };
  return new TerrainGrid(shape, out);
}

function meanKnown(...four: readonly number[]): number {
  const known = four.filter((height) => !Number.isNaN(height));
  return known.length === 0 ? NaN : known.reduce((sum, height) => sum + height, 0) / known.length;
}

function rmsSlope(grid: TerrainGrid): number {
  // At most some 10 000 nodes are looked at: the mean does not need more.
  const stride = Math.max(1, Math.floor(Math.sqrt((grid.columns * grid.rows) / 10_000)));
  let sum = 0;
  let count = 0;
  for (let row = 0; row + 1 < grid.rows; row += stride) {
    const { x_m, y_m } = stepMetres(grid, grid.north_deg - row * grid.stepLat_deg);
    for (let column = 0; column + 1 < grid.columns; column += stride) {
      const at = row * grid.columns + column;
      const here = numberAt(grid.heights_m, at);
      const east = (numberAt(grid.heights_m, at + 1) - here) / x_m;
      const south = (numberAt(grid.heights_m, at + grid.columns) - here) / y_m;
      const square = east * east + south * south;
      if (!Number.isFinite(square)) continue;
      sum += square;
      count += 1;
    }
  }
  return count === 0 ? 0 : Math.sqrt(sum / count);
}
