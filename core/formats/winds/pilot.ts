// WMO FM 32 PILOT, 33 PILOT SHIP, 34 PILOT MOBIL: winds aloft by balloon, in figures.
// Source: WMO-No. 306 vol. I.1; US FMH-3 appendix E-I; reference/wind-reports.md §3. Out: m geometric MSL, m/s, true
// and FROM.
import type { Read } from '../../base/problem.ts';
import type { DecodedWinds } from '../../air/levels.ts';
import { hasTemperatures, upperAirWinds } from './upperAir.ts';

/**
 * Every ascent in a text that has PILOT parts only (PPAA to PPDD, QQ…, EE…), merged by station, day and hour. Ascents
 * with temperature parts are `readTemp`'s, which merges their PILOT parts in, so the two readers' answers add up.
 *
 * reference_s  Unix seconds near the ascent, for the month; without it `validTime` is null
 * heights      steps of 1000 ft, 300 m or 500 m by the rule of `heightStep_m` (a notice says which), taken as
 *              geopotential like all
 *              heights of these codes. Levels by pressure have no height in a PILOT: `height_m` is null, with a problem
 * legal        "PPBB 59121 96565 90/12 00000 28005 29504 …", "55185 00505", "77999", "906// 00508"
 * not legal    a height group followed by more winds than it names: none of them is used
 */
export function readPilot(text: string, options: { readonly reference_s?: number | undefined }): Read<DecodedWinds[]> {
  return upperAirWinds(
    text,
    options,
    (ascent) => !hasTemperatures(ascent),
    'no PILOT report here; expected a part that begins PPAA, PPBB, PPCC or PPDD',
  );
}
