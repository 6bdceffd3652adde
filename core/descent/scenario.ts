// A descent ready to fly: the plan's bodies compiled, with the wind, air and ground of the moment. Every prediction,
// ensemble, case and sensitivity starts from one of these, so that they cannot differ in what they assume.
import type { Air } from '../air/air.ts';
import { Ground } from '../earth/ground.ts';
import type { TerrainGrid } from '../earth/terrain.ts';
import type { Body, Exit, LandingZone, Mission } from '../plan/schema.ts';
import { RAD_PER_DEG, wrap180, wrap360, windFrom, type LonLat } from '../base/units.ts';
import type { WindsAnalysis } from '../winds/analysis.ts';
import type { BackgroundErrors } from '../winds/errors.ts';
import { errorsFor } from '../winds/now.ts';
import { WindSampler, type WindField } from '../winds/field.ts';
import { DEFAULT_ROUGHNESS_M } from '../winds/nearGround.ts';
import { compileBody, type CompiledBody } from './body.ts';
import type { ExitState } from './flight.ts';
import { thermalShare } from './thermals.ts';
import { WorldSampler } from './worldSampler.ts';

/** What a descent meets, apart from the body itself. */
export interface World {
  readonly air: Air;
  readonly wind: WindField;
  readonly ground: Ground;
  readonly roughness_m: number;
  /** Files that the plan names for winds and ground, and that gave none; what of the log's end cannot be read. */
  readonly lacking?: readonly string[];
  /** How far the forecast may be off, and what the reports make of it; no analysis: no reports. */
  readonly errors: BackgroundErrors;
  readonly analysis: WindsAnalysis | null;
}

/** What of a plan decides how its bodies leave and fall. */
export type FlownPlan = Pick<Mission, 'jumper' | 'exit' | 'carrier' | 'landingZones' | 'uncertainty'>;

export interface Scenario {
  readonly world: World;
  readonly body: CompiledBody;
  readonly exit: ExitState;
}

export function worldOf(
  mission: Pick<Mission, 'site' | 'uncertainty'>,
  wind: WindField,
  air: Air,
  terrain: TerrainGrid | null,
  analysis: WindsAnalysis | null = null,
): World {
  return {
    air,
    wind,
    ground: new Ground(mission.site.elevation_m, terrain),
    roughness_m: mission.site.roughness_m ?? DEFAULT_ROUGHNESS_M,
    errors: analysis?.errors ?? errorsFor(mission, wind),
    analysis,
  };
}

/** How strong thermals are where and when a scenario's exit is: a share of their strongest. */
export const thermalsOf = ({ exit, world }: Scenario): number =>
  thermalShare([exit.lon_deg, exit.lat_deg], exit.time_s, world.roughness_m);

export const worldSamplerOf = (world: World): WorldSampler =>
  new WorldSampler(world.air, world.wind, world.ground, { roughness_m: world.roughness_m });

/** Seconds since 1970 of a time that the schema has already read. */
export const epoch_s = (time: string): number => Date.parse(time) / 1000;

/** The middle of a zone: the mean of its corners (a repeated closing corner counts once). */
export function zoneMiddle(zone: LandingZone): LonLat {
  const first = zone.polygon[0];
  const last = zone.polygon[zone.polygon.length - 1];
  const closed = first !== undefined && last !== undefined && first[0] === last[0] && first[1] === last[1];
  const corners = closed ? zone.polygon.slice(0, -1) : zone.polygon;
  const n = corners.length;
  const lon0 = first?.[0] ?? NaN;
  // Counted from the first corner: a zone may lie across 180°.
  const east_deg = corners.reduce((sum, c) => sum + wrap180(c[0] - lon0), 0) / n;
  return [wrap180(lon0 + east_deg), corners.reduce((sum, c) => sum + c[1], 0) / n];
}

/**
 * Where steering goes: the position or zone that the canopy names, the first zone where it names none, else nowhere. A
 * name that no zone has is nowhere: it is not taken for another zone.
 */
