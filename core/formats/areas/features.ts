// Everything with a place in a file of areas: outlines, lines and points with their attributes, from GeoJSON, KML, GPX
// or a table with coordinates. What each is (zone, hazard, road, landmark) a person chooses; `sort.ts` guesses.
import type { Read } from '../../base/problem.ts';
import type { LonLat } from '../../base/units.ts';
import { readPosition } from '../../earth/grid.ts';
import { shown } from '../text/shown.ts';
import { Findings } from '../text/text.ts';
import { childNamed, childText, elementsNamed, readXml, type XmlElement } from '../text/xml.ts';
import { gpxPosition } from '../tracks/gpx.ts';
import { featureName, geometryPolygons, kmlRing, polygonOf, positions, type Rings } from './areas.ts';

export interface PlaceFeature {
  readonly name: string;
  /** What the file says of it, each key and value as text: `power` = `line`. */
  readonly attributes: Readonly<Record<string, string>>;
  readonly shape:
    | { readonly kind: 'area'; readonly rings: Rings }
    | { readonly kind: 'line'; readonly line: readonly LonLat[] }
    | { readonly kind: 'point'; readonly position: LonLat };
}

type Shape = PlaceFeature['shape'];
type Fields = Readonly<Record<string, unknown>>;
const isFields = (x: unknown): x is Fields => typeof x === 'object' && x !== null && !Array.isArray(x);

const MOST_CHARACTERS = 50_000_000;
const MOST_NESTING = 20;
/** Longest value of an attribute that is kept: longer ones are descriptions, not attributes. */
const LONGEST_VALUE = 80;

/**
 * Every feature of a file, told by its content.
 *
 * legal    GeoJSON of any geometry; KML placemarks with points, lines and outlines; GPX waypoints, routes and tracks; a
 *          table with a column "position", or "lat" and "lon", and one "name"
 * illegal  positions out of range, lines of one point, rings of two: left out with a problem each
 */
export function readFeatures(name: string, text: string): Read<PlaceFeature[]> {
  const findings = new Findings();
  if (text.length > MOST_CHARACTERS) {
    const why =
      `${shown(name)} holds ${Math.round(text.length / 1e6)} MB; a file of areas has at most ` +
      `${MOST_CHARACTERS / 1e6} MB`;
    return { value: [], problems: [{ line: 0, text: why }] };
  }
  const plain = text.replace(/^\uFEFF/, '');
  const value = featuresOf(plain, findings);
  if (value.length === 0)
    findings.add(
      'empty files',
      { line: 0 },
      `nothing with a place in ${shown(name)}; expected GeoJSON, KML, GPX or a table`,
    );
  return { value, problems: findings.all() };
}

