// Where the jumper is now: of the descent that is expected from the log's fixes, else from the exit in it. Pure;
// heights m, times s since 1970.
import { inverse } from '../../core/earth/geodesic.ts';
import { RAD_PER_DEG, type LonLat } from '../../core/base/units.ts';
import { zoneMiddle } from '../../core/descent/scenario.ts';
import type { Expected } from '../../core/mission/expected.ts';
import type { LandingZone } from '../../core/plan/schema.ts';

export interface InFlight {
  readonly phase: string;
  readonly agl_m: number;
  /** Null where no touchdown is predicted. */
  readonly touchdown_s: number | null;
  readonly zone: { readonly name: string; readonly distance_m: number; readonly bearing_deg: number } | null;
  /** How old the fix is that it goes on from; null: no fix, from the exit. */
  readonly fixAge_s: number | null;
}

/** Null before the exit, with the touchdown in the log, and once the expected touchdown is over. */
export function inFlightAt(expected: Expected, aimed: LandingZone | null, at_s: number): InFlight | null {
  if (expected.from !== 'exit' && expected.from !== 'fix') return null;
  const { scenario, prediction } = expected.outlook;
  const into_s = at_s - scenario.exit.time_s;
  // Under canopy a track begins with its first step: what it goes on from is put before it.
  const { lon_deg, lat_deg, height_m: from_m } = scenario.exit;
  const spot = spotAt([[0, lon_deg, lat_deg, from_m], ...prediction.track], into_s);
  if (spot === null) return null;
  const { place, height_m } = spot;
  const ground_m = scenario.world.ground.heightAt(place[1] * RAD_PER_DEG, place[0] * RAD_PER_DEG);
  const { landing, stages } = prediction;
  return {
    phase: stages.findLast((stage) => stage.start_s <= into_s)?.name ?? 'in flight',
    agl_m: Math.max(0, height_m - ground_m),
    touchdown_s: landing === null ? null : scenario.exit.time_s + landing.time_s,
    zone: aimed === null ? null : { name: aimed.name, ...inverse(place, zoneMiddle(aimed)) },
    fixAge_s: expected.from === 'fix' ? into_s : null,
  };
}

type Track = Expected['outlook']['prediction']['track'];

/** On a track at a time since its beginning, straight between its points; null beyond its ends. */
function spotAt(track: Track, into_s: number): { readonly place: LonLat; readonly height_m: number } | null {
  const after = track.findIndex(([t_s]) => t_s >= into_s);
  const b = track[after];
  const a = track[after - 1] ?? b;
  if (a === undefined || b === undefined || !(into_s >= a[0])) return null;
  const f = b[0] > a[0] ? (into_s - a[0]) / (b[0] - a[0]) : 0;
  const turn = b[1] - a[1];
  const mix = (k: 2 | 3): number => a[k] + f * (b[k] - a[k]);
  return { place: [a[1] + f * (turn - 360 * Math.round(turn / 360)), mix(2)], height_m: mix(3) };
}
