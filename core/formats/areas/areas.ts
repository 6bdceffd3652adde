// Areas (landing zones, hazards) from GeoJSON, KML and GPX. Rings [longitude, latitude] in degrees on WGS 84, as in
// GeoJSON: closed, the outer ring counter-clockwise, holes clockwise (RFC 7946 §3.1.6).
import { quantity } from '../../words/numbers.ts';
import type { Read } from '../../base/problem.ts';
import type { LonLat } from '../../base/units.ts';
import { gpxPosition } from '../tracks/gpx.ts';
import { coordinatesOf } from '../tracks/kml.ts';
import { shown, shownValue } from '../text/shown.ts';
import { Findings } from '../text/text.ts';
import { childNamed, childText, elementsNamed, readXml } from '../text/xml.ts';
import type { XmlElement } from '../text/xml.ts';

export interface Area {
  readonly name: string;
  /** Polygons, each an outer ring and its holes. */
  readonly polygons: readonly (readonly (readonly LonLat[])[])[];
}

export type Rings = readonly (readonly LonLat[])[];

/** Twice the area in square degrees, positive counter-clockwise: only its sign is used. */
function turn(ring: readonly LonLat[]): number {
  let sum = 0;
  ring.forEach(([lon, lat], i) => {
    const [nextLon, nextLat] = ring[i + 1] ?? [lon, lat];
    sum += (nextLon - lon) * (nextLat + lat);
  });
  return -sum;
}

const same = (a: LonLat | undefined, b: LonLat | undefined): boolean =>
  a !== undefined && b !== undefined && a[0] === b[0] && a[1] === b[1];

/**
 * A ring as the rest of the program wants it: closed, turned the right way, without a vertex twice in a row, and
 * without a leap: where it crosses 180° its longitudes run on past it, so that a polygon is never drawn the long way
 * round the Earth. Null where it is no ring.
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
  return turn(ring) > 0 === counterClockwise ? ring : ring.reverse();
}

/** A polygon of raw rings; a hole that is none is left out, a polygon without an outer ring is null. */
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

/** GeoJSON positions; those that are none are counted and left out. */
export function positions(list: unknown, what: string, findings: Findings): LonLat[] {
  if (!isList(list)) {
    findings.add('coordinates', { line: 0 }, `${what}: a ring is no list of positions`);
    return [];
  }
  return list.flatMap((item): LonLat[] => {
    const [lon, lat] = isList(item) ? item : [];
    if (typeof lon === 'number' && typeof lat === 'number' && Math.abs(lon) <= 360 && Math.abs(lat) <= 90)
      return [[lon, lat]];
    findings.add(
      'coordinates',
      { line: 0 },
      `${what}: position ${isList(item) ? `[${item.slice(0, 2).map(shownValue).join(', ')}]` : shownValue(item)}; expected [lon, lat] in degrees: left out`,
    );
    return [];
  });
}

const MOST_NESTING = 20;

export function geometryPolygons(geometry: unknown, what: string, findings: Findings, depth = 0): Rings[] {
  if (!isFields(geometry) || depth > MOST_NESTING) return [];
  const { type, coordinates, geometries } = geometry;
  const polygon = (rings: unknown, name: string): Rings[] => {
    if (!isList(rings)) {
      findings.add('coordinates', { line: 0 }, `${name}: "coordinates" is no list of rings`);
      return [];
    }
    const found = polygonOf(
      rings.map((ring) => positions(ring, name, findings)),
      name,
      0,
      findings,
    );
    return found === null ? [] : [found];
  };
  if (type === 'Polygon') return polygon(coordinates, what);
  if (type === 'MultiPolygon' && isList(coordinates))
    return coordinates.flatMap((rings, i) => polygon(rings, `${what}, part ${i + 1}`));
  if (type === 'GeometryCollection' && isList(geometries)) {
    return geometries.flatMap((one) => geometryPolygons(one, what, findings, depth + 1));
  }
  findings.add('other geometries', { line: 0 }, `${what}: ${shownValue(type)} is no area: left out`);
  return [];
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
    : `area ${index + 1}`;
}

function geoJsonAreas(text: string, findings: Findings): Area[] {
  let root: unknown;
  try {
    root = JSON.parse(text);
  } catch (error) {
    findings.add(
      'files that are no JSON',
      { line: 0 },
      `no JSON: ${error instanceof Error ? error.message.slice(0, 120) : 'not understood'}`,
    );
    return [];
  }
  if (!isFields(root)) {
    findings.add('empty files', { line: 0 }, 'no GeoJSON object; expected a Feature, a FeatureCollection or a Polygon');
    return [];
  }
  const list = root['type'] === 'FeatureCollection' && isList(root['features']) ? root['features'] : [root];
  return list.flatMap((feature, index): Area[] => {
    if (!isFields(feature)) return [];
    const name = featureName(feature, index);
    const polygons = geometryPolygons(feature['type'] === 'Feature' ? feature['geometry'] : feature, name, findings);
    return polygons.length === 0 ? [] : [{ name, polygons }];
  });
}

