// The Sun for a place: where it stands, when it rises and sets and how dark it gets, how much light is left. Azimuth
// clockwise from true north; elevations of the Sun's centre. Method: NREL/TP-560-34302 (2008), §3, on the shorter
// series of `sunSeries.ts`.
import { standardAir } from '../air/air.ts';
import { skyline_deg } from './terrain.ts';
import type { TerrainGrid } from './terrain.ts';
import { DEG_PER_RAD, RAD_PER_DEG, wrap180, wrap360 } from '../base/units.ts';
import type { LonLat } from '../base/units.ts';
import { apparentSun } from './sunSeries.ts';

export interface SunPosition {
  readonly azimuth_deg: number;
  /** As seen, lifted by refraction; below the horizon there is none to see, and this is the geometric elevation. */
  readonly elevation_deg: number;
  readonly geometric_deg: number;
}

/** What the air does to the light. Left out: standard pressure at the height, 15 °C. */
export interface SunConditions {
  readonly pressure_Pa?: number;
  readonly temperature_K?: number;
  /** Dynamical minus universal time, s. */
  readonly deltaT_s?: number;
}

const EPOCH_S = 946_728_000;
const DAY_S = 86_400;
const EARTH_RADIUS_M = 6_371_000;

/** Observed to 2025 (IERS), 69 s held from there: a second moves the Sun by 0.00001°. */
const DELTA_T = [
  [2000, 63.8],
  [2005, 64.7],
  [2010, 66.1],
  [2015, 67.6],
  [2020, 69.4],
  [2025, 69.1],
] as const;

function deltaT(time_s: number): number {
  const year = 2000 + (time_s - EPOCH_S) / (365.25 * DAY_S);
  let [before, value] = DELTA_T[0] as readonly [number, number];
  for (const [at, seconds] of DELTA_T) {
    if (year < at) return year < before ? value : value + ((seconds - value) * (year - before)) / (at - before);
    [before, value] = [at, seconds];
  }
  return value;
}

/** Refraction and half the Sun's width at rise and set: 34′ + 16′ (reference/sun.md §2). */
export const RISE_SET_DEG = -0.833;
export const TWILIGHT_DEG = { civil: -6, nautical: -12, astronomical: -18 } as const;

/**
 * Where the Sun stands for an observer at a height (m MSL) and time (s since 1970).
 *
 * Error  below 0.0001° against the published example with its own air and delta T, below 0.001° against
 *        astronomy-engine 2000 to 2050
 *        (`tests/published/sun.test.ts`); near the horizon the true refraction varies by tenths of a degree with the
 *        weather
 */
export function sunPosition(
  place: LonLat,
  height_m: number,
  time_s: number,
  conditions: SunConditions = {},
): SunPosition {
  const sun = apparentSun((time_s - EPOCH_S) / DAY_S, conditions.deltaT_s ?? deltaT(time_s));
  const phi = place[1] * RAD_PER_DEG;
  const hourAngle = sun.siderealTime + place[0] * RAD_PER_DEG - sun.rightAscension;
  const parallax = (8.794 / 3600 / sun.distance_au) * RAD_PER_DEG;
  const u = Math.atan(0.99664719 * Math.tan(phi));
  const x = Math.cos(u) + (height_m / 6_378_140) * Math.cos(phi);
  const y = 0.99664719 * Math.sin(u) + (height_m / 6_378_140) * Math.sin(phi);
  const away = Math.cos(sun.declination) - x * Math.sin(parallax) * Math.cos(hourAngle);
  const shift = Math.atan2(-x * Math.sin(parallax) * Math.sin(hourAngle), away);
  const declination = Math.atan2((Math.sin(sun.declination) - y * Math.sin(parallax)) * Math.cos(shift), away);
  const h = hourAngle - shift;
  const geometric = Math.asin(
    Math.sin(phi) * Math.sin(declination) + Math.cos(phi) * Math.cos(declination) * Math.cos(h),
  );
  const azimuth = Math.atan2(Math.sin(h), Math.cos(h) * Math.sin(phi) - Math.tan(declination) * Math.cos(phi));
  const geometric_deg = geometric * DEG_PER_RAD;
  const pressure_Pa = conditions.pressure_Pa ?? standardAir(height_m).pressure_Pa;
  return {
    azimuth_deg: wrap360(azimuth * DEG_PER_RAD + 180),
    elevation_deg: geometric_deg + refraction_deg(geometric_deg, pressure_Pa, conditions.temperature_K ?? 288.15),
    geometric_deg,
  };
}

/**
 * Bennett's formula turned round (Meeus 16.4), for a geometric elevation; nothing once the whole Sun is below the
 * horizon.
 */
function refraction_deg(geometric_deg: number, pressure_Pa: number, temperature_K: number): number {
  if (!(geometric_deg >= RISE_SET_DEG)) return 0;
  const angle = (geometric_deg + 10.3 / (geometric_deg + 5.11)) * RAD_PER_DEG;
  return ((pressure_Pa / 101_000) * (283 / temperature_K) * 1.02) / 60 / Math.tan(angle);
}

/** How far below the level the horizon lies for an eye so high above it, degrees, without refraction. 30 km: 5.55°. */
export function dip_deg(height_m: number): number {
  return height_m > 0 ? Math.acos(EARTH_RADIUS_M / (EARTH_RADIUS_M + height_m)) * DEG_PER_RAD : 0;
}

/** A moment, or why there is none on that day. */
export type SunEvent =
  | { readonly kind: 'at'; readonly time_s: number }
  | { readonly kind: 'stays above'; readonly why: string }
  | { readonly kind: 'stays below'; readonly why: string };

