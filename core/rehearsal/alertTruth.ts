// Whether what an alert says is so in the hidden descent, which the rules of the alerts never see.
import { never } from '../base/problem.ts';
import type { LonLat } from '../base/units.ts';
import { LINE_HALF_WIDTH_M } from '../descent/statistics.ts';
import { inverse, isInside, nearestOnLine } from '../earth/geodesic.ts';
import type { Alert } from '../live/alerts.ts';
import type { Hazard, Mission } from '../plan/schema.ts';

/** What is known of a descent behind its fixes. */
export interface DescentBehind {
  readonly mission: Pick<Mission, 'landingZones' | 'hazards'>;
  readonly landing: LonLat;
  /** s since 1970; null where nothing opens. */
  readonly opening_s: number | null;
  readonly opens_agl_m: number | null;
  readonly placeAt: (time_s: number) => LonLat;
  readonly aglAt: (time_s: number) => number;
  /** Every fix that was sent, wild ones with them. */
  readonly fixes: readonly { readonly time_s: number; readonly position: LonLat }[];
  /** Whether a wind that was said by then and since that long was said wrongly. */
  readonly saidWrongly: (at_s: number) => boolean;
}

const isOnHazard = (place: LonLat, hazard: Hazard): boolean =>
  'polygon' in hazard
    ? isInside(place, hazard.polygon as readonly LonLat[])
    : nearestOnLine(place, hazard.line).distance_m < LINE_HALF_WIDTH_M + (hazard.height_m ?? 0);

/** A receiver's stamps are rounded, s. */
const STAMP_S = 0.1;
/** A fix that is farther from where the body was is no fix of it, m. */
const WILD_FROM_M = 60;
/** An opening so far off the planned height is an early or a late one, m: a little less than the alerts ask. */
const OFF_M = 150;

export function isAlertTrue(
  { kind, since_s }: Pick<Alert, 'kind' | 'since_s'>,
  at_s: number,
  behind: DescentBehind,
): boolean {
  const { mission, landing, opening_s, opens_agl_m, placeAt, aglAt, fixes, saidWrongly } = behind;
  switch (kind) {
    case 'landing left the zones':
      return !(mission.landingZones ?? []).some(({ polygon }) => isInside(landing, polygon));
    case 'landing on a hazard':
      return (mission.hazards ?? []).some((one) => isOnHazard(landing, one));
    case 'fix lost':
      return !fixes.some(
        ({ time_s, position }) =>
          time_s > since_s + STAMP_S && time_s <= at_s && inverse(position, placeAt(time_s)).distance_m < WILD_FROM_M,
      );
    case 'no opening':
      return opening_s === null || at_s < opening_s;
    case 'opening late':
      return opening_s === null || at_s < opening_s || aglAt(opening_s) < (opens_agl_m ?? Infinity) - OFF_M;
    case 'opening early':
      return opening_s !== null && opens_agl_m !== null && aglAt(opening_s) > opens_agl_m + OFF_M;
    case 'wind in question':
    case 'wind turned':
      return saidWrongly(at_s);
    // A descent within its plan's errors falls as the phase expects, and nothing else changes in it.
    case 'fall rate':
    case 'near the gondola':
    case 'crew inside keep-clear':
    case 'wind over a limit':
    case 'daylight':
    case 'fuel':
    case 'feed lost':
      return false;
    default:
      return never(kind);
  }
}
