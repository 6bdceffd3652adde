// Sets of numbers that a mission can start from: bodies, canopies, carriers and crews of generic kinds, each with its
// source. A set is copied into the plan: a later change here, or of a person's own set, leaves old missions as they
// are.
import { isoOf, roundTo } from '../base/plainNumbers.ts';
import { atKnots } from '../base/knots.ts';
import type { Canopy, Carrier, Jumper, LeadList, Stage, Team } from './schema.ts';

/** One set: what it is, the numbers, and where they come from. */
export interface LibrarySet<T> {
  readonly name: string;
  readonly source: string;
  readonly values: T;
}

export type CanopySet = Pick<Canopy, 'settings'> & { readonly fillDistance_m: number };
export type CarrierSet =
  | {
      readonly kind: 'balloon';
      readonly ascentRate_mps: readonly (readonly [number, number])[];
      readonly float_m: number;
    }
  | { readonly kind: 'aircraft'; readonly altitude_m: number; readonly airspeed_mps: number; readonly run_s: number };
export type CrewSet = Omit<Team, 'name' | 'position'>;

/** Speed at which a person of 90 kg falls steadily at sea level, as a drag area for another mass of the same build. */
const fallsAt = (mass_kg: number, speed_mps: number): number =>
  roundTo((2 * mass_kg * 9.80665) / (1.225 * speed_mps ** 2), 2);

/** Stages from the exit to the opening at `opensAt_agl_m`, for a jumper of `mass_kg` with all that falls along. */
export interface BodySet {
  readonly opensAt_agl_m: number;
  readonly stages: (mass_kg: number, opensAt_agl_m: number) => Stage[];
}

const one =
  (name: string, area_m2: (mass_kg: number) => number, machFactor?: Stage['machFactor']): BodySet['stages'] =>
  (mass_kg, agl_m) => [
    { name, dragArea_m2: area_m2(mass_kg), ...(machFactor === undefined ? {} : { machFactor }), until: { agl_m } },
  ];

/** Drag rise of a suited person through the speed of sound: a fifth of a blunt body's. */
const SUITED: NonNullable<Stage['machFactor']> = [
  [0, 1],
  [0.6, 1],
  [0.9, 1.08],
  [1.1, 1.15],
  [1.4, 1.1],
  [2, 1.05],
];

export const BODIES: readonly LibrarySet<BodySet>[] = [
  {
    name: 'belly to earth',
    source: 'steady fall at 53.6 m/s (120 mph) near sea level: USPA Skydiver’s Information Manual, freefall table',
    values: { opensAt_agl_m: 1200, stages: one('freefall', (mass_kg) => fallsAt(mass_kg, 53.64)) },
  },
  {
    name: 'upright or head-down',
    source: 'steady fall at 71.6 m/s (160 mph) near sea level: USPA Skydiver’s Information Manual, freefall table',
    values: { opensAt_agl_m: 1500, stages: one('freefall', (mass_kg) => fallsAt(mass_kg, 71.6)) },
  },
  {
    name: 'pressure suit without a drogue',
    source:
      'drag area over mass 0.0075 m²/kg, which gives the reported time of a fall from 25 km; drag rise of a ' +
      'fifth of a blunt body’s: PLOS ONE 12(12) e0187798',
    values: {
      opensAt_agl_m: 1500,
      stages: one('freefall', (mass_kg) => roundTo(0.0075 * mass_kg, 2), SUITED),
    },
  },
  {
    name: 'pressure suit with a drogue',
    source:
      'drag area over mass 0.0080 m²/kg, which gives the reported time and speed of a fall from 41 km under ' +
      'a drogue; released 15 s after the exit (common practice)',
    values: {
      opensAt_agl_m: 1500,
      stages: (mass_kg, agl_m) => [
        { name: 'stabilising', dragArea_m2: roundTo(0.0075 * mass_kg, 2), until: { after_s: 15 } },
        {
          name: 'drogue',
          drogue: true,
          dragArea_m2: roundTo(0.008 * mass_kg, 2),
          machFactor: SUITED,
          until: { agl_m },
        },
      ],
    },
  },
];

/**
 * Filling distances of ram-air canopies: what 3 to 3.5 s make at 54 m/s, the speed of a belly fall (common practice).
 */
const HANDBOOK =
  'glide about 3:1 at 9 m/s over the ground in still air, 2.7 to 3.6 m/s down: published jump school handbook';

