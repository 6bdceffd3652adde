// Magnetic declination: how far a compass points east (+) or west (−) of true north. World Magnetic Model 2025 (NOAA
// NCEI and BGS), through npm geomagnetism, which carries its coefficients. magnetic = true − declination.
import geomagnetism from 'geomagnetism';
import { DEG_PER_RAD, wrap360 } from '../base/units.ts';
import type { LonLat } from '../base/units.ts';

/** East is positive. `caution`: a sentence where a compass is hardly of use. */
export type Declination =
  | { readonly kind: 'known'; readonly deg: number; readonly caution?: string }
  | { readonly kind: 'unknown'; readonly why: string };

const FIRST_YEAR = 2025;
const LAST_YEAR = 2030;

/**
 * Below this horizontal intensity, nanotesla, a compass is not to be trusted: the model's own "blackout zone" about the
 * magnetic poles.
 */
const BLACKOUT_NT = 2000;

/** The year as the model counts it: whole years, and the part of the year that has gone. */
export function decimalYear(time_s: number): number {
  const year = new Date(time_s * 1000).getUTCFullYear();
  const start = Date.UTC(year, 0, 1);
  return year + (time_s * 1000 - start) / (Date.UTC(year + 1, 0, 1) - start);
}

/**
 * Declination at a place, height (m; above sea level is near enough: 1 km changes 0.005°) and time (s since 1970).
 *
 * Error   of the sum against NOAA's own table: below 0.01° (`tests/published/declination.test.ts`); of the model itself
 *         about 0.4°
 *         (WMM2025 report)
 * Answer  unknown before 2025.0 and after 2030.0, where the model does not hold
 */
export function declination_deg(place: LonLat, height_m: number, time_s: number): Declination {
  const [lon, lat] = place;
  const year = decimalYear(time_s);
  if (!(Math.abs(lat) <= 90 && Number.isFinite(lon) && Number.isFinite(height_m)))
    return { kind: 'unknown', why: 'no position' };
  if (!(year >= FIRST_YEAR && year <= LAST_YEAR)) {
    const when = Number.isFinite(year) ? Math.floor(10 * year) / 10 : 'no time';
    return { kind: 'unknown', why: `${when}; the magnetic model WMM2025 holds from ${FIRST_YEAR} to ${LAST_YEAR}` };
  }
  const { north_nT, east_nT } = horizontalField(lat, lon, height_m, year);
  const horizontal_nT = Math.hypot(north_nT, east_nT);
  const deg = Math.atan2(east_nT, north_nT) * DEG_PER_RAD;
  if (horizontal_nT >= BLACKOUT_NT) return { kind: 'known', deg };
  return {
    kind: 'known',
    deg,
    caution: `horizontal field ${Math.round(horizontal_nT)} nT: below ${BLACKOUT_NT} a compass is not to be trusted`,
  };
}

/**
 * North and east components. The package refuses dates from November 2029 on and counts a leap year as 365 days; the
 * field is linear in time between two epochs by the model's definition, so two fixed ones, 2025.0 and 2027.0, give any
 * year exactly.
 */
function horizontalField(
  lat_deg: number,
  lon_deg: number,
  height_m: number,
  year: number,
): { north_nT: number; east_nT: number } {
  const at = (epoch: number): { x: number; y: number } =>
    geomagnetism.model(new Date(Date.UTC(epoch, 0, 1))).point([lat_deg, lon_deg, height_m / 1000]);
  const from = at(FIRST_YEAR);
  const to = at(FIRST_YEAR + 2);
  const part = (year - FIRST_YEAR) / 2;
  return { north_nT: from.x + part * (to.x - from.x), east_nT: from.y + part * (to.y - from.y) };
}

export const trueToMagnetic = (true_deg: number, declination_deg: number): number =>
  wrap360(true_deg - declination_deg);
