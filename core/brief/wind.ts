// The surface wind as a brief says it: FROM, and the landmark that it blows toward.
import type { Mission } from '../plan/schema.ts';
import { landmarksOf } from '../plan/places.ts';
import { windFrom, wrap360, type LonLat } from '../base/units.ts';
import { landmarkToward } from '../words/places.ts';
import { isCalm, octant, windWords } from '../words/winds.ts';

export interface BriefWind {
  readonly from_deg: number;
  readonly speed_mps: number;
  /** The landmark on the side that it blows to, or the octant's word. */
  readonly toward: string;
}

export function windOf([u, v]: readonly [number, number], place: LonLat, mission: Mission): BriefWind {
  const { from_deg, speed_mps } = windFrom(u, v);
  const to_deg = wrap360(from_deg + 180);
  return {
    from_deg,
    speed_mps,
    toward: landmarkToward(landmarksOf(mission), place, to_deg) ?? `the ${octant(to_deg)}`,
  };
}

/** "FROM 310° (north-west), 3.6 m/s (7 kt), blowing toward Tamber bed". */
export const windLine = ({ from_deg, speed_mps, toward }: BriefWind): string =>
  isCalm(speed_mps) ? 'calm' : `${windWords(from_deg, speed_mps).replace('from', 'FROM')}, blowing toward ${toward}`;
