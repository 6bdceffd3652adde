// How somebody in the water drifts: with the current, and before the wind. Velocities [east, north] m/s on the plane of
// a local frame; metres, seconds. Nothing is counted where the plan gives no current.
import type { LonLat } from '../base/units.ts';
import { MPS_PER_KT, RAD_PER_DEG, toward_deg } from '../base/units.ts';
import type { Point } from '../earth/plane.ts';
import type { Mission } from '../plan/schema.ts';
import { distance } from '../words/lengths.ts';
import { percent } from '../words/numbers.ts';
import { directionWords, speed } from '../words/winds.ts';
import type { Water } from './water.ts';

interface Leeway {
  /** Of the wind 10 m up, and what comes on top in any wind. */
  readonly share: number;
  readonly offset_mps: number;
}

/**
 * A person's leeway. source: A. Allen and J. Plourde, Review of Leeway, USCG R&D Center CG-D-08-99 (1999), table 8-1:
 * person in water; that table is the one of the IAMSAR manual; mark M.
 */
const LEEWAY: Readonly<Record<NonNullable<Mission['jumper']['flotation']> | 'unknown', Leeway>> = {
  // "Unknown state", and for what the table does not have.
  unknown: { share: 0.011, offset_mps: 0.07 * MPS_PER_KT },
  other: { share: 0.011, offset_mps: 0.07 * MPS_PER_KT },
  // "Vertical", "sitting", "horizontal, survival suit".
  none: { share: 0.005, offset_mps: 0.07 * MPS_PER_KT },
  'life jacket': { share: 0.012, offset_mps: 0 },
  'immersion suit': { share: 0.014, offset_mps: 0.1 * MPS_PER_KT },
};

/** The probable error of a drift, as a share of it: half of all lie within it. source: IAMSAR vol. II; mark M. */
export const DRIFT_ERROR = 0.3;

export interface Drift {
  readonly velocity: readonly [east_mps: number, north_mps: number];
  readonly speed_mps: number;
  readonly toward_deg: number;
  /** What it is made of. */
  readonly how: string;
}

/** `wind`: the air's motion 10 m above the water. Null where the plan gives no current. */
export function driftOf({ water, jumper }: Mission, wind: readonly [u: number, v: number]): Drift | null {
  const current = water?.current;
  if (current === undefined) return null;
  const { share, offset_mps } = LEEWAY[jumper.flotation ?? 'unknown'];
  const wind_mps = Math.hypot(...wind);
  const leeway_mps = wind_mps > 0 ? share * wind_mps + offset_mps : 0;
  const before = (k: 0 | 1): number => (wind_mps > 0 ? (leeway_mps * wind[k]) / wind_mps : 0);
  const angle = current.toward_deg * RAD_PER_DEG;
  const east = current.speed_mps * Math.sin(angle) + before(0);
  const north = current.speed_mps * Math.cos(angle) + before(1);
  const set = `current ${speed(current.speed_mps, undefined, 1)} toward ${directionWords(current.toward_deg)}`;
  const blown = `leeway ${speed(leeway_mps, undefined, 2)}, ${percent(share, 1)} of the wind`;
  return {
    velocity: [east, north],
    speed_mps: Math.hypot(east, north),
    toward_deg: toward_deg(east, north),
    how: `${set}; ${blown}${offset_mps > 0 ? ' and its least' : ''} (Allen and Plourde 1999)`,
  };
}

export interface Drifted {
  readonly at: Point;
  readonly away_m: number;
  /** Whether it has come to the shore on its way, and lies there. */
  readonly ashore: boolean;
}

/** Where somebody is who has drifted for so long; no farther than to the shore. */
export function driftedTo(water: Water, { velocity }: Drift, from: Point, for_s: number): Drifted {
  const s = Math.max(0, for_s);
  const to: Point = [from[0] + s * velocity[0], from[1] + s * velocity[1]];
  const away_m = s * Math.hypot(...velocity);
  const shore = water.firstShore(from, to);
  if (shore === null || !(away_m > 0)) return { at: to, away_m, ashore: false };
  // A hand before the shore, so that boats come to it.
  const f = Math.max(0, shore - 2 / away_m);
  return { at: [from[0] + f * (to[0] - from[0]), from[1] + f * (to[1] - from[1])], away_m: f * away_m, ashore: true };
}

/** "0.6 m/s toward 088° (east), 340 m in 10 min". */
export const driftWords = ({ speed_mps, toward_deg: toward }: Drift): string =>
  `${speed(speed_mps, undefined, 1)} toward ${directionWords(toward)}, ${distance(600 * speed_mps)} in 10 min`;

export const NO_DRIFT = 'drift is not counted: the plan gives no current';

/** Where a crew meets somebody who drifts from a place. */
export interface Meeting {
  readonly position: LonLat;
  readonly away_m: number;
  /** After the touchdown. */
  readonly after_s: number;
  readonly ashore: boolean;
}
