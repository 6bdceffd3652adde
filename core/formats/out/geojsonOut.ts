// GeoJSON as RFC 7946 has it: a FeatureCollection, positions [longitude, latitude, height], outer rings
// counter-clockwise and holes clockwise (§3.1.6), cut at the 180th meridian (§3.1.9), no crs member (§4). Degrees to
// seven decimals (1 cm), heights to 1 cm.
import { isoOf, roundTo } from '../../base/plainNumbers.ts';
import type { Problem, Read } from '../../base/problem.ts';
import { splitLine, splitRing } from './antimeridian.ts';
import { closedRing, openRing, writable, type Feature, type FeatureSet, type Position } from './features.ts';

type Coordinates = readonly number[];
type Geometry =
  | { readonly type: 'Point'; readonly coordinates: Coordinates }
  | { readonly type: 'LineString'; readonly coordinates: readonly Coordinates[] }
  | { readonly type: 'MultiLineString'; readonly coordinates: readonly (readonly Coordinates[])[] }
  | { readonly type: 'Polygon'; readonly coordinates: readonly (readonly Coordinates[])[] }
  | { readonly type: 'MultiPolygon'; readonly coordinates: readonly (readonly (readonly Coordinates[])[])[] };

/** The text, and what could not be written. */
export function toGeoJson(set: FeatureSet): Read<string> {
  const { kept, left } = writable(set.features);
  const problems: Problem[] = left.map((name) => ({
    line: 0,
    text: `${name}: no shape with a place on earth; it is left out`,
  }));
  const features = kept.flatMap((feature) => {
    const geometry = geometryOf(feature);
    if (geometry === null) {
      problems.push({
        line: 0,
        text: `${feature.name}: an area about a pole has no outline in GeoJSON; it is left out`,
      });
      return [];
    }
    return [{ type: 'Feature', geometry, properties: propertiesOf(feature) }];
  });
  const about = { name: set.name, description: set.note, time: isoOf(set.time_s) };
  return { value: `${JSON.stringify({ type: 'FeatureCollection', ...about, features })}\n`, problems };
}

function propertiesOf({ name, folder, note, facts, shape }: Feature): Readonly<Record<string, unknown>> {
  const times = shape.kind === 'line' && shape.times_s !== undefined ? { times: shape.times_s.map(isoOrNull) } : {};
  const time = shape.kind === 'point' && shape.time_s !== undefined ? { time: isoOrNull(shape.time_s) } : {};
  // JSON.stringify writes a number that is not finite as null.
  return { name, folder, description: note, ...facts, ...time, ...times };
}

const isoOrNull = (time_s: number): string | null => (Number.isFinite(time_s) ? isoOf(time_s) : null);

const rounded = (x: number, decimals: number): number => {
  const value = roundTo(x, decimals);
  return value === 0 ? 0 : value;
};
const written = (place: Position): Coordinates =>
  place.length === 3
    ? [rounded(place[0], 7), rounded(place[1], 7), rounded(place[2], 2)]
    : [rounded(place[0], 7), rounded(place[1], 7)];

function geometryOf({ shape }: Feature): Geometry | null {
  if (shape.kind === 'point') return { type: 'Point', coordinates: written(shape.at) };
  if (shape.kind === 'line') {
    const parts = splitLine(shape.line).map((part) => part.map(written));
    const [only] = parts;
    return parts.length === 1 && only !== undefined
      ? { type: 'LineString', coordinates: only }
      : { type: 'MultiLineString', coordinates: parts };
  }
  const polygons = polygonsOf(shape.rings);
  if (polygons === null) return null;
  const [only] = polygons;
  return polygons.length === 1 && only !== undefined
    ? { type: 'Polygon', coordinates: only }
    : { type: 'MultiPolygon', coordinates: polygons };
}

/** Holes go with the part on whose side they lie. */
function polygonsOf(rings: readonly (readonly Position[])[]): Coordinates[][][] | null {
  const [outer, ...holes] = rings.map(splitRing);
  if (outer === undefined || outer === null || holes.includes(null)) return null;
  const inner = holes.flatMap((parts) => parts ?? []);
  return outer.map((part) => {
    const own = inner.filter((hole) => hole[0] !== undefined && holds(part, hole[0]));
    return [turned(part, true), ...own.map((hole) => turned(hole, false))].map((ring) => closedRing(ring).map(written));
  });
}

/** Even-odd rule on the plane of longitude and latitude; parts do not cross the meridian any more. */
function holds(ring: readonly Position[], [x, y]: Position): boolean {
  let inside = false;
  ring.forEach((a, k) => {
    const b = ring[(k + 1) % ring.length] ?? a;
    if (a[1] > y !== b[1] > y && x < a[0] + ((y - a[1]) / (b[1] - a[1])) * (b[0] - a[0])) inside = !inside;
  });
  return inside;
}

/** A ring in the given sense: counter-clockwise has its area positive. */
export function turned(ring: readonly Position[], counterClockwise: boolean): readonly Position[] {
  const open = openRing(ring);
  const twice = open.reduce((sum, a, k) => {
    const b = open[(k + 1) % open.length] ?? a;
    return sum + (a[0] * b[1] - b[0] * a[1]);
  }, 0);
  return twice > 0 === counterClockwise ? open : [...open].reverse();
}
