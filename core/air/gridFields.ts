// One quantity of a gridded forecast on one level at one time: what the readers of GRIB2 and netCDF hand over.
import type { Mesh } from './mesh.ts';

/** `height_gpm`: geopotential metres; `height_m`: geometric ones. */
export type Quantity = 'u_mps' | 'v_mps' | 'height_gpm' | 'height_m' | 'temperature_K';

/** `value`: Pa, m above the sea, m above the ground, or the number of a model level. */
export interface FieldLevel {
  readonly kind: 'pressure' | 'above sea' | 'above ground' | 'ground' | 'model';
  readonly value: number;
}

/** One field of a source. The values are decoded when they are asked for, and not kept here. */
export interface GridField {
  readonly quantity: Quantity;
  readonly level: FieldLevel;
  /** Seconds since 1970; null where the file does not say. */
  readonly valid_s: number | null;
  /** When the forecast was run; of two fields for one moment the later run counts. Null where the file does not say. */
  readonly run_s: number | null;
  /** Who made it, without the run: what tells one source of the file from another. */
  readonly source: string;
  readonly mesh: Mesh;
  /** u and v point along the mesh's axes. */
  readonly alongGrid: boolean;
  /** Values at positions of the file's order; NaN where missing; a sentence where they cannot be read. */
  valuesAt(at: Int32Array): Float64Array | string;
}