export function steeringTarget(mission: Pick<Mission, 'landingZones'>, body: Body): LonLat | null {
  const steering = body.canopy?.steering;
  if (steering === undefined || (steering.policy !== 'to target' && steering.policy !== 'pattern')) return null;
  if (steering.position !== undefined) return steering.position;
  const zone = zoneNamed(steering.zone ?? null, mission.landingZones);
  return zone === null ? null : zoneMiddle(zone);
}

/** The zone of a name, the first where none is named; null where no zone has it: it is not taken for another. */
export const zoneNamed = (name: string | null, zones: readonly LandingZone[] = []): LandingZone | null =>
  (name === null ? zones[0] : zones.find((zone) => zone.name === name)) ?? null;

/** The zone that the plan steers for and that the word is about; the first where it names none. */
export const zoneSteeredFor = (mission: Pick<Mission, 'landingZones' | 'jumper'>): LandingZone | null =>
  zoneNamed(zoneNameOf(mission) ?? null, mission.landingZones);

/** The name of the zone that the canopy is steered to; undefined: it is not steered, or to no named one. */
export function zoneNameOf({ jumper }: Pick<Mission, 'jumper'>): string | undefined {
  const steering = jumper.canopy?.steering;
  return steering?.policy === 'to target' || steering?.policy === 'pattern' ? steering.zone : undefined;
}

/** The wind 10 m above ground at a place and time: direction it blows from, degrees true, and speed, m/s. */
export function surfaceWind(world: World, place: LonLat, time_s: number): { from_deg: number; speed_mps: number } {
  const sampler = new WindSampler(world.wind);
  sampler.start(time_s, null);
  const lat = place[1] * RAD_PER_DEG;
  const lon = place[0] * RAD_PER_DEG;
  sampler.sample(lat, lon, world.ground.heightAt(lat, lon) + 10, 0);
  return windFrom(sampler.out[0] ?? 0, sampler.out[1] ?? 0);
}

/**
 * The exit of the plan: a balloon's velocity left out is the wind's; an aircraft's is its ground velocity on its run.
 */
export function exitState(
  mission: Pick<Mission, 'exit' | 'carrier'>,
  world: World,
  exit: Exit = mission.exit,
): ExitState {
  const state = {
    lon_deg: exit.position[0],
    lat_deg: exit.position[1],
    height_m: exit.altitude_m,
    time_s: epoch_s(exit.time),
  };
  if (exit.velocity_mps !== undefined) return { ...state, velocity_mps: exit.velocity_mps };
  const carrier = mission.carrier;
  if (carrier === undefined || carrier.kind === 'balloon') return { ...state, velocity_mps: null };
  const sampler = new WindSampler(world.wind);
  sampler.start(state.time_s, null);
  sampler.sample(state.lat_deg * RAD_PER_DEG, state.lon_deg * RAD_PER_DEG, state.height_m, 0);
  const u = sampler.out[0] ?? 0;
  const v = sampler.out[1] ?? 0;
  const run_deg = carrier.heading_deg ?? wrap360(windFrom(u, v).from_deg);
  const heading = run_deg * RAD_PER_DEG;
  return {
    ...state,
    velocity_mps: [carrier.airspeed_mps * Math.sin(heading) + u, carrier.airspeed_mps * Math.cos(heading) + v, 0],
  };
}

/** The scenario of one body of the mission, by default the jumper, from one exit, by default the plan's. */
export function scenarioOf(
  mission: FlownPlan,
  world: World,
  body: Body = mission.jumper,
  exit: Exit = mission.exit,
): Scenario {
  const target = steeringTarget(mission, body);
  const surface = target === null ? null : surfaceWind(world, target, epoch_s(exit.time));
  const goal = { target, surfaceFrom_deg: surface === null || surface.speed_mps === 0 ? null : surface.from_deg };
  return { world, body: compileBody(body, goal), exit: exitState(mission, world, exit) };
}
