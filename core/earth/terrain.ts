// The ground: heights m MSL on a regular longitude-latitude grid, read between its nodes bilinearly. Files in other projections
// are brought to this grid by their reader (`formats/geotiff.ts`); outside the grid, and where it holds NaN, there is no terrain.

export interface TerrainShape {
  /** Longitude of the first column and latitude of the first row: nodes (cell centres), not cell edges. Degrees. */
  readonly west_deg: number;
  readonly north_deg: number;
  /** Steps between nodes, both positive: columns run east, rows run south. */
  readonly stepLon_deg: number;
  readonly stepLat_deg: number;
  readonly columns: number;
  readonly rows: number;
}

export class TerrainGrid implements TerrainShape {
  readonly west_deg: number;
  readonly north_deg: number;
  readonly stepLon_deg: number;
  readonly stepLat_deg: number;
  readonly columns: number;
  readonly rows: number;
  /** m MSL, row by row from the north; NaN where unknown. */
  readonly heights_m: Float32Array;

  constructor(shape: TerrainShape, heights_m: Float32Array) {
    this.west_deg = shape.west_deg;
    this.north_deg = shape.north_deg;
    this.stepLon_deg = shape.stepLon_deg;
    this.stepLat_deg = shape.stepLat_deg;
    this.columns = shape.columns;
    this.rows = shape.rows;
    this.heights_m = heights_m;
  }

  /** Height m MSL at a place, bilinear between the four nodes about it; NaN outside the grid or beside an unknown node. */
  heightAt(lon_deg: number, lat_deg: number): number {
    const x = (lon_deg - this.west_deg) / this.stepLon_deg;
    const y = (this.north_deg - lat_deg) / this.stepLat_deg;
    if (!(x >= 0 && y >= 0 && x <= this.columns - 1 && y <= this.rows - 1)) return NaN;
    const i = Math.min(Math.floor(x), this.columns - 2);
    const j = Math.min(Math.floor(y), this.rows - 2);
    const fx = x - i;
    const fy = y - j;
    const at = j * this.columns + i;
    const h = this.heights_m;
    const top = (h[at] ?? NaN) * (1 - fx) + (h[at + 1] ?? NaN) * fx;
    const bottom = (h[at + this.columns] ?? NaN) * (1 - fx) + (h[at + this.columns + 1] ?? NaN) * fx;
    return top * (1 - fy) + bottom * fy;
  }
}
