// Where and when the jumper came down, by the log. Times s since 1970.
import type { MissionState } from '../log/fold.ts';
import type { LonLat } from '../base/units.ts';

/**
 * A fix from so shortly before a touchdown was made is its place where the log names none, s: under canopy 600 m of way
 * at most.
 */
const NEAR_S = 60;

export interface Touchdown {
  readonly time_s: number;
  readonly place: LonLat;
}

/** Null before the touchdown is in the log, and where neither it nor a fix since a minute before says its place. */
export function touchdownIn({ marks, fixes }: Pick<MissionState, 'marks' | 'fixes'>): Touchdown | null {
  const down = marks.get('touchdown');
  if (down === undefined) return null;
  const last = fixes.get('jumper')?.at(-1);
  const place = down.position ?? (last !== undefined && last.time_s >= down.time_s - NEAR_S ? last.position : null);
  return place === null ? null : { time_s: down.time_s, place };
}
