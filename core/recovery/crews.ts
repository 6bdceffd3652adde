// The crews of a mission with every number they are judged by, where each is, and what a helicopter makes good and
// burns. Speeds m/s, times s, bearings degrees true; a helicopter's speed is its true airspeed in cruise.
import { quantity, angle } from '../words/numbers.ts';
import { isCalm } from '../words/winds.ts';
import { worldSamplerOf } from '../descent/scenario.ts';
import { inverse } from '../earth/geodesic.ts';
import type { Mission, Team } from '../plan/schema.ts';
import type { MissionState } from '../log/fold.ts';
import type { Situation } from '../mission/situation.ts';
import { DEG_PER_RAD, RAD_PER_DEG, wrap360, type LonLat } from '../base/units.ts';

/**
 * Fuel that a helicopter keeps under visual rules: 20 minutes at cruise. ref: recovery.md §4; source: 14 CFR 91.151;
 * mark F.
 */
export const HELICOPTER_RESERVE_S = 1200;
/** Steepest ground to land on without warning. ref: recovery.md §2; source: FM 3-21.38; mark F. */
const LANDING_SLOPE_DEG = 7;
/** Most wind in which a light helicopter starts and stops its rotor: 45 kt. Common practice. */
const WIND_MPS_MAX = 23;
/** Height of a crew's flight above ground where it says none; common practice away from towns. */
const CRUISE_AGL_M = 150;
/**
 * From a call to rolling or lifting off, where the mission says nothing: common practice for a crew that waits in its
 * seats.
 */
export const READY_S = { helicopter: 180, vehicle: 60, boat: 60 } as const;
/**
 * A cross-country vehicle on open ground, where the mission says nothing: a third of its road speed, 8 m/s at most.
 * Invented.
 */
const OFF_ROAD_SHARE = 1 / 3;
const OFF_ROAD_MPS_MAX = 8;

export type CrewKind = Team['kind'];

export interface Crew {
  readonly team: Team;
  readonly name: string;
  readonly kind: CrewKind;
  readonly serves: 'jumper' | 'gondola' | 'both';
  readonly medical: boolean;
  readonly fixed: boolean;
  /** Where the crew comes from and goes back to. */
  readonly base: LonLat;
  /** Where it waits by the plan. */
  readonly standby: LonLat;
  /** Where it was last heard; null where it never was. */
  readonly heard: { readonly position: LonLat; readonly time_s: number } | null;
  readonly speed_mps: number;
  readonly offRoad_mps: number;
  readonly ready_s: number;
  readonly endurance_s: number | null;
  readonly reserve_s: number;
  readonly slope_deg_max: number;
  /** Most wind on the ground, gusts with it, in which it flies. */
  readonly wind_mps_max: number;
  readonly cruise_agl_m: number;
  readonly seats: number | null;
  readonly hoist: boolean;
  readonly night: boolean;
  readonly waits: 'shut down' | 'running';
  /** What the plan leaves out and what is taken instead, in words. */
  readonly assumed: readonly string[];
}

/**
 * What its way in depends on: helicopters that are alike in it share finals and flights, which take most of the time of
 * a board with many of them. The base counts in calm air: the final is headed from there.
 */
export const flownAlike = (crew: Crew, surface: readonly [u: number, v: number]): string =>
  [
    crew.speed_mps,
    crew.cruise_agl_m,
    crew.slope_deg_max,
    crew.wind_mps_max,
    crew.hoist,
    ...(isCalm(Math.hypot(...surface)) ? crew.base : []),
  ].join();

export function crewsOf(mission: Mission, state: MissionState | null = null): Crew[] {
  return (mission.teams ?? []).map((team) => {
    const helicopter = team.kind === 'helicopter';
    const assumed: string[] = [];
    const or = <T>(value: T | undefined, instead: T, words: string): T => {
      if (value === undefined) assumed.push(words);
      return value ?? instead;
    };
    const offRoad = Math.min(team.speed_mps * OFF_ROAD_SHARE, OFF_ROAD_MPS_MAX);
    const fix = state?.fixes.get(team.name)?.at(-1);
    return {
      team,
      name: team.name,
      kind: team.kind,
      serves: team.serves ?? 'jumper',
      medical: team.medical === true,
      fixed: team.fixed === true,
      base: team.position,
      standby: team.standby ?? team.position,
      heard: fix === undefined ? null : { position: fix.position, time_s: fix.time_s },
      speed_mps: team.speed_mps,
      offRoad_mps: helicopter
        ? 0
        : team.kind === 'boat'
          ? team.speed_mps
          : Math.min(
              or(team.offRoad_mps, offRoad, `${quantity(offRoad, 'm/s', 1)} off the road (invented)`),
              team.speed_mps,
            ),
      ready_s: or(
        team.ready_s,
        READY_S[team.kind],
        `${READY_S[team.kind]} s from the exit to leaving (common practice)`,
      ),
      endurance_s: team.endurance_s ?? null,
      reserve_s: helicopter
        ? or(team.reserve_s, HELICOPTER_RESERVE_S, '20 min of fuel in reserve (14 CFR 91.151)')
        : (team.reserve_s ?? 0),
      slope_deg_max: helicopter
        ? or(team.slope_deg_max, LANDING_SLOPE_DEG, `landing on ground up to ${angle(LANDING_SLOPE_DEG)} (FM 3-21.38)`)
        : (team.slope_deg_max ?? 15),
      wind_mps_max: helicopter
        ? or(team.wind_mps_max, WIND_MPS_MAX, `wind on the ground up to ${WIND_MPS_MAX} m/s (common practice)`)
        : Infinity,
      cruise_agl_m: helicopter
        ? or(team.cruise_agl_m, CRUISE_AGL_M, `flight ${CRUISE_AGL_M} m above ground (common practice)`)
        : (team.cruise_agl_m ?? 0),
      seats: team.seats ?? null,
      hoist: team.hoist === true,
      night: !helicopter || team.night === true,
      waits: team.waits ?? 'shut down',
      assumed,
    };
  });
}