export interface SunTimes {
  readonly noon_s: number;
  readonly noonElevation_deg: number;
  readonly sunrise: SunEvent;
  readonly sunset: SunEvent;
  readonly civil: { readonly dawn: SunEvent; readonly dusk: SunEvent };
  readonly nautical: { readonly dawn: SunEvent; readonly dusk: SunEvent };
  readonly astronomical: { readonly dawn: SunEvent; readonly dusk: SunEvent };
}

/**
 * The events of the solar day whose noon is nearest to a time: from midnight before to midnight after, whatever the
 * clocks say.
 *
 * height_m  of the eye above the horizon's ground: lowers the horizon for rise and set by its dip; twilights are those
 *           at the ground
 * Error     below 1 minute against the published rows; near the poles the Sun grazes the horizon and weather decides
 */
export function sunTimes(place: LonLat, height_m: number, time_s: number): SunTimes {
  const noon_s = noonNear(place, time_s);
  const rise = RISE_SET_DEG - dip_deg(height_m);
  const pair = (limit_deg: number, above: string, below: string): { dawn: SunEvent; dusk: SunEvent } => ({
    dawn: crossing(place, noon_s, -1, limit_deg, above, below),
    dusk: crossing(place, noon_s, 1, limit_deg, above, below),
  });
  const day = pair(rise, 'the sun does not set', 'the sun does not rise');
  return {
    noon_s,
    noonElevation_deg: sunPosition(place, height_m, noon_s).geometric_deg,
    sunrise: day.dawn,
    sunset: day.dusk,
    civil: pair(TWILIGHT_DEG.civil, 'civil twilight lasts all night', 'the day does not reach civil twilight'),
    nautical: pair(
      TWILIGHT_DEG.nautical,
      'nautical twilight lasts all night',
      'the day does not reach nautical twilight',
    ),
    astronomical: pair(
      TWILIGHT_DEG.astronomical,
      'it does not get dark',
      'the day does not reach astronomical twilight',
    ),
  };
}

/** The Sun's passage through the meridian nearest to a time. */
function noonNear(place: LonLat, time_s: number): number {
  let noon = time_s;
  for (let round = 0; round < 4; round++) {
    const sun = apparentSun((noon - EPOCH_S) / DAY_S, deltaT(noon));
    const hourAngle = wrap180((sun.siderealTime - sun.rightAscension) * DEG_PER_RAD + place[0]);
    noon -= (hourAngle / 360) * DAY_S;
  }
  return noon;
}

/** When the geometric elevation passes a limit between noon and the midnight before (−1) or after (+1), to 0.05 s. */
function crossing(
  place: LonLat,
  noon_s: number,
  side: -1 | 1,
  limit_deg: number,
  above: string,
  below: string,
): SunEvent {
  const over = (time_s: number): number => sunPosition(place, 0, time_s).geometric_deg - limit_deg;
  let day = noon_s;
  let night = noon_s + (side * DAY_S) / 2;
  let atDay = over(day);
  let atNight = over(night);
  if (!(atDay > 0)) return { kind: 'stays below', why: below };
  if (!(atNight < 0)) return { kind: 'stays above', why: above };
  // The Illinois rule keeps the root between the two and does not stall on a bent curve.
  let kept = 0;
  for (let round = 0; round < 60 && Math.abs(night - day) > 0.05; round++) {
    const middle = (day * atNight - night * atDay) / (atNight - atDay);
    const value = over(middle);
    if (Math.abs(value) < 1e-6) return { kind: 'at', time_s: middle };
    if (value > 0) {
      [day, atDay] = [middle, value];
      if (kept === 1) atNight /= 2;
      kept = 1;
    } else {
      [night, atNight] = [middle, value];
      if (kept === -1) atDay /= 2;
      kept = -1;
    }
  }
  return { kind: 'at', time_s: (day + night) / 2 };
}

/** What is left of the light at a moment. Night begins at the end of evening civil twilight (14 CFR 1.1). */
export type LightLeft =
  | { readonly kind: 'day'; readonly toSunset_s: number; readonly toCivilEnd_s: number | null }
  | { readonly kind: 'twilight'; readonly toCivilEnd_s: number }
  | { readonly kind: 'dawn'; readonly toSunrise_s: number | null }
  | { readonly kind: 'night'; readonly toCivilDawn_s: number | null }
  | { readonly kind: 'no night'; readonly why: string };

/**
 * Light left on the ground. `day`: `toCivilEnd_s` is null where the twilight lasts all night. A null elsewhere: within
 * the next day the event does not come.
 */
export function lightLeft(place: LonLat, time_s: number): LightLeft {
  const today = sunTimes(place, 0, time_s);
  const until = (event: SunEvent): number | null => (event.kind === 'at' ? event.time_s - time_s : null);
  const next = (pick: (times: SunTimes) => SunEvent): number | null => {
    const here = until(pick(today));
    return here !== null && here > 0 ? here : until(pick(sunTimes(place, 0, today.noon_s + DAY_S)));
  };
  const elevation = sunPosition(place, 0, time_s).geometric_deg;
  const morning = time_s < today.noon_s;
  if (elevation >= RISE_SET_DEG) {
    const toSunset_s = morning || today.sunset.kind === 'at' ? until(today.sunset) : next((times) => times.sunset);
    if (toSunset_s === null) return { kind: 'no night', why: today.sunset.kind === 'at' ? '' : today.sunset.why };
    return { kind: 'day', toSunset_s, toCivilEnd_s: until(today.civil.dusk) };
  }
  if (elevation >= TWILIGHT_DEG.civil) {
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
