// Words that several parts of the map share; all numbers go through `renderer/format.ts`.
import { clock } from '../format.ts';
import type { MapMoment, MapScene } from './scene.ts';

/** Time since exit as it is said: +1:23, +1:02:33. */
export function elapsed(t_s: number): string {
  const s = Math.round(Math.abs(t_s));
  const two = (n: number): string => String(n).padStart(2, '0');
  const minutes = Math.floor(s / 60) % 60;
  const hours = Math.floor(s / 3600);
  return `${t_s < 0 ? '\u2212' : '+'}${hours > 0 ? `${hours}:${two(minutes)}` : minutes}:${two(s % 60)}`;
}

/** When a moment is: by the clock where the exit's time is known, and since exit. */
export function momentTime(scene: MapScene, moment: MapMoment): string {
  const at = moment.at_s === null ? '' : `${clock(moment.at_s * 1000, scene.units, scene.site.timeZone)}  `;
  return `${at}${elapsed(moment.t_s)}`;
}

/** A name as it stands alone on the map; stages are named in lower case in plans. */
export const capital = (name: string): string => name.charAt(0).toUpperCase() + name.slice(1);