/** What an aircraft makes good along a track, or why it cannot hold it. */
type MadeGood =
  | {
      readonly kind: 'flies';
      readonly speed_mps: number;
      readonly heading_deg: number;
      /** Heading less track: positive to the right. */
      readonly correction_deg: number;
    }
  | { readonly kind: 'cannot'; readonly why: string };

/** The wind triangle. `u`, `v`: the air's motion toward east and north, m/s. */
export function madeGood(airspeed_mps: number, track_deg: number, u: number, v: number): MadeGood {
  const sin = Math.sin(track_deg * RAD_PER_DEG);
  const cos = Math.cos(track_deg * RAD_PER_DEG);
  const along = u * sin + v * cos;
  const across = u * cos - v * sin;
  const spare = airspeed_mps * airspeed_mps - across * across;
  if (!(spare > 0))
    return {
      kind: 'cannot',
      why: `the wind across the track, ${quantity(Math.abs(across), 'm/s')}, is more than the airspeed`,
    };
  const speed_mps = along + Math.sqrt(spare);
  if (!(speed_mps > 0))
    return { kind: 'cannot', why: `the wind against the track, ${quantity(-along, 'm/s')}, is more than the airspeed` };
  const correction_deg = -Math.asin(across / airspeed_mps) * DEG_PER_RAD;
  return { kind: 'flies', speed_mps, heading_deg: wrap360(track_deg + correction_deg), correction_deg };
}

/** The gust of the newest report from the ground, m/s; null where none names one. */
export const gustNow_mps = ({ winds }: Pick<Situation, 'winds'>): number | null =>
  winds.newestSurface?.report.event.gust_mps ?? null;

/** What a helicopter's limit is held against: the wind on the ground, or the gust where it is more. */
export const rotorWind_mps = (surface: readonly [number, number], gust_mps: number | null): number =>
  Math.max(Math.hypot(...surface), gust_mps ?? 0);

/**
 * The air's motion [east, north] m/s at a height above the ground of a place: the forecast and what the reports make of
 * it.
 */
export function windOver(
  situation: Situation,
  place: LonLat,
  agl_m: number,
  time_s: number,
): readonly [u: number, v: number] {
  const { world } = situation;
  const around = worldSamplerOf(world);
  around.start(time_s, world.analysis?.increment ?? null);
  const [lon, lat] = [place[0] * RAD_PER_DEG, place[1] * RAD_PER_DEG];
  around.wind(lat, lon, world.ground.heightAt(lat, lon) + agl_m, 0);
  return [around.sampler.out[0] ?? 0, around.sampler.out[1] ?? 0];
}

/** Flying time between two places in one wind, s; Infinity where the track cannot be held. */
export function flightTime_s(
  crew: Pick<Crew, 'speed_mps'>,
  from: LonLat,
  to: LonLat,
  wind: readonly [number, number],
): number {
  const { distance_m, bearing_deg } = inverse(from, to);
  if (distance_m === 0) return 0;
  const good = madeGood(crew.speed_mps, bearing_deg, wind[0], wind[1]);
  return good.kind === 'flies' ? distance_m / good.speed_mps : Infinity;
}

/**
 * What a helicopter's fuel allows for: the legs flown, a wait with the rotor turning, the reserve; the rest is time on
 * scene.
 */
export type Fuel =
  | { readonly kind: 'enough'; readonly onScene_s: number; readonly needed_s: number }
  | { readonly kind: 'short'; readonly by_s: number; readonly needed_s: number }
  | { readonly kind: 'not given' };

export function fuelLeft(crew: Pick<Crew, 'endurance_s' | 'reserve_s'>, flown_s: number): Fuel {
  if (crew.endurance_s === null) return { kind: 'not given' };
  const left = crew.endurance_s - crew.reserve_s - flown_s;
  const needed_s = flown_s + crew.reserve_s;
  return left >= 0 ? { kind: 'enough', onScene_s: left, needed_s } : { kind: 'short', by_s: -left, needed_s };
}
