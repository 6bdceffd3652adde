// Outlines of areas (landing zones, hazards) from GeoJSON and KML. Rings [longitude, latitude] in degrees on WGS 84, as
// in GeoJSON: closed, the outer ring counter-clockwise, holes clockwise (RFC 7946 §3.1.6).
import { booleanClockwise } from '@turf/turf';
import type { LonLat } from '../../base/units.ts';
import { coordinatesOf } from '../tracks/kml.ts';
import { shownValue } from '../text/shown.ts';
import type { Findings } from '../text/text.ts';
import { elementsNamed } from '../text/xml.ts';
import type { XmlElement } from '../text/xml.ts';

export type Rings = readonly (readonly LonLat[])[];

const same = (a: LonLat | undefined, b: LonLat | undefined): boolean =>
  a !== undefined && b !== undefined && a[0] === b[0] && a[1] === b[1];

/**
 * A ring as the rest of the program wants it: closed, turned the right way, without a vertex twice in a row, and
 * without a leap: where it crosses 180° its longitudes run on past it, so that a polygon is never drawn the long way
 * round the Earth. Null where it is not a ring.
 */
function ringOf(
  raw: readonly LonLat[],
  counterClockwise: boolean,
  what: string,
  line: number,
  findings: Findings,
): LonLat[] | null {
  const place = { line };
  const ring: LonLat[] = [];
  let leaps = 0;
  for (const [lon, lat] of raw) {
    const [before] = ring.at(-1) ?? [lon];
    const near = lon - 360 * Math.round((lon - before) / 360);
    if (near !== lon) leaps++;
    if (!same(ring.at(-1), [near, lat])) ring.push([near, lat]);
  }
  if (ring.length > 0 && !same(ring[0], ring.at(-1))) {
    const [first, last] = [ring[0], ring.at(-1)];
    if (first !== undefined && last !== undefined && Math.abs(first[0] - last[0]) > 180) {
      findings.add('rings about a pole', place, `${what}: the ring runs once round the Earth; not used`);
      return null;
    }
    findings.add('open rings', place, `${what}: the ring's last point is not its first; closed`);
    if (first !== undefined) ring.push(first);
  }
  if (ring.length < 4) {
    findings.add(
      'rings too short',
      place,
      `${what}: ${Math.max(0, ring.length - 1)} different points; a ring has at least 3: not used`,
    );
    return null;
  }
  if (leaps > 0)
    findings.add('rings across 180°', place, `${what}: the ring crosses 180°; its longitudes run on past it`);
  return booleanClockwise(ring.map(([lon, lat]) => [lon, lat])) === counterClockwise ? ring.reverse() : ring;
}

/** A polygon of raw rings, or null without a valid outer ring. Invalid holes are left out, with a problem. */
export function polygonOf(
  raw: readonly (readonly LonLat[])[],
  what: string,
  line: number,
  findings: Findings,
): Rings | null {
  const [outer, ...holes] = raw;
  const ring = outer === undefined ? null : ringOf(outer, true, what, line, findings);
  if (ring === null) return null;
  const rings = [ring];
  holes.forEach((hole, i) => {
    const inner = ringOf(hole, false, `${what}, hole ${i + 1}`, line, findings);
    if (inner !== null) rings.push(inner);
  });
  return rings;
}

type Fields = Readonly<Record<string, unknown>>;
const isFields = (x: unknown): x is Fields => typeof x === 'object' && x !== null && !Array.isArray(x);
const isList = (x: unknown): x is readonly unknown[] => Array.isArray(x);

/** GeoJSON positions; invalid ones are left out, with a problem each. */
export function positions(list: unknown, what: string, findings: Findings): LonLat[] {
  if (!isList(list)) {
    findings.add('coordinates', { line: 0 }, `${what}: a ring is not a list of positions`);
    return [];
  }
  return list.flatMap((item): LonLat[] => {
    const [lon, lat] = isList(item) ? item : [];
    if (typeof lon === 'number' && typeof lat === 'number' && Math.abs(lon) <= 360 && Math.abs(lat) <= 90)
      return [[lon, lat]];
    findings.add(
      'coordinates',
      { line: 0 },
      `${what}: position ` +
        `${isList(item) ? `[${item.slice(0, 2).map(shownValue).join(', ')}]` : shownValue(item)}; expected ` +
        '[lon, lat] in degrees: left out',
    );
    return [];
  });
}

/** The polygons of a GeoJSON Polygon or MultiPolygon. */
export function geometryPolygons({ type, coordinates }: Fields, what: string, findings: Findings): Rings[] {
  const polygon = (rings: unknown, name: string): Rings[] => {
    if (!isList(rings)) {
      findings.add('coordinates', { line: 0 }, `${name}: "coordinates" is not a list of rings`);
      return [];
    }
    const raw = rings.map((ring) => positions(ring, name, findings));
    return [polygonOf(raw, name, 0, findings)].filter((found) => found !== null);
  };
  if (type === 'MultiPolygon' && isList(coordinates))
    return coordinates.flatMap((rings, i) => polygon(rings, `${what}, part ${i + 1}`));
  return polygon(coordinates, what);
}

/** A feature's name: the usual keys of its properties, its id, or its number. */
export function featureName(feature: Fields, index: number): string {
  const properties = isFields(feature['properties']) ? feature['properties'] : {};
  for (const key of ['name', 'Name', 'NAME', 'title', 'label']) {
    const name = properties[key];
    if (typeof name === 'string' && name.trim() !== '') return name.trim();
  }
  return typeof feature['id'] === 'string' || typeof feature['id'] === 'number'
    ? String(feature['id'])
    : `feature ${index + 1}`;
}

export function kmlRing(element: XmlElement | undefined, findings: Findings): LonLat[] {
  if (element === undefined) return [];
  return elementsNamed(element, 'coordinates').flatMap((c) => coordinatesOf(c, findings).map((at) => at.position));
}

/**
 * The lines of a road network: every LineString and MultiLineString of a GeoJSON value that is already parsed; anything
 * else is passed over.
 */
export function roadLines(geojson: unknown): LonLat[][] {
  const lines: LonLat[][] = [];
  const isPlace = (x: unknown): x is LonLat => Array.isArray(x) && typeof x[0] === 'number' && typeof x[1] === 'number';
  const take = (coordinates: unknown): void => {
    if (!Array.isArray(coordinates)) return;
    const line = coordinates.filter(isPlace).map((place): LonLat => [place[0], place[1]]);
    if (line.length >= 2) lines.push(line);
    else for (const inner of coordinates) take(inner);
  };
  const walk = (node: unknown): void => {
    if (typeof node !== 'object' || node === null) return;
    const { type, features, geometry, geometries, coordinates } = node as Readonly<Record<string, unknown>>;
    if (Array.isArray(features)) features.forEach(walk);
    if (Array.isArray(geometries)) geometries.forEach(walk);
    walk(geometry);
    if (type === 'LineString' || type === 'MultiLineString') take(coordinates);
  };
  walk(geojson);
  return lines;
}
