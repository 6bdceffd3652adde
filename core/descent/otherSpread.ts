// The part of a landing's spread that does not come from the wind: mass, drag, canopy, opening, exit and triggers, each
// flown one standard deviation to both sides. First order, as the wind's part is in `sensitivity.ts`. Metres, east and
// north.
import { localFrame } from '../earth/geodesic.ts';
import { DEG_PER_RAD, RAD_PER_DEG, type LonLat } from '../base/units.ts';
import type { WindOffset } from '../winds/field.ts';
import { Flight, LANDED } from './flight.ts';
import { thermalsOf, worldSamplerOf, type Scenario } from './scenario.ts';
import type { Spread } from './spread.ts';

export type Covariance2 = readonly [readonly [ee: number, en: number], readonly [ne: number, nn: number]];

/** Sets one input `sign` standard deviations off. */
type Nudge = (draws: Flight['draws'], spread: Spread, sign: number, thermals: number) => void;

const NUDGES: readonly Nudge[] = [
  (draws, spread, sign) => (draws.mass_kg = sign * spread.mass_kg),
  (draws, spread, sign) => (draws.dragArea = 1 + sign * spread.dragArea_rel),
  (draws, spread, sign) => (draws.canopySink = 1 + sign * spread.canopySink_rel),
  (draws, spread, sign) => (draws.canopyAirspeed = 1 + sign * spread.canopyAirspeed_rel),
  (draws, spread, sign) => (draws.fill_s = sign * spread.fill_s),
  (draws, spread, sign) => (draws.fillDistance = 1 + sign * spread.fillDistance_rel),
  (draws, spread, sign) => (draws.exitEast_m = sign * spread.exitPosition_m),
  (draws, spread, sign) => (draws.exitNorth_m = sign * spread.exitPosition_m),
  (draws, spread, sign) => (draws.exitTime_s = sign * spread.exitTime_s),
  (draws, spread, sign) => (draws.triggerHeight_m = sign * spread.triggerHeight_m),
  (draws, spread, sign) => (draws.handOpening_m = sign * spread.handOpening_m),
  (draws, spread, sign) => (draws.glideEast = sign * spread.bodyGlide_rel),
  (draws, spread, sign) => (draws.glideNorth = sign * spread.bodyGlide_rel),
  (draws, spread, sign) => (draws.spin = 1 + sign * spread.spin_rel),
  (draws, spread, sign, thermals) => (draws.verticalAir_mps = sign * thermals * spread.verticalAir_mps),
  (draws, spread, sign) => (draws.heading_rad = sign * spread.heading_deg * RAD_PER_DEG),
];

/**
 * Covariance of the landing by everything but the wind.
 *
 * scenario  its canopy should not home (`driftScenario` of the advice): homing hides what the inputs do
 * offset    the analysed correction of the forecast, as the prediction flies it; null without one
 * returns   null where a flight does not reach the ground
 * Error     of the area below a tenth against an ensemble with the wind's error switched off
 *           (`tests/descent/otherSpread.test.ts`)
 * Cost      32 flights, some 20 ms from 39 km
 */
export function otherCovariance(scenario: Scenario, offset: WindOffset | null, spread: Spread): Covariance2 | null {
  const middle: LonLat = [scenario.exit.lon_deg, scenario.exit.lat_deg];
  const frame = localFrame(middle);
  const around = worldSamplerOf(scenario.world);
  const thermals = thermalsOf(scenario);
  let ee = 0;
  let en = 0;
  let nn = 0;
  for (const nudge of NUDGES) {
    const [low, high] = [-1, 1].map((sign) => {
      const flight = new Flight(around, scenario.body);
      nudge(flight.draws, spread, sign, thermals);
      flight.fly(scenario.exit, offset);
      if (flight.outcome !== LANDED) return null;
      return frame.toLocal([flight.landingLon_rad * DEG_PER_RAD, flight.landingLat_rad * DEG_PER_RAD]);
    });
    if (low === undefined || high === undefined || low === null || high === null) return null;
    const east = (high[0] - low[0]) / 2;
    const north = (high[1] - low[1]) / 2;
    ee += east * east;
    en += east * north;
    nn += north * north;
  }
  return [
    [ee, en],
    [en, nn],
  ];
}
