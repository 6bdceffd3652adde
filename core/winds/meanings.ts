// What a report may mean in place of what it says: turned round, in other units, at another height, from magnetic
// north.
import { M_PER_FT, MPS_PER_KT, RAD_PER_DEG } from '../base/units.ts';
import { never } from '../base/problem.ts';
import type { Observation } from './analysis.ts';

export type MixUp =
  | 'from and toward'
  | 'knots for m/s'
  | 'm/s for knots'
  | 'feet for metres'
  | 'metres for feet'
  | 'MSL for AGL'
  | 'AGL for MSL'
  | 'magnetic for true';

export type SuspicionKind = MixUp | 'misfit';

/** Why a report is held back; a height below the ground shows without any other report. */
export type HeldKind = SuspicionKind | 'below the ground';

/** Whether a report may count as it stands: there is no air below the ground. */
export const isConfirmable = (kind: HeldKind): boolean => kind !== 'below the ground';

/** What the meanings depend on beside the report. */
export interface MeaningInput {
  readonly siteElevation_m: number;
  /** East positive; null where unknown. */
  readonly declination_deg: number | null;
}

/** Another meaning of a report: the wind it would be, where, and by how much its numbers were stretched. */
export interface Meaning {
  readonly kind: MixUp;
  readonly u: number;
  readonly v: number;
  readonly height_m: number;
  readonly scale: number;
}

/** Smaller declinations hide in the error of any report. */
const SMALLEST_DECLINATION_DEG = 5;
/** Nearer to the ground than this a wrong height is a wrong reading of another kind. */
const LOWEST_MIX_UP_M = 300;
/** Sites lower than this cannot tell MSL from AGL by the wind. */
const SMALLEST_ELEVATION_M = 150;

const MIX_UPS: readonly MixUp[] = [
  'from and toward',
  'knots for m/s',
  'm/s for knots',
  'magnetic for true',
  'feet for metres',
  'metres for feet',
  'AGL for MSL',
  'MSL for AGL',
];

/** The kinds that a report can be taken for. */
export const mixUpsOf = (of: Observation, input: MeaningInput): readonly MixUp[] =>
  MIX_UPS.filter((kind) => meaningAs(kind, of, input) !== null);

/** A report read as a mix-up of a kind; null where that kind cannot be, or could not be told. */
export function meaningAs(kind: MixUp, of: Observation, input: MeaningInput): Meaning | null {
  const { u_mps: u, v_mps: v, height_m, aboveGround_m } = of;
  const { siteElevation_m, declination_deg } = input;
  const high = height_m - siteElevation_m > LOWEST_MIX_UP_M;
  const scaled = (scale: number): Meaning => ({ kind, u: u * scale, v: v * scale, height_m, scale });
  const lifted = (to_m: number, possible: boolean): Meaning | null =>
    high && possible ? { kind, u, v, height_m: to_m, scale: 1 } : null;
  // Feet and metres are mixed up from the reference that the report names.
  const base = aboveGround_m === undefined ? 0 : height_m - aboveGround_m;
  const tall = siteElevation_m >= SMALLEST_ELEVATION_M;
  switch (kind) {
    case 'from and toward':
      return { kind, u: -u, v: -v, height_m, scale: 1 };
    case 'knots for m/s':
      return scaled(MPS_PER_KT);
    case 'm/s for knots':
      return scaled(1 / MPS_PER_KT);
    case 'magnetic for true': {
      if (declination_deg === null || Math.abs(declination_deg) < SMALLEST_DECLINATION_DEG) return null;
      const [c, s] = [Math.cos(declination_deg * RAD_PER_DEG), Math.sin(declination_deg * RAD_PER_DEG)];
      // Clockwise, as directions count.
      return { kind, u: u * c + v * s, v: v * c - u * s, height_m, scale: 1 };
    }
    case 'feet for metres':
      return lifted(base + (height_m - base) * M_PER_FT, true);
    case 'metres for feet':
      return lifted(base + (height_m - base) / M_PER_FT, true);
    case 'AGL for MSL':
      return lifted(height_m + siteElevation_m, tall && aboveGround_m === undefined);
    case 'MSL for AGL':
      return lifted(height_m - siteElevation_m, tall && aboveGround_m !== undefined);
    default:
      return never(kind);
  }
}
