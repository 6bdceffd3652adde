// The landing from now: from the last fixes, their motion and the phase, with the analysed winds; before the exit the
// one that is expected from the plan and the log. Where fixes stop, the last ones still hold and the model goes on.
import { Ensemble } from '../descent/ensemble.ts';
import { outlookOf, type Outlook } from '../descent/outlook.ts';
import type { Scenario } from '../descent/scenario.ts';
import { spreadOf, type Spread } from '../descent/spread.ts';
import { statisticsOf, type LandingStatistics } from '../descent/statistics.ts';
import { expectedOf } from '../mission/expected.ts';
import { restOf, type FlownSituation, type LastKnown } from '../mission/lostDescent.ts';
import type { Mission } from '../plan/schema.ts';
import type { LonLat } from '../base/units.ts';
import { FIX_M, lineThrough, type BodyFilter, type Taken } from './filter.ts';
import type { PhaseNow } from './phases.ts';

export interface Ahead {
  readonly outlook: Outlook;
  readonly spread: Spread;
  /** Null where no drawn descent reached the ground. */
  readonly statistics: LandingStatistics | null;
  readonly landing: { readonly position: LonLat; readonly at_s: number } | null;
}

/** So many seconds of fixes tell the motion over the ground, and at least so many fixes. */
const MOTION_S = 10;
const LEAST_FIXES = 4;
/** A velocity is forgotten as the air takes it away: by its square over gravity, m/s per m/s². */
const G = 9.81;
/** The moment of a fix is known better than its place. */
const FIX_TIME_S = 0.5;

/** Where a body was at its last fix and how it moved, from the fixes of the last seconds. */
function motionOf(filter: BodyFilter, phase: PhaseNow): { known: LastKnown; place_m: number } | null {
  const last = filter.taken.at(-1);
  if (last === undefined) return null;
  // What came before the phase moved otherwise.
  const recent = filter.taken.filter(
    (one) => one.time_s >= last.time_s - MOTION_S && (one.time_s >= phase.since_s || phase.phase === 'drogue'),
  );
  const fit = (axis: 'east_m' | 'north_m' | 'height_m') =>
    recent.length < LEAST_FIXES
      ? null
      : lineThrough(
          recent.map((one: Taken) => [one.time_s, one[axis]] as const),
          last.time_s,
        );
  const [east, north, up] = [fit('east_m'), fit('north_m'), fit('height_m')];
  const isCanopy = phase.phase === 'canopy' || phase.phase === 'opening';
  const place = {
    east_m: east?.value ?? last.east_m,
    north_m: north?.value ?? last.north_m,
  };
  const fix = {
    seq: -1,
    time_s: last.time_s,
    position: filter.placeOf(place),
    height_m: up === null || !isCanopy ? last.height_m : up.value,
  };
  const velocity =
    east === null || north === null || up === null ? null : ([east.slope, north.slope, up.slope] as const);
  const n = Math.max(recent.length, 1);
  // The end of a line through n points: about 2σ/√n; its slope √12 σ/(T√n).
  const slope_mps = (Math.sqrt(12 / n) * FIX_M) / MOTION_S;
  const keeps_s = velocity === null || isCanopy ? 0 : Math.abs(velocity[2]) / G;
  return {
    known: {
      fix,
      phase: isCanopy ? 'under canopy' : 'falling',
      because: `its fixes say ${phase.phase}`,
      velocity_mps: velocity,
    },
    place_m: Math.hypot((2 * FIX_M) / Math.sqrt(n), slope_mps * keeps_s),
  };
}

/** What is flown, and the hazards that landings are counted on. */
interface AheadSituation extends FlownSituation {
  readonly mission: FlownSituation['mission'] & Pick<Mission, 'hazards'>;
}

/**
 * The landing that is ahead of the jumper, with its spread.
 *
 * situation  its marks hold the exit where it is known (`PhaseTracker.exit_s`)
 */
export function aheadOf(
  situation: AheadSituation,
  filter: BodyFilter,
  phase: PhaseNow | null,
  options: { readonly members: number; readonly seed: number },
): Ahead {
  const isFlying = phase !== null && phase.phase !== 'ascent' && phase.phase !== 'float' && phase.phase !== 'down';
  const motion = isFlying ? motionOf(filter, phase) : null;
  if (motion === null) {
    const { outlook, spread } = expectedOf(situation);
    return drawn(situation, outlook, spread, options);
  }
  const scenario: Scenario = restOf(situation, situation.mission, motion.known);
  const spread = {
    ...spreadOf(situation.mission.uncertainty, situation.mission.jumper),
    exitPosition_m: motion.place_m,
    exitTime_s: FIX_TIME_S,
  };
  return drawn(situation, outlookOf(scenario), spread, options);
}

function drawn(
  { mission }: AheadSituation,
  outlook: Outlook,
  spread: Spread,
  { members, seed }: { readonly members: number; readonly seed: number },
): Ahead {
  const { scenario, prediction } = outlook;
  const table = new Ensemble({ scenario, error: outlook.error, spread, seed }).run(0, members);
  const { landing } = prediction;
  return {
    outlook,
    spread,
    statistics: statisticsOf(table, mission.landingZones ?? [], mission.hazards ?? []),
    landing: landing === null ? null : { position: landing.position, at_s: scenario.exit.time_s + landing.time_s },
  };
}
