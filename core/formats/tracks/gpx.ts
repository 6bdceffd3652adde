// GPX 1.0 and 1.1: tracks as fixes; the routes and tracks that `areas.ts` takes for rings. Degrees WGS 84, heights m
// MSL, times UTC. Source: the GPX 1.1 schema (topografix.com/GPX/1/1): trkpt lat, lon; ele in metres; time in UTC. npm
// @tmcw/togeojson 7.1.3 is not used: it keeps a latitude of 91° and drops a point without one in silence
// (`tests/formats/gpx.test.ts`).
import type { Read } from '../../base/problem.ts';
import type { LonLat } from '../../base/units.ts';
import { checkedTrack } from './fixes.ts';
import type { LinedFix, Track } from './fixes.ts';
import { shown } from '../text/shown.ts';
import { Findings, numberOf } from '../text/text.ts';
import { parseTime } from '../text/times.ts';
import { childText, elementsNamed, readXml } from '../text/xml.ts';
import type { XmlElement } from '../text/xml.ts';

/** The place of a point; null, with a problem, where it has none. */
export function gpxPosition(point: XmlElement, findings: Findings): LonLat | null {
  const lat = numberOf(point.attributes.get('lat')?.trim() ?? '');
  const lon = numberOf(point.attributes.get('lon')?.trim() ?? '');
  if (Math.abs(lat) <= 90 && Math.abs(lon) <= 180) return [lon, lat];
  const found = `lat ${shown(point.attributes.get('lat') ?? '')} lon ${shown(point.attributes.get('lon') ?? '')}`;
  findings.add(
    'points without a place',
    { line: point.line },
    `<${point.name}> ${found}; expected degrees up to 90 and 180: left out`,
  );
  return null;
}

function fixOf(point: XmlElement, findings: Findings): LinedFix | null {
  const position = gpxPosition(point, findings);
  if (position === null) return null;
  const ele = childText(point, 'ele');
  const height = numberOf(ele);
  if (ele !== '' && !Number.isFinite(height)) {
    findings.add(
      'heights not understood',
      { line: point.line },
      `<ele> ${shown(ele)}; expected metres: the height is unknown`,
    );
  }
  const written = childText(point, 'time');
  const time = written === '' ? null : parseTime(written);
  if (written !== '' && time === null)
    findings.add('times not understood', { line: point.line }, `<time> ${shown(written)}; expected ISO 8601`);
  return {
    line: point.line,
    time_s: time === null ? null : Date.parse(time) / 1000,
    position,
    height_m: Number.isFinite(height) ? height : null,
    valid: true,
  };
}

/** Says once for a whole track what each fix would say the same way. */
function sayWhatIsMissing(name: string, fixes: readonly LinedFix[], findings: Findings): void {
  const timeless = fixes.filter((fix) => fix.time_s === null).length;
  const flat = fixes.filter((fix) => fix.height_m === null).length;
  if (timeless > 0)
    findings.add(
      'fixes without time',
      { line: fixes[0]?.line ?? 0 },
      `${name}: ${timeless} of ${fixes.length} fixes have no time`,
    );
  if (flat > 0)
    findings.add(
      'fixes without height',
      { line: fixes[0]?.line ?? 0 },
      `${name}: ${flat} of ${fixes.length} fixes have no height`,
    );
}

/**
 * One track a <trk> that has points, its segments one after the other. Waypoints with a time (some trackers write their
 * fixes so) are a track named "waypoints".
 *
 * legal    GPX without a namespace, with a byte order mark, <ele></ele>, an empty <trkseg>
 * illegal  <trkpt lat="91" …>: left out; a file cut off: what stands before the cut counts
 */
export function readGpx(text: string): Read<Track[]> {
  const findings = new Findings();
  const root = readXml(text, findings);
  const value: Track[] = [];
  const add = (name: string, points: readonly XmlElement[]): void => {
    const fixes = points.flatMap((point) => fixOf(point, findings) ?? []);
    if (fixes.length === 0) return;
    sayWhatIsMissing(name, fixes, findings);
    value.push(checkedTrack(name, fixes, findings));
  };
  elementsNamed(root, 'trk').forEach((trk, i) => {
    const name = childText(trk, 'name') || `track ${i + 1}`;
    const points = elementsNamed(trk, 'trkpt');
    if (points.length === 0) findings.add('empty tracks', { line: trk.line }, `${name}: a track without a point`);
    add(name, points);
  });
  const waypoints = elementsNamed(root, 'wpt');
  const timedPoints = waypoints.filter((point) => childText(point, 'time') !== '');
  add('waypoints', timedPoints);
  const marks = waypoints.length - timedPoints.length;
  if (marks > 0)
    findings.add(
      'waypoints',
      { line: waypoints[0]?.line ?? 0 },
      `${marks} waypoints without a time are places, not fixes: passed over`,
    );
  if (value.length === 0)
    findings.add('empty files', { line: 0 }, 'no track here; expected <trk> with <trkpt lat="…" lon="…">');
  return { value, problems: findings.all() };
}
