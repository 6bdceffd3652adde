// A whole METAR or SPECI in one line: its wind and its time, and every other group held against the forms that such a
// report has. Any other word ("not", "disregard", "forecast") is left over, so that the line is refused.
// Groups: ICAO Annex 3, appendix 3, and reference/wind-reports.md §2; names of groups as in the code's own order.
import { dayTimeOf, swingOf, weatherGroup } from './meanings.ts';
import { emptyParts, type Parts } from './parts.ts';

const HEAD =
  /^(?:(?:metar|speci)\s+)?(?:cor\s+)?([a-z]{4}\s+)?(\d{6}z)\s+((?:auto|cor)\s+)*((?:vrb|\d{3}|\/\/\/)(?:p?\d{2}|p?[1-9]\d{2}|\/\/)(?:g(?:p?\d{2,3}|\/\/))?(?:kt|mps|kmh))(?=\s|=|$)(.*)$/i;

const GROUPS: readonly RegExp[] = [
  /^(auto|cor)$/,
  // Visibility: metres, statute miles, ceiling and visibility OK.
  /^(\d{4}(ndv|[nsew]{1,2})?|cavok|[mp]?\d{1,2}(\/\d{1,2})?sm|\/\/\/\/)$/,
  // Runway visual range.
  /^r\d{2}[lcr]?\/[pm]?\d{4}(v[pm]?\d{4})?(ft)?(\/?[udn])?$/,
  // Weather.
  /^(re|[+-]|vc)?(mi|bc|pr|dr|bl|sh|ts|fz)?(dz|ra|sn|sg|ic|pl|gr|gs|up|br|fg|fu|va|du|sa|hz|po|sq|fc|ss|ds|py)*$/,
  // Clouds.
  /^(few|sct|bkn|ovc|vv)(\d{3}|\/\/\/)(cb|tcu|\/\/\/)?$|^(skc|clr|nsc|ncd)$/,
  // Temperature and dew point, pressure.
  /^m?\d{2}\/(m?\d{2}|\/\/)?$/,
  /^[qa]\d{4}$/,
];
/** From here on the line is a trend or remarks: no wind that was measured. */
const END = /^(nosig|tempo|becmg|rmk)$/;

/** The parts of such a line; null if it is not one. */
export function weatherLine(text: string): Parts | null {
  const found = HEAD.exec(text.trim().replace(/=\s*$/, ''));
  if (found === null) return null;
  const [, station = '', time = '', , wind = '', rest = ''] = found;
  const parts = emptyParts();
  weatherGroup(wind.toLowerCase(), parts);
  parts.times.push(dayTimeOf(time.toLowerCase()));
  parts.aerodrome = station === '' ? null : station.trim().toUpperCase();
  for (const group of rest.toLowerCase().split(/\s+/)) {
    if (END.test(group)) break;
    if (/^\d{3}v\d{3}$/.test(group)) parts.swing = swingOf(group);
    // Fractions of a mile stand apart from their miles: "1 1/2SM".
    else if (!/^\d?$/.test(group) && !GROUPS.some((form) => form.test(group))) parts.leftOver.push(group);
  }
  return parts;
}
