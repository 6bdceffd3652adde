// A plan from nothing, and a plan moved to another day or place. The answer is a mission that can be flown at once;
// what a person has not given yet is left out, and the panels say what is missing.
import { isoOf, tidyPlace } from '../base/plainNumbers.ts';
import type { LonLat } from '../base/units.ts';
import { direct, inverse } from '../earth/geodesic.ts';
import { carrierFrom, jumperOf, type BodySet, type CanopySet, type CarrierSet } from './library.ts';
import type { Mission } from './schema.ts';

export interface NewPlan {
  readonly name: string;
  readonly position: LonLat;
  readonly elevation_m: number;
  /** Where the terrain's heights come from; left out: the ground is level. */
  readonly terrain?: string;
  /** IANA name of the site's time zone; left out: UTC alone. */
  readonly timeZone?: string;
  readonly exitTime_s: number;
  readonly carrier: CarrierSet;
  readonly body: BodySet;
  readonly canopy: CanopySet;
  readonly mass_kg?: number;
}

/** The mission of a new plan. The exit lies over the site: the advice says from where it should be. */
export function newPlan(of: NewPlan): Mission {
  const { position, elevation_m, exitTime_s } = of;
  const carrier = carrierFrom(of.carrier, { position, elevation_m }, exitTime_s);
  const altitude_m = carrier.kind === 'balloon' ? carrier.float_m : carrier.altitude_m;
  return {
    format: 'plumbline/mission',
    version: 1,
    name: of.name,
    site: {
      name: of.name,
      position,
      elevation_m,
      ...(of.timeZone === undefined ? {} : { timeZone: of.timeZone }),
      ...(of.terrain === undefined ? {} : { terrain: of.terrain }),
    },
    carrier,
    exit: { position, altitude_m, time: isoOf(exitTime_s) },
    jumper: jumperOf(of.body, of.canopy, of.mass_kg),
    landingZones: [],
    teams: [],
  };
}

/** Parts of a plan that belong to one place, or to one day; the rest goes along. */
export interface Move {
  /** The new site; left out: the same place. */
  readonly position?: LonLat;
  readonly elevation_m?: number;
  /** The new exit time, s since 1970; left out: the same. Other times keep their distance from the exit. */
  readonly exitTime_s?: number;
  readonly name: string;
}

type Json = null | boolean | number | string | readonly Json[] | { readonly [key: string]: Json };

/**
 * A plan for another day or place. Winds and their files belong to the old day and are left out; at another place so
 * are terrain, roads, zones, hazards and landmarks, which belong to the ground. Carrier, exit and crews keep their
 * bearing and distance from the site. Unknown keys stay.
 */
export function movedPlan(plan: { readonly [key: string]: Json }, move: Move): { readonly [key: string]: Json } {
  const mission = plan as unknown as Mission;
  const from = mission.site.position;
  const shift_s = move.exitTime_s === undefined ? 0 : move.exitTime_s - Date.parse(mission.exit.time) / 1000;
  const lift_m = (move.elevation_m ?? mission.site.elevation_m) - mission.site.elevation_m;
  const there = move.position !== undefined && (move.position[0] !== from[0] || move.position[1] !== from[1]);
  const OLD = there ? ['winds', 'landingZones', 'hazards', 'landmarks', 'roads'] : shift_s === 0 ? [] : ['winds'];
  // A new mission is a real one, also where it was made from a rehearsal.
  const kept = Object.fromEntries(Object.entries(plan).filter(([key]) => key !== 'rehearsal' && !OLD.includes(key)));
  const moved = mapped(kept, (key, value) => {
    if (shift_s !== 0 && isTime(value)) return isoOf(Date.parse(value) / 1000 + shift_s);
    if (there && PLACES.has(key) && isPlace(value)) return carried(from, move.position ?? from, value);
    if (there && lift_m !== 0 && key === 'elevation_m' && typeof value === 'number') return value + lift_m;
    return value;
  }) as { readonly [key: string]: Json };
  const site = { ...(moved['site'] as { readonly [key: string]: Json }) };
  if (there) {
    delete site['terrain'];
    site['name'] = move.name;
  }
  return { ...moved, name: move.name, site, ...(there ? { landingZones: [] } : {}) };
}

/** The keys under which places stand, alone or in a list: elsewhere two numbers are something else. */
const PLACES = new Set(['position', 'standby', 'through', 'polygon', 'line', 'crossings']);

const isTime = (value: Json): value is string =>
  typeof value === 'string' && /^\d{4}-\d\d-\d\dT[\d:.]+Z$/.test(value) && Number.isFinite(Date.parse(value));

const isPlace = (value: Json): value is readonly [number, number] =>
  Array.isArray(value) &&
  value.length === 2 &&
  typeof value[0] === 'number' &&
  typeof value[1] === 'number' &&
  Math.abs(value[0]) <= 180 &&
  Math.abs(value[1]) <= 90;

/** A place at the same bearing and distance from the new site as it had from the old one. */
function carried(from: LonLat, to: LonLat, place: LonLat): LonLat {
  const { distance_m, bearing_deg } = inverse(from, place);
  return tidyPlace(direct(to, bearing_deg, distance_m));
}

/** The value with every part of it replaced that `change` answers differently, from the outside in. */
function mapped(value: Json, change: (key: string, value: Json) => Json, key = ''): Json {
  const changed = change(key, value);
  if (changed !== value || typeof value !== 'object' || value === null) return changed;
  if (Array.isArray(value)) return (value as readonly Json[]).map((one) => mapped(one, change, key));
  return Object.fromEntries(Object.entries(value).map(([name, one]) => [name, mapped(one, change, name)]));
}
