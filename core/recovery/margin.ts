import type { Mission } from '../plan/schema.ts';
import type { Crew } from './crews.ts';
import { ROTOR_WASH_M } from './keepClear.ts';
import { VEHICLE_M } from './landable.ts';

/** How far a crew keeps from where a canopy may come down. */
export const marginOf = (scene: { readonly mission: Mission }, crew: Crew): number =>
  crew.kind === 'helicopter' ? (scene.mission.placement?.rotorWash_m ?? ROTOR_WASH_M) : VEHICLE_M;
