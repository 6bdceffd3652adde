// Files of places: GeoJSON as RFC 7946 §1.5 gives it, KML and GPX as their schemas have it, a table; and what the tags
// of OpenStreetMap (its wiki, "Map features") make of a feature.
import { fc } from '../property.ts';
import { describe, expect, it } from 'vitest';
import { readFeatures } from '../../core/formats/areas/features.ts';
import { guessOf, hazardOf, roadsFile, zoneOf } from '../../core/formats/areas/sort.ts';
import { roadLines } from '../../core/formats/areas/areas.ts';

const feature = (geometry: unknown, properties: unknown = {}) => ({ type: 'Feature', geometry, properties });
const collection = (...features: unknown[]) => JSON.stringify({ type: 'FeatureCollection', features });
const SQUARE = [[[11, 54], [11.01, 54], [11.01, 54.01], [11, 54.01], [11, 54]]]; // prettier-ignore

describe('a file of places', () => {
  it('reads the collection of RFC 7946 §1.5: a point, a line and an outline with their properties', () => {
    const text = collection(
      feature({ type: 'Point', coordinates: [102, 0.5] }, { prop0: 'value0' }),
      feature({ type: 'LineString', coordinates: [[102, 0], [103, 1], [104, 0], [105, 1]] }, { prop0: 'value0', prop1: 0 }), // prettier-ignore
      feature({ type: 'Polygon', coordinates: [[[100, 0], [101, 0], [101, 1], [100, 1], [100, 0]]] }, { prop0: 'value0', prop1: { this: 'that' } }), // prettier-ignore
    );
    const { value, problems } = readFeatures('places.geojson', text);
    expect(problems).toEqual([]);
    expect(value.map(({ shape }) => shape.kind)).toEqual(['point', 'line', 'area']);
    expect(value[1]?.attributes).toEqual({ prop0: 'value0', prop1: '0' });
    expect(value[0]?.shape).toEqual({ kind: 'point', position: [102, 0.5] });
  });

  it('reads KML placemarks with data, GPX waypoints and tracks, and a table', () => {
    const kml = `<kml><Document><Placemark><name>Line</name><ExtendedData><Data name="power"><value>line</value></Data></ExtendedData>
      <LineString><coordinates>11,54,0 11.1,54.1,0</coordinates></LineString></Placemark>
      <Placemark><name>Pad</name><Point><coordinates>11.2,54.2</coordinates></Point></Placemark></Document></kml>`;
    expect(readFeatures('a.kml', kml).value).toEqual([
      { name: 'Line', attributes: { power: 'line' }, shape: { kind: 'line', line: [[11, 54], [11.1, 54.1]] } }, // prettier-ignore
      { name: 'Pad', attributes: {}, shape: { kind: 'point', position: [11.2, 54.2] } },
    ]);
    const gpx =
      '<gpx version="1.1"><wpt lat="54" lon="11"><name>Gate</name></wpt><trk><name>Fence</name><trkseg><trkpt lat="54" lon="11"/><trkpt lat="54.1" lon="11.1"/></trkseg></trk></gpx>';
    expect(readFeatures('a.gpx', gpx).value.map(({ name, shape }) => [name, shape.kind])).toEqual([
      ['Gate', 'point'],
      ['Fence', 'line'],
    ]);
    const table = 'name;lat;lon;note\nGate;54.1;11.25;green\nNowhere;x;y;\n';
    const read = readFeatures('a.csv', table);
    expect(read.value).toEqual([
      { name: 'Gate', attributes: { note: 'green' }, shape: { kind: 'point', position: [11.25, 54.1] } },
    ]);
    expect(read.problems).toHaveLength(1);
  });

  it('is sorted by what its tags say, and only into what its shape can be', () => {
    const of = (properties: object, geometry: object) => {
      const [one] = readFeatures('x', collection(feature(geometry, properties))).value;
      return one === undefined ? null : guessOf(one);
    };
    const line = { type: 'LineString', coordinates: [[11, 54], [11.1, 54.1]] }; // prettier-ignore
    const area = { type: 'Polygon', coordinates: SQUARE };
    const point = { type: 'Point', coordinates: [11, 54] };
    expect(of({ power: 'line', voltage: '110000' }, line)).toMatchObject({ as: 'hazard', kind: 'power line' });
    expect(of({ highway: 'track' }, line)).toMatchObject({ as: 'road', because: 'highway=track' });
    expect(of({ waterway: 'river' }, line)).toMatchObject({ as: 'hazard', kind: 'river' });
    expect(of({ natural: 'wood' }, area)).toMatchObject({ as: 'hazard', kind: 'trees' });
    expect(of({ power: 'tower' }, point)).toMatchObject({ as: 'left out' });
    expect(of({ name: 'LZ north' }, area)).toMatchObject({ as: 'zone' });
    expect(of({ name: 'Field 7' }, area)).toMatchObject({ as: 'left out' });
    expect(of({ man_made: 'water_tower' }, point)).toMatchObject({ as: 'landmark' });
  });

  it('becomes what the plan holds: open rings, heights where they are given, roads that are read back', () => {
    const [wood] = readFeatures('x', collection(feature({ type: 'Polygon', coordinates: SQUARE }, { natural: 'wood', height: '18 m' }))).value; // prettier-ignore
    if (wood === undefined) throw new Error('it was read');
    expect(hazardOf(wood, 'trees')).toMatchObject({ kind: 'trees', height_m: 18, polygon: SQUARE[0]?.slice(0, -1) });
    expect(zoneOf(wood)?.polygon).toHaveLength(4);
    const [road] = readFeatures('x', collection(feature({ type: 'LineString', coordinates: [[11, 54], [11.1, 54.1]] }, { highway: 'track' }))).value; // prettier-ignore
    expect(roadLines(JSON.parse(roadsFile(road === undefined ? [] : [road])))).toEqual([[[11, 54], [11.1, 54.1]]]); // prettier-ignore
  });

  it('of any text is answered with features or sentences, never with a throw', () => {
    fc.assert(
      fc.property(
        fc.oneof(
          fc.string(),
          fc.json(),
          fc.json().map((x) => `{"type":"Feature","geometry":${x}}`),
        ),
        (text) => {
          const { value, problems } = readFeatures('any', text);
          expect(value.length + problems.length).toBeGreaterThan(0);
        },
      ),
    );
  });
});
