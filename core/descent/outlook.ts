// A scenario looked at once with all that is known: the prediction in the analysed wind, and the wind error along it
// from which ensembles draw. The reports' correction is taken where and when the descent passes each height.
import type { LonLat } from '../base/units.ts';
import { meanOffset, windErrorAlong, type DescentPath, type WindError } from './windError.ts';
import type { WindOffset } from '../winds/field.ts';
import { predict } from './predict.ts';
import type { Prediction } from './prediction.ts';
import type { Scenario } from './scenario.ts';

export interface Outlook {
  readonly scenario: Scenario;
  readonly prediction: Prediction;
  readonly error: WindError;
  /** What the reports add to the forecast along this descent; null without reports. */
  readonly offset: WindOffset | null;
}

/**
 * A point of the track each this many metres of height is enough for the slow change of the error with time and place.
 */
const PATH_EVERY_M = 150;

export function outlookOf(scenario: Scenario): Outlook {
  const { world } = scenario;
  if (world.analysis === null) {
    const prediction = predict(scenario);
    return {
      scenario,
      prediction,
      error: windErrorAlong(pathOf(scenario, prediction), world.errors, null),
      offset: null,
    };
  }
  // The first flight, with the correction of the site's column, says where and when; the second is flown with the
  // correction there.
  const first = predict(scenario, world.analysis.increment);
  const error = windErrorAlong(pathOf(scenario, first), world.analysis.errors, world.analysis);
  const offset = meanOffset(error);
  return { scenario, prediction: predict(scenario, offset), error, offset };
}

/** The heights, times and places of a prediction, thinned. Without a track: the exit alone. */
export function pathOf(scenario: Scenario, prediction: Prediction): DescentPath {
  const { exit } = scenario;
  const start = { height_m: exit.height_m, time_s: exit.time_s, position: [exit.lon_deg, exit.lat_deg] as LonLat };
  const path = [start];
  let last = start.height_m;
  for (const [t, lon, lat, height_m] of prediction.track) {
    if (Math.abs(height_m - last) < PATH_EVERY_M) continue;
    last = height_m;
    path.push({ height_m, time_s: exit.time_s + t, position: [lon, lat] });
  }
  const landing = prediction.landing;
  if (landing !== null)
    path.push({ height_m: landing.elevation_m, time_s: exit.time_s + landing.time_s, position: landing.position });
  return path;
}
