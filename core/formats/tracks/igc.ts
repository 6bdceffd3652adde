// IGC flight recorder files: H (date), I (what the fix records carry beyond the basics) and B (fix) records. Degrees
// WGS 84, heights m. Source: FAI Technical Specification for IGC-approved GNSS Flight Recorders, appendix A (A2.4
// units, A4 B record, A6 extensions).
import type { Read } from '../../base/problem.ts';
import type { LonLat } from '../../base/units.ts';
import { geoidHeight_m } from '../../earth/geoid.ts';
import { checkedTrack, datedTimes, dayOfDdmmyy, secondsOfDay } from './fixes.ts';
import type { LinedFix, TimedOfDay, Track } from './fixes.ts';
import { shown } from '../text/shown.ts';
import { Findings, linesOf } from '../text/text.ts';

interface Fixed extends TimedOfDay {
  readonly line: number;
  readonly position: LonLat;
  readonly threeD: boolean;
  readonly pressureAltitude_m: number;
  readonly gnss_m: number;
}

const B = /^B(\d{6})(\d\d)(\d{5})([NS])(\d{3})(\d{5})([EW])([AV])(-\d{4}|\d{5})(-\d{4}|\d{5})/;

/** Where the I record says that further figures of the minutes stand (LAD, LOD), columns counted from 0. */
interface Extensions {
  readonly lad: readonly [number, number] | null;
  readonly lod: readonly [number, number] | null;
}

function extensionsOf(row: string): Extensions {
  const columns = new Map<string, readonly [number, number]>();
  for (const [, start, end, code] of row.slice(3).matchAll(/(\d\d)(\d\d)([A-Z]{3})/g))
    columns.set(code ?? '', [Number(start) - 1, Number(end)]);
  return { lad: columns.get('LAD') ?? null, lod: columns.get('LOD') ?? null };
}

/** Thousandths of a minute, with the further figures of the extension where there are any. */
function minutes(thousandths: string, row: string, columns: readonly [number, number] | null): number {
  const more = columns === null ? '' : row.slice(columns[0], columns[1]);
  return Number(`${thousandths.slice(0, 2)}.${thousandths.slice(2)}${/^\d+$/.test(more) ? more : ''}`);
}

function fixed(row: string, line: number, extensions: Extensions, day: number | null): Fixed | string {
  const found = B.exec(row);
  if (found === null) return `fix ${shown(row)}; expected BHHMMSSDDMMmmmNDDDMMmmmEVPPPPPGGGGG`;
  const ofDay_s = secondsOfDay(found[1] ?? '');
  const latMinutes = minutes(found[3] ?? '', row, extensions.lad);
  const lonMinutes = minutes(found[6] ?? '', row, extensions.lod);
  const lat = Number(found[2]) + latMinutes / 60;
  const lon = Number(found[5]) + lonMinutes / 60;
  if (ofDay_s === null) return `time ${shown(found[1] ?? '')}; expected HHMMSS`;
  if (!(latMinutes < 60 && lonMinutes < 60 && lat <= 90 && lon <= 180))
    return `position ${shown(row.slice(7, 24))}; expected degrees and minutes`;
  return {
    line,
    ofDay_s,
    day,
    position: [found[7] === 'W' ? -lon : lon, found[4] === 'S' ? -lat : lat],
    threeD: found[8] === 'A',
    pressureAltitude_m: Number(found[9]),
    gnss_m: Number(found[10]),
  };
}

/** Says what the GNSS altitudes are above; answers whether the file lacks them. */
function sayHeights(records: readonly Fixed[], aboveGeoid: boolean, findings: Findings): boolean {
  const noGnssHeight = records.every((r) => r.gnss_m === 0) && records.some((r) => r.pressureAltitude_m !== 0);
  const say = (text: string): void => findings.add('heights', { line: 0 }, text);
  const sea_m = geoidHeight_m(records[0]?.position ?? [0, 0]);
  if (noGnssHeight) say('every GNSS altitude is 0: the heights are unknown (a pressure altitude is not a height)');
  // A2.4, and A3's HFALG: of the GNSS altitude above the ellipsoid unless the header says the geoid.
  else if (!aboveGeoid && records.some(({ threeD }) => threeD))
    say(
      `the file's heights are above the WGS 84 ellipsoid, as the format has them; they are brought to mean sea ` +
        `level, ${Math.abs(Math.round(sea_m))} m ${sea_m < 0 ? 'below' : 'above'} the ellipsoid here (EGM96); a ` +
        'recorder of heights above the sea says HFALGALTGPS:GEO',
    );
  return noGnssHeight;
}

/**
 * The one track of an IGC file. The height is the GNSS altitude of a three-dimensional fix (A), brought from the
 * ellipsoid to mean sea level unless the header says that it is above the geoid; a V fix keeps its place but is not
 * valid and has no height. The pressure altitude is never taken for a height, and where it is 0 throughout there simply
 * was none.
 *
 * reference_s  used only where no H record has a date
 * legal        times over midnight under one date ("HFDTE081116", "HFDTEDATE:081116,01"), longer B records, a second H
 *              date
 * illegal      "B2444424429252S…" (hour 24), a line cut off: left out with a problem
 */
export function readIgc(text: string, options: { readonly reference_s?: number | undefined }): Read<Track[]> {
  const findings = new Findings();
  const records: Fixed[] = [];
  let extensions: Extensions = { lad: null, lod: null };
  let day: number | null = null;
  let aboveGeoid = false;
  linesOf(text).forEach((raw, index) => {
    const row = raw.trimEnd();
    const line = index + 1;
    const date = /^H[A-Z]DTE(?:DATE:)?\s*(\d{6})/.exec(row);
    if (date !== null) {
      day = dayOfDdmmyy(date[1] ?? '');
      if (day === null) findings.add('dates', { line }, `date ${shown(row)}; expected HFDTE and ddmmyy`);
    } else if (/^H[A-Z]ALG(?:ALTGPS)?:?\s*GEO/i.test(row)) aboveGeoid = true;
    else if (row.startsWith('I')) extensions = extensionsOf(row);
    else if (row.startsWith('B')) {
      const record = fixed(row, line, extensions, day);
      if (typeof record === 'string') findings.add('fixes not understood', { line }, `${record}: left out`);
      else {
        records.push(record);
        // Only the first fix after a date takes it as it stands: those that follow may lie beyond midnight.
        day = null;
      }
    }
  });
  if (records.length === 0) {
    findings.add('empty files', { line: 0 }, 'no IGC fix here; expected B records');
    return { value: [], problems: findings.all() };
  }
  const times = datedTimes(records, options.reference_s);
  const noGnssHeight = sayHeights(records, aboveGeoid, findings);
  if (times[0] === null) findings.add('dates', { line: 0 }, 'no date (HFDTE) and no reference: the times are unknown');
  const seaLevel_m = (position: LonLat): number => (aboveGeoid ? 0 : geoidHeight_m(position));
  const fixes = records.map(({ line, position, threeD, gnss_m }, i): LinedFix => {
    if (!threeD)
      findings.add(
        'two-dimensional fixes',
        { line },
        'a V fix (two-dimensional or none): its height is unknown; not valid',
      );
    return {
      line,
      time_s: times[i] ?? null,
      position,
      height_m: threeD && !noGnssHeight ? gnss_m - seaLevel_m(position) : null,
      valid: threeD,
    };
  });
  return { value: [checkedTrack('IGC', fixes, findings)], problems: findings.all() };
}
