// What each case asks of the person under a high canopy: how long the oxygen must last, and how long bare skin is in
// air that freezes it. Times s.
import { GAMMA_AIR, R_AIR } from '../air/air.ts';
import type { LonLat } from '../base/units.ts';
import { predict } from '../descent/predict.ts';
import { casesOf, readyCase } from './cases.ts';
import type { Situation } from './situation.ts';

export interface Endurance {
  readonly name: string;
  /** Probability of the case. */
  readonly weight: number;
  /** Whether it is the flight as planned. */
  readonly planned: boolean;
  /** Where it is predicted to land; null where it does not. */
  readonly landing: LonLat | null;
  /** From the exit down to 15 000 ft MSL, below which nobody needs oxygen by the rule. */
  readonly oxygen_s: number;
  /** Under the open canopy in air whose wind chill freezes bare skin within ten minutes. */
  readonly cold_s: number;
}

/** 14 CFR 91.211 (a)(3): oxygen for everybody above 15 000 ft. */
export const OXYGEN_HEIGHT_M = 4572;
/**
 * A wind chill of −29 °C: bare skin freezes in about ten minutes (public texts after the US National Weather Service).
 */
const FREEZING_C = -29;

/** The cases that can still happen and whose jumper leaves the carrier alone; none of one that cannot be flown. */
export function endurances(situation: Situation): Endurance[] {
  const { mission, state, world } = situation;
  const airspeed_mps = mission.jumper.canopy?.settings[0]?.airspeed_mps ?? 0;
  return casesOf(mission, state).cases.flatMap((one): Endurance[] => {
    const ready = one.leaves.kind === 'with the gondola' ? null : readyCase(situation, one);
    if (ready?.kind !== 'ready') return [];
    const { track, opening, landing } = predict(ready.scenario, world.analysis?.increment ?? null);
    const below = track.find(([, , , height_m]) => height_m < OXYGEN_HEIGHT_M);
    const open_s = opening?.time_s ?? Infinity;
    let cold_s = 0;
    for (let i = 1; i < track.length; i++) {
      const [t, , , height_m] = track[i] ?? [NaN, NaN, NaN, NaN];
      const before = track[i - 1]?.[0] ?? t;
      const temperature_C = world.air.soundSpeed(height_m) ** 2 / (GAMMA_AIR * R_AIR) - 273.15;
      if (t > open_s && windChill_C(temperature_C, airspeed_mps) <= FREEZING_C) cold_s += t - before;
    }
    const { name, weight } = one;
    const place = { planned: one.kind === 'as planned', landing: landing?.position ?? null };
    return [{ name, weight, ...place, oxygen_s: below?.[0] ?? (landing === null ? Infinity : 0), cold_s }];
  });
}

/** Wind chill of the US National Weather Service and Environment Canada, 2001: °C and km/h. From memory. */
function windChill_C(temperature_C: number, airspeed_mps: number): number {
  const v = Math.max(airspeed_mps * 3.6, 4.8) ** 0.16;
  return 13.12 + 0.6215 * temperature_C - 11.37 * v + 0.3965 * temperature_C * v;
}
