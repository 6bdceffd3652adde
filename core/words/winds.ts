// Directions, speeds and winds in words: three digits with a degree sign and the octant beside them, winds with FROM
// and the side that they blow toward. Takes degrees and m/s.
import { never } from '../base/problem.ts';
import { M_PER_FT, MPS_PER_KMH, MPS_PER_KT, wrap360 } from '../base/units.ts';
import { MISSING, PAPER_UNITS, quantity, type Units } from './numbers.ts';

/**
 * Below this a wind is calm, in the analysis, in words and on charts. Source: ICAO Annex 3, appendix 3, 4.1.5.2 d and
 * WMO-No. 306, FM 15: a wind of less than 0.5 m/s (1 kt) is reported as calm, 00000.
 */
export const CALM_MPS = 0.5;

/** A wind that nobody can give a side: also one without a number is not said to blow. */
export const isCalm = (speed_mps: number): boolean => !(speed_mps >= CALM_MPS);

const OCTANTS = ['north', 'north-east', 'east', 'south-east', 'south', 'south-west', 'west', 'north-west'] as const;

/** The word for the octant that a direction lies in: "east" from 67.5° to 112.5°. */
export function octant(direction_deg: number): string {
  return OCTANTS[Math.round(wrap360(direction_deg) / 45) % 8] ?? 'north';
}

/** "090°"; north is 360°, as winds are said, so that 000 stays free for a calm. */
export function direction(direction_deg: number): string {
  if (!Number.isFinite(direction_deg)) return MISSING;
  const whole = Math.round(wrap360(direction_deg));
  return `${String(whole === 0 ? 360 : whole).padStart(3, '0')}°`;
}

/** "090° (east)". */
export const directionWords = (direction_deg: number): string =>
  Number.isFinite(direction_deg) ? `${direction(direction_deg)} (${octant(direction_deg)})` : MISSING;

/**
 * Knots and km/h to the whole unit, m/s to a tenth: what wind reports are good for; knots below 3 to a tenth where they
 * stand in brackets. `decimals` where more is meant.
 */
export function speed(speed_mps: number, units: Units = PAPER_UNITS, decimals?: number): string {
  const kt = speed_mps / MPS_PER_KT;
  switch (units.speed) {
    case 'm/s': {
      const said = quantity(speed_mps, 'm/s', decimals ?? 1);
      if (units.alsoSpeed === undefined || said === MISSING) return said;
      return `${said} (${quantity(kt, 'kt', kt < 3 && !Number.isInteger(Math.round(kt * 10) / 10) ? 1 : 0)})`;
    }
    case 'kt':
      return quantity(kt, 'kt', decimals ?? 0);
    case 'km/h':
      return quantity(speed_mps / MPS_PER_KMH, 'km/h', decimals ?? 0);
    default:
      return never(units.speed);
  }
}

/** A rate of descent: m/s to a tenth, or ft/min to 10 where lengths are in feet; never knots. */
export const sink = (sink_mps: number, units: Units = PAPER_UNITS): string =>
  units.length === 'ft' ? quantity(10 * Math.round((sink_mps / M_PER_FT) * 6), 'ft/min') : quantity(sink_mps, 'm/s', 1);

/** "from 090° (east), 7.2 m/s (14 kt)", or "calm". */
export function windWords(from_deg: number, speed_mps: number, units: Units = PAPER_UNITS): string {
  if (!Number.isFinite(speed_mps)) return MISSING;
  return isCalm(speed_mps) ? 'calm' : `from ${directionWords(from_deg)}, ${speed(speed_mps, units)}`;
}

/** A wind with both ends said. `landmark`: the named thing that it blows toward (`landmarkToward`), or null. */
export function windBothWays(from_deg: number, speed_mps: number, units: Units, landmark: string | null): string {
  const words = windWords(from_deg, speed_mps, units);
  return isCalm(speed_mps) ? words : `${words}, blowing toward ${landmark ?? directionWords(from_deg + 180)}`;
}

/** Kelvin as whole degrees Celsius. */
export const celsius = (temperature_K: number): string => quantity(temperature_K - 273.15, '°C');
