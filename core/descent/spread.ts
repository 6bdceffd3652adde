// How far the inputs of a descent may be off: one standard deviation each, with the reason of its default (MODEL.md
// §8). A mission's
// `uncertainty` replaces any of them; 0 switches it off. Draws are normal, independent, cut at three standard
// deviations.
import { RAD_PER_DEG } from '../base/units.ts';
import type { Jumper, Uncertainty } from '../plan/schema.ts';
import type { Random } from '../base/random.ts';
import type { Draws } from './flight.ts';

export interface Spread {
  readonly mass_kg: number;
  readonly dragArea_rel: number;
  readonly canopySink_rel: number;
  readonly canopyAirspeed_rel: number;
  readonly fill_s: number;
  readonly exitPosition_m: number;
  readonly exitTime_s: number;
  readonly triggerHeight_m: number;
  readonly heading_deg: number;
  readonly accuracy_m: number;
}

export const DEFAULT_SPREAD: Readonly<
  Record<keyof Spread, { readonly value: number; readonly unit: string; readonly reason: string }>
> = {
  mass_kg: {
    value: 1,
    unit: 'kg',
    reason:
      'jumper and equipment are weighed before the flight; oxygen and ballast are used up on it (common practice)',
  },
  dragArea_rel: {
    value: 0.05,
    unit: 'of the value',
    reason: 'posture and suit: a few per cent from fall to fall (common practice)',
  },
  canopySink_rel: {
    value: 0.05,
    unit: 'of the value',
    reason: 'trim, packing and air density at the site (common practice)',
  },
  canopyAirspeed_rel: {
    value: 0.05,
    unit: 'of the value',
    reason: 'trim and the hands on the toggles (common practice)',
  },
  fill_s: { value: 0.3, unit: 's', reason: 'openings of one canopy differ by tenths of a second (common practice)' },
  exitPosition_m: {
    value: 150,
    unit: 'm per axis',
    reason: 'position of the carrier when the jumper leaves it, by call and clock (common practice)',
  },
  exitTime_s: { value: 5, unit: 's', reason: 'from the call to the exit (common practice)' },
  triggerHeight_m: {
    value: 40,
    unit: 'm',
    reason: 'barometric devices and altimeters, against a pressure of the day before (common practice)',
  },
  heading_deg: { value: 5, unit: '°', reason: 'a heading held by hand (common practice)' },
  accuracy_m: {
    value: 30,
    unit: 'm from the aim',
    reason:
      'distance from the aim that a licensed pilot lands at in a field that is not known; students 50 m, experts 16 m ' +
      '(common practice: twice what licence tests ask of chosen landings, 10 m on 10 jumps and 2 m on 25)',
  },
};

/** By experience: the pilot's own default of `accuracy_m`. */
const ACCURACY_M = { student: 50, licensed: DEFAULT_SPREAD.accuracy_m.value, expert: 16 } as const;

/** `experience`: of the jumper whose accuracy it is. */
export function spreadOf(uncertainty: Uncertainty | undefined, experience: Jumper['experience'] = 'licensed'): Spread {
  const of = (key: keyof Spread): number => uncertainty?.[key] ?? DEFAULT_SPREAD[key].value;
  return {
    mass_kg: of('mass_kg'),
    dragArea_rel: of('dragArea_rel'),
    canopySink_rel: of('canopySink_rel'),
    canopyAirspeed_rel: of('canopyAirspeed_rel'),
    fill_s: of('fill_s'),
    exitPosition_m: of('exitPosition_m'),
    exitTime_s: of('exitTime_s'),
    triggerHeight_m: of('triggerHeight_m'),
    heading_deg: of('heading_deg'),
    accuracy_m: uncertainty?.accuracy_m ?? ACCURACY_M[experience],
  };
}

/** A relative error never makes a value smaller than a fifth of itself. */
const scale = (x: number): number => Math.max(1 + x, 0.2);

/** Draws one member's inputs, always the same number of draws in the same order. */
export function drawInputs(spread: Spread, random: Random, draws: Draws): void {
  draws.mass_kg = spread.mass_kg * random.normalCut3();
  draws.dragArea = scale(spread.dragArea_rel * random.normalCut3());
  draws.canopySink = scale(spread.canopySink_rel * random.normalCut3());
  draws.canopyAirspeed = scale(spread.canopyAirspeed_rel * random.normalCut3());
  draws.fill_s = spread.fill_s * random.normalCut3();
  draws.exitEast_m = spread.exitPosition_m * random.normalCut3();
  draws.exitNorth_m = spread.exitPosition_m * random.normalCut3();
  draws.exitTime_s = spread.exitTime_s * random.normalCut3();
  draws.triggerHeight_m = spread.triggerHeight_m * random.normalCut3();
  draws.heading_rad = spread.heading_deg * random.normalCut3() * RAD_PER_DEG;
  // Radial: the mean square of both axes together is its square.
  draws.aimEast_m = spread.accuracy_m * Math.SQRT1_2 * random.normalCut3();
  draws.aimNorth_m = spread.accuracy_m * Math.SQRT1_2 * random.normalCut3();
}