export const CANOPIES: readonly LibrarySet<CanopySet>[] = [
  {
    name: 'ram-air, docile',
    source: `${HANDBOOK}; brakes by common practice`,
    values: {
      fillDistance_m: 190,
      settings: [
        { name: 'full drive', airspeed_mps: 9.2, sink_mps: 3.4 },
        { name: 'half brakes', airspeed_mps: 6.5, sink_mps: 2.6 },
        { name: 'deep brakes', airspeed_mps: 4, sink_mps: 2.4 },
      ],
    },
  },
  {
    name: 'ram-air, faster',
    source: 'common practice: a sport canopy at about 1.2 lb/ft²',
    values: {
      fillDistance_m: 160,
      settings: [
        { name: 'full drive', airspeed_mps: 11.5, sink_mps: 4.4 },
        { name: 'half brakes', airspeed_mps: 8.3, sink_mps: 3.5 },
        { name: 'deep brakes', airspeed_mps: 5, sink_mps: 3.1 },
      ],
    },
  },
  {
    name: 'round',
    source:
      'mean 22 ft/s reported for the 35 ft static-line canopy, 28 ft reserves like it: Parachute Recovery ' +
      'Systems Design Manual and public notes; it fills over 8 diameters of 28 ft (the same manual, table ' +
      '5-6)',
    values: { fillDistance_m: 68, settings: [{ name: 'round', airspeed_mps: 0, sink_mps: 6.7 }] },
  },
];

export const CARRIERS: readonly LibrarySet<CarrierSet>[] = [
  {
    name: 'light aircraft, 4 km',
    source: 'common practice: run at 90 kt true airspeed',
    values: { kind: 'aircraft', altitude_m: 4000, airspeed_mps: 46, run_s: 150 },
  },
  {
    name: 'twin turboprop, 4 km',
    source: 'common practice: run at 100 kt true airspeed',
    values: { kind: 'aircraft', altitude_m: 4000, airspeed_mps: 51, run_s: 120 },
  },
  {
    name: 'tailgate aircraft, 7.5 km',
    source: 'common practice: run at 130 kt true airspeed; oxygen is needed',
    values: { kind: 'aircraft', altitude_m: 7500, airspeed_mps: 67, run_s: 120 },
  },
  {
    name: 'balloon with a gondola, 39 km',
    source: 'ascent of 5 m/s (model of this program, core/MODEL.md), slower into the float',
    values: {
      kind: 'balloon',
      float_m: 39_000,
      ascentRate_mps: [
        [0, 5],
        [36_000, 5],
        [39_000, 1.5],
      ],
    },
  },
  {
    name: 'hot-air balloon, 3 km',
    source: 'common practice: ascent of 3 m/s, float before the exit',
    values: {
      kind: 'balloon',
      float_m: 3000,
      ascentRate_mps: [
        [0, 3],
        [2900, 1],
      ],
    },
  },
];

export const CREWS: readonly LibrarySet<CrewSet>[] = [
  {
    name: 'light helicopter',
    source: 'common practice for a light single: 110 kt, 2 h; 20 min kept back by 14 CFR 91.151',
    values: {
      kind: 'helicopter',
      speed_mps: 55,
      ready_s: 180,
      endurance_s: 7200,
      reserve_s: 1200,
      medical: true,
      seats: 4,
      slope_deg_max: 7,
      cruise_agl_m: 150,
      mass_kg: 2250,
      rotor_m: 10.7,
      serves: 'both',
    },
  },
  {
    name: 'four-wheel-drive vehicle',
    source: 'common practice: 70 km/h by road, 25 km/h across open ground',
    values: {
      kind: 'vehicle',
      speed_mps: 19,
      offRoad_mps: 7,
      ready_s: 60,
      endurance_s: 28_800,
      medical: false,
      seats: 4,
    },
  },
  {
    name: 'ambulance',
    source: 'common practice: 80 km/h by road, walking pace across ground',
    values: {
      kind: 'vehicle',
      speed_mps: 22,
      offRoad_mps: 2,
      ready_s: 60,
      endurance_s: 28_800,
      medical: true,
      seats: 3,
    },
  },
  {
    name: 'rigid inflatable boat',
    source: 'common practice: 25 kt in a slight sea, two crew and room for a stretcher',
    values: {
      kind: 'boat',
      speed_mps: 13,
      ready_s: 60,
      endurance_s: 10_800,
      medical: false,
      seats: 4,
    },
  },
];

