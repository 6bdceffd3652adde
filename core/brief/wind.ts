// The surface wind as a brief says it: FROM, and the landmark that it blows toward.
import type { Mission } from '../plan/schema.ts';
import { landmarksOf } from '../plan/places.ts';
import { windFrom, wrap360, type LonLat } from '../base/units.ts';
import { landmarkToward } from '../words/places.ts';
import { isCalm, octant, speed, windWords } from '../words/winds.ts';

export interface BriefWind {
  readonly from_deg: number;
  readonly speed_mps: number;
  /** The newest reported gust; null where none is said: only of the wind on the ground. */
  readonly gust_mps: number | null;
  /** The landmark on the side that it blows to, or the octant's word. */
  readonly toward: string;
}

export function windOf(
  [u, v]: readonly [number, number],
  place: LonLat,
  mission: Mission,
  gust_mps: number | null = null,
): BriefWind {
  const { from_deg, speed_mps } = windFrom(u, v);
  const to_deg = wrap360(from_deg + 180);
  return {
    from_deg,
    speed_mps,
    gust_mps,
    toward: landmarkToward(landmarksOf(mission), place, to_deg) ?? `the ${octant(to_deg)}`,
  };
}

/** "FROM 310° (north-west), 3.6 m/s (7 kt), gusting 6.2 m/s (12 kt), blowing toward Tamber bed". */
export function windLine({ from_deg, speed_mps, gust_mps, toward }: BriefWind): string {
  const gust = gust_mps === null ? '' : `, gusting ${speed(gust_mps)}`;
  return isCalm(speed_mps)
    ? `calm${gust}`
    : `${windWords(from_deg, speed_mps).replace('from', 'FROM')}${gust}, blowing toward ${toward}`;
}
