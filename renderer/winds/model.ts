// What the wind column draws: plain data, heights m MSL, winds [u, v] m/s, temperatures K. Made from the mission by
// `state/winds.ts`; drawn by `Chart.tsx`, on the screen and on paper alike.
import type { Curve } from '../state/stored/view.ts';
import type { Units } from '../../core/words/numbers.ts';
import type { Hemisphere } from './barbs.ts';
import type { Standing } from '../state/derived/reports.ts';

/** Where a level came from; each has a mark of its own. */
export type Origin = 'forecast' | 'file' | 'hand';

export interface ChartLevel {
  readonly key: string;
  readonly height_m: number;
  readonly from_deg: number;
  readonly speed_mps: number;
  readonly temperature_K: number | null;
  readonly origin: Origin;
  /** As a person would say it: "forecast of 00Z", "sounding-00Z.txt", "by hand". */
  readonly source: string;
  readonly struck: boolean;
}

/** The wind in force, sampled from bottom to top. */
export interface ProfilePoint {
  readonly height_m: number;
  readonly u_mps: number;
  readonly v_mps: number;
  readonly temperature_K: number | null;
  /** No level of this height or beyond stands behind it. */
  readonly extrapolated: boolean;
}

/** A height of the descent: exit, a stage's end, opening, touchdown. */
export interface HeightMark {
  readonly name: string;
  readonly height_m: number;
}

/** One standard deviation of each component, for the error band. */
export interface ErrorPoint {
  readonly height_m: number;
  readonly std_mps: number;
}

/** Metres of landing displacement for 1 m/s of error in the layer about a height. */
export interface SensitivityBar {
  readonly bottom_m: number;
  readonly top_m: number;
  readonly metresPerMps: number;
}

/**
 * A report as the column draws it: brought to ten metres above ground where it was measured lower, as the analysis
 * takes it.
 */
export interface ChartReport {
  readonly seq: number;
  readonly id: string;
  readonly height_m: number;
  readonly u_mps: number;
  readonly v_mps: number;
  readonly std_mps: number;
  readonly standing: Standing;
  readonly faded: boolean;
  /** "24 min". */
  readonly age: string;
}

export interface ChartData {
  readonly bottom_m: number;
  readonly top_m: number;
  readonly ground_m: number;
  readonly units: Units;
  readonly curve: Curve;
  readonly hemisphere: Hemisphere;
  readonly profile: readonly ProfilePoint[];
  readonly levels: readonly ChartLevel[];
  readonly marks: readonly HeightMark[];
  readonly pointed_m: number | null;
  /** Key of the level that the person chose. */
  readonly chosen: string | null;
  /** Reports at the moment, newest first, and the one that is looked at. */
  readonly reports?: readonly ChartReport[];
  readonly chosenReport?: number | null;
  /** The forecast alone, where reports changed it; the wind of another hour. */
  readonly others?: readonly { readonly kind: 'forecast' | 'beside'; readonly profile: readonly ProfilePoint[] }[];
  readonly errors?: readonly ErrorPoint[];
  readonly sensitivity?: readonly SensitivityBar[];
}
