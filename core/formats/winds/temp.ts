// WMO FM 35 TEMP, 36 TEMP SHIP, 37 TEMP DROP, 38 TEMP MOBIL: radiosonde and dropsonde reports in figures.
// Source: WMO-No. 306 Manual on Codes vol. I.1; reference/wind-reports.md §3. Out: m geometric MSL, Pa, K, m/s, true
// and FROM.
import type { Read } from '../../base/problem.ts';
import type { DecodedWinds } from '../../air/levels.ts';
import { hasTemperatures, upperAirWinds } from './upperAir.ts';

/**
 * Every ascent in a text that has a temperature part (TTAA to TTDD, UU…, XX…, II…), its parts merged by station, day
 * and hour; PILOT parts (PPBB) of the same ascent are merged in. Ascents with PILOT parts only are left to `readPilot`,
 * so the two readers' answers add up.
 *
 * reference_s  Unix seconds near the ascent: a message has a day and an hour, but no month. Without it `validTime` is
 *              null
 * heights      the printed figures of the standard levels, restored (`upperAirHeights.ts`), geopotential turned into
 *              geometric by the
 *              US Standard Atmosphere's r₀ = 6 356 766 m (`air.ts`); all other levels between them by ln p and
 *              temperature
 * legal        "TTAA 56001 72694 99009 22868 29006 …", a part that stops anywhere, "/////", many bulletins in one file
 * not legal    "TTAA 99001 …" (day 49 does not exist), "92A01" for a group: said, and the rest still counts
 */
export function readTemp(text: string, options: { readonly reference_s?: number | undefined }): Read<DecodedWinds[]> {
  return upperAirWinds(
    text,
    options,
    hasTemperatures,
    'no TEMP report here; expected a part that begins TTAA, TTBB, TTCC or TTDD',
  );
}
