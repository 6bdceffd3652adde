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
  readonly fillDistance_rel: number;
  readonly exitPosition_m: number;
  readonly exitTime_s: number;
  readonly carrierPath_rel: number;
  readonly ascentRate_rel: number;
  readonly triggerHeight_m: number;
  readonly handOpening_m: number;
  readonly bodyGlide_rel: number;
  readonly spin_rel: number;
  readonly turnLoss_rel: number;
  readonly verticalAir_mps: number;
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
  fillDistance_rel: {
    value: 0.2,
    unit: 'of the value',
    reason:
      'filling distance of one canopy from opening to opening: a fifth (common practice, no published figure found)',
  },
  exitPosition_m: {
    value: 150,
    unit: 'm per axis',
    reason: 'position of the carrier when the jumper leaves it, by call and clock (common practice)',
  },
  exitTime_s: {
    value: 5,
    unit: 's',
    reason: 'from the call to the exit; meanwhile the carrier goes on along its line (common practice)',
  },
  carrierPath_rel: {
    value: 1,
    unit: 'of itself',
    reason:
      'how far off its line a balloon may be by the exit: its wind error times the time since it was last known; ' +
      '0: the exit is called by its place',
  },
  ascentRate_rel: {
    value: 0.1,
    unit: 'of the value',
    reason: 'means over 1 km of the rise of six sounding balloons differed by 9 to 14 % (computed from open data)',
  },
  triggerHeight_m: {
    value: 40,
    unit: 'm',
    reason: 'barometric devices and altimeters, against a pressure of the day before (common practice)',
  },
  handOpening_m: {
    value: 100,
    unit: 'm',
    reason:
      'a hand opens 100 to 150 m off the height that was planned; none of it where the plan says that a device opens ' +
      '(common practice)',
  },
  bodyGlide_rel: {
    value: 0.02,
    unit: 'across per metre down, per axis',
    reason:
      'a belly flier slides back or sideways at 1 to 5 m/s of 55 m/s, most of it unseen; a tracking body glides ' +
      '0.3 to 0.8; none under a drogue (common practice)',
  },
  spin_rel: {
    value: 0.03,
    unit: 'of the value',
    reason:
      'what spinning and tumbling do to the drag areas before a drogue (common practice, no published figure found)',
  },
  turnLoss_rel: {
    value: 0.05,
    unit: 'of the value',
    reason: 'airspeed toward the target that a pilot loses to turns, never less than nothing (common practice)',
  },
  verticalAir_mps: {
    value: 0.9,
    unit: 'm/s',
    reason:
      'where the air moves most, under a sun overhead on land: a summer noon of 250 W/m² in 1 500 m has updraughts ' +
      'of 0.9 m/s in the mean of the layer over a third of the way, downdraughts a sixth weaker over half of it ' +
      '(0.4 of the convective speed, Ansmann et al. 2010, computed); less by a low sun and over water, none by night',
  },
  heading_deg: { value: 5, unit: '°', reason: 'a heading held by hand (common practice)' },
  accuracy_m: {
    value: 30,
    unit: 'm from the aim',
    reason:
      'distance from the aim that a licensed pilot lands at in a field that is not known; students 50 m, experts ' +
      '16 m (common practice: twice what licence tests ask of chosen landings, 10 m on 10 jumps and 2 m on 25)',
  },
};

/** By experience: the pilot's own default of `accuracy_m`. */
const ACCURACY_M = { student: 50, licensed: DEFAULT_SPREAD.accuracy_m.value, expert: 16 } as const;

/** A body in which nobody opens, tracks or steers. */
export const NOBODY_IN_IT = { handOpening_m: 0, bodyGlide_rel: 0, spin_rel: 0 } as const satisfies Partial<Spread>;

/** `jumper`: whose accuracy and opening it is. */
export function spreadOf(
  uncertainty: Uncertainty | undefined,
  { experience = 'licensed', opens = 'by hand' }: Pick<Jumper, 'experience' | 'opens'> = {},
): Spread {
  const of = (key: keyof Spread): number => uncertainty?.[key] ?? DEFAULT_SPREAD[key].value;
  return {
    mass_kg: of('mass_kg'),
    dragArea_rel: of('dragArea_rel'),
    canopySink_rel: of('canopySink_rel'),
    canopyAirspeed_rel: of('canopyAirspeed_rel'),
    fill_s: of('fill_s'),
    fillDistance_rel: of('fillDistance_rel'),
    exitPosition_m: of('exitPosition_m'),
    exitTime_s: of('exitTime_s'),
    carrierPath_rel: of('carrierPath_rel'),
    ascentRate_rel: of('ascentRate_rel'),
    triggerHeight_m: of('triggerHeight_m'),
    handOpening_m: opens === 'by device' ? 0 : of('handOpening_m'),
    bodyGlide_rel: of('bodyGlide_rel'),
    spin_rel: of('spin_rel'),
    turnLoss_rel: of('turnLoss_rel'),
    verticalAir_mps: of('verticalAir_mps'),
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
  draws.fillDistance = scale(spread.fillDistance_rel * random.normalCut3());
  draws.exitEast_m = spread.exitPosition_m * random.normalCut3();
  draws.exitNorth_m = spread.exitPosition_m * random.normalCut3();
  draws.exitTime_s = spread.exitTime_s * random.normalCut3();
  draws.triggerHeight_m = spread.triggerHeight_m * random.normalCut3();
  draws.handOpening_m = spread.handOpening_m * random.normalCut3();
  draws.glideEast = spread.bodyGlide_rel * random.normalCut3();
  draws.glideNorth = spread.bodyGlide_rel * random.normalCut3();
  draws.spin = scale(spread.spin_rel * random.normalCut3());
  draws.turnLoss = Math.min(Math.abs(spread.turnLoss_rel * random.normalCut3()), 0.8);
  draws.heading_rad = spread.heading_deg * random.normalCut3() * RAD_PER_DEG;
  // Radial: the mean square of both axes together is its square.
  draws.aimEast_m = spread.accuracy_m * Math.SQRT1_2 * random.normalCut3();
  draws.aimNorth_m = spread.accuracy_m * Math.SQRT1_2 * random.normalCut3();
}

/** Drawn after the wind, so that it leaves every other draw of a member as it is. */
export function drawVerticalAir(spread: Spread, random: Random, draws: Draws, share: number): void {
  draws.verticalAir_mps = share * spread.verticalAir_mps * random.normalCut3();
}

/** Every error so many times as large. */
export function timesSpread(spread: Spread, times: number): Spread {
  const scaled: { -readonly [K in keyof Spread]: number } = { ...spread };
  for (const key of Object.keys(DEFAULT_SPREAD) as (keyof Spread)[]) scaled[key] *= times;
  return scaled;
}
