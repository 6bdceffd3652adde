// Reports of the gpsd daemon: one JSON object per line, of which TPV ("time, position, velocity") is read. Degrees WGS
// 84, heights m MSL. Source: gpsd_json(5), TPV; reference/wind-reports.md §6.
import type { Read } from '../../base/problem.ts';
import type { LonLat } from '../../base/units.ts';
import { geoidHeight_m } from '../../earth/geoid.ts';
import { checkedTrack } from './fixes.ts';
import type { LinedFix, Track } from './fixes.ts';
import { shown, shownValue } from '../text/shown.ts';
import { Findings, linesOf } from '../text/text.ts';
import { parseTime } from '../text/times.ts';

type Fields = Readonly<Record<string, unknown>>;

const isFields = (x: unknown): x is Fields => typeof x === 'object' && x !== null && !Array.isArray(x);
const numberIn = (fields: Fields, key: string): number | null => {
  const x = fields[key];
  return typeof x === 'number' && Number.isFinite(x) ? x : null;
};

/** A line as JSON; old daemons write a bare nan for "unknown", which is not JSON. Undefined where it is neither. */
function jsonOf(row: string): unknown {
  for (const candidate of [row, row.replace(/:\s*-?nan\b/gi, ':null')]) {
    try {
      return JSON.parse(candidate);
    } catch {
      // Not JSON as it stands; the second candidate, or the caller's problem, follows.
    }
  }
  return undefined;
}

/**
 * altMSL; else the ellipsoid's height less the geoid's, as the receiver or EGM96 has it; else the old name "alt", which
 * is above the sea as well.
 */
function heightOf(fields: Fields, position: LonLat): number | null {
  const altMsl = numberIn(fields, 'altMSL');
  const altHae = numberIn(fields, 'altHAE');
  if (altMsl !== null) return altMsl;
  if (altHae === null) return numberIn(fields, 'alt');
  return altHae - (numberIn(fields, 'geoidSep') ?? geoidHeight_m(position));
}

/**
 * A TPV as a fix; a string says why it is not one. Mode 2 has no height even where a field says one: it is then the
 * last one known.
 */
function fixOf(fields: Fields, line: number): LinedFix | string {
  const mode = numberIn(fields, 'mode');
  if (mode !== 2 && mode !== 3) return `mode ${shownValue(fields['mode'])}: no fix`;
  const lat = numberIn(fields, 'lat');
  const lon = numberIn(fields, 'lon');
  if (lat === null || lon === null || !(Math.abs(lat) <= 90 && Math.abs(lon) <= 180))
    return 'no position in it; expected "lat" and "lon" in degrees';
  const time = typeof fields['time'] === 'string' ? parseTime(fields['time']) : null;
  return {
    line,
    time_s: time === null ? null : Date.parse(time) / 1000,
    position: [lon, lat],
    height_m: mode === 3 ? heightOf(fields, [lon, lat]) : null,
    valid: true,
  };
}

/**
 * One track a device. Lines of other classes (VERSION, SKY, …) are passed over, they hold no fix.
 *
 * legal
 *
 * {"class":"TPV","time":"2005-06-08T10:34:48.283Z","lat":46.498293369,"lon":7.567411672,"alt":1343.127,"mode":3}
 * illegal  a line that is not JSON; mode 0 or 1; a TPV without a position: left out with a problem
 */
export function readGpsd(text: string): Read<Track[]> {
  const findings = new Findings();
  const devices = new Map<string, LinedFix[]>();
  linesOf(text).forEach((row, index) => {
    const line = index + 1;
    if (row.trim() === '') return;
    const fields = jsonOf(row);
    if (!isFields(fields)) {
      findings.add('lines that are not JSON', { line }, `${shown(row)} is not a JSON object: left out`);
      return;
    }
    if (fields['class'] !== 'TPV') return;
    const fix = fixOf(fields, line);
    const device = typeof fields['device'] === 'string' ? fields['device'] : 'gpsd';
    if (typeof fix === 'string') findings.add('reports without a fix', { line }, `TPV: ${fix}; left out`);
    else {
      if (fix.time_s === null)
        findings.add('fixes without time', { line }, `TPV: time ${shownValue(fields['time'])}; expected ISO 8601`);
      const fixes = devices.get(device) ?? [];
      fixes.push(fix);
      devices.set(device, fixes);
    }
  });
  if (devices.size === 0)
    findings.add(
      'empty files',
      { line: 0 },
      'no TPV with a fix here; expected lines like {"class":"TPV","mode":3,"lat":…}',
    );
  return {
    value: [...devices].map(([device, fixes]) => checkedTrack(device, fixes, findings)),
    problems: findings.all(),
  };
}
