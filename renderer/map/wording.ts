// Words that several parts of the map share; all numbers go through `core/words/`.
import { clock, sinceExit } from '../../core/words/times.ts';
import type { MapMoment, MapScene } from './scene.ts';

/** Time since exit as the map says it: +1:23, +1:02:33. */
export const elapsed = (t_s: number): string => sinceExit(t_s).slice(1);

/** When a moment is: by the clock where the exit's time is known, and since exit. */
export function momentTime(scene: MapScene, moment: MapMoment): string {
  const at = moment.at_s === null ? '' : `${clock(moment.at_s, scene.units)}  `;
  return `${at}${elapsed(moment.t_s)}`;
}
