// Where the jumper is now: of the descent that is expected from the log's fixes, else from the exit in it. Pure;
// heights m, times s since 1970.
import { inverse } from '../../core/earth/geodesic.ts';
import { RAD_PER_DEG } from '../../core/base/units.ts';
import { zoneMiddle } from '../../core/descent/scenario.ts';
import { spotAt } from '../../core/live/spot.ts';
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
  const spot = spotAt(expected.outlook, into_s);
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
