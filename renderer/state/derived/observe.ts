// What would help most, observed now: each usual observation with what it would take off the 90 % area of the drift
// landing.
import { driftScenario } from '../../../core/advice/exits.ts';
import { outlookOf, pathOf } from '../../../core/descent/outlook.ts';
import { otherCovariance } from '../../../core/descent/otherSpread.ts';
import { scenarioOf, steeringTarget, zoneMiddle } from '../../../core/descent/scenario.ts';
import { windSensitivity } from '../../../core/descent/sensitivity.ts';
import { spreadOf } from '../../../core/descent/spread.ts';
import type { Situation } from '../../../core/mission/situation.ts';
import { rankObservations, usualCandidates, type Ranked } from '../../../core/winds/observe.ts';
import type { World } from '../../../core/descent/scenario.ts';

export type Wanted =
  { readonly kind: 'ranked'; readonly ranked: readonly Ranked[] } | { readonly kind: 'unknown'; readonly why: string };

/**
 * The usual observations, the most helpful first. Homing hides what the wind does, so the canopy is left to drift for
 * this.
 *
 * world  the situation's, forecast and analysis
 * Cost   some 70 ms for a descent from 39 km: not within a frame
 */
export function wantedObservations(situation: Situation, world: World): Wanted {
  const { mission, at_s } = situation;
  const scenario = driftScenario(scenarioOf(mission, world));
  const outlook = outlookOf(scenario);
  const kernel = windSensitivity(scenario, outlook.offset);
  const other_m2 = otherCovariance(scenario, outlook.offset, spreadOf(mission.uncertainty, mission.jumper));
  if (kernel === null || other_m2 === null)
    return { kind: 'unknown', why: 'No landing is predicted, so nothing can be said of what would help it.' };
  const target = steeringTarget(mission, mission.jumper);
  const [first] = mission.landingZones ?? [];
  const zone = target ?? (first === undefined ? undefined : zoneMiddle(first));
  const candidates = usualCandidates({
    mission,
    errors: world.analysis?.errors ?? world.errors,
    now_s: at_s,
    top_m: mission.exit.altitude_m,
    ground_m: mission.site.elevation_m,
    ...(zone === undefined ? {} : { zone }),
  });
  const solved = world.analysis?.solved ?? null;
  const path = pathOf(scenario, outlook.prediction);
  return {
    kind: 'ranked',
    ranked: rankObservations({
      kernel,
      path,
      errors: world.analysis?.errors ?? world.errors,
      solved,
      other_m2,
      candidates,
    }),
  };
}
