// What one prediction answers (FORMAT.md "What the command line answers"). Times are seconds since exit;
// heights m MSL.
import type { LonLat } from '../base/units.ts';

export interface StageResult {
  readonly name: string;
  readonly start_s: number;
  readonly end_s: number;
  readonly startHeight_m: number;
  readonly endHeight_m: number;
}

export interface Opening {
  readonly time_s: number;
  readonly position: LonLat;
  readonly height_m: number;
  readonly shock_g: number;
}

export interface Landing {
  readonly time_s: number;
  readonly position: LonLat;
  readonly elevation_m: number;
  /** Speed over the ground and rate of descent at touchdown. */
  readonly groundSpeed_mps: number;
  readonly sink_mps: number;
}

export interface Prediction {
  readonly stages: readonly StageResult[];
  readonly peak: {
    readonly speed_mps: number;
    readonly mach: number;
    readonly time_s: number;
    readonly height_m: number;
  };
  /** Null where no canopy opens. */
  readonly opening: Opening | null;
  /** Null where the descent did not end within the time limit; a warning says why. */
  readonly landing: Landing | null;
  /** [t_s, lon, lat, height_m] */
  readonly track: readonly (readonly [number, number, number, number])[];
  readonly warnings: readonly string[];
}
