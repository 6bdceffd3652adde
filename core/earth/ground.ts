// The ground under a descent: the terrain where there is one, else the site's level. Height m MSL.
import type { TerrainGrid } from './terrain.ts';
import { DEG_PER_RAD } from '../base/units.ts';

export class Ground {
  readonly terrain: TerrainGrid | null;
  /** Height of the site, m MSL: used outside the terrain and where it is unknown. */
  readonly site_m: number;
  /** No ground is higher than this. */
  readonly top_m: number;

  constructor(site_m: number, terrain: TerrainGrid | null = null) {
    this.site_m = site_m;
    this.terrain = terrain;
    this.top_m = Math.max(site_m, terrain?.extremes()?.max_m ?? -Infinity);
  }

  heightAt(lat_rad: number, lon_rad: number): number {
    if (this.terrain === null) return this.site_m;
    const h = this.terrain.heightAt(lon_rad * DEG_PER_RAD, lat_rad * DEG_PER_RAD);
    return h === h ? h : this.site_m;
  }
}
