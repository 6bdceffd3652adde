// Numbers as sentences say them: thin space before the unit and between thousands, the precision that is meant.
const THIN = '\u202f';

/** "39 000". */
export const whole = (x: number): string =>
  Math.round(x)
    .toString()
    .replace(/\B(?=(\d{3})+$)/g, THIN);

/** "40 m", "240 m", "2.4 km", "36 km": two figures below 100 m and from 1 km on, tens of metres between. */
export function lengthWords(x_m: number): string {
  const m = Math.abs(x_m);
  if (!(m < Infinity)) return 'an unknown distance';
  if (m < 995) return `${m < 100 ? Math.round(m) : Math.round(m / 10) * 10}${THIN}m`;
  return m < 9950 ? `${(m / 1000).toFixed(1)}${THIN}km` : `${whole(m / 1000)}${THIN}km`;
}

/** "45 s", "3 min 10 s", "18 min", "1 h 05 min". */
export function durationWords(x_s: number): string {
  const s = Math.round(Math.abs(x_s));
  if (!(s < Infinity)) return 'an unknown time';
  if (s < 60) return `${s}${THIN}s`;
  if (s < 600) return s % 60 === 0 ? `${s / 60}${THIN}min` : `${Math.floor(s / 60)}${THIN}min ${s % 60}${THIN}s`;
  const minutes = Math.round(s / 60);
  return minutes < 60
    ? `${minutes}${THIN}min`
    : `${Math.floor(minutes / 60)}${THIN}h ${String(minutes % 60).padStart(2, '0')}${THIN}min`;
}

/** "14:02:10Z". */
export const clockZ = (time_s: number): string => `${new Date(Math.round(time_s) * 1000).toISOString().slice(11, 19)}Z`;

/** "87 %"; a share below half a per cent that is not nothing is "under 1 %". */
export const percent = (p: number): string =>
  p > 0 && p < 0.005 ? `under 1${THIN}%` : `${Math.round(100 * p)}${THIN}%`;

/** A chance out of a sample: never "100 %" or "0 %", which no sample can know. */
export const chanceWords = (p: number): string =>
  p > 0.99 ? `over 99${THIN}%` : p < 0.01 ? `under 1${THIN}%` : percent(p);
