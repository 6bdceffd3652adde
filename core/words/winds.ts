// Winds, times and ages in words, for sentences that the core makes: what looks wrong with a report, what was read,
// what would help. Directions in three digits with the octant's word beside them; wind with FROM; times with Z; heights
// with their reference.
import { MPS_PER_KT, wrap360 } from '../base/units.ts';

const OCTANTS = ['north', 'north-east', 'east', 'south-east', 'south', 'south-west', 'west', 'north-west'] as const;

/** The word for the octant that a direction lies in: "east" from 67.5° to 112.5°. */
export function octant(direction_deg: number): string {
  return OCTANTS[Math.round(wrap360(direction_deg) / 45) % 8] ?? 'north';
}

/** "090°"; north is 360°, as in the weather formats, so that 000° stays free for a calm. */
export function threeDigits(direction_deg: number): string {
  const whole = Math.round(wrap360(direction_deg));
  return `${String(whole === 0 ? 360 : whole).padStart(3, '0')}°`;
}

/** "090° (east)". */
export const directionWords = (direction_deg: number): string =>
  `${threeDigits(direction_deg)} (${octant(direction_deg)})`;

/** "14 kt (7.2 m/s)", and "0.4 kt" kept to a tenth below 3 kt. */
export function speedWords(speed_mps: number): string {
  const kt = speed_mps / MPS_PER_KT;
  return `${kt < 3 ? trimmed(kt, 1) : Math.round(kt)} kt (${trimmed(speed_mps, 1)} m/s)`;
}

/** A number to so many decimals, without trailing zeros. */
export const trimmed = (x: number, decimals: number): string => String(Number(x.toFixed(decimals)));

/** "from 090° (east), 14 kt (7.2 m/s)"; below a twentieth of a m/s "calm". */
export function windWords(from_deg: number, speed_mps: number): string {
  return speed_mps < 0.05 ? 'calm' : `from ${directionWords(from_deg)}, ${speedWords(speed_mps)}`;
}

/** "45 s", "12 min", "1 h 05 min", "3 days". */
export function ageWords(age_s: number): string {
  const s = Math.abs(age_s);
  if (!(s < Infinity)) return 'an unknown time';
  if (s < 90) return `${Math.round(s)} s`;
  const minutes = Math.round(s / 60);
  if (minutes < 60) return `${minutes} min`;
  const hours = Math.floor(minutes / 60);
  if (hours >= 48) return `${Math.round(s / 86_400)} days`;
  return `${hours} h ${String(minutes % 60).padStart(2, '0')} min`;
}

/** "13:45Z", with seconds where they are not 0. */
export function clockWords(time_s: number): string {
  if (!(Math.abs(time_s) < 8.64e12)) return 'an unreadable time';
  const iso = new Date(Math.round(time_s) * 1000).toISOString();
  const seconds = iso.slice(17, 19);
  return seconds === '00' ? `${iso.slice(11, 16)}Z` : `${iso.slice(11, 19)}Z`;
}

/** "2 m above ground", "1450 m above sea level". */
export function heightWords(of: {
  readonly agl_m?: number | undefined;
  readonly height_m?: number | undefined;
}): string {
  if (of.height_m !== undefined) return `${trimmed(of.height_m, of.height_m < 100 ? 1 : 0)} m above sea level`;
  if (of.agl_m !== undefined) return `${trimmed(of.agl_m, of.agl_m < 100 ? 1 : 0)} m above ground`;
  return 'no height';
}