function featuresOf(text: string, findings: Findings): PlaceFeature[] {
  const head = text.slice(0, 4000);
  if (/^\s*[[{]/.test(head)) return fromGeoJson(text, findings);
  if (/<(?:\w+:)?gpx[\s>]/.test(head)) return fromGpx(readXml(text, findings), findings);
  if (/<(?:\w+:)?kml[\s>]/.test(head)) return fromKml(readXml(text, findings), findings);
  return fromTable(text, findings);
}

// GeoJSON (RFC 7946)

function fromGeoJson(text: string, findings: Findings): PlaceFeature[] {
  let root: unknown;
  try {
    root = JSON.parse(text);
  } catch (error) {
    findings.add(
      'files',
      { line: 0 },
      `no JSON: ${error instanceof Error ? error.message.slice(0, 120) : 'not understood'}`,
    );
    return [];
  }
  if (!isFields(root)) return [];
  const list = Array.isArray(root['features']) ? (root['features'] as readonly unknown[]) : [root];
  return list.flatMap((feature, index) => {
    if (!isFields(feature)) return [];
    const name = featureName(feature, index);
    const geometry = feature['type'] === 'Feature' ? feature['geometry'] : feature;
    const attributes = attributesOf(isFields(feature['properties']) ? feature['properties'] : {});
    return shapesOf(geometry, name, findings).map((shape) => ({ name, attributes, shape }));
  });
}

function attributesOf(properties: Fields): Record<string, string> {
  // Some extracts keep the tags in an object of their own.
  const { tags } = properties;
  const all = { ...properties, ...(isFields(tags) ? tags : {}) };
  return Object.fromEntries(
    Object.entries(all).flatMap(([key, value]) => {
      if (typeof value !== 'string' && typeof value !== 'number' && typeof value !== 'boolean') return [];
      const text = String(value);
      return text.length > 0 && text.length <= LONGEST_VALUE ? [[key, text]] : [];
    }),
  );
}

function shapesOf(geometry: unknown, name: string, findings: Findings, depth = 0): Shape[] {
  if (!isFields(geometry) || depth > MOST_NESTING) return [];
  const { type, coordinates, geometries } = geometry;
  const parts = Array.isArray(coordinates) ? (coordinates as readonly unknown[]) : [];
  switch (type) {
    case 'Point':
      return pointsOf([coordinates], name, findings);
    case 'MultiPoint':
      return pointsOf(parts, name, findings);
    case 'LineString':
      return lineOf(positions(coordinates, name, findings), name, 0, findings);
    case 'MultiLineString':
      return parts.flatMap((part) => lineOf(positions(part, name, findings), name, 0, findings));
    case 'Polygon':
    case 'MultiPolygon':
      return geometryPolygons(geometry, name, findings).map((rings) => ({ kind: 'area', rings }));
    case 'GeometryCollection':
      return Array.isArray(geometries) ? geometries.flatMap((one) => shapesOf(one, name, findings, depth + 1)) : [];
    default:
      findings.add('other geometries', { line: 0 }, `${shown(name)}: no geometry that is known; left out`);
      return [];
  }
}

const pointsOf = (list: readonly unknown[], name: string, findings: Findings): Shape[] =>
  positions(list, name, findings).map((position) => ({ kind: 'point', position }));

function lineOf(line: readonly LonLat[], name: string, at: number, findings: Findings): Shape[] {
  if (line.length >= 2) return [{ kind: 'line', line }];
  findings.add(
    'lines too short',
    { line: at },
    `${shown(name)}: a line of ${line.length} places; expected at least 2: left out`,
  );
  return [];
}

// KML (OGC 12-007r2)

function fromKml(root: XmlElement, findings: Findings): PlaceFeature[] {
  return elementsNamed(root, 'Placemark').flatMap((mark, index) => {
    const name = childText(mark, 'name') || `feature ${index + 1}`;
    const attributes = kmlAttributes(mark);
    return kmlShapes(mark, name, findings).map((shape) => ({ name, attributes, shape }));
  });
}

const kmlAttributes = (mark: XmlElement): Record<string, string> =>
  Object.fromEntries(
    [...elementsNamed(mark, 'Data'), ...elementsNamed(mark, 'SimpleData')].flatMap((data) => {
      const key = data.attributes.get('name');
      const value = (childText(data, 'value') || data.text).trim();
      return key === undefined || value === '' || value.length > LONGEST_VALUE ? [] : [[key, value]];
    }),
  );

function kmlShapes(element: XmlElement, name: string, findings: Findings): Shape[] {
  return element.children.flatMap((child): Shape[] => {
    switch (child.name) {
      case 'Point':
        return kmlRing(child, findings).map((position) => ({ kind: 'point', position }));
      case 'LineString':
        return lineOf(kmlRing(child, findings), name, child.line, findings);
      case 'Polygon':
      case 'LinearRing': {
        const outer = child.name === 'LinearRing' ? child : childNamed(child, 'outerBoundaryIs');
        const holes = child.children.filter((one) => one.name === 'innerBoundaryIs');
        const rings = polygonOf(
          [outer, ...holes].map((ring) => kmlRing(ring, findings)),
          name,
          child.line,
          findings,
        );
        return rings === null ? [] : [{ kind: 'area', rings }];
      }
      default:
        return child.name === 'Placemark' ? [] : kmlShapes(child, name, findings);
    }
  });
}

// GPX 1.1

function fromGpx(root: XmlElement, findings: Findings): PlaceFeature[] {
  const along = (element: XmlElement, point: string): LonLat[] =>
    elementsNamed(element, point)
      .map((one) => gpxPosition(one, findings))
      .filter((place) => place !== null);
  const named = (element: XmlElement, index: number): string => childText(element, 'name') || `feature ${index + 1}`;
  const points = elementsNamed(root, 'wpt').flatMap((mark, i): PlaceFeature[] => {
    const position = gpxPosition(mark, findings);
    return position === null ? [] : [{ name: named(mark, i), attributes: {}, shape: { kind: 'point', position } }];
  });
  const lines = [
    ...elementsNamed(root, 'rte').map((element) => ({ element, point: 'rtept' })),
    ...elementsNamed(root, 'trk').map((element) => ({ element, point: 'trkpt' })),
  ].flatMap(({ element, point }, i): PlaceFeature[] => {
    const name = named(element, i);
    return lineOf(along(element, point), name, element.line, findings).map((shape) => ({
      name,
      attributes: {},
      shape,
    }));
  });
  return [...points, ...lines];
}

// A table: one place per row

function fromTable(text: string, findings: Findings): PlaceFeature[] {
  const rows = text
    .split(/\r?\n/)
    .map((line) => line.split(/[;\t]|,(?! )/).map((cell) => cell.trim().replace(/^"|"$/g, '')));
  const head = (rows[0] ?? []).map((cell) => cell.toLowerCase());
  const column = (...names: string[]): number => head.findIndex((cell) => names.includes(cell));
  const [at, lat, lon, named] = [
    column('position', 'coordinates', 'mgrs', 'utm'),
    column('lat', 'latitude', 'lat_deg'),
    column('lon', 'lng', 'long', 'longitude', 'lon_deg'),
    column('name', 'title', 'label'),
  ];
  if (at < 0 && (lat < 0 || lon < 0)) return [];
  return rows.slice(1).flatMap((cells, i): PlaceFeature[] => {
    if (cells.every((cell) => cell === '')) return [];
    const written = at >= 0 ? (cells[at] ?? '') : `${cells[lat] ?? ''}, ${cells[lon] ?? ''}`;
    const read = readPosition(written);
    if (read.value === null) {
      findings.add(
        'rows without a place',
        { line: i + 2 },
        `${shown(written)}: ${read.problems[0]?.text ?? 'no place'}; left out`,
      );
      return [];
    }
    const attributes = Object.fromEntries(
      head.flatMap((key, k) =>
        k === named || k === at || k === lat || k === lon || !cells[k] ? [] : [[key, cells[k]]],
      ),
    );
    return [{ name: cells[named] || `row ${i + 2}`, attributes, shape: { kind: 'point', position: read.value } }];
  });
}
