// How a brief says places, directions, winds, heights and lengths: always with the reference (true and magnetic, AGL
// and MSL), wind with FROM and the side that it blows to, and to no more digits than are meant.
import { trueToMagnetic, type Declination } from '../earth/declination.ts';
import { formatPosition, type CoordinateFormat } from '../earth/grid.ts';
import { inverse } from '../earth/geodesic.ts';
import { lengthWords, percent, whole } from '../words/say.ts';
import type { Mission } from '../plan/schema.ts';
import { landmarkToward } from '../recovery/where.ts';
import { M_PER_FT, MPS_PER_KT, windFrom, wrap360, type LonLat } from '../base/units.ts';
import { octant, threeDigits } from '../words/winds.ts';

export const THIN = '\u202f';
export const MISSING = '–';

/** To ten metres: what a crew steers by, and what the prediction is good for. */
export const placeWords = (place: LonLat, format: CoordinateFormat): string => formatPosition(place, format, 10);

/** "310° true, 334° magnetic"; without a known declination "310° true". */
export function bothNorths(true_deg: number, declination: Declination): string {
  const magnetic = magneticOf(true_deg, declination);
  return `${threeDigits(true_deg)} true${magnetic === null ? '' : `, ${threeDigits(magnetic)} magnetic`}`;
}

export const magneticOf = (true_deg: number, declination: Declination): number | null =>
  declination.kind === 'known' ? trueToMagnetic(true_deg, declination.deg) : null;

/** "3.6 m/s (7 kt)": knots to the whole, below 3 kt to a tenth. */
function speedBoth(speed_mps: number): string {
  const kt = speed_mps / MPS_PER_KT;
  return `${speed_mps.toFixed(1)}${THIN}m/s (${kt < 3 ? Number(kt.toFixed(1)) : Math.round(kt)}${THIN}kt)`;
}

/** Below this a wind is called calm, as in surface reports (WMO-No. 306, FM 15: under 1 kt). */
export const CALM_MPS = 0.5;

interface BriefWind {
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
    toward: landmarkToward(place, mission.landmarks ?? [], to_deg) ?? `the ${octant(to_deg)}`,
  };
}

/** "FROM 310° (north-west), 3.6 m/s (7 kt), blowing toward Tamber bed". */
export const windLine = ({ from_deg, speed_mps, toward }: BriefWind): string =>
  speed_mps < CALM_MPS
    ? 'calm'
    : `FROM ${threeDigits(from_deg)} (${octant(from_deg)}), ${speedBoth(speed_mps)}, blowing toward ${toward}`;

/** "2.4 km toward 124° (south-east)"; within 30 m null. */
export function awayWords(from: LonLat, to: LonLat): string | null {
  const { distance_m, bearing_deg } = inverse(from, to);
  return distance_m < 30
    ? null
    : `${lengthWords(distance_m)} toward ${threeDigits(bearing_deg)} (${octant(bearing_deg)})`;
}

/** "150 m (500 ft) AGL", feet to the nearest 50. */
export const aglWords = (agl_m: number): string =>
  `${whole(agl_m)}${THIN}m (${whole(50 * Math.round(agl_m / M_PER_FT / 50))}${THIN}ft) AGL`;

/** Half axes: "±1.5 km by ±1.4 km". */
export const byWords = (a_m: number, b_m: number): string => `±${lengthWords(a_m)} by ±${lengthWords(b_m)}`;

/** A distance to be kept at least: rounded up to tens of metres, never down. */
export const atLeastWords = (m: number): string =>
  m < 995 ? `${10 * Math.ceil(m / 10 - 1e-9)}${THIN}m` : lengthWords(m);

/** A share of a drawn sample: one that holds all of it is still a sample. */
export const shareWords = (p: number): string => (p > 0.995 ? `over 99${THIN}%` : percent(p));

/** "07:01Z": the minute that has begun, for data that is complete up to a time. */
export const utcMinuteDown = (time_s: number): string =>
  `${new Date(60_000 * Math.floor(time_s / 60)).toISOString().slice(11, 16)}Z`;

/** The first letter made large, for a sentence that began as a clause. */
export const capital = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);

/** "5 min", from a minute on rounded to whole minutes: what a crew plans with. */
export function minutesWords(s: number): string {
  if (!(s < Infinity)) return 'no way there';
  return s < 60 ? `${Math.round(s)}${THIN}s` : `${Math.round(s / 60)}${THIN}min`;
}
