// The roads of a mission from GeoJSON (RFC 7946): lines with a name and, where known, the speed that they allow. Speeds
// m/s.
import { MPS_PER_KMH, MPS_PER_MPH, type LonLat } from '../base/units.ts';
import type { Problem, Read } from '../base/problem.ts';

export interface Road {
  readonly name: string;
  readonly line: readonly LonLat[];
  /** What the road allows; null: the vehicle's own speed. */
  readonly speed_mps: number | null;
}

const isGroup = (value: unknown): value is Readonly<Record<string, unknown>> =>
  typeof value === 'object' && value !== null && !Array.isArray(value);

const LINES_MAX = 20_000;

/**
 * Reads a road network. A road's `properties` may hold `name`, and `speed_mps` or `maxspeed` (km/h, as open road data
 * write it).
 *
 * Legal: a FeatureCollection, a Feature or a bare geometry; LineString and MultiLineString; coordinates with a height.
 * Not:   points and areas (counted and said), a line of one place, a place off the earth (the line is left out), a
 *        invalid speed.
 */
export function readRoads(geojson: unknown): Read<readonly Road[]> {
  const roads: Road[] = [];
  const problems: Problem[] = [];
  if (geojson === null || geojson === undefined) return { value: roads, problems };
  const say = (text: string): void => void problems.push({ line: 0, text: `roads: ${text}` });
  const other = new Map<string, number>();
  const features = !isGroup(geojson)
    ? null
    : Array.isArray(geojson['features'])
      ? (geojson['features'] as unknown[])
      : [geojson];
  if (features === null) {
    say('the file is not GeoJSON; expected { "type": "FeatureCollection", "features": [ … ] }');
    return { value: roads, problems };
  }
  features.forEach((feature, index) => {
    if (!isGroup(feature)) return say(`features[${index}] is no feature; it is left out`);
    const geometry = feature['type'] === 'Feature' ? feature['geometry'] : feature;
    const properties = isGroup(feature['properties']) ? feature['properties'] : {};
    const type = isGroup(geometry) ? String(geometry['type']) : 'nothing';
    const coordinates = isGroup(geometry) ? geometry['coordinates'] : null;
    const lines =
      type === 'LineString'
        ? [coordinates]
        : type === 'MultiLineString' && Array.isArray(coordinates)
          ? coordinates
          : null;
    if (lines === null) return void other.set(type, (other.get(type) ?? 0) + 1);
    const name = typeof properties['name'] === 'string' ? properties['name'] : 'road';
    const where = `features[${index}] "${name}"`;
    const speed_mps = speedOf(properties, where, say);
    for (const line of lines) {
      const places = placesIn(line);
      if (places === null)
        say(`${where}: expected at least two places [longitude, latitude] on the earth; the line is left out`);
      else if (roads.length < LINES_MAX) roads.push({ name, line: places, speed_mps });
    }
  });
  for (const [type, count] of other)
    say(`features of type ${type} (${count}) are not roads; expected LineString or MultiLineString`);
  if (roads.length === LINES_MAX) say(`more than ${LINES_MAX} lines; the rest is not used`);
  if (roads.length === 0) say('no line in the file: crews go off the road everywhere');
  return { value: roads, problems };
}

function placesIn(line: unknown): LonLat[] | null {
  if (!Array.isArray(line) || line.length < 2) return null;
  const places: LonLat[] = [];
  for (const place of line as unknown[]) {
    const [lon, lat] = Array.isArray(place) ? (place as unknown[]) : [];
    if (typeof lon !== 'number' || typeof lat !== 'number' || !(Math.abs(lon) <= 180 && Math.abs(lat) <= 90))
      return null;
    places.push([lon, lat]);
  }
  return places;
}

function speedOf(
  properties: Readonly<Record<string, unknown>>,
  where: string,
  say: (text: string) => void,
): number | null {
  const own = properties['speed_mps'];
  const posted = properties['maxspeed'];
  if (own === undefined && posted === undefined) return null;
  const factor = typeof posted === 'string' && /mph/.test(posted) ? MPS_PER_MPH : MPS_PER_KMH;
  const speed = own === undefined ? Number.parseFloat(String(posted)) * factor : own;
  if (typeof speed === 'number' && speed > 0 && speed < 100) return speed;
  say(
    `${where}: speed ${JSON.stringify(own ?? posted)}; expected more than 0 and less than 100 m/s; the ` +
      `vehicle's own speed is taken`,
  );
  return null;
}
