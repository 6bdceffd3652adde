// The Sun for a place, by the package suncalc: where it stands, when it rises and sets, how much light is left.
// Azimuths clockwise from true north; elevations of the Sun's centre. suncalc tells the Sun's place to about 0.01° and
// its times to a minute (`tests/published/sun.test.ts`); `LIGHT_ERROR_S` stands where a decision is taken on them.
import { getPosition, getTimes } from 'suncalc';
import { DEG_PER_RAD, RAD_PER_DEG } from '../base/units.ts';
import type { LonLat } from '../base/units.ts';
import { skyline_deg } from './terrain.ts';
import type { TerrainGrid } from './terrain.ts';

export interface SunPosition {
  readonly azimuth_deg: number;
  /** As seen, lifted by refraction; once the whole Sun is below the horizon, the geometric elevation. */
  readonly elevation_deg: number;
}

/**
 * What rise, set and twilight may be off by, s, over a level horizon and in standard air. Near the horizon the true
 * refraction varies by tenths of a degree with the weather, and hills to the west bring the dark earlier.
 */
export const LIGHT_ERROR_S = 60;

const DAY_S = 86_400;
/** Refraction and half the Sun's width at rise and set: 34′ + 16′ (common practice, as in suncalc). */
const RISE_SET_DEG = -0.833;
/** End of civil twilight: geometric (14 CFR 1.1 and common practice). */
export const CIVIL_TWILIGHT_DEG = -6;

const dateOf = (time_s: number): Date => new Date(time_s * 1000);

/** Where the Sun stands at a time (s since 1970), in standard air at sea level. Error about 0.01°. */
export function sunPosition(place: LonLat, time_s: number): SunPosition {
  const { azimuth, altitude } = getPosition(dateOf(time_s), place[1], place[0]);
  const geometric = geometric_deg(altitude);
  return { azimuth_deg: azimuth, elevation_deg: geometric >= RISE_SET_DEG ? altitude : geometric };
}

/**
 * suncalc's elevation without the refraction that it adds: Meeus 16.4, and below the horizon what that gives at 0°.
 * The refraction changes slowly with elevation, so a few rounds settle it.
 */
function geometric_deg(apparent_deg: number): number {
  let geometric = apparent_deg;
  for (let round = 0; round < 8; round++) geometric = apparent_deg - refraction_deg(Math.max(geometric, 0));
  return geometric;
}

const refraction_deg = (geometric_deg: number): number =>
  1.02 / 60 / Math.tan((geometric_deg + 10.26 / (geometric_deg + 5.1)) * RAD_PER_DEG);

/** A moment, or why that day has no such moment. */
export type SunEvent =
  | { readonly kind: 'at'; readonly time_s: number }
  | { readonly kind: 'stays above'; readonly why: string }
  | { readonly kind: 'stays below'; readonly why: string };

export interface SunTimes {
  readonly noon_s: number;
  readonly sunrise: SunEvent;
  readonly sunset: SunEvent;
  readonly civil: { readonly dawn: SunEvent; readonly dusk: SunEvent };
}

/**
 * The events at sea level of the solar day whose noon is nearest to a time: from midnight before to midnight after,
 * whatever the clocks say. Error `LIGHT_ERROR_S`; near the poles the Sun grazes the horizon and weather decides.
 */
export function sunTimes(place: LonLat, time_s: number): SunTimes {
  const times = getTimes(dateOf(time_s), place[1], place[0]);
  const noon_s = times.solarNoon.getTime() / 1000;
  const noon_deg = geometric_deg(getPosition(times.solarNoon, place[1], place[0]).altitude);
  const event = (date: Date | null, limit_deg: number, above: string, below: string): SunEvent => {
    if (date !== null) return { kind: 'at', time_s: date.getTime() / 1000 };
    return noon_deg > limit_deg ? { kind: 'stays above', why: above } : { kind: 'stays below', why: below };
  };
  const day = (date: Date | null): SunEvent =>
    event(date, RISE_SET_DEG, 'the sun does not set', 'the sun does not rise');
  const civil = (date: Date | null): SunEvent =>
    event(date, CIVIL_TWILIGHT_DEG, 'civil twilight lasts all night', 'the day does not reach civil twilight');
  return {
    noon_s,
    sunrise: day(times.sunrise),
    sunset: day(times.sunset),
    civil: { dawn: civil(times.dawn), dusk: civil(times.dusk) },
  };
}

/** What is left of the light at a moment. Night begins at the end of evening civil twilight (14 CFR 1.1). */
export type LightLeft =
  | { readonly kind: 'day'; readonly toSunset_s: number; readonly toCivilEnd_s: number | null }
  | { readonly kind: 'twilight'; readonly toCivilEnd_s: number }
  | { readonly kind: 'dawn'; readonly toSunrise_s: number | null }
  | { readonly kind: 'night'; readonly toCivilDawn_s: number | null }
  | { readonly kind: 'no night'; readonly why: string };

/**
 * Light left on level ground, to `LIGHT_ERROR_S`. `day`: `toCivilEnd_s` is null where the twilight lasts all night. A
 * null elsewhere: within the next day the event does not come.
 */
export function lightLeft(place: LonLat, time_s: number): LightLeft {
  const today = sunTimes(place, time_s);
  const until = (event: SunEvent): number | null => (event.kind === 'at' ? event.time_s - time_s : null);
  const next = (pick: (times: SunTimes) => SunEvent): number | null => {
    const here = until(pick(today));
    return here !== null && here > 0 ? here : until(pick(sunTimes(place, today.noon_s + DAY_S)));
  };
  const elevation = geometric_deg(getPosition(dateOf(time_s), place[1], place[0]).altitude);
  const morning = time_s < today.noon_s;
  if (elevation >= RISE_SET_DEG) {
    const toSunset_s = morning || today.sunset.kind === 'at' ? until(today.sunset) : next((times) => times.sunset);
    if (toSunset_s === null) return { kind: 'no night', why: today.sunset.kind === 'at' ? '' : today.sunset.why };
    return { kind: 'day', toSunset_s, toCivilEnd_s: until(today.civil.dusk) };
  }
  if (elevation >= CIVIL_TWILIGHT_DEG) {
    if (morning) return { kind: 'dawn', toSunrise_s: next((times) => times.sunrise) };
    const toCivilEnd_s = until(today.civil.dusk);
    return toCivilEnd_s === null
      ? { kind: 'no night', why: 'civil twilight lasts all night' }
      : { kind: 'twilight', toCivilEnd_s };
  }
  return { kind: 'night', toCivilDawn_s: next((times) => times.civil.dawn) };
}

/** Angle between a heading and the Sun, degrees, 0 straight ahead to 180 behind, measured along the sky. */
export function sunOffHeading_deg(heading_deg: number, sun: SunPosition): number {
  const turn = Math.cos((sun.azimuth_deg - heading_deg) * RAD_PER_DEG) * Math.cos(sun.elevation_deg * RAD_PER_DEG);
  return Math.acos(Math.max(-1, Math.min(1, turn))) * DEG_PER_RAD;
}

/**
 * Whether terrain hides the Sun's centre from someone standing at a place; null where the ground is not known or the
 * Sun is down.
 */
export function isShaded(grid: TerrainGrid, place: LonLat, sun: SunPosition): boolean | null {
  if (!(sun.elevation_deg > RISE_SET_DEG)) return null;
  const skyline = skyline_deg(grid, place, 2, sun.azimuth_deg);
  return skyline === null ? null : skyline > sun.elevation_deg;
}