const OWN_RULES = 'common practice; edit it to the flight’s own rules';

const item = (name: string, who?: string, gates = false): LeadList['items'][number] => ({
  name,
  ...(who === undefined ? {} : { who }),
  ...(gates ? { gates } : {}),
});
/** An item that the word waits for. */
const gate = (name: string, who?: string): LeadList['items'][number] => item(name, who, true);

/** Lists of the lead's to start from. Nothing after the touchdown gates: the word is for the exit. */
export const LISTS: readonly LibrarySet<LeadList>[] = [
  {
    name: 'before the exit from a balloon',
    source: 'common practice: what the lead asks by name before anybody leaves',
    values: {
      name: 'Before the exit from the balloon',
      note: OWN_RULES,
      items: [
        gate('winds aloft and on the ground checked', 'lead'),
        gate('landing zone clear', 'ground crew'),
        gate('crews in place', 'crews'),
        gate('radio check with the jumper', 'jumper'),
        gate('oxygen flows and lasts', 'jumper'),
        gate('canopy, reserve and opening device armed', 'jumper'),
        gate('airspace agreed', 'pilot'),
        item('visor heat and suit warm', 'jumper'),
        gate('release of the gondola briefed', 'pilot'),
        gate('everybody answers GO', 'lead'),
      ],
    },
  },
  {
    name: 'before a jump run from an aircraft',
    source: 'common practice: what the lead and the aircraft settle before the door opens',
    values: {
      name: 'Before the jump run',
      note: OWN_RULES,
      items: [
        gate('winds aloft and on the ground checked', 'lead'),
        gate('landing zone clear', 'ground crew'),
        gate('crews in place', 'crews'),
        gate('run heading and exit place agreed', 'pilot'),
        gate('radio check with the aircraft', 'pilot'),
        gate('airspace agreed', 'pilot'),
        item('oxygen off the aircraft’s supply', 'jumper'),
        gate('pins and handles checked', 'jumper'),
        gate('everybody answers GO', 'lead'),
      ],
    },
  },
  {
    name: 'after touchdown',
    source: 'common practice: what the lead settles before the crews are released',
    values: {
      name: 'After touchdown',
      note: OWN_RULES,
      items: [
        item('touchdown called with its place', 'first crew'),
        item('jumper seen, conscious and breathing', 'first crew'),
        item('oxygen off, suit opened', 'first crew'),
        item('canopy collapsed and held down', 'first crew'),
        item('medical check done', 'medic'),
        item('gondola and envelope found', 'gondola crew'),
        item('search and standby crews released', 'lead'),
        item('all crews counted', 'lead'),
      ],
    },
  },
];

/** Mass of a jumper with all that falls along, where nobody said another: common practice, 90 kg and 15 kg of kit. */
export const USUAL_MASS_KG = 105;

/** A jumper of the library. */
export function jumperOf(body: BodySet, canopy: CanopySet, mass_kg = USUAL_MASS_KG): Jumper {
  return {
    mass_kg,
    experience: 'licensed',
    stages: body.stages(mass_kg, body.opensAt_agl_m),
    canopy: {
      referenceMass_kg: mass_kg,
      fillDistance_m: canopy.fillDistance_m,
      settings: [...canopy.settings],
      setting: canopy.settings[0]?.name ?? '',
      steering: { policy: 'drift' },
    },
  };
}

/** A carrier of the library at a place and an exit time. */
export function carrierFrom(
  set: CarrierSet,
  site: { readonly position: readonly [number, number]; readonly elevation_m: number },
  exitTime_s: number,
): Carrier {
  if (set.kind === 'aircraft') return { ...set, time: isoOf(exitTime_s) };
  const climb_s = climbTime_s(set, site.elevation_m);
  return {
    kind: 'balloon',
    launch: { position: site.position, elevation_m: site.elevation_m, time: isoOf(exitTime_s - climb_s) },
    ascentRate_mps: [...set.ascentRate_mps],
    float_m: set.float_m,
  };
}

/** Time from the ground to the float height at the set's rates, s: midpoints of 50 m steps. */
function climbTime_s(set: Extract<CarrierSet, { readonly kind: 'balloon' }>, from_m: number): number {
  const step_m = 50;
  let time_s = 0;
  for (let h = from_m; h < set.float_m; h += step_m) {
    const rate = atKnots(set.ascentRate_mps, h + step_m / 2);
    time_s += Math.min(step_m, set.float_m - h) / rate;
  }
  return time_s;
}
