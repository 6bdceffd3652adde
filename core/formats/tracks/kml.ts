// KML 2.x (and the older namespaces): coordinates, the tracks in gx:Track and LineString. Degrees WGS 84, heights m
// MSL, times UTC. Source: OGC 07-147r2, KML 2.2 (coordinates: lon,lat[,alt]), and the gx extension's Track (when and
// coord in pairs). npm @tmcw/togeojson 7.1.3 is not used: it gives heights above ground as heights above the sea, and
// an unknown position as a place (`tests/formats/gpx.test.ts`).
import type { Read } from '../../base/problem.ts';
import type { LonLat } from '../../base/units.ts';
import { checkedTrack } from './fixes.ts';
import type { LinedFix, Track } from './fixes.ts';
import { shown } from '../text/shown.ts';
import { Findings, numberOf } from '../text/text.ts';
import { parseTime } from '../text/times.ts';
import { childText, elementsNamed, readXml } from '../text/xml.ts';
import type { XmlElement } from '../text/xml.ts';

export interface Coordinate {
  readonly position: LonLat;
  readonly height_m: number | null;
}

/** "lon,lat,alt" or the blank-separated form of gx:coord; null where it is not a place. */
export function coordinate(parts: readonly string[]): Coordinate | null {
  const [lon, lat, height] = [numberOf(parts[0] ?? ''), numberOf(parts[1] ?? ''), numberOf(parts[2] ?? '')];
  if (!(Math.abs(lon) <= 180 && Math.abs(lat) <= 90)) return null;
  return { position: [lon, lat], height_m: Number.isFinite(height) ? height : null };
}

/** The tuples of a <coordinates>: separated by blanks and line ends, the numbers of one by commas. */
export function coordinatesOf(element: XmlElement | undefined, findings: Findings): Coordinate[] {
  if (element === undefined) return [];
  return element.text
    .trim()
    .split(/\s+/)
    .flatMap((tuple) => {
      if (tuple === '') return [];
      const found = coordinate(tuple.split(','));
      if (found === null)
        findings.add(
          'coordinates',
          { line: element.line },
          `coordinates ${shown(tuple)}; expected lon,lat in degrees: left out`,
        );
      return found ?? [];
    });
}

/**
 * Heights count only where they are above the sea. Where a file does not say (the standard's default is "clamped to the
 * ground") the heights that it nevertheless has are taken as above the sea: receivers write them so.
 */
function heightsCount(element: XmlElement, findings: Findings, name: string): boolean {
  const mode = childText(element, 'altitudeMode');
  if (mode !== 'relativeToGround' && mode !== 'clampToGround') return true;
  findings.add(
    'heights above ground',
    { line: element.line },
    `${name}: altitudeMode ${mode}: its heights are not above the sea and are left out`,
  );
  return false;
}

function timedTrack(element: XmlElement, name: string, findings: Findings): LinedFix[] {
  const whens = element.children.filter((child) => child.name === 'when');
  const coords = element.children.filter((child) => child.name === 'coord');
  if (whens.length !== coords.length) {
    findings.add(
      'unpaired fixes',
      { line: element.line },
      `${name}: ${whens.length} times for ${coords.length} places; the rest is left out`,
    );
  }
  const keep = heightsCount(element, findings, name);
  return coords.slice(0, whens.length).flatMap((coord, i) => {
    const written = whens[i]?.text.trim() ?? '';
    const time = parseTime(written);
    const found = coordinate(coord.text.trim().split(/\s+/));
    if (time === null)
      findings.add('times not understood', { line: coord.line }, `${name}: time ${shown(written)}; expected ISO 8601`);
    // An empty coord is the standard's way to say that no position is known at that time.
    if (found === null && coord.text.trim() !== '')
      findings.add('coordinates', { line: coord.line }, `${name}: ${shown(coord.text)} is not a place`);
    if (found === null) return [];
    const time_s = time === null ? null : Date.parse(time) / 1000;
    return [
      { line: coord.line, time_s, position: found.position, height_m: keep ? found.height_m : null, valid: true },
    ];
  });
}

/**
 * One track a gx:Track (also inside gx:MultiTrack); a LineString is a track without times.
 *
 * legal    <when> and <gx:coord> in pairs, in blocks or alternating; an empty <gx:coord/> (no position then)
 * illegal  more times than places: only the pairs count
 */
export function readKmlTracks(text: string): Read<Track[]> {
  const findings = new Findings();
  const root = readXml(text, findings);
  const value: Track[] = [];
  const add = (name: string, fixes: readonly LinedFix[]): void => {
    if (fixes.length > 0) value.push(checkedTrack(name, fixes, findings));
  };
  const visit = (element: XmlElement, name: string): void => {
    for (const child of element.children) {
      const named = child.name === 'Placemark' ? childText(child, 'name') || name : name;
      if (child.name === 'Track') add(named, timedTrack(child, named, findings));
      else if (child.name === 'LineString') {
        const keep = heightsCount(child, findings, named);
        const line = elementsNamed(child, 'coordinates').flatMap((c) =>
          coordinatesOf(c, findings).map((at) => ({ ...at, line: c.line })),
        );
        if (line.length > 0)
          findings.add(
            'lines without times',
            { line: child.line },
            `${named}: a line of ${line.length} places without times`,
          );
        add(
          named,
          line.map((at) => ({
            line: at.line,
            time_s: null,
            position: at.position,
            height_m: keep ? at.height_m : null,
            valid: true,
          })),
        );
      } else visit(child, named);
    }
  };
  visit(root, 'track');
  if (value.length === 0)
    findings.add('empty files', { line: 0 }, 'no track here; expected <gx:Track> with <when> and <gx:coord>');
  return { value, problems: findings.all() };
}
