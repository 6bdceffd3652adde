// A wind typed on the entry line as one level: direction FROM, speed, height. What is not said follows the switches, and the reading
// back says it; a wind without a height is asked for one.
import { MPS_PER_KMH, MPS_PER_KT, M_PER_FT } from '../../core/units.ts';
import type { Units } from '../format.ts';
import type { LevelEdit } from '../state/edits.ts';

export type WindEntry =
  { readonly ok: true; readonly value: LevelEdit } | { readonly ok: false; readonly isWind: boolean; readonly why: string };

const WIND =
  /^(?:from\s+)?(\d{1,3})\s*(?:°|deg)?\s*(?:\/|at|,|\s)\s*(\d{1,3}(?:\.\d+)?)\s*(kt|kts|knots?|m\/s|mps|km\/h|kmh)?(?:\s*(?:at|@)?\s+(\d[\d\s]*(?:\.\d+)?)\s*(m|ft)?\s*(msl|agl)?)?$/i;

const perUnit = (unit: string): number =>
  unit.startsWith('k') && unit !== 'km/h' && unit !== 'kmh' ? MPS_PER_KT : unit.startsWith('km') ? MPS_PER_KMH : 1;

/**
 * Legal: "090/7 at 1500 m", "090/7kt 5000 ft agl", "270 at 12 m/s at 3000"
 * Not:   "999/7 at 1500", "090/7" (no height), "090/700 at 1500"
 */
export function readWindEntry(text: string, { units, ground_m }: { readonly units: Units; readonly ground_m: number }): WindEntry {
  const found = WIND.exec(text.trim());
  if (found === null) return { ok: false, isWind: false, why: '' };
  const [, from = '', fast = '', speedUnit, tall, lengthUnit, reference] = found;
  const from_deg = Number(from);
  if (!(from_deg <= 360)) return { ok: false, isWind: true, why: `Direction ${from}; expected 0 to 360, where the wind blows from.` };
  const speed_mps = Number(fast) * perUnit((speedUnit ?? units.speed).toLowerCase());
  if (!(speed_mps <= 150))
    return { ok: false, isWind: true, why: `Speed ${fast} ${speedUnit ?? units.speed}; expected up to 150 m/s (291 kt).` };
  if (tall === undefined) return { ok: false, isWind: true, why: 'At what height? Go on with “at 1500 m” or “at 5000 ft AGL”.' };
  const metres = Number(tall.replaceAll(/\s/g, '')) * ((lengthUnit?.toLowerCase() ?? units.length) === 'ft' ? M_PER_FT : 1);
  const height_m = metres + ((reference?.toUpperCase() ?? units.height) === 'AGL' ? ground_m : 0);
  if (!(height_m <= 85_000)) return { ok: false, isWind: true, why: `Height ${tall}; expected up to 85 000 m.` };
  return { ok: true, value: { height_m, from_deg, speed_mps } };
}
