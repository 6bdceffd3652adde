// A world on its way to a worker. It changes with each edit of the winds, its terrain hardly ever: that is sent when it is another one.
import type { Air, AirLevel } from './air.ts';
import type { World } from './descent/scenario.ts';
import { Ground } from './earth/ground.ts';
import type { TerrainGrid, TerrainShape } from './earth/terrain.ts';
import { assert } from './problem.ts';
import { backgroundErrors } from './winds/errors.ts';
import { WindField, type WindFieldData } from './winds/field.ts';

/** A world as plain data, but for its terrain. */
export interface WorldData {
  readonly airLevels: readonly AirLevel[];
  readonly wind: WindFieldData;
  /** Whether it stands on the terrain that was sent before. */
  readonly onTerrain: boolean;
  readonly site_m: number;
  readonly roughness_m: number;
}

/** What a worker is told of worlds. */
export type WorldAsk =
  | { readonly kind: 'terrain'; readonly shape: TerrainShape; readonly heights_m: Float32Array }
  | { readonly kind: 'world'; readonly world: number; readonly data: WorldData };

/** What some workers have been told: of each world once, of its terrain only where it is not the one before. */
export class WorldNews {
  #world: World | null = null;
  #terrain: TerrainGrid | null = null;
  #number = 0;

  /** What there is to tell, in order; nothing where this world was told last. `number` is its name from now on. */
  tell(world: World): { readonly number: number; readonly asks: readonly WorldAsk[] } {
    if (world === this.#world) return { number: this.#number, asks: [] };
    this.#world = world;
    this.#number += 1;
    const asks: WorldAsk[] = [];
    const { terrain } = world.ground;
    if (terrain !== null && terrain !== this.#terrain) {
      this.#terrain = terrain;
      asks.push({ kind: 'terrain', shape: shapeOf(terrain), heights_m: terrain.heights_m });
    }
    asks.push({ kind: 'world', world: this.#number, data: packWorld(world) });
    return { number: this.#number, asks };
  }
}

const shapeOf = ({ west_deg, north_deg, stepLon_deg, stepLat_deg, columns, rows }: TerrainGrid): TerrainShape => ({
  west_deg,
  north_deg,
  stepLon_deg,
  stepLat_deg,
  columns,
  rows,
});

function packWorld(world: World): WorldData {
  const { heights_m, times_s, lats_rad, lons_rad, u_mps, v_mps, bottoms_m, tops_m, isAssumedCalm } = world.wind;
  // What the columns said is for showing; that nobody gave a wind at all is more than the calm's numbers.
  const columns = isAssumedCalm ? world.wind.columns : [];
  return {
    airLevels: world.air.levels,
    wind: { heights_m, times_s, lats_rad, lons_rad, u_mps, v_mps, bottoms_m, tops_m, columns },
    onTerrain: world.ground.terrain !== null,
    site_m: world.ground.site_m,
    roughness_m: world.roughness_m,
  };
}

/**
 * The world of the other side. The error of the wind crosses with each ensemble, so none is needed here.
 *
 * terrain  that was sent last
 * air      of the same levels, where there is one already: its tables take some milliseconds to make
 */
export function unpackWorld(data: WorldData, terrain: TerrainGrid | null, air: Air): World {
  assert(!data.onTerrain || terrain !== null, 'the terrain of a world was sent before it');
  return {
    air,
    wind: new WindField(data.wind),
    ground: new Ground(data.site_m, data.onTerrain ? terrain : null),
    roughness_m: data.roughness_m,
    errors: backgroundErrors(),
    analysis: null,
  };
}
