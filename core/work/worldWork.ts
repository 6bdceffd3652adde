// A world on its way to a worker. It changes with each edit of the winds, its terrain hardly ever and its air seldom:
// those are sent when they are others.
import type { Air, AirLevel } from '../air/air.ts';
import type { World } from '../descent/scenario.ts';
import { Ground } from '../earth/ground.ts';
import type { TerrainGrid, TerrainShape } from '../earth/terrain.ts';
import { assert } from '../base/problem.ts';
import { backgroundErrors, type ErrorInput } from '../winds/errors.ts';
import { WindField, type WindFieldData } from '../winds/field.ts';

/** A world as plain data, but for its air, which was sent before it, and its terrain. */
export interface WorldData {
  readonly wind: WindFieldData;
  /** Whether it stands on the terrain that was sent before. */
  readonly onTerrain: boolean;
  readonly site_m: number;
  readonly roughness_m: number;
  readonly lacking: readonly string[];
  readonly errors: ErrorInput;
}

/** What a worker is told of worlds. */
export type WorldAsk =
  | { readonly kind: 'terrain'; readonly shape: TerrainShape; readonly heights_m: Float32Array }
  /** A row of AIR_WIDTH numbers a level. */
  | { readonly kind: 'air'; readonly rows: Float64Array }
  | { readonly kind: 'world'; readonly world: number; readonly data: WorldData };

/** What some workers have been told: of each world once, of its terrain only where it is not the one before. */
export class WorldNews {
  #world: World | null = null;
  #terrain: TerrainGrid | null = null;
  #air: Float64Array | null = null;
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
      asks.push({ kind: 'terrain', ...packTerrain(terrain) });
    }
    const rows = packAir(world.air.levels);
    if (this.#air === null || !sameNumbers(this.#air, rows)) asks.push({ kind: 'air', rows });
    this.#air = rows;
    asks.push({ kind: 'world', world: this.#number, data: packWorld(world) });
    return { number: this.#number, asks };
  }
}

export function packTerrain(terrain: TerrainGrid): { readonly shape: TerrainShape; readonly heights_m: Float32Array } {
  const { west_deg, north_deg, stepLon_deg, stepLat_deg, columns, rows, heights_m } = terrain;
  return { shape: { west_deg, north_deg, stepLon_deg, stepLat_deg, columns, rows }, heights_m };
}

/** Height m MSL, K, Pa, and the dew point K or NaN. */
const AIR_WIDTH = 4;

const packAir = (levels: readonly AirLevel[]): Float64Array =>
  Float64Array.from(
    levels.flatMap((level) => [level.height_m, level.temperature_K, level.pressure_Pa, level.dewPoint_K ?? NaN]),
  );

export const unpackAir = (rows: Float64Array): AirLevel[] =>
  Array.from({ length: rows.length / AIR_WIDTH }, (_, i) => {
    const [height_m = NaN, temperature_K = NaN, pressure_Pa = NaN, dewPoint_K = NaN] = rows.subarray(
      AIR_WIDTH * i,
      AIR_WIDTH * (i + 1),
    );
    return { height_m, temperature_K, pressure_Pa, dewPoint_K: dewPoint_K === dewPoint_K ? dewPoint_K : undefined };
  });

const sameNumbers = (a: Float64Array, b: Float64Array): boolean =>
  a.length === b.length && a.every((x, i) => Object.is(x, b[i]));

function packWorld(world: World): WorldData {
  const { heights_m, times_s, lats_rad, lons_rad, u_mps, v_mps, bottoms_m, tops_m, facts, isAssumedCalm } = world.wind;
  // What the columns said is for showing; that nobody gave a wind at all is more than the calm's numbers.
  const columns = isAssumedCalm ? world.wind.columns : [];
  return {
    wind: { heights_m, times_s, lats_rad, lons_rad, u_mps, v_mps, bottoms_m, tops_m, facts, columns },
    onTerrain: world.ground.terrain !== null,
    site_m: world.ground.site_m,
    roughness_m: world.roughness_m,
    lacking: world.lacking ?? [],
    errors: world.errors.made,
  };
}

/**
 * The world of the other side.
 *
 * terrain, air  that were sent last
 */
export function unpackWorld(data: WorldData, terrain: TerrainGrid | null, air: Air | null): World {
  assert(air !== null, 'the air of a world was sent before it');
  assert(!data.onTerrain || terrain !== null, 'the terrain of a world was sent before it');
  return {
    air,
    wind: new WindField(data.wind),
    ground: new Ground(data.site_m, data.onTerrain ? terrain : null),
    roughness_m: data.roughness_m,
    lacking: data.lacking,
    errors: backgroundErrors(data.errors),
    analysis: null,
  };
}