export function kmlRing(element: XmlElement | undefined, findings: Findings): LonLat[] {
  if (element === undefined) return [];
  return elementsNamed(element, 'coordinates').flatMap((c) => coordinatesOf(c, findings).map((at) => at.position));
}

/** The polygons and bare rings directly under one placemark (or under no placemark). */
function kmlAreas(text: string, findings: Findings): Area[] {
  const areas: Area[] = [];
  const gather = (element: XmlElement, name: string, into: Rings[]): void => {
    for (const child of element.children) {
      if (child.name === 'Placemark') {
        const named = childText(child, 'name') || `area ${areas.length + 1}`;
        const own: Rings[] = [];
        gather(child, named, own);
        if (own.length > 0) areas.push({ name: named, polygons: own });
      } else if (child.name === 'Polygon' || child.name === 'LinearRing') {
        const outer = child.name === 'LinearRing' ? child : childNamed(child, 'outerBoundaryIs');
        const holes = child.children
          .filter((c) => c.name === 'innerBoundaryIs')
          .flatMap((c) => elementsNamed(c, 'LinearRing'));
        const raw = [kmlRing(outer, findings), ...holes.map((hole) => kmlRing(hole, findings))];
        const polygon = polygonOf(raw, name, child.line, findings);
        if (polygon !== null) into.push(polygon);
      } else gather(child, name, into);
    }
  };
  const loose: Rings[] = [];
  gather(readXml(text, findings), 'area', loose);
  if (loose.length > 0) areas.push({ name: 'area', polygons: loose });
  return areas;
}

/**
 * Each route is a ring; without any route each track is (the edge of a field walked with a receiver), with a notice.
 */
function gpxAreas(text: string, findings: Findings): Area[] {
  const root = readXml(text, findings);
  const routes = elementsNamed(root, 'rte');
  const lines = routes.length > 0 ? routes : elementsNamed(root, 'trk');
  return lines.flatMap((line, i): Area[] => {
    const name = childText(line, 'name') || `area ${i + 1}`;
    const points = elementsNamed(line, routes.length > 0 ? 'rtept' : 'trkpt');
    const ring = points.flatMap((point) => {
      const position = gpxPosition(point, findings);
      return position === null ? [] : [position];
    });
    if (routes.length === 0)
      findings.add(
        'tracks as rings',
        { line: line.line },
        `${name}: no route in the file; the track is taken for a ring`,
      );
    const polygon = polygonOf([ring], name, line.line, findings);
    return polygon === null ? [] : [{ name, polygons: [polygon] }];
  });
}

const MOST_CHARACTERS = 50_000_000;

/**
 * Every area of a file, told by its content: JSON, KML or GPX.
 *
 * legal    Polygon, MultiPolygon, Feature, FeatureCollection, GeometryCollection; KML Polygon, MultiGeometry, a bare
 *          LinearRing; GPX
 *          routes; rings left open (closed, with a problem), turned the wrong way (turned), across 180° (see `ringOf`)
 * illegal  rings of fewer than 3 points, positions out of range: left out with a problem. Points and lines are no areas
 */
export function readAreas(name: string, text: string): Read<Area[]> {
  const findings = new Findings();
  if (text.length > MOST_CHARACTERS) {
    return {
      value: [],
      problems: [
        {
          line: 0,
          text: `${quantity(text.length / 1e6, 'MB')}; a file of areas has at most ${quantity(MOST_CHARACTERS / 1e6, 'MB')}`,
        },
      ],
    };
  }
  const plain = text.replace(/^\uFEFF/, '');
  const head = plain.slice(0, 4000);
  let value: Area[] = [];
  if (/^\s*[[{]/.test(head)) value = geoJsonAreas(plain, findings);
  else if (/<(?:\w+:)?gpx[\s>]/.test(head)) value = gpxAreas(plain, findings);
  else if (/<(?:\w+:)?kml[\s>]/.test(head) || /\.kml$/i.test(name)) value = kmlAreas(plain, findings);
  if (value.length === 0)
    findings.add(
      'empty files',
      { line: 0 },
      `no area in ${shown(name)}; expected GeoJSON or KML polygons, or a GPX route`,
    );
  return { value, problems: findings.all() };
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
